import assert from "node:assert/strict";
import { App, pause } from "../app.mjs";

/** How many tabs are killed; a measurement asks for more than the tests. */
const KILLS = Number(process.env.LOOMWRIGHT_KILLS ?? 5);

/** How long after the finger is lifted the tab is killed, in milliseconds. */
const AFTER = Number(process.env.LOOMWRIGHT_KILLED_AFTER ?? 300);

export const name = `an edit outlasts the tab that is killed ${AFTER} ms after it: ${KILLS} tabs, none lost`;

// A tab that is killed takes down what it was doing.
export const expected = ["Page crashed", "crash", "Target closed", "net::ERR_ABORTED"];

export async function run({ page, newPage, address }) {
  let made = 0;
  let lost = 0;
  for (let kill = 0; kill < KILLS; kill += 1) {
    let app = await App.open(page, address);
    if (made === 0) {
      await app.put("battery", () => app.spot([0.3, 0.3]));
      await app.kept();
    }
    const before = await revision(page);
    await app.select((await app.symbols())[0].part);
    await app.pressButton("Turn", ".selection-bar");
    made += 1;
    await pause(AFTER);
    // The command has no reply: there is nobody left to give it.
    app.cdp.send("Page.crash").catch(() => {});
    await pause(AFTER);
    await page.close().catch(() => {});
    page = await newPage();
    app = await App.open(page, address);
    lost += (await revision(page)) === before + 1 ? 0 : 1;
  }
  console.log(`    ${made} edits made, ${lost} lost over ${KILLS} killed tabs`);
  assert.equal(lost, 0);
}

/** The revision at which the open job is kept. */
async function revision(page) {
  return page.evaluate(async () => {
    const done = (request) =>
      new Promise((resolve, reject) => {
        request.onsuccess = () => resolve(request.result);
        request.onerror = () => reject(request.error);
      });
    const database = await done(indexedDB.open("loomwright"));
    const record = await done(database.transaction("jobs").objectStore("jobs").get(localStorage.getItem("loomwright.last-job")));
    database.close();
    return record.revision;
  });
}
