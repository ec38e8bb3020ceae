import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { App, pause } from "../app.mjs";
import { pages } from "../pdf.mjs";

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

  // A picture and a sheet without marks say why.
  await app.closeDrawer();
  const picture = await readFile(await app.save("Drawing (SVG)", downloads), "utf8");
  assert.ok(picture.includes("Circuit diagram, not checked"), "the picture does not say that it is not checked");
  await app.pressButton("Print", ".edge-buttons");
  await page.waitForSelector("dialog[open] .print-preview svg");
  assert.match(await app.text("dialog .refused"), /have not told yet/);
  assert.match(await app.text("dialog .print-preview"), /Circuit diagram, not checked/);

  // Once they tell, so does the sheet that is looked at.
  await page.evaluate(() => window.held.splice(0).forEach((tell) => tell()));
  await app.answered();
  assert.equal(await page.$eval("dialog .refused", (refused) => refused.textContent), "");
  assert.doesNotMatch(await app.text("dialog .print-preview"), /not checked/);
  await app.pressButton("Close", "dialog");
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

  // Without the dialog, by the browser's own menu, the sheet is that of the job as it is.
  await page.evaluate(() => (window.held = null));
  for (const title of ["Lamp in the shed", "Lamp in the barn"]) {
    await app.side("Job");
    await app.fill("Title", title);
    const [sheet, ...more] = pages(Buffer.from(await page.pdf({ preferCSSPageSize: true })));
    assert.equal(more.length, 0);
    assert.ok(sheet.text.includes(title.replaceAll(" ", "")), `the sheet is not of “${title}”: ${sheet.text}`);
    assert.equal(await page.$eval("#paper", (paper) => paper.children.length), 0);
  }
}

/** Whether it is said that the checks are under way. */
async function checking(app) {
  return app.page.$eval(".checking", (line) => line.checkVisibility({ visibilityProperty: true }));
}
