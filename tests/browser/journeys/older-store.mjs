import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "jobs that an earlier version has kept are there, also while one of its windows is open";

// Only the page of the app names an icon.
export const expected = ["favicon"];

export async function run({ page, newPage, address }) {
  // The store as the first version made it, on a page of the same origin without the app.
  const old = page;
  await old.goto(`${address}service.js`);
  const text = JSON.stringify({
    format: "loomwright-job",
    version: 7,
    card: { title: "Lamp in the shed" },
    settings: { nominal_v: 12 },
    parts: [{ id: "p1", kind: "lamp", label: "E1" }],
    wires: [],
    situations: [],
  });
  await old.evaluate(
    (text) =>
      new Promise((resolve, reject) => {
        const request = indexedDB.open("loomwright", 1);
        request.onupgradeneeded = () => request.result.createObjectStore("jobs", { keyPath: "id" });
        request.onerror = () => reject(request.error);
        request.onsuccess = () => {
          const transaction = request.result.transaction("jobs", "readwrite");
          transaction.objectStore("jobs").put({ id: "kept-before", revision: 4, title: "Lamp in the shed", text, updated: 1 });
          localStorage.setItem("loomwright.last-job", "kept-before");
          transaction.oncomplete = resolve;
        };
      }),
    text,
  );

  // That window holds the store of its version, so the job is not there yet, and the page says what to do.
  const app = await App.open(await newPage(), address);
  await app.page.waitForFunction(() => /older version of Loomwright open; close it/.test(document.querySelector(".status").innerText));
  await old.close();
  await app.page.reload();
  await app.ready();
  await app.answered();
  assert.deepEqual((await app.symbols()).map(({ words }) => words.split(",")[0]), ["lamp E1"]);
  await app.put("battery", () => app.spot([0.3, 0.3]));
  const { id, revision } = await app.record();
  assert.deepEqual([id, revision], ["kept-before", 5]);
}
