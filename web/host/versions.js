// The versions of a job: which are kept, and the page “Versions” of the open job. Fetched when the first is kept.

import { load } from "./{{store.js}}";
import { keepVersion, versions } from "./{{store-more.js}}";
import { gone, isDue, isWorthKeeping, latestOf } from "./{{thinning.js}}";
import { styled } from "./{{styled.js}}";
import { when } from "./{{when.js}}";

/** What a state is mostly named after. */
const NAMES = ["quoted", "as fitted"];

const PAGE = document.createElement("template");
PAGE.innerHTML = `<dialog class="versions" aria-labelledby="versions-title">
  <div class="dialog-head"><h2 id="versions-title" tabindex="-1">Versions</h2><button type="button" data-do="close">Close</button></div>
  <p class="versions-said" role="status"></p>
  <form>
    <label>Name this state <input name="name" maxlength="60" autocomplete="off"></label>
    <div class="row">${NAMES.map((name) => `<button type="button" data-do="suggest" value="${name}">${name}</button>`).join("")}<button class="main">Keep it by this name</button></div>
  </form>
  <p class="hint">A version with a name stays for good. Others are kept by themselves while you work, and become fewer with time.</p>
  <ul class="plain jobs"></ul>
  <section class="versions-changed" tabindex="-1" aria-label="What changed" hidden></section>
</dialog>`;

const ROW = document.createElement("template");
ROW.innerHTML = `<li class="version"><p><strong dir="auto"></strong> <span></span></p><div class="row">
  <label>Compare with <select></select></label>
  <button type="button" data-do="compare">What changed since</button>
  <button type="button" data-do="back">Put back</button>
</div></li>`;

/** When the latest version of a job was kept, as far as that was looked up here: all of them are much to read. */
const latest = new Map();

/** Keeps a state of a job, as its record has it, if it is worth it; what is old enough goes. */
export async function keepState(state, isFirst) {
  if (!isFirst && !isDue(state, latest.get(state.id) ?? -Infinity)) {
    return;
  }
  const all = await versions(state.id);
  latest.set(state.id, latestOf(all));
  if (isWorthKeeping(state, all, isFirst)) {
    const version = asVersion(state, "");
    await keepVersion(version, gone([version, ...all], Date.now()));
    latest.set(state.id, latestOf([version, ...all]));
  }
}

function asVersion({ id, revision, title, text, updated }, name) {
  return { id, revision, title, text, kept: updated, name };
}

let page;

/** Opens the page for the open job. */
export async function openVersions() {
  page ??= new Versions();
  await page.open();
}

class Versions {
  constructor() {
    this.styled = styled(new URL("./{{shelf.css}}", import.meta.url));
    document.body.append(PAGE.content.cloneNode(true));
    this.dialog = document.querySelector("dialog.versions");
    [this.said, this.form, this.list, this.changed] = [".versions-said", "form", "ul", ".versions-changed"].map((one) => this.dialog.querySelector(one));
    this.form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.tried(() => this.name(this.form.elements.name.value.trim()));
    });
    this.dialog.addEventListener("click", ({ target }) => {
      const button = target.closest("[data-do]");
      if (button) {
        this.tried(() => this.press(button));
      }
    });
  }

  async open() {
    this.say("");
    this.changed.hidden = true;
    await this.styled;
    await this.tried(() => this.show());
    this.dialog.showModal();
    this.dialog.querySelector("h2").focus();
  }

  say(words) {
    this.said.textContent = words;
  }

  /** Does something; that it cannot be done is said. */
  async tried(act) {
    try {
      await act();
    } catch (error) {
      this.say(`That was not possible, and nothing was changed: ${error.message ?? error}`);
    }
  }

  press(button) {
    const one = this.all?.[button.closest("li")?.dataset.at];
    switch (button.dataset.do) {
      case "close":
        return this.dialog.close();
      case "suggest":
        this.form.elements.name.value = button.value;
        return undefined;
      case "compare":
        return this.compare(one, this.all[button.closest("li").querySelector("select").value]);
      default:
        return this.putBack(one);
    }
  }

  /** The record of the open job; undefined while it has none. */
  async record() {
    const { id } = await host.openJob();
    return load(id);
  }

  async show() {
    const record = await this.record();
    this.form.hidden = !record;
    this.all = record ? await versions(record.id) : [];
    if (this.all.length === 0) {
      this.say(record ? "No version is kept yet." : "This job is not kept yet. It is from your first change on.");
    }
    this.list.replaceChildren(...this.all.map((one, at) => this.row(one, at)));
  }

  row({ name, kept }, at) {
    const row = ROW.content.cloneNode(true).firstElementChild;
    row.dataset.at = at;
    row.querySelector("strong").textContent = name;
    row.querySelector("span").textContent = when(kept);
    const others = this.all.map((one, other) => new Option(one.name || when(one.kept), other));
    row.querySelector("select").append(new Option("the open job", ""), ...others.filter((_, other) => other !== at));
    return row;
  }

  async name(name) {
    if (!name) {
      this.say("Give it a name first.");
      return;
    }
    const record = await this.record();
    const same = this.all.find(({ revision, name }) => revision === record.revision && name);
    if (same) {
      this.say(`This state is named “${same.name}” already.`);
      return;
    }
    await keepVersion(asVersion(record, name));
    this.form.reset();
    await this.show();
    this.say(`Kept as “${name}”.`);
  }

  async compare(before, after) {
    const fields = [`before=${onOneLine(before)}`, ...(after ? [`after=${onOneLine(after)}`] : [])];
    this.changed.innerHTML = await host.tellReport(["changes", ...fields].join("\n"));
    this.changed.hidden = false;
    this.changed.focus();
    this.changed.scrollIntoView({ block: "start" });
  }

  /** Puts a version in the place of the open job, in one step to undo; the open one is kept before. */
  async putBack(version) {
    const record = await this.record();
    if (!this.all.some(({ text }) => text === record.text)) {
      await keepVersion(asVersion(record, ""));
    }
    const refused = await host.tellReport(`put-back\njob=${onOneLine(version)}`);
    if (!refused) {
      document.querySelector("dialog.shelf[open]")?.close();
      return this.dialog.close();
    }
    this.changed.innerHTML = refused;
    this.changed.hidden = false;
    return this.changed.focus();
  }
}

/** The job of a version as a field of what the worker is asked: fields end with their line. */
const onOneLine = ({ text }) => JSON.stringify(JSON.parse(text));
