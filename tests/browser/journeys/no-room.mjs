import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { App } from "../app.mjs";

export const name = "where nothing can be kept that is said, a file is saved all the same, and what finds room again is kept";

export async function run({ page, newPage, address, downloads }) {
  const app = await App.open(page, address);
  await app.put("battery", () => app.spot([0.3, 0.3]));
  await app.kept();
  await fill(page);

  // No room: what was kept without being asked for goes first, and is not enough here.
  await page.evaluate(refuse);
  await app.put("fuse", () => app.spot([0.6, 0.3]));
  await page.waitForSelector(".kept.worry");
  assert.match(await app.text(".kept"), /Not kept: this device has no room left. Save a copy/);
  const saved = JSON.parse(await readFile(await app.save("Job (JSON)", downloads), "utf8"));
  assert.deepEqual(saved.parts.map(({ kind }) => kind), ["battery", "fuse"]);
  assert.deepEqual(await beside(page), { pictures: 0, versions: ["quoted"] });

  // There is room again: the next change is kept, and with it the one before.
  await page.evaluate(() => window.allow());
  await app.put("lamp", () => app.spot([0.6, 0.6]));
  await app.kept();
  assert.deepEqual((await app.job()).parts.map(({ kind }) => kind), ["battery", "fuse", "lamp"]);

  // A browser that has no store at all.
  const blocked = await newPage();
  await blocked.evaluateOnNewDocument(() => {
    indexedDB.open = () => {
      throw new DOMException("storage is switched off", "SecurityError");
    };
  });
  await lets(blocked, address, downloads, /Not kept: storage is switched off. Save a copy/);

  // A newer version of the app has used this device.
  const older = await newPage();
  await older.evaluateOnNewDocument(() => {
    const { open } = IDBFactory.prototype;
    IDBFactory.prototype.open = function (name) {
      return open.call(this, name, 1);
    };
  });
  await lets(older, address, downloads, /Not kept: a newer version of Loomwright has kept jobs on this device; reload to get it/);
}

/** Runs in the page: nothing more is stored. A quota that is set by protocol refuses no small record, so this stands for it. */
function refuse() {
  const { put } = IDBObjectStore.prototype;
  IDBObjectStore.prototype.put = () => {
    throw new DOMException("the quota is used up", "QuotaExceededError");
  };
  window.allow = () => (IDBObjectStore.prototype.put = put);
}

/** The page works, says that nothing is kept, and saves a file. */
async function lets(page, address, downloads, says) {
  const app = await App.open(page, address);
  await app.put("battery", () => app.spot([0.3, 0.3]));
  await page.waitForSelector(".kept.worry");
  assert.match(await app.text(".kept"), says);
  const saved = JSON.parse(await readFile(await app.save("Job (JSON)", downloads), "utf8"));
  assert.ok(saved.parts.some(({ kind }) => kind === "battery"));
  await page.close();
}

/** Runs in the page: opens the store as it is. */
const STORE = `new Promise((resolve) => (indexedDB.open("loomwright").onsuccess = ({ target }) => resolve(target.result)))`;

/** Keeps a picture and two versions, one of them named, beside the job. */
async function fill(page) {
  await page.evaluate(`${STORE}.then((store) => new Promise((resolve) => {
    const transaction = store.transaction(["versions", "pictures"], "readwrite");
    transaction.objectStore("pictures").put({ id: "a", revision: 1, svg: "" });
    transaction.objectStore("versions").put({ id: "a", revision: 1, text: "{}", name: "" });
    transaction.objectStore("versions").put({ id: "a", revision: 2, text: "{}", name: "quoted" });
    transaction.oncomplete = () => { store.close(); resolve(); };
  }))`);
}

async function beside(page) {
  return page.evaluate(`${STORE}.then((store) => new Promise((resolve) => {
    const transaction = store.transaction(["versions", "pictures"]);
    const pictures = transaction.objectStore("pictures").count();
    const versions = transaction.objectStore("versions").getAll();
    transaction.oncomplete = () => { store.close(); resolve({ pictures: pictures.result, versions: versions.result.map(({ name }) => name) }); };
  }))`);
}
