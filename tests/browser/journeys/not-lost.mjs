import assert from "node:assert/strict";
import { App, pause } from "../app.mjs";

export const name = "a change that was not kept is there at the next visit, and as a job of its own where the job went on without it";

/** Why it is not tried in Firefox. */
export const onlyChromium = "Firefox, when it is driven, keeps the focus from a window that stands in place of another";

/** Longer than the page waits for the lock of a job before it tells that another window has it. */
const PATIENCE = 1500;

export async function run({ page, newPage, address }) {
  await outlastsReload(page, address);
  await staysBesideTheJob(newPage, address);
  await comesFromAnEarlierVersion(newPage, address);
  await worksWhereNothingIsAllowed(await newPage(), address);
}

/** What the store refuses is shown again after a reload, and kept with the next change that is. The browser is asked once. */
async function outlastsReload(page, address) {
  await page.evaluateOnNewDocument(refuseWhileFull);
  await page.evaluateOnNewDocument(() => {
    const { StorageManager } = globalThis;
    if (StorageManager) {
      StorageManager.prototype.persist = async () => (localStorage.asked = `${localStorage.asked ?? ""}asked `);
    }
  });
  const app = await App.open(page, address);
  await app.answered();
  const asked = () => page.evaluate(() => localStorage.asked ?? "");
  assert.equal(await asked(), "");
  await app.put("battery", () => app.spot([0.3, 0.3]));
  await app.kept();
  await page.waitForFunction(() => localStorage.asked);
  await page.evaluate(() => sessionStorage.setItem("full", "yes"));
  await app.put("fuse", () => app.spot([0.6, 0.3]));
  await page.waitForSelector(".kept.worry");
  for (let visit = 0; visit < 2; visit += 1) {
    await page.reload();
    await app.ready();
    await app.answered();
    assert.deepEqual(await kinds(app), ["battery", "fuse"]);
    await page.waitForSelector(".kept.worry");
    assert.match(await app.text(".kept"), /Not kept: this device has no room left/);
  }
  await page.evaluate(() => sessionStorage.removeItem("full"));
  await app.put("lamp", () => app.spot([0.6, 0.6]));
  assert.deepEqual((await app.job()).parts.map(({ kind }) => kind), ["battery", "fuse", "lamp"]);
  await page.reload();
  await app.ready();
  assert.deepEqual(await stored(page), ["battery fuse lamp"]);
  assert.equal(await asked(), "asked ");
  await page.close();
}

/** A window that could not write its change loses the job to another; both states are kept. */
async function staysBesideTheJob(newPage, address) {
  const page = await newPage();
  await page.evaluateOnNewDocument(refuseWhileFull);
  const first = await App.open(page, address);
  await first.answered();
  await page.evaluate(() => sessionStorage.setItem("full", "yes"));
  await first.put("earth", () => first.spot([0.3, 0.6]));
  await page.waitForSelector(".kept.worry");

  const second = await App.open(await newPage(), address);
  await second.page.waitForSelector("#two-windows");
  await second.pressButton("Take over here", "#two-windows");
  await second.page.waitForFunction(() => !document.getElementById("two-windows"));
  await second.put("switch", () => second.spot([0.3, 0.6]));
  await second.kept();
  await second.page.close();

  // The first window gets the job back as the second left it. What it had itself is no part of that any more.
  await page.bringToFront();
  await page.evaluate(() => sessionStorage.removeItem("full")).catch(() => {});
  await page.waitForFunction(() => document.querySelector("#drawing .symbol[aria-label^=switch]"));
  await first.ready();
  await first.answered();
  assert.deepEqual(await kinds(first), ["battery", "fuse", "lamp", "switch"]);
  await page.reload();
  await first.ready();
  await first.answered();
  assert.deepEqual(await stored(page), ["battery fuse lamp earth", "battery fuse lamp switch"]);
  await first.openJobs();
  assert.match(await first.text("dialog .jobs"), /from a second window/);
  await page.close();
}

/** What the version before left in its way is written too, once. */
async function comesFromAnEarlierVersion(newPage, address) {
  let app = await App.open(await newPage(), address);
  await app.answered();
  const { id, revision, title, text } = await app.record();
  const changed = JSON.parse(text);
  changed.card = { ...changed.card, title: "Left before" };
  await app.page.evaluate(
    (left) => localStorage.setItem("loomwright.unwritten", JSON.stringify(left)),
    { id, revision, title, text: JSON.stringify(changed) },
  );
  await app.page.close();
  app = await App.open(await newPage(), address);
  await app.answered();
  assert.equal(await app.text("h1"), "Left before");
  assert.equal((await app.record()).revision, revision + 1);
  assert.deepEqual(await app.page.evaluate(() => Object.keys(localStorage).filter((key) => key.includes("unwritten"))), []);
  await app.page.close();
}

/** Where the browser allows no storage at all, and no locks with it, everything else works, and it is said. */
async function worksWhereNothingIsAllowed(page, address) {
  await page.evaluateOnNewDocument(() => {
    const refuse = () => {
      throw new DOMException("storage is switched off", "SecurityError");
    };
    for (const name of ["localStorage", "sessionStorage"]) {
      Object.defineProperty(window, name, { get: refuse });
    }
    IDBFactory.prototype.open = refuse;
    // A page that is not secure, such as the empty one before, has none.
    if (globalThis.LockManager) {
      LockManager.prototype.request = async () => refuse();
    }
  });
  const app = await App.open(page, address);
  await app.put("battery", () => app.spot([0.3, 0.3]));
  await app.answered();
  await pause(PATIENCE);
  assert.match(await app.text(".kept"), /Not kept: storage is switched off. Save a copy/);
  await app.put("lamp", () => app.spot([0.6, 0.6]));
  assert.deepEqual(await kinds(app), ["battery", "lamp"]);

  await app.openJobs();
  await app.pressButton("Empty job", "dialog");
  await app.noDialog();
  await pause(PATIENCE);
  await app.put("fuse", () => app.spot([0.5, 0.5]));
  assert.deepEqual(await kinds(app), ["fuse"]);
  assert.match(await app.text(".kept"), /Not kept/);
}

/** Runs in the page before anything else: while the tab is marked as full, nothing more is stored in the database. */
function refuseWhileFull() {
  const { put } = IDBObjectStore.prototype;
  IDBObjectStore.prototype.put = function (...all) {
    if (sessionStorage.getItem("full")) {
      throw new DOMException("the quota is used up", "QuotaExceededError");
    }
    return put.apply(this, all);
  };
}

/** The kinds of what is drawn, in the order of the parts' names. */
async function kinds(app) {
  const symbols = new Map((await app.symbols()).map(({ part, words }) => [Number(part.slice(1)), words.split(" ")[0]]));
  return [...symbols].sort(([a], [b]) => a - b).map(([, kind]) => kind);
}

/** What the parts of every kept job are, one line a job. */
async function stored(page) {
  const texts = await page.evaluate(
    () =>
      new Promise((resolve) => {
        indexedDB.open("loomwright").onsuccess = ({ target: { result } }) => {
          result.transaction("jobs").objectStore("jobs").getAll().onsuccess = ({ target }) => {
            result.close();
            resolve(target.result.map(({ text }) => text));
          };
        };
      }),
  );
  return texts.map((text) => JSON.parse(text).parts.map(({ kind }) => kind).join(" ")).sort();
}
