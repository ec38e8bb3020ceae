import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "what the store refuses is tried again, and a store taken away is opened anew";

/** Why it is not tried in Firefox. */
export const onlyChromium = "the store is taken away by its protocol";

export async function run({ page, newPage, address }) {
  await page.evaluateOnNewDocument(() => {
    const { put } = IDBObjectStore.prototype;
    IDBObjectStore.prototype.put = function (...all) {
      if (window.full) {
        throw new Error("no room");
      }
      return put.apply(this, all);
    };
  });
  let app = await App.open(page, address);
  await app.put("battery", () => app.spot([0.3, 0.3]));
  await app.kept();

  // A change that was refused is tried again without another change: when the list of jobs is asked for, and when the
  // page goes.
  const refused = async (kind, at) => {
    await page.evaluate(() => (window.full = true));
    await app.put(kind, () => app.spot(at));
    await page.waitForSelector(".kept.worry");
    assert.match(await app.text(".kept"), /Not kept: no room/);
    await page.evaluate(() => (window.full = false));
  };
  await refused("fuse", [0.6, 0.3]);
  await app.openJobs();
  await app.kept();
  await app.pressButton("Close", "dialog");
  await refused("switch", [0.3, 0.6]);
  await page.close();
  app = await App.open(await newPage(), address);
  await app.answered();
  assert.equal((await app.symbols()).length, 3);

  // A later version of the page in another window can have the store, and gives it back.
  await app.page.evaluate(
    () =>
      new Promise((resolve, reject) => {
        const request = indexedDB.open("loomwright", 99);
        request.onblocked = () => reject(new Error("the page does not let go of its store"));
        request.onupgradeneeded = () => request.transaction.abort();
        request.onerror = resolve;
      }),
  );
  await app.put("lamp", () => app.spot([0.6, 0.6]));
  assert.deepEqual((await app.job()).parts.map((part) => part.kind), ["battery", "fuse", "switch", "lamp"]);

  // A job that is written late says nothing about the one that was opened meanwhile.
  await app.page.evaluate(async () => {
    const store = await new Promise((resolve) => {
      const request = indexedDB.open("loomwright");
      request.onsuccess = () => resolve(request.result);
    });
    // A transaction lasts for as long as it is asked something; the page has to wait for its end.
    const jobs = store.transaction("jobs", "readwrite").objectStore("jobs");
    const hold = () => {
      if (!window.released) {
        jobs.count().onsuccess = hold;
      }
    };
    hold();
    window.letGo = () => {
      window.released = true;
      return new Promise((resolve) => {
        jobs.transaction.oncomplete = () => {
          const next = store.transaction("jobs", "readwrite");
          next.oncomplete = resolve;
        };
      });
    };
  });
  await app.put("splice", () => app.spot([0.45, 0.45]));
  assert.equal(await app.text(".kept"), "Keeping…");
  // The page of jobs does not wait for the store.
  await app.pressButton("Jobs", ".edge-buttons");
  await app.page.waitForSelector("dialog.shelf[open]");
  await app.pressButton("Driving lamps that stay dark on main beam", "dialog");
  await app.noDialog();
  await app.page.evaluate(() => window.letGo());
  await app.frames();
  assert.equal(await app.text(".kept"), "");

  // Where the browser has cleared the store, a new job is kept all the same.
  await app.cdp.send("Storage.clearDataForOrigin", { origin: new URL(address).origin, storageTypes: "indexeddb" });
  await app.openJobs();
  await app.pressButton("Empty job", "dialog");
  await app.noDialog();
  await app.put("battery", () => app.spot([0.3, 0.3]));
  assert.deepEqual((await app.job()).parts.map((part) => part.kind), ["battery"]);
}
