// The page “Jobs”: every job on this device as a card, ways to begin one, and all of them as a file. Fetched when it is
// first opened.
//
// A job that is deleted is only out of sight at first, so that one tap brings it back with everything that is kept of it.
// It goes with the next thing that is done, or when the page is left.

import * as files from "./{{files.js}}";
import { isTrap, newId } from "./{{keep.js}}";
import { cardOf, countOf, showVersions } from "./{{shelf-cards.js}}";
import { Pictures } from "./{{shelf-pictures.js}}";
import { addJob, allCards, versions } from "./{{store-more.js}}";
import { load } from "./{{store.js}}";
import { styled } from "./{{styled.js}}";
import { wish_for as wishFor } from "./{{web-glue.js}}";

const PAGE = document.createElement("template");
PAGE.innerHTML = `<dialog class="shelf whole" aria-labelledby="shelf-title">
  <header class="whole-edge">
    <h2 id="shelf-title" tabindex="-1">Jobs</h2>
    <button type="button" data-do="close">Close</button>
  </header>
  <div class="shelf-body">
    <p class="refused" role="alert" dir="auto"></p>
    <div class="choices">
      <button type="button" class="main" data-do="empty">Empty job</button>
      <button type="button" data-do="file">Open a file</button>
      <button type="button" data-do="versions">Versions of the open job</button>
      <button type="button" data-do="everything">Save everything</button>
    </div>
    <section aria-labelledby="shelf-here">
      <h3 id="shelf-here">On this device</h3>
      <div class="shelf-find">
        <label>Find by any word of the job card <input type="search" autocomplete="off"></label>
        <p class="shelf-count" role="status"></p>
      </div>
      <p class="hint shelf-none" hidden>None yet. What you draw is kept here by itself.</p>
      <ul class="plain jobs" aria-labelledby="shelf-here" aria-busy="true"></ul>
    </section>
    <section aria-labelledby="shelf-starts">
      <h3 id="shelf-starts" tabindex="-1">Begin from a ready circuit</h3>
      <div class="choices" data-carried="starts"></div>
    </section>
    <section aria-labelledby="shelf-shown">
      <h3 id="shelf-shown">Demonstration jobs</h3>
      <p class="hint">An invented beekeeper’s vehicles, to look around in. Change them as you like: a copy is kept from your first change on.</p>
      <div class="choices" data-carried="demonstrations"></div>
    </section>
  </div>
  <footer class="whole-edge">
    <p class="shelf-said" role="status" dir="auto"></p>
    <button type="button" class="main" data-do="back" hidden>Bring back</button>
  </footer>
</dialog>`;

/** How long the page waits for the store before it opens without the jobs, in milliseconds: later they come by themselves. */
const PATIENCE = 500;

/** What comes with the app: `{ title, path }` of each, by the list it stands in. */
const CARRIED = {{SHELF}};

/** Where what comes with the app is from, by the list it stands in; see `Origin` of `web/src/state/jobs.rs`. */
const FROM = { starts: "brought", demonstrations: "shown" };

export class Shelf {
  /**
   * `reports` asks the worker, and `answers` has it read files; `drawer` is a worker for the pictures. `begin(reply, id,
   * revision, from)` sets a job on the desk and returns why it does not.
   */
  constructor({ reports, answers, drawer, keeper, begin }) {
    Object.assign(this, { reports, answers, keeper, begin, cards: [], gone: null, picked: 0 });
    this.pictures = new Pictures(reports, drawer);
    this.styled = styled(new URL("./{{shelf-page.css}}", import.meta.url));
    document.body.append(PAGE.content.cloneNode(true));
    this.dialog = document.querySelector("dialog.shelf");
    const one = (selector) => this.dialog.querySelector(selector);
    Object.assign(this, { body: one(".shelf-body"), list: one("ul"), find: one("input"), count: one(".shelf-count") });
    Object.assign(this, { none: one(".shelf-none"), said: one(".shelf-said"), refused: one(".refused"), bringBack: one("[data-do=back]") });
    this.carry();
    this.listen();
  }

  /** Puts a button for everything that comes with the app. */
  carry() {
    for (const place of this.dialog.querySelectorAll("[data-carried]")) {
      const list = place.dataset.carried;
      place.append(
        ...CARRIED[list].map(({ title, path }) => {
          const button = Object.assign(document.createElement("button"), { type: "button", textContent: title, dir: "auto" });
          Object.assign(button.dataset, { do: "carried", path, from: FROM[list] });
          return button;
        }),
      );
    }
  }

