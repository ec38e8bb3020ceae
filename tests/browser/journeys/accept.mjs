import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "a finding is accepted by somebody for a reason, counted apart, and opened again";

export async function run({ page, address }) {
  const app = await App.open(page, address);
  await app.openListed("Accessory wiring as found, to be judged before purchase");
  const before = await app.findings();
  const counted = await app.text("#checks .counts");
  const stops = Number(/^(\d+) Stop/.exec(counted)[1]);
  assert.ok(stops > 0 && !counted.includes("accepted"), counted);

  // Who and why are both asked for.
  const form = await opened(app);
  await app.pressButton("Accept", "#finding-1");
  await says(app, /^Say (who accepts it|why it may stay) first/);
  await type(app, form, "by", "J. Sample");
  await type(app, form, "why", "the <b>seller</b> mends it");
  await app.pressButton("Accept", "#finding-1");
  await says(app, /^Accepted/);
  await app.page.waitForSelector("#finding-1.accepted");
  await app.answered();
  const now = await page.evaluate(() => [new Date().getFullYear(), new Date().getMonth() + 1, new Date().getDate()]);
  const today = now.map((part) => String(part).padStart(2, "0")).join("-");
  assert.equal(await app.text("#finding-1 .accepted-by"), `Accepted by J. Sample, ${today}: the <b>seller</b> mends it`);
  assert.match(await app.text("#checks .counts"), new RegExp(`^${stops - 1} Stop .* · 1 accepted$`));
  assert.deepEqual(await app.findings(), before, "it stays in the list");
  const [accepted] = (await app.job()).accepted;
  assert.deepEqual([accepted.by, accepted.why, accepted.date], ["J. Sample", "the <b>seller</b> mends it", today]);

  // One step; and it can be opened again.
  await app.pressButton("Undo", ".tools");
  await app.page.waitForSelector("#finding-1:not(.accepted)");
  await app.pressButton("Redo", ".tools");
  await app.page.waitForSelector("#finding-1.accepted");
  await app.answered();
  await opened(app);
  await app.pressButton("Accept it no longer", "#finding-1");
  await app.page.waitForSelector("#finding-1:not(.accepted)");
  await app.answered();
  assert.equal(await app.text("#checks .counts"), counted);
}

/** Opens the form at the first finding, unless it is open. */
async function opened(app) {
  await app.side("Checks");
  const place = '#finding-1 [data-report="accept 0"]';
  if (!(await app.page.$(`#finding-1 details[open] > [data-report="accept 0"]`))) {
    await app.press(`#finding-1 details:has(> [data-report="accept 0"]) > summary`);
  }
  await app.page.waitForSelector(`${place}[data-told] button`);
  return place;
}

async function type(app, form, name, text) {
  const field = await app.page.waitForSelector(`${form} [name="${name}"]`);
  await app.press(field);
  await field.evaluate((one) => one.select());
  await app.page.keyboard.type(text);
}

async function says(app, what) {
  await app.page.waitForFunction((source) => new RegExp(source).test(document.querySelector(".status").innerText), {}, what.source);
}
