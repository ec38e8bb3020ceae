// What a language has for a text of the page: by entries for whole texts, and by entries with gaps, “{1} of {2} wires”, whose
// contents are said by themselves. Numbers with units get a decimal comma where that is wanted.

/** Texts that were worked out are remembered, up to so many. */
const MOST_KNOWN = 4000;

/** A number with a point before a unit, also where the unit follows a second number: “1.5 to 2.5 mm²”. */
const UNIT = String.raw`(?:[kmµM]?[AVWΩFHJ]|[kmM]?Ah|k?Wh|mm²|mm|cm|m|km|kg|g|ms|s|min|h|%|°C|K|N|A²s)(?![\p{L}\d])`;
const NUMBER = new RegExp(
  String.raw`(?<![\p{L}\d.,_-])(\d+)\.(\d+)(?=(?:\s?(?:to|bis|and|und|or|oder|of|von|[–×/-])\s?[\d.,]+)*\s?${UNIT})`,
  "gu",
);

/** A length in metres, or one to another. */
const LENGTH = /(?<![\p{L}\d.,_-])(?:(\d+(?:[.,]\d+)?)(\s?(?:to|bis|–)\s?))?(\d+(?:[.,]\d+)?)\sm(?![\p{L}\d²³/·])/gu;

/** One inch is 25.4 mm exactly (NIST SP 811, B.8). */
const INCH = 0.0254;

/** What a field says in metres: one length, or from one to another. */
const FIELD = /^\s*(\d+(?:[.,]\d+)?)(?:(\s?(?:to|bis|–)\s?)(\d+(?:[.,]\d+)?))?\s*$/u;

/** What a field says in metres, in feet and inches; empty where that is no length. */
export function fieldInFeet(text) {
  const [, low, to = "", high] = FIELD.exec(text) ?? [];
  return low ? inFeet(low) + (high ? to + inFeet(high) : "") : "";
}

/** A length in metres, as it is written, in feet and inches to the nearest quarter. */
function inFeet(metres) {
  const quarters = Math.round((4 * Number(metres.replace(",", "."))) / INCH);
  const [feet, rest] = [Math.floor(quarters / 48), quarters % 48];
  const inches = `${rest >= 4 || rest === 0 ? Math.floor(rest / 4) : ""}${["", "¼", "½", "¾"][rest % 4]} in`;
  return [feet > 0 ? `${feet} ft` : "", rest > 0 || feet === 0 ? inches : ""].filter(Boolean).join(" ");
}

/** A text between the blanks and marks that lead to it. */
const SURROUNDED = /^([\s:·,;–]*)(.*?)(\s*)$/s;

/** Where a text falls into pieces, the larger ones first; items of a list are only said together. */
const CUTS = [
  { cut: /(?<=[.!?]) (?=\S)/u, joint: " " },
  { cut: / · /u, joint: " · " },
  { cut: / \+ /u, joint: " + " },
  { cut: /: /u, joint: ": " },
  { cut: /; /u, joint: "; " },
  { cut: /, /u, joint: ", ", isWhole: true },
];

const escaped = (text) => text.replace(/[\\^$.*+?()[\]{}|/]/g, "\\$&");
const words = (text) => text.match(/\p{L}{2,}/gu) ?? [];
const plain = (text) => text.replace(/\s+/g, " ").trim();

/** A language: its entries, and what the open job holds in the user's own words. */
export class Language {
  /** `entries` maps English to the language; `comma` is whether numbers have a comma, `feet` whether lengths are also in feet. */
  constructor(entries, { comma, feet }) {
    Object.assign(this, { comma, feet });
    this.whole = new Map();
    this.withGaps = new Map();
    this.own = new Set();
    this.known = new Map();
    for (const [english, said] of Object.entries(entries)) {
      if (/\{\d+\}/.test(english)) {
        this.#addWithGaps(english, said);
      } else {
        this.whole.set(english, said);
      }
    }
  }

