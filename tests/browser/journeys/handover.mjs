import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { App, TABLET, pause } from "../app.mjs";
import { pages } from "../pdf.mjs";

export const name = "a job is handed over: its sheets are looked at, chosen, printed and saved as PDF, pictures and tables";

const PHONE = { width: 390, height: 844, hasTouch: true, isMobile: true };
const JOB = "Night loading lamps and bed electrics";

export async function run({ page, newPage, address, downloads }) {
  const fetched = [];
  page.on("request", (request) => fetched.push(request.url()));
  await page.evaluateOnNewDocument(() => {
    window.print = () => (window.printed = (window.printed ?? 0) + 1);
  });
  const app = await App.open(page, address, TABLET);
  await app.openListed(JOB);
  assert.ok(!fetched.some((url) => /handover-|paper-/.test(url)), "nothing of it is fetched before it is wanted");

  await app.pressButton("Handover", ".edge-buttons");
  const first = await made(app);
  assert.ok(first.length > 0 && first.every(({ filled, name }) => name && filled !== undefined));
  assert.ok(first[0].filled, "the first sheet is seen");
  assert.ok(await app.page.evaluate(() => document.activeElement.closest("dialog.handover") !== null), "the focus is on the page");

  // What is chosen makes other sheets, and is remembered on this device alone.
  await choose(app, "paper", "A3");
  const a3 = await made(app);
  assert.ok(a3.every(({ leaf }) => leaf.startsWith("a3-")), JSON.stringify(a3));
  await choose(app, "ink", "black");
  await made(app);
  assert.deepEqual(await colors(app), [], "an office printer sees no colors");
  await choose(app, "ink", "color");
  await made(app);
  assert.ok((await colors(app)).length > 0, "the wires have their colors again");

  // What may be added is there once it is ticked.
  for (const [tick, name] of [["inspection", "Inspection"], ["proof", "Proving sheet"]]) {
    const isThere = async () => (await made(app)).some((sheet) => sheet.name.includes(name));
    assert.ok(!(await isThere()), `nobody wants the ${tick}`);
    await unfold(app);
    await app.press(`label:has([name="handover-${tick}"])`);
    assert.ok(await isThere(), `the ${tick} is wanted`);
    await app.press(`label:has([name="handover-${tick}"])`);
  }

  // Printed and as a PDF it is the same set: as many pages, each in the size of its sheet.
  const sheets = await made(app);
  const before = fetched.filter((url) => /paper-/.test(url)).length;
  assert.equal(before, 0, "what writes the PDF is fetched only when one is wanted");
  await app.pressButton("Save PDF", ".handover-do");
  const file = await app.arrived(downloads, ".pdf");
  const saved = pageSizes(await readFile(file));
  await app.pressButton("Print", ".handover-do");
  await page.waitForFunction(() => window.printed === 1);
  // Firefox, when it is driven, prints on no paper that a page chooses.
  const printed = app.cdp ? await pages(await page.pdf({ preferCSSPageSize: true })) : [];
  for (const papers of app.cdp ? [printed.map(({ width, height }) => [width, height]), saved] : [saved]) {
    assert.equal(papers.length, sheets.length, "every sheet is one page, and there is no other");
    for (const [index, paper] of papers.entries()) {
      const wanted = sheets[index].size.map((hundredths) => (hundredths / 2540) * 72);
      assert.ok(paper.every((is, i) => Math.abs(is - wanted[i]) <= 1), `sheet ${index + 1}: ${paper} points in place of ${wanted}`);
    }
  }

  // A picture of one sheet, and one table.
  await app.press(".handover-sheet button[data-picture]");
  const picture = await readFile(await app.arrived(downloads, ".svg"), "utf8");
  assert.match(picture, /^<svg [^>]*width="\d/);
  await app.press(".handover-save summary");
  await app.press(".handover-tables button");
  const table = await readFile(await app.arrived(downloads, ".csv"), "utf8");
  assert.ok(table.split("\r\n").length > 5, table);

  // A sheet can be seen larger, and what is out of sight is not in the page.
  await app.press(".handover-sheet button[data-larger]");
  assert.ok(await page.$(".handover-sheet.large"));
  await app.pressButton("Close", ".handover-head");
  await page.waitForSelector("dialog.handover:not([open])");

  // On a telephone, with the same profile: the choices are remembered, and everything is in reach of a finger.
  const phone = await App.open(await newPage(), address, PHONE);
  await phone.openListed(JOB);
  await phone.pressButton("Handover", ".edge-buttons");
  const again = await made(phone);
  assert.ok(again.every(({ leaf }) => leaf.startsWith("a3-")), "what was chosen is remembered");
  assert.equal(await phone.text(".handover-wanted summary"), "Paper: A3, in colour");
  const top = await phone.page.$eval(".handover-leaf", (leaf) => leaf.getBoundingClientRect().top);
  assert.ok(top < PHONE.height / 3, `the first sheet begins at ${top}, below what is seen first`);
  await unfold(phone);
  const small = await phone.page.$$eval("dialog.handover button, dialog.handover label, dialog.handover summary", (all) =>
    all
      .filter((one) => one.getClientRects().length > 0)
      .map((one) => ({ says: one.textContent, box: one.getBoundingClientRect() }))
      .filter(({ box }) => box.height < 43.5 || box.width < 43.5 || box.right > innerWidth + 0.5)
      .map(({ says }) => says),
  );
  assert.deepEqual(small, [], "too small for a finger, or cut off");
  await phone.page.keyboard.press("Escape");
  await phone.page.waitForSelector("dialog.handover:not([open])");

  // Where nothing was ever chosen, it is the office paper of the country.
  for (const [language, paper] of [["en-US", "Letter"], ["es-MX", "Letter"], ["en-GB", "A4"], ["de", "A4"]]) {
    const travelled = await newPage();
    await travelled.evaluateOnNewDocument((language) => {
      if (location.protocol === "http:") {
        localStorage.removeItem("loomwright.handover");
      }
      Object.defineProperty(navigator, "language", { get: () => language });
    }, language);
    const there = await App.open(travelled, address, TABLET);
    await there.pressButton("Handover", ".edge-buttons");
    await made(there);
    assert.equal(await there.text(".handover-wanted summary"), `Paper: ${paper}, in colour`, language);
  }
}

/** Waits until every sheet is drawn; tells of each. */
export async function made(app) {
  await app.page.waitForSelector("dialog.handover[open]");
  await app.frames();
  await app.page.waitForFunction(() => !document.querySelector(".handover.making") && document.querySelector(".handover-sheets figure"), { timeout: 60_000 });
  await pause(100);
  await app.page.waitForFunction(() => [...document.querySelectorAll(".handover-sheet.near .handover-leaf")].every((leaf) => leaf.firstElementChild), { timeout: 60_000 });
  return app.page.evaluate(() =>
    [...document.querySelectorAll(".handover-sheet")].map((figure) => ({
      name: figure.dataset.name,
      leaf: figure.dataset.leaf,
      size: [Number(figure.dataset.wide), Number(figure.dataset.high)],
      filled: figure.querySelector(".handover-leaf").childElementCount > 0,
    })),
  );
}

/** Opens the choices where they are folded away. */
export async function unfold(app) {
  if (!(await app.page.$(".handover-wanted[open]"))) {
    await app.press(".handover-wanted summary");
  }
}

async function choose(app, what, value) {
  await unfold(app);
  await app.press(`label:has([name="handover-${what}"][value="${value}"])`);
}

/** The paints of the sheets that are seen which are no grey. */
async function colors(app) {
  return app.page.evaluate(() => {
    const all = [...document.querySelectorAll(".handover-leaf [stroke], .handover-leaf [fill]")].flatMap((one) => [
      one.getAttribute("stroke"),
      one.getAttribute("fill"),
    ]);
    const isColored = (paint) => {
      const [red, green, blue] = (paint?.match(/^#(..)(..)(..)$/) ?? []).slice(1).map((two) => parseInt(two, 16));
      return red !== undefined && Math.max(red, green, blue) - Math.min(red, green, blue) > 24;
    };
    return [...new Set(all.filter(isColored))];
  });
}

/** Width and height of each page in points. */
function pageSizes(file) {
  const text = file.toString("latin1");
  assert.ok(text.startsWith("%PDF-"));
  return [...text.matchAll(/\/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)\s*\]/g)].map(([, width, height]) => [Number(width), Number(height)]);
}
