import assert from "node:assert/strict";
import { App } from "../app.mjs";
import { pages } from "../pdf.mjs";
import { made, unfold } from "./handover.mjs";

export const name = "the sheets of a job are printed alone, each on one page in the size of its paper";

/** Why it is not tried in Firefox. */
export const onlyChromium = "Firefox, when it is driven, prints on no paper that a page chooses";

export async function run({ page, address }) {
  await page.evaluateOnNewDocument(() => {
    window.print = () => (window.printed = (window.printed ?? 0) + 1);
  });
  const app = await App.open(page, address);

  // A small job of one's own. Until its sheets are there, paper says how to get them.
  await app.put("battery", () => app.spot([0.3, 0.3]));
  await app.put("lamp", () => app.spot([0.6, 0.5]));
  await app.side("Job");
  await app.fill("Title", "Lamp in the shed");
  await app.closeDrawer();
  const [empty, ...more] = await pages(await page.pdf({ preferCSSPageSize: true }));
  assert.ok(empty.text.includes("OpenHandover") && more.length === 0, empty.text);
  await printed(app, "Lamp in the shed", false);

  // The demonstration jobs, one of them too large for a single sheet of any paper.
  for (const title of ["Driving lamps that stay dark on main beam", "Accessory wiring as found, to be judged before purchase"]) {
    await app.openListed(title);
    for (const readings of [false, true]) {
      await printed(app, title, readings);
    }
  }
}

/** Prints the open job by the keys of the browser, and looks at the paper. */
async function printed(app, title, readings) {
  const { page } = app;
  const before = (await page.evaluate(() => window.printed)) ?? 0;
  await page.keyboard.down("Control");
  await page.keyboard.press("p");
  await page.keyboard.up("Control");
  await page.waitForSelector("dialog.handover[open]");
  await made(app);
  const field = await page.$('[name="handover-readings"]');
  if ((await field.evaluate((one) => one.checked)) !== readings) {
    await unfold(app);
    await app.press('label:has([name="handover-readings"])');
  }
  const sheets = await made(app);
  await app.pressButton("Print", ".handover-do");
  await page.waitForFunction((before) => window.printed === before + 1, {}, before);

  const papers = await pages(await page.pdf({ preferCSSPageSize: true }));
  assert.equal(papers.length, sheets.length, `${title}: ${papers.length} pages for ${sheets.length} sheets`);
  for (const [index, { width, height }] of papers.entries()) {
    const [wide, high] = sheets[index].size.map((hundredths) => (hundredths / 2540) * 72);
    assert.ok(Math.abs(width - wide) <= 1 && Math.abs(height - high) <= 1, `${title}: ${width} by ${height} points`);
  }
  const text = papers.map((one) => one.text).join("");
  const says = (words) => text.toLowerCase().includes(words.replaceAll(/\s/g, "").toLowerCase());
  for (const words of [title, "calculated, not measured", "fire", "qualified person", `sheet 1/${sheets.length}`]) {
    assert.ok(says(words), `${title}: the sheets do not say “${words}”: ${text.slice(0, 2000)}`);
  }
  assert.equal(says("readings with switches"), readings, `${title}: readings are named where they are shown`);
  for (const words of ["Run wire", "Kept on this device", "Save picture"]) {
    assert.ok(!says(words), `${title}: “${words}” of the page is on the paper`);
  }
  await app.pressButton("Close", ".handover-head");
}