  /** An entry with gaps is looked for only in texts that have its longest word. */
  #addWithGaps(english, said) {
    const fixed = english.split(/\{\d+\}/);
    // A word that touches a gap may go on in it.
    const whole = fixed.flatMap((part, at) => {
      const inside = part.replace(at > 0 ? /^\p{L}+/u : "", "").replace(at < fixed.length - 1 ? /\p{L}+$/u : "", "");
      return words(inside);
    });
    const longest = whole.sort((a, b) => b.length - a.length)[0] ?? "";
    // Of two gaps that touch, the second is what some texts go on with, and others have not.
    const gap = (at) => (at === 0 ? "" : at > 1 && fixed[at - 1] === "" ? String.raw`((?:[\s,;:]+\p{Ll}.*?)?)` : "(.+?)");
    const pattern = fixed.map((part, at) => gap(at) + escaped(part).replaceAll(" ", "\\s")).join("");
    const entry = { length: fixed.join("").length, pattern: new RegExp(`^${pattern}$`, "su"), said };
    const list = this.withGaps.get(longest) ?? [];
    list.push(entry);
    list.sort((a, b) => b.length - a.length);
    this.withGaps.set(longest, list);
  }

  /** Leaves these texts alone from now on: the user wrote them. */
  keep(texts) {
    this.own = new Set(texts);
    this.known.clear();
  }

  /** What the language says for a text of the page; the text itself where it has nothing, but for its numbers. */
  said(text) {
    const [, before, inner, after] = SURROUNDED.exec(text);
    if (!inner || this.own.has(inner)) {
      return text;
    }
    return before + this.#lengths(this.numbers(this.#found(inner) ?? inner)) + after;
  }

  /** Whether a text stays English that is not the user's. */
  isMissing(text) {
    return !this.#isSaid(text);
  }

  /** A text with commas in its numbers, if they are wanted. */
  numbers(text) {
    return this.comma ? text.replace(NUMBER, "$1,$2") : text;
  }

  /** A text with its lengths in feet and inches too, if that is wanted. */
  #lengths(text) {
    const both = (all, low, to, high) => `${all} (${low ? inFeet(low) + to : ""}${inFeet(high)})`;
    return this.feet ? text.replace(LENGTH, both) : text;
  }

  /** What the language has for a text without blanks around it; null where it has nothing. */
  #found(text) {
    if (!text || this.own.has(text)) {
      return null;
    }
    if (!this.known.has(text)) {
      if (this.known.size >= MOST_KNOWN) {
        this.known.clear();
      }
      this.known.set(text, this.#looked(text));
    }
    return this.known.get(text);
  }

  #looked(text) {
    const [, inner, end] = /^(.*?)([.…]?)$/su.exec(text);
    const said = this.#entry(text) ?? (end && inner ? this.#entry(inner)?.concat(end) : undefined);
    return said ?? this.#inPieces(text) ?? this.#named(text) ?? null;
  }

  /** By its own entry, or that of the same text with a small letter in place of the capital it begins with. */
  #entry(text) {
    const key = plain(text);
    return this.whole.get(key) ?? this.#filled(text) ?? this.#withCapital(key);
  }

  #withCapital(key) {
    const small = key[0].toLowerCase() + key.slice(1);
    const said = small === key ? undefined : (this.whole.get(small) ?? this.#filled(small));
    return said && said[0].toUpperCase() + said.slice(1);
  }

  /** By an entry with gaps: that with the most fixed letters whose gaps can be said too. A text half in each is none. */
  #filled(text) {
    const lists = new Set([...words(text), ""]);
    const entries = [...lists].flatMap((word) => this.withGaps.get(word) ?? []);
    entries.sort((a, b) => b.length - a.length);
    for (const { pattern, said } of entries) {
      const gaps = pattern.exec(text);
      if (gaps?.slice(1).every((gap) => this.#isSaid(gap))) {
        return said.replace(/\{(\d+)\}/g, (_, number) => this.#gap(gaps[number]));
      }
    }
    return undefined;
  }

  /** What stands in a gap, with the blanks and marks around it. */
  #gap(text) {
    const [, before, inner, after] = SURROUNDED.exec(text);
    return before + (this.#found(inner) ?? inner) + after;
  }

  /** Whether nothing is left to say of a text: the language has it, the user wrote it, or there is no word in it. */
  #isSaid(text) {
    const [, , inner] = SURROUNDED.exec(text);
    return !/\p{Ll}{3}/u.test(inner) || this.own.has(inner) || this.#found(inner) !== null;
  }

  /** A thing with its label, “fuse F6”, also with more of it in brackets, “fuse F6 (10 A)”; things with their number, “5 wires”. */
  #named(text) {
    const bracketed = /^(.*\S)\s\(([^()]*)\)$/su.exec(text);
    if (bracketed) {
      const [, thing, more] = bracketed;
      return [thing, more].every((part) => this.#isSaid(part)) ? `${this.#gap(thing)} (${this.#gap(more)})` : undefined;
    }
    const counted = /^([\d.,+−]+\s)(\p{L}.*)$/su.exec(text);
    if (counted) {
      const said = this.#found(counted[2]);
      return said === null ? undefined : counted[1] + said;
    }
    const parts = /^(.*\p{L})\s(\S+)$/su.exec(text);
    if (!parts || !(/[\p{Lu}\d]/u.test(parts[2]) || this.own.has(parts[2]))) {
      return undefined;
    }
    const key = plain(parts[1]);
    const said = this.whole.get(key) ?? this.#withCapital(key);
    return said && `${said} ${parts[2]}`;
  }

  /** By its sentences or what a colon parts, where the language has one of them; or by items of a list, if it has all. */
  #inPieces(text) {
    for (const { cut, joint, isWhole } of CUTS) {
      const pieces = text.split(cut);
      if (pieces.length === 1) {
        continue;
      }
      const said = pieces.map((piece) => this.#found(piece.trim()));
      const isEnough = !isWhole || pieces.every((piece) => this.#isSaid(piece));
      if (isEnough && said.some((one) => one !== null)) {
        return said.map((one, at) => one ?? pieces[at]).join(joint);
      }
    }
    return null;
  }
}
