import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { App } from "../app.mjs";
import { tooFaint } from "../contrast.mjs";

export const name = "by day and at night all letters stand out, and what is saved and printed is the same";

const JOB = "Accessory wiring as found, to be judged before purchase";

export async function run({ page, address, downloads }) {
  const app = await App.open(page, address);
  const made = [];
  for (const theme of ["day", "night"]) {
    await page.evaluate((theme) => (localStorage["loomwright.device"] = JSON.stringify({ theme })), theme);
    await page.reload();
    await app.ready();
    await app.openListed(JOB);
    const isDark = await page.evaluate(() => getComputedStyle(document.documentElement).colorScheme === "dark");
    assert.equal(isDark, theme === "night");
    let letters = 0;
    const look = async (screen) => {
      await app.frames();
      const { found, n } = await tooFaint(page);
      assert.deepEqual(found, [], `${screen}, ${theme}`);
      letters += n;
    };
    for (const side of ["Checks", "Switches", "Prove", "Job"]) {
      await app.side(side);
      await app.openReports();
      await look(side);
    }
    await app.closeDrawer();
    await app.openUsedShelf();
    await look("Jobs in use");
    await app.pressButton("Close", "dialog.shelf");
    await app.openListed(JOB);
    for (const caption of ["Jobs", "Save", "Help", "Workshop"]) {
      await app.pressButton(caption, ".edge-buttons");
      await page.waitForSelector("dialog[open] h2");
      await look(caption);
      await app.pressButton("Close", "dialog[open]");
    }
    await app.pressButton("Plan", ".tools");
    await page.waitForSelector("#plan[aria-pressed=true]");
    await look("Plan");
    await app.pressButton("Plan", ".tools");
    const file = await readFile(await app.save("Drawing (SVG)", downloads), "utf8");
    const sheets = await printed(app);
    await look("Handover");
    await app.pressButton("Close", ".handover-head");
    assert.ok(letters > 300, `${letters} pieces of text were looked at`);
    assert.ok(sheets.length > 5, `${sheets.length} sheets`);
    made.push({ file, sheets });
  }
  assert.equal(made[1].file, made[0].file, "the saved drawing");
  assert.deepEqual(made[1].sheets, made[0].sheets, "the sheets");
}

/** The sheets of the set, as they are put on paper. */
async function printed(app) {
  const { page } = app;
  await page.evaluate(() => (globalThis.print = () => dispatchEvent(new Event("beforeprint"))));
  await app.pressButton("Handover", ".edge-buttons");
  await page.waitForFunction(() => document.querySelectorAll(".handover svg").length > 0);
  await app.pressButton("Print", ".handover-do");
  await page.waitForFunction(() => document.querySelectorAll("#paper .leaf svg").length > 5);
  await app.frames();
  return page.$$eval("#paper .leaf", (leaves) => leaves.map((leaf) => leaf.innerHTML));
}
