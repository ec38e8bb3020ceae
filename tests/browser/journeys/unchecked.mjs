import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { App, pause } from "../app.mjs";
import { pages } from "../pdf.mjs";
import { made } from "./handover.mjs";

export const name = "what the checks have not told yet is nowhere told to be good";

export async function run({ page, address, downloads }) {
  // Findings can be held back: they come in a second message, after the readings.
  await page.evaluateOnNewDocument(() => {
    window.held = null;
    window.Worker = class extends Worker {
      set onmessage(hear) {
        super.onmessage = (event) => (window.held && event.data.first === false ? window.held.push(() => hear(event)) : hear(event));
      }
    };
  });
  const app = await App.open(page, address);
  await app.openListed("Water pump with a switch");
  await app.side("Checks");
  assert.match(await app.text("#checks"), /Good/);
  assert.equal(await checking(app), false);

  await page.evaluate(() => (window.held = []));
  await app.put("lamp", () => app.spot([0.6, 0.1]));
  await page.waitForFunction(() => window.held.length > 0);
  await app.side("Checks");
  await pause(300);
  assert.equal(await checking(app), true);
  assert.ok(!(await app.text("#checks")).includes("Good"), "good is told of a job that is not checked");
  assert.ok(await page.$("#drawing.unchecked"));

  // A picture and the sheets are made where the checks run, so they have the findings that the page is still without.
  await app.closeDrawer();
  const picture = await readFile(await app.save("Drawing (SVG)", downloads), "utf8");
  assert.ok(picture.includes('id="finding.1"'), "the picture has no finding");
  assert.ok(!picture.includes("not checked"));
  await app.pressButton("Handover", ".edge-buttons");
  await made(app);
  assert.match(await page.$eval(".handover-leaf svg", (sheet) => sheet.textContent), /open findings\s*\d+ (Stop|Look|Note)/);
  await app.pressButton("Close", ".handover-head");
  assert.ok(await page.$("#drawing.unchecked"), "the page still waits");

  // Once they tell, the list says what they found.
  await page.evaluate(() => window.held.splice(0).forEach((tell) => tell()));
  await app.answered();
  await app.side("Checks");
  assert.equal(await checking(app), false);

  // Their marks fade while they are those of an earlier state.
  const opacity = () => page.$eval('#drawing [data-id^="finding."]', (mark) => getComputedStyle(mark).opacity);
  assert.equal(await opacity(), "1");
  await app.put("lamp", () => app.spot([0.8, 0.1]));
  await page.waitForFunction(() => window.held.length > 0);
  await pause(300);
  assert.equal(await opacity(), "0.25");
  await page.evaluate(() => window.held.splice(0).forEach((tell) => tell()));

  // By the browser's own menu there are no sheets of the job as it was before: paper says how to get them.
  await page.evaluate(() => (window.held = null));
  await app.side("Job");
  await app.fill("Title", "Lamp in the barn");
  const [sheet, ...more] = await pages(await page.pdf({ preferCSSPageSize: true }));
  assert.equal(more.length, 0);
  assert.ok(sheet.text.includes("OpenHandover"), sheet.text);
  assert.equal(await page.$eval("#paper", (paper) => paper.children.length), 0);
}

/** Whether it is said that the checks are under way. */
async function checking(app) {
  return app.page.$eval(".checking", (line) => line.checkVisibility({ visibilityProperty: true }));
}
