import assert from "node:assert/strict";
import { App } from "../app.mjs";
import { pages } from "../pdf.mjs";

export const name = "the sheet is printed alone, on one page, in the size of its paper";

/** Millimetres of the papers, landscape, and points in a millimetre. */
const PAPERS = { A4: [297, 210], A3: [420, 297] };
const POINT = 72 / 25.4;

export async function run({ page, address }) {
  await page.evaluateOnNewDocument(() => {
    window.print = () => {
      window.printed = (window.printed ?? 0) + 1;
    };
  });
  const app = await App.open(page, address);

  // A small job of one's own.
  await app.put("battery", () => app.spot([0.3, 0.3]));
  await app.put("lamp", () => app.spot([0.6, 0.5]));
  await app.side("Job");
  await app.fill("Title", "Lamp in the shed");
  await app.closeDrawer();
  const papers = [await printed(app, "Lamp in the shed", true)];

  // The demonstration jobs, one of them too large for any paper.
  for (const title of ["Driving lamps that stay dark on main beam", "Accessory wiring as found, to be judged before purchase"]) {
    await app.openListed(title);
    for (const readings of [false, true]) {
      papers.push(await printed(app, title, readings));
    }
  }
  assert.deepEqual(papers, ["A4", "A3", "A3", "A3", "A3"]);
}

/** Prints the open job and looks at the paper; tells which it was. */
async function printed(app, title, readings) {
  const { page } = app;
  const before = (await page.evaluate(() => window.printed)) ?? 0;
  await app.pressButton("Print", ".edge-buttons");
  await page.waitForSelector("dialog[open] .print-preview svg");
  const paper = /(?:Paper:|prints on) (A\d)/.exec(await app.text("dialog"))?.[1];
  assert.ok(PAPERS[paper], `${title}: the paper is named`);
  if (readings) {
    await app.press("dialog ::-p-text(Readings of the present positions)");
  }
  await app.pressButton("Print", "dialog .print-choices");
  await page.waitForFunction((before) => window.printed === before + 1, {}, before);
  await app.pressButton("Close", "dialog");

  const sheets = pages(Buffer.from(await page.pdf({ preferCSSPageSize: true })));
  assert.equal(sheets.length, 1, `${title}: ${sheets.length} pages`);
  const [{ width, height, text }] = sheets;
  const [wide, high] = PAPERS[paper].map((mm) => mm * POINT);
  assert.ok(Math.abs(width - wide) <= 1 && Math.abs(height - high) <= 1, `${title}: ${width} by ${height} points on ${paper}`);
  const says = (words) => text.toLowerCase().includes(words.replaceAll(/\s/g, "").toLowerCase());
  for (const words of [title, "calculated, not measured", "fire", "qualified person", "Made with Loomwright", paper]) {
    assert.ok(says(words), `${title}: the sheet does not say “${words}”: ${text}`);
  }
  assert.equal(says("with readings, switches: at rest"), readings, `${title}: readings are named where they are shown`);
  for (const words of ["Jobs", "Run wire", "Kept on this device"]) {
    assert.ok(!says(words), `${title}: “${words}” of the page is on the paper`);
  }
  return paper;
}
