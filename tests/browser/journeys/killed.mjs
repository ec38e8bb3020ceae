import assert from "node:assert/strict";
import { App, pause } from "../app.mjs";

/** How many tabs are killed, each after one edit; a measurement asks for more than the tests. */
const KILLS = Number(process.env.LOOMWRIGHT_KILLS ?? 5);

/** How long after the finger is lifted the tab is killed, in milliseconds. */
const AFTER = 300;

export const name = `an edit outlasts the tab that is killed ${AFTER} ms after it: ${KILLS} tabs, none lost`;

/** A hundred tabs take their time. */
export const longest = 1_200_000;

/** Why it is not tried in Firefox. */
export const onlyChromium = "a tab is killed by its protocol";

export async function run({ page, newPage, address }) {
  let app = await App.open(page, address);
  await app.put("battery", () => app.spot([0.3, 0.3]));
  let lost = 0;
  for (let kill = 0; kill < KILLS; kill += 1) {
    const before = (await app.record()).revision;
    await app.select((await app.symbols())[0].part);
    await app.pressButton("Turn", ".selection-bar");
    await pause(AFTER);
    // The command has no reply: there is nobody left to give it.
    app.cdp.send("Page.crash").catch(() => {});
    await pause(AFTER);
    await app.page.close().catch(() => {});
    app = await App.open(await newPage(), address);
    lost += (await app.record()).revision === before + 1 ? 0 : 1;
  }
  console.log(`    ${KILLS} edits made, ${lost} lost over ${KILLS} killed tabs`);
  assert.equal(lost, 0);
}
