// What the page says, in another language, and numbers with a decimal comma. Fetched where a device wants either.
//
// Words stay where they are used, in English. What the page shows passes through here once more before it is painted: an
// observer sees every text that comes or changes, and puts in its place what the language has for it. The app keeps its own
// view of what it said; when it says something else, that is seen again.
//
// An entry is a text as a whole, or one with gaps (“{1} of {2} wires”), whose contents are said by themselves. What the user
// has written is left alone: fields, whatever is marked `translate="no"`, the drawing but for its numbers, and every text that
// the open job holds, wherever it is shown.

import { load } from "./{{store.js}}";

const { documentElement: root } = document;
const ATTRIBUTES = ["aria-label", "title", "placeholder", "alt"];

/** Where nothing is put: what the user writes, and what is no text of the page. */
const LEFT_ALONE = "textarea, script, style, [translate=no], [contenteditable], #stopped-why";

/** Pictures of the circuit, in which only numbers change. */
const PICTURE = "svg";

/** Texts that were worked out are remembered, up to so many. */
const MOST_KNOWN = 4000;

/** A number with a point before a unit, also where the unit follows a second number: “1.5 to 2.5 mm²”. */
const UNIT = String.raw`(?:[kmµM]?[AVWΩFHJ]|[kmM]?Ah|k?Wh|mm²|mm|cm|m|km|kg|g|ms|s|min|h|%|°C|K|N|A²s)(?![\p{L}\d])`;
const NUMBER = new RegExp(
  String.raw`(?<![\p{L}\d.,_-])(\d+)\.(\d+)(?=(?:\s?(?:to|bis|and|und|or|oder|of|von|[–×/-])\s?[\d.,]+)*\s?${UNIT})`,
  "gu",
);

const escaped = (text) => text.replace(/[\\^$.*+?()[\]{}|/-]/g, "\\$&");
const words = (text) => text.match(/\p{L}{2,}/gu) ?? [];
const plain = (text) => text.replace(/\s+/g, " ").trim();

/** A language: its entries, and what the open job holds in the user's own words. */
export class Language {
  /** `entries` maps English to the language; `comma` is whether numbers have a comma. */
  constructor(entries, comma) {
    this.comma = comma;
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
    const pattern = fixed.map((part) => escaped(part).replaceAll(" ", "\\s")).join("(.+?)");
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
    const [, before, inner, after] = /^(\s*)(.*?)(\s*)$/s.exec(text);
    if (!inner || this.own.has(inner)) {
      return text;
    }
    return before + this.numbers(this.#found(inner) ?? inner) + after;
  }

  /** A text with commas in its numbers, if they are wanted. */
  numbers(text) {
    return this.comma ? text.replace(NUMBER, "$1,$2") : text;
  }

  /** What the language has for a text without blanks around it; null where it has nothing. */
  #found(text) {
    if (this.own.has(text)) {
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
    return this.#entry(text) ?? this.#inPieces(text);
  }

  /** By its own entry, or that of the same text with a small letter in place of the capital it begins with. */
  #entry(text) {
    const key = plain(text);
    const exact = this.whole.get(key);
    if (exact !== undefined) {
      return exact;
    }
    return this.#filled(text) ?? this.#withCapital(key);
  }

  #withCapital(key) {
    const small = key[0].toLowerCase() + key.slice(1);
    const said = small === key ? undefined : (this.whole.get(small) ?? this.#filled(small));
    return said && said[0].toUpperCase() + said.slice(1);
  }

  /** By an entry with gaps: that with the most fixed letters. */
  #filled(text) {
    const lists = new Set([...words(text), ""]);
    const entries = [...lists].flatMap((word) => this.withGaps.get(word) ?? []);
    entries.sort((a, b) => b.length - a.length);
    for (const { pattern, said } of entries) {
      const gaps = pattern.exec(text);
      if (gaps) {
        return said.replace(/\{(\d+)\}/g, (_, number) => this.#found(gaps[number].trim()) ?? gaps[number]);
      }
    }
    return undefined;
  }

  /** By its sentences or its parts, where the language has each of them or it is none of its business. */
  #inPieces(text) {
    for (const [cut, joint] of [[/(?<=[.!?]) (?=\S)/u, " "], [/ · /u, " · "], [/: /u, ": "], [/; /u, "; "], [/, /u, ", "]]) {
      const pieces = text.split(cut);
      if (pieces.length > 1) {
        const said = pieces.map((piece) => this.#found(piece.trim()));
        if (said.some((one) => one !== null)) {
          return said.map((one, at) => one ?? pieces[at]).join(joint);
        }
      }
    }
    return null;
  }
}

