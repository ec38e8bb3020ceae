// Whole jobs, as a person handles them: the page of jobs, files in and out, and the job as the app keeps it.
import assert from "node:assert/strict";
import { readdir, rename } from "node:fs/promises";
import { join } from "node:path";
import { Fingers } from "./fingers.mjs";

export const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

export class WholeJobs extends Fingers {
  constructor(page, cdp) {
    super(page, cdp);
    /** How many files were set aside. */
    this.saved = 0;
  }

  // Files.

  /** Saves the job by the choice of this name, and returns the file that was downloaded. */
  async save(choice, downloads) {
    await this.pressButton("Save", ".edge-buttons");
    const button = await this.page.waitForSelector(`dialog[open] ::-p-text(${choice})`);
    await this.press(await button.evaluateHandle((element) => element.closest("button")));
    const path = await this.arrived(downloads);
    await this.page.waitForFunction(() => !document.querySelector("dialog[open]"));
    return path;
  }

  /** The file of this ending that is downloaded next, set aside: a later one of its name must not take its place. */
  async arrived(downloads, ending = "") {
    for (let i = 0; i < 200; i += 1) {
      const names = (await readdir(downloads)).filter((name) => !/^\d+-/.test(name));
      // Firefox puts an empty file of the final name beside the one that is on its way.
      const arrived = names.find((name) => name.endsWith(ending));
      if (arrived && !names.some((name) => /\.(crdownload|part)$/.test(name))) {
        this.saved += 1;
        const path = join(downloads, `${this.saved}-${arrived}`);
        await rename(join(downloads, arrived), path);
        return path;
      }
      await pause(50);
    }
    return assert.fail(`nothing was downloaded; the app says “${await this.status()}”`);
  }

  /** Waits until the page of jobs tells this of a file. */
  async shelfTells(words) {
    await this.page.waitForFunction((source) => new RegExp(source).test(document.querySelector("dialog.shelf .refused").innerText), {}, words.source);
  }

  /** Opens the page of jobs, and waits until it lists those that are kept. */
  async openJobs() {
    await this.pressButton("Jobs", ".edge-buttons");
    await this.page.waitForSelector("dialog.shelf[open] .jobs[aria-busy=false]");
    await this.frames();
  }

  /** Waits until the drawing is not covered by a page. */
  async noDialog() {
    await this.page.waitForFunction(() => !document.querySelector("dialog[open]"));
  }

  /** Opens a file on the page of jobs. */
  async openFile(path) {
    await this.openJobs();
    await this.choose(path, () => this.pressButton("Open a file", "dialog.shelf"));
  }

  /** Chooses a file where `ask` has the page ask for one. */
  async choose(path, ask) {
    if (this.cdp) {
      const [chooser] = await Promise.all([this.page.waitForFileChooser(), ask()]);
      return chooser.accept([path]);
    }
    // Firefox, when it is driven, takes each choice as cancelled before a file can be named.
    await this.page.evaluate(() => {
      HTMLInputElement.prototype.click = function () {
        window.chooser = this;
      };
    });
    await ask();
    const chooser = await this.page.waitForFunction(() => window.chooser);
    await chooser.uploadFile(path);
  }

  /** Opens a job that comes with the app, by its title. */
  async openListed(title) {
    await this.openJobs();
    await this.pressButton(title, "dialog.shelf");
    await this.noDialog();
    await this.answered();
  }

  /** Opens the page of jobs in use: with a job that is open, a copy of it, and one that can be brought back. */
  async openUsedShelf() {
    await this.openListed("Water pump with a switch");
    await this.kept();
    await this.openJobs();
    const n = (await this.page.$$(".job")).length;
    for (const more of [1, 2]) {
      await this.pressButton("Make a copy", ".job");
      await this.page.waitForFunction((n) => document.querySelectorAll(".job").length === n, {}, n + more);
    }
    await this.pressButton("Delete", ".job");
    await this.page.waitForSelector("dialog.shelf [data-do=back]:not([hidden])");
    await this.page.waitForSelector(".shelf-picture img");
    await this.frames();
  }

  // The job as it is kept.

  /** Waits until the last change is kept. */
  async kept() {
    await this.page.waitForFunction(() => document.querySelector(".kept").textContent.startsWith("Kept"));
  }

  /** Has the open job kept as it is, by a step that is taken back: what is only looked at is not kept. */
  async keepAsItIs() {
    await this.select((await this.symbols())[0].part);
    await this.pressButton("Turn", ".selection-bar");
    await this.pressButton("Undo", ".tools");
    await this.kept();
  }

  /** By which name the open job is kept. */
  async jobId() {
    return this.page.evaluate(() => localStorage.getItem("loomwright.last-job"));
  }

  /** The record of the open job, from where the app keeps it. */
  async record() {
    await this.kept();
    return this.page.evaluate(async () => {
      const done = (request) =>
        new Promise((resolve, reject) => {
          request.onsuccess = () => resolve(request.result);
          request.onerror = () => reject(request.error);
        });
      const database = await done(indexedDB.open("loomwright"));
      const record = await done(database.transaction("jobs").objectStore("jobs").get(localStorage.getItem("loomwright.last-job")));
      database.close();
      return record;
    });
  }

  /** The text of the open job. */
  async jobText() {
    return (await this.record()).text;
  }

  async job() {
    return JSON.parse(await this.jobText());
  }

  /** The wire between two parts, as the file has it. */
  async wireBetween(one, other) {
    const ends = ({ from, to }) => [from, to].map((terminal) => terminal.split(".")[0]).sort().join(" ");
    const found = (await this.job()).wires.filter((wire) => ends(wire) === [one, other].sort().join(" "));
    assert.equal(found.length, 1, `one wire between ${one} and ${other}`);
    return found[0];
  }
}
