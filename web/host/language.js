// What the page says, in another language, numbers with a decimal comma, and lengths in feet too. Fetched where a device wants
// any of these.
//
// Words stay where they are used, in English. What the page shows passes through here once more before it is painted: an
// observer sees every text that comes or changes, and puts in its place what the language has for it. The app keeps its own
// view of what it said; when it says something else, that is seen again.
//
// What the user has written is left alone: fields, whatever is marked `translate="no"`, the drawing but for its numbers, and
// every text that the open job holds, wherever it is shown.

import { load } from "./{{store.js}}";
import { Language, fieldInFeet } from "./{{translating.js}}";

const { documentElement: root } = document;
const ATTRIBUTES = ["aria-label", "title", "placeholder", "alt"];

/** Where nothing is put: what the user writes, and what is no text of the page. */
const LEFT_ALONE = "textarea, script, style, [translate=no], [contenteditable], #stopped-why";

/** Pictures of the circuit, in which only numbers change. */
const PICTURE = "svg";

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
    const original = node.data;
    const said = element.closest(PICTURE) ? language.numbers(original) : language.said(original);
    if (said !== node.data) {
      node.data = said;
    }
    this.put.set(node, said);
    if (root.lang !== "en" && element.childElementCount === 0 && !element.closest(PICTURE)) {
      this.#mark(element, original);
    }
  }

  /** Has a reader aloud say in English what stays English. */
  #mark(element, text) {
    if (this.language.isMissing(text)) {
      element.lang = "en";
    } else if (element.lang === "en") {
      element.removeAttribute("lang");
    }
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
  const { keepJob } = host;
  host.keepJob = (title, text) => {
    keep(language, text);
    return keepJob(title, text);
  };
  // What the page of jobs opens.
  addEventListener("opens", ({ detail }) => keep(language, new TextDecoder().decode(detail)));
}

/** Tells beside each field in metres what it says in feet and inches; anew whenever the page changes, or somebody types. */
function tellFeet() {
  let isDue = false;
  const tell = () => {
    isDue = false;
    for (const unit of document.querySelectorAll(".entry > .unit:not(select)")) {
      const field = unit.parentElement.querySelector("input");
      const feet = unit.textContent === "m" && field ? fieldInFeet(field.value) : "";
      if (feet !== (unit.dataset.feet ?? "")) {
        // The style puts it behind the unit.
        feet ? (unit.dataset.feet = feet) : delete unit.dataset.feet;
      }
    }
  };
  const soon = () => {
    if (!isDue) {
      isDue = true;
      requestAnimationFrame(tell);
    }
  };
  new MutationObserver(soon).observe(root, { childList: true, characterData: true, subtree: true });
  addEventListener("input", soon);
}

/** What was chosen, or else what the device says. */
function wanted({ language, numbers, lengths }) {
  const isGerman = language ? language === "de" : /^de\b/.test(navigator.languages?.[0]);
  const comma = numbers ? numbers === "comma" : isGerman;
  return { tag: isGerman ? "de" : "en", numbers: { comma, feet: lengths === "feet" } };
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
  const { tag, numbers } = wanted(root.dataset);
  const entries = tag === "de" ? await (await fetch(new URL("./{{de.json}}", import.meta.url))).json() : {};
  const language = new Language(entries, numbers);
  keep(language, await lastJob());
  root.lang = tag;
  new Speaker(language).begin();
  if (numbers.feet) {
    tellFeet();
  }
  // The host is there once the scripts of the page have run.
  globalThis.host ? listen(language) : addEventListener("load", () => listen(language), { once: true });
}

await begin();
