import assert from "node:assert/strict";
import { readFile, readdir } from "node:fs/promises";
import { join } from "node:path";
import { App, TABLET, pause } from "../app.mjs";

export const name = "an app that stops leaves a notice outside of itself, and does not stop at every visit";

// The stop is reported on the console, and the runtime error that ends the module follows it.
export const expected = ["the page has a place for the app", "no more elements", "unreachable", "console: "];

export async function run({ page, newPage, address, downloads }) {
  await page.setRequestInterception(true);
  page.on("request", async (request) => {
    if (request.url() !== address) {
      return request.continue();
    }
    const original = await fetch(address);
    const body = (await original.text()).replace('id="app"', 'id="elsewhere"');
    return request.respond({ status: 200, contentType: "text/html; charset=utf-8", body });
  });
  await page.goto(address);
  await page.waitForSelector("#stopped:not([hidden])");
  const why = await page.$eval("#stopped-why", (element) => element.textContent);
  assert.match(why, /the page has a place for the app/);
  // Nothing was ever kept here, and that is said.
  await page.click("#stopped-save");
  await page.waitForFunction(() => document.getElementById("stopped").innerText.includes("No kept copy of this job"));
  await page.close();

  const healthy = await App.open(await newPage(), address);
  await healthy.put("battery", () => healthy.spot([0.3, 0.3]));
  const [id, text] = [await healthy.jobId(), await healthy.jobText()];
  await healthy.page.close();

  // The kept job stops the app while it is opened. It can be saved all the same.
  const bad = await newPage();
  await bad.setViewport(TABLET);
  await bad.evaluateOnNewDocument(stopOverKeptJobs);
  await bad.goto(address);
  await bad.waitForSelector("#stopped:not([hidden])");
  await bad.click("#stopped-save");
  let saved;
  for (let i = 0; i < 100 && !saved; i += 1) {
    await pause(50);
    saved = (await readdir(downloads)).find((file) => file.endsWith(".json"));
  }
  assert.equal(await readFile(join(downloads, saved), "utf8"), text);

  // The next visit tells of it instead of stopping again, and the one after that is like any other.
  const app = await App.open(bad, address);
  await bad.waitForSelector("dialog[open] .jobs .job");
  assert.match(await app.text("dialog.shelf .refused"), /stopped last time/);
  assert.ok(await bad.$("#stopped[hidden]"));
  assert.equal((await app.symbols()).length, 0);
  await app.answered();
  await bad.reload();
  await app.ready();
  assert.equal(await bad.$("dialog[open]"), null);
  await bad.close();

  // The job itself is as it was.
  const again = await App.open(await newPage(), address);
  await again.openJobs();
  await again.press("dialog .jobs .open");
  await again.noDialog();
  assert.equal(await again.jobId(), id);
  assert.equal((await again.symbols()).length, 1);
  assert.equal(await again.jobText(), text);
  await again.page.close();
  await carriesOn(await newPage(), address);
}

/** An app that stops over an edit carries on with that edit; twice within a minute, and the next visit asks first. */
async function carriesOn(page, address) {
  await page.evaluateOnNewDocument(stopAfterEdits);
  const app = await App.open(page, address);
  await app.answered();
  const n = (await app.symbols()).length;
  // With the first change here the state before it becomes a version.
  await app.keepAsItIs();
  await page.waitForFunction(hasVersion);
  for (const [more, kind] of [[1, "lamp"], [2, "fuse"]]) {
    await page.evaluate(() => (globalThis.stopNow = true));
    await app.put(kind, () => app.spot([0.3 + 0.2 * more, 0.5])).catch(() => {});
    // What is shown next has to be made.
    await page.evaluate(() => [...document.querySelectorAll(".tabs button")].forEach((tab) => tab.click())).catch(() => {});
    await page.waitForSelector("#stopped:not([hidden])");
    await page.click("#stopped-on");
    await page.waitForSelector("#stopped[hidden]");
    await app.ready();
    if (more === 1) {
      await page.waitForFunction((n) => document.querySelectorAll("#drawing .scene > .symbol").length === n, {}, n + more);
    }
  }
  await page.waitForSelector("dialog[open] .jobs .job");
  assert.match(await app.text("dialog.shelf .refused"), /stopped last time/);

  // Its versions are offered, also at later visits, for as long as it was not opened. Each makes a job of its own.
  await page.reload();
  await app.ready();
  await app.openJobs();
  await page.waitForSelector(".shelf-trap button");
  assert.match(await app.text(".shelf-trap p"), /does not open by itself/);
  await app.press(".shelf-trap button");
  await app.noDialog();
  await app.kept();
  assert.match(await app.text("h1"), /from a version/);
  await app.openJobs();
  assert.equal((await page.$$(".jobs .job")).length, 2);
  await app.press(".job:has(.shelf-trap) .open");
  await app.noDialog();
  await page.waitForFunction((n) => document.querySelectorAll("#drawing .scene > .symbol").length === n, {}, n + 2);
  await app.answered();
  await app.openJobs();
  assert.equal(await page.$(".shelf-trap"), null);
}

/** Runs in the page: whether a version of any job is kept. */
async function hasVersion() {
  const done = (request) => new Promise((resolve, reject) => Object.assign(request, { onsuccess: () => resolve(request.result), onerror: reject }));
  const database = await done(indexedDB.open("loomwright"));
  const n = await done(database.transaction("versions").objectStore("versions").count());
  database.close();
  return n > 0;
}

/** Runs in the page before anything else: when asked for, the app finds no more elements right after an edit was kept. */
function stopAfterEdits() {
  let host;
  Object.defineProperty(globalThis, "host", {
    get: () => host,
    set(all) {
      host = all;
      const { keepJob } = all;
      host.keepJob = (title, text) => {
        keepJob(title, text);
        if (globalThis.stopNow) {
          document.createElement = () => {
            throw new Error("no more elements");
          };
        }
      };
    },
  });
}

/** Runs in the page before anything else: the app finds no more elements once it has a kept job to show. */
function stopOverKeptJobs() {
  delete window.showSaveFilePicker;
  let host;
  Object.defineProperty(globalThis, "host", {
    get: () => host,
    set(all) {
      host = all;
      const { beginJob } = all;
      host.beginJob = (id, revision) => {
        beginJob(id, revision);
        if (revision > 0) {
          document.createElement = () => {
            delete document.createElement;
            throw new Error("no more elements");
          };
        }
      };
    },
  });
}