/** Has the page speak a language, from now on. */
export class Speaker {
  constructor(language) {
    this.language = language;
    // What was put where, so that it is not taken for something new.
    this.put = new WeakMap();
    this.watcher = new MutationObserver((changes) => this.#changed(changes));
  }

  /** Says what is there, and what comes. */
  begin() {
    this.#all(root);
    const what = { childList: true, characterData: true, attributes: true, subtree: true };
    this.watcher.observe(root, { ...what, attributeFilter: ATTRIBUTES });
  }

  #changed(changes) {
    for (const { type, target, attributeName, addedNodes } of changes) {
      if (type === "attributes") {
        this.#attribute(target, attributeName);
      } else if (type === "characterData") {
        this.#text(target);
      } else {
        addedNodes.forEach((node) => this.#all(node));
      }
    }
    // What was put just now is no news.
    this.watcher.takeRecords();
  }

  #all(node) {
    if (node.nodeType === Node.TEXT_NODE) {
      this.#text(node);
    } else if (node.nodeType === Node.ELEMENT_NODE) {
      const texts = document.createTreeWalker(node, NodeFilter.SHOW_TEXT);
      while (texts.nextNode()) {
        this.#text(texts.currentNode);
      }
      for (const name of ATTRIBUTES) {
        this.#attribute(node, name);
        node.querySelectorAll(`[${name}]`).forEach((one) => this.#attribute(one, name));
      }
    }
  }

  #text(node) {
    const element = node.parentElement;
    if (!element || !node.data.trim() || this.put.get(node) === node.data || element.closest(LEFT_ALONE)) {
      return;
    }
    if (element instanceof HTMLOptionElement && !element.hasAttribute("value")) {
      // Its text is also what is chosen.
      element.value = element.text;
    }
    const { language } = this;
    const said = element.closest(PICTURE) ? language.numbers(node.data) : language.said(node.data);
    if (said !== node.data) {
      node.data = said;
    }
    this.put.set(node, said);
  }

  #attribute(element, name) {
    const value = element.getAttribute(name);
    if (value && !element.closest(LEFT_ALONE)) {
      const put = this.put.get(element) ?? {};
      if (put[name] !== value) {
        put[name] = this.language.said(value);
        this.put.set(element, put);
        if (put[name] !== value) {
          element.setAttribute(name, put[name]);
        }
      }
    }
  }
}

/** Where a job holds what the user wrote. */
const WRITTEN = new Set(["title", "customer", "vehicle", "drawn_by", "approved_by", "number", "revision", "label", "name", "owner", "by", "reason", "about", "pin"]);

/** Every text of a job that the user wrote. A job is JSON. */
function textsOf(job) {
  const texts = [];
  JSON.parse(job, (key, value) => {
    if (typeof value === "string" && WRITTEN.has(key)) {
      texts.push(value.trim());
    }
    return value;
  });
  return texts;
}

/** Has a language leave alone what the user wrote in a job, if it is one. */
function keep(language, job) {
  try {
    language.keep(textsOf(job));
  } catch {
    // Nothing is open yet, or it cannot be read.
  }
}

/** Has a language hear of the job that is open, whenever it is opened or changed. */
function listen(language) {
  const { host } = globalThis;
  const { keepJob, loadJob, fetchText } = host;
  host.keepJob = (title, text) => {
    keep(language, text);
    return keepJob(title, text);
  };
  host.loadJob = async (id) => {
    const job = await loadJob(id);
    keep(language, job?.text);
    return job;
  };
  host.fetchText = async (path) => {
    const job = await fetchText(path);
    keep(language, job);
    return job;
  };
}

/** What was chosen, or else what the device says. */
function wanted({ language, numbers }) {
  const isGerman = language ? language === "de" : /^de\b/.test(navigator.languages?.[0]);
  return { tag: isGerman ? "de" : "en", isComma: numbers ? numbers === "comma" : isGerman };
}

/** The job that the page begins with. */
async function lastJob() {
  try {
    return (await load(localStorage["loomwright.last-job"])).text;
  } catch {
    return "";
  }
}

/** Begins, with what this device wants. */
async function begin() {
  const { tag, isComma } = wanted(root.dataset);
  const entries = tag === "de" ? await (await fetch(new URL("./{{de.json}}", import.meta.url))).json() : {};
  const language = new Language(entries, isComma);
  keep(language, await lastJob());
  root.lang = tag;
  new Speaker(language).begin();
  // The host is there once the scripts of the page have run.
  globalThis.host ? listen(language) : addEventListener("load", () => listen(language), { once: true });
}

begin();