  listen() {
    this.dialog.addEventListener("click", ({ target }) => {
      const button = target.closest("[data-do]");
      if (button) {
        this.tried(() => this.press(button));
      }
    });
    this.find.addEventListener("input", () => this.show());
    this.dialog.addEventListener("close", () => {
      // What was picked and has not come is not wanted any more.
      this.picked += 1;
      this.pictures.clear();
      this.tried(() => this.settle());
    });
    addEventListener("pagehide", () => this.settle().catch(() => {}));
  }

  /** Opens the page, at the ready circuits where `place` says so, or because the program stopped over the job `stopped`. */
  async open(place, stopped = "") {
    await this.styled;
    if (this.dialog.open) {
      return;
    }
    this.say("");
    this.find.value = "";
    const listed = this.tried(() => this.renew());
    await Promise.race([listed, new Promise((resolve) => setTimeout(resolve, PATIENCE))]);
    this.refuse(stopped ? this.whyStopped(stopped) : "");
    this.dialog.showModal();
    const title = this.dialog.querySelector(place === "starts" ? "#shelf-starts" : "#shelf-title");
    this.body.scrollTop = 0;
    title.focus();
  }

  whyStopped(id) {
    const title = this.cards.find((card) => card.id === id)?.title;
    const job = title ? `the job “${title}”` : "the job that was open";
    return (
      `The program stopped last time over ${job}, so it was not opened again. It is still on this device: open it from ` +
      "the list, or go on from one of its versions. If the program stops over it again, “Save a copy of the job” in the " +
      "notice gives you the job as it was kept."
    );
  }

  // What is pressed.

  /** Does something; that it cannot be done is told. */
  async tried(act) {
    try {
      await act();
    } catch (error) {
      this.refuse(error.message ?? String(error));
    }
  }

  async press(button) {
    const { dataset } = button;
    if (dataset.do === "back") {
      return this.back();
    }
    if (dataset.do === "close") {
      // What was deleted goes once it is closed: nobody waits for that.
      return this.dialog.close();
    }
    this.refuse("");
    this.say("");
    await this.settle();
    const id = button.closest("li.job")?.dataset.id;
    switch (dataset.do) {
      case "empty":
        return this.beginBy(async () => ({ from: "nothing" }));
      case "file":
        return this.set(() => this.picks());
      case "versions":
        return (await import("./{{versions.js}}")).openVersions();
      case "everything":
        return (await import("./{{shelf.js}}")).saveEverything(this.keeper);
      case "carried":
        // A demonstration is no job of the workshop.
        return dataset.from === FROM.starts
          ? this.beginBy(() => fetched(dataset.path, dataset.from), "circuit")
          : this.set(() => fetched(dataset.path, dataset.from));
      case "copy":
        return this.copy(id);
      case "delete":
        return this.remove(id);
      case "version":
        return this.goOn(id, Number(dataset.revision));
      default:
        return this.set(() => this.kept(id));
    }
  }

  /** Begins a job of the workshop, which takes what its card has for a new one. */
  async beginBy(bring, from) {
    if (await this.set(bring)) {
      await (await import("./{{workshop-kept.js}}")).beginJob(from);
    }
  }

  /** Sets a job on the desk that `bring` brings, unless something else was picked meanwhile; whether it was. */
  async set(bring) {
    this.picked += 1;
    const number = this.picked;
    try {
      const job = await bring();
      return Boolean(job) && number === this.picked && (await this.setOne(job, () => number === this.picked));
    } catch (error) {
      if (number === this.picked) {
        throw error;
      }
      return false;
    }
  }

  async setOne({ bytes, id = "", revision = 0, from, about = "" }, isWanted) {
    const reply = bytes ? await this.answers.read(wishFor(bytes)) : new Uint8Array();
    await this.reports.begun;
    const isStillWanted = isWanted();
    if (isStillWanted) {
      // Whoever has to know what the user wrote hears of it before it is shown.
      dispatchEvent(new CustomEvent("opens", { detail: bytes ?? new Uint8Array() }));
      const why = this.begin(reply, id, revision, from);
      if (why) {
        throw new Error(`${about}${why}`);
      }
      this.dialog.close();
    }
    return isStillWanted;
  }

  /** A job that is kept on this device. */
  async kept(id) {
    const record = await this.keeper.open(id);
    if (!record?.text) {
      throw new Error("The job is no longer kept on this device.");
    }
    const { text, revision } = record;
    return { bytes: bytesOf(text), id, revision, from: "kept", about: "The kept job cannot be read:\n" };
  }

  /** The job of a file that is picked; nothing when none is, or when it brought many jobs. */
  async picks() {
    const file = await files.pick();
    const picked = file && (await (await import("./{{shelf.js}}")).taken(file, (words) => this.reports.tell(words)));
    if (picked?.said) {
      await this.renew();
      this.refuse(picked.said);
    }
    const about = picked && `${picked.name} is not opened, and nothing was changed.\n`;
    return picked?.bytes && { bytes: picked.bytes, from: "brought", about };
  }

