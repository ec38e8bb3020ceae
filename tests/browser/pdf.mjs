// Reads as much of a PDF as a test of paper needs: how many pages, how large, and which words.
//
// It reads what the browser under test writes: objects in the open, streams compressed with Flate,
// and fonts that say by a table which characters their glyphs stand for.
import { inflateSync } from "node:zlib";

/** The pages of a PDF: the width and height of each in points, and its text without any spaces. */
export function pages(bytes) {
  const objects = objectsOf(bytes);
  const found = [...objects.values()].filter(({ head }) => /\/Type\s*\/Page\b/.test(head));
  return found.map(({ head }) => {
    const box = (/\/MediaBox\s*\[([^\]]*)\]/.exec(head) ?? fail("a page has no size"))[1].trim().split(/\s+/).map(Number);
    return { width: box[2] - box[0], height: box[3] - box[1], text: textOf(head, objects) };
  });
}

function fail(why) {
  throw new Error(why);
}

/** Every object by its number: its dictionary as text, and its stream. */
function objectsOf(bytes) {
  const text = bytes.toString("latin1");
  const objects = new Map();
  for (const start of text.matchAll(/(?:^|[\r\n])(\d+) 0 obj\b/g)) {
    const from = start.index + start[0].length;
    const end = text.indexOf("endobj", from);
    const stream = /stream\r?\n/.exec(text.slice(from, end));
    if (!stream) {
      objects.set(Number(start[1]), { head: text.slice(from, end), data: "" });
      continue;
    }
    const head = text.slice(from, from + stream.index);
    const at = from + stream.index + stream[0].length;
    const length = Number((/\/Length\s+(\d+)(?!\s+\d+\s+R)/.exec(head) ?? fail("a stream has no length"))[1]);
    const raw = bytes.subarray(at, at + length);
    objects.set(Number(start[1]), { head, data: head.includes("/FlateDecode") ? inflateSync(raw).toString("latin1") : raw.toString("latin1") });
  }
  return objects;
}

function textOf(page, objects) {
  const fonts = new Map();
  collectFonts(page, objects, fonts, new Set());
  const contents = /\/Contents\s*(\[[^\]]*\]|\d+ 0 R)/.exec(page)?.[1] ?? "";
  let text = "";
  let streams = references(contents);
  const seen = new Set(streams);
  while (streams.length > 0) {
    const { data } = objects.get(streams.shift());
    text += shown(data, fonts);
    // Parts of a page may be drawn by forms, which stand in objects of their own.
    for (const [number, object] of objects) {
      if (!seen.has(number) && /\/Subtype\s*\/Form\b/.test(object.head)) {
        seen.add(number);
        collectFonts(object.head, objects, fonts, new Set());
        streams.push(number);
      }
    }
  }
  return text;
}

function references(text) {
  return [...text.matchAll(/(\d+) 0 R/g)].map((found) => Number(found[1]));
}

/** The table of each font below these resources, by the name under which contents choose it. */
function collectFonts(head, objects, fonts, seen) {
  const resources = /\/Resources\s+(\d+) 0 R/.exec(head);
  const text = resources ? objects.get(Number(resources[1])).head : head;
  const dictionary = /\/Font\s*<<([^>]*)>>/.exec(text)?.[1] ?? "";
  for (const [, name, number] of dictionary.matchAll(/\/(\w+)\s+(\d+) 0 R/g)) {
    const table = /\/ToUnicode\s+(\d+) 0 R/.exec(objects.get(Number(number)).head);
    if (table && !seen.has(name)) {
      fonts.set(name, tableOf(objects.get(Number(table[1])).data));
    }
  }
}

function tableOf(map) {
  const table = new Map();
  const letters = (hex) => String.fromCharCode(...hex.match(/.{4}/g).map((four) => parseInt(four, 16)));
  for (const [, block] of map.matchAll(/beginbfchar([\s\S]*?)endbfchar/g)) {
    for (const [, glyph, to] of block.matchAll(/<(\w+)>\s*<(\w+)>/g)) {
      table.set(parseInt(glyph, 16), letters(to));
    }
  }
  for (const [, block] of map.matchAll(/beginbfrange([\s\S]*?)endbfrange/g)) {
    for (const [, from, to, first] of block.matchAll(/<(\w+)>\s*<(\w+)>\s*<(\w+)>/g)) {
      for (let glyph = parseInt(from, 16); glyph <= parseInt(to, 16); glyph += 1) {
        table.set(glyph, String.fromCharCode(parseInt(first, 16) + glyph - parseInt(from, 16)));
      }
    }
  }
  return table;
}

/** What the texts of a content stream say, in the order in which they are drawn. */
function shown(data, fonts) {
  let text = "";
  let table = new Map();
  for (const [, font, hex] of data.matchAll(/\/(\w+)\s+[\d.-]+\s+Tf|<([0-9A-Fa-f\s]+)>/g)) {
    if (font) {
      table = fonts.get(font) ?? new Map();
    } else {
      const glyphs = hex.replaceAll(/\s/g, "").match(/.{4}/g) ?? [];
      text += glyphs.map((glyph) => table.get(parseInt(glyph, 16)) ?? "").join("");
    }
  }
  return text.replaceAll(/\s/g, "");
}