  /** Adds a copy of a job, and leads to it. */
  async copy(id) {
    const { text } = await load(id);
    const copy = await addAs(text, (title) => `${title} (copy)`);
    await this.renew();
    this.say(`“${copy.title}” is on the shelf.`);
    this.lead(copy.id);
  }

  /** Begins a job of its own from a version of another. */
  async goOn(id, revision) {
    const version = (await versions(id)).find((one) => one.revision === revision);
    const added = await addAs(version.text, (title) => `${title} (${version.name || "from a version"})`);
    await this.set(() => this.kept(added.id));
  }

  // What is deleted.

  /** Puts a job out of sight. */
  async remove(id) {
    if (await this.keeper.isElsewhere(id)) {
      throw new Error("It is open in another window.");
    }
    this.gone = this.cards.find((card) => card.id === id);
    this.show();
    this.say(`“${this.gone.title}” is deleted.`);
    this.bringBack.hidden = false;
    this.bringBack.focus();
  }

  back() {
    const { gone } = this;
    this.gone = null;
    this.bringBack.hidden = true;
    this.show();
    this.say(`“${gone.title}” is back.`);
    this.lead(gone.id);
  }

  /** Deletes what is out of sight. */
  async settle() {
    const { gone } = this;
    if (gone) {
      this.gone = null;
      this.bringBack.hidden = true;
      this.cards = this.cards.filter((card) => card !== gone);
      this.row(gone.id)?.remove();
      await this.keeper.forget(gone.id).catch(async (error) => {
        await this.renew();
        throw error;
      });
    }
  }

  // What is shown.

  row(id) {
    return [...this.list.children].find((row) => row.dataset.id === id);
  }

  /** Brings a job into sight, with the focus on what opens it. */
  lead(id) {
    const row = this.row(id);
    if (row?.hidden) {
      this.find.value = "";
      this.show();
    }
    row?.scrollIntoView({ block: "nearest" });
    row?.querySelector(".open").focus();
  }

  /** Looks up anew what is kept. */
  async renew() {
    await this.keeper.flush();
    try {
      this.cards = (await allCards()).map((card) => ({ ...card, isTrap: isTrap(card.id) }));
    } catch (error) {
      throw new Error(`The browser does not let jobs be kept here: ${error.message ?? error}`);
    } finally {
      this.list.ariaBusy = "false";
    }
    this.pictures.clear();
    const rows = this.cards.map((card) => cardOf(card, this.keeper.job?.id));
    this.list.replaceChildren(...rows);
    this.show();
    for (const [at, card] of this.cards.entries()) {
      this.pictures.watch(rows[at], card);
    }
    await Promise.all(this.cards.map((card, at) => card.isTrap && showVersions(rows[at], card)));
  }

  /** Shows those that have all words that are looked for. */
  show() {
    const wanted = plain(this.find.value).split(/\s+/);
    const there = this.cards.filter((card) => card !== this.gone);
    let n = 0;
    for (const card of this.cards) {
      const words = plain(card.words);
      const isFound = card !== this.gone && wanted.every((word) => words.includes(word));
      this.row(card.id).hidden = !isFound;
      n += isFound ? 1 : 0;
    }
    this.none.hidden = there.length > 0;
    this.find.closest(".shelf-find").hidden = there.length === 0;
    this.count.textContent = countOf(n, there.length);
  }

  say(words) {
    this.said.textContent = words;
  }

  /** Tells why something was not done, or what came of a file. */
  refuse(words) {
    this.refused.textContent = words;
    if (words) {
      this.refused.scrollIntoView({ block: "nearest" });
    }
  }
}

/** A job that comes with the app. */
async function fetched(path, from) {
  const response = await fetch(path);
  if (!response.ok) {
    throw new Error(`the file could not be fetched (${response.status})`);
  }
  return { bytes: bytesOf(await response.text()), from };
}

/** Adds a job of its own with this text, and the title that `named` makes of its own; its id and title. */
async function addAs(text, named) {
  const job = JSON.parse(text);
  const title = named(job.card?.title?.trim() || "Job without a title");
  job.card = { ...job.card, title };
  const id = newId();
  await addJob({ id, revision: 1, title, text: JSON.stringify(job), updated: Date.now() });
  return { id, title };
}

const bytesOf = (text) => new TextEncoder().encode(text);

/** A text without what makes no difference when words are looked for. */
const plain = (text) => text.normalize("NFD").replace(/\p{Mark}/gu, "").toLowerCase().trim();
