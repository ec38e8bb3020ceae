import assert from "node:assert/strict";
import { App, TABLET } from "../app.mjs";
import { made } from "./handover.mjs";

export const name = "lengths are told in feet and inches too where that is wanted, and typed in them everywhere; the drawing and the job stay";

const JOB = "Accessory wiring as found, to be judged before purchase";

export async function run({ page, address }) {
  const app = await App.open(page, address, TABLET);
  await app.openListed(JOB);
  await app.keepAsItIs();
  const job = await app.jobText();
  const drawn = await drawing(app);
  assert.deepEqual(await inFeet(app), [], "nobody is told of feet who has not asked");

  await app.pressButton("Workshop", ".edge-buttons");
  await page.waitForSelector(".settings");
  await Promise.all([page.waitForNavigation(), page.$eval('.settings [name=lengths][value="feet"]', (one) => one.click())]);
  await app.ready();
  await app.answered();
  const told = await inFeet(app);
  assert.ok(told.length > 0, "no length is told");
  for (const [all, metres, feet = 0, inches = 0, quarter = ""] of told) {
    const length = 12 * Number(feet) + Number(inches) + ["", "¼", "½", "¾"].indexOf(quarter) / 4;
    assert.ok(Math.abs(length - Number(metres) / 0.0254) <= 0.125 + 1e-9, all);
  }
  assert.deepEqual(await drawing(app), drawn, "the drawing is what it was");

  // What is typed in feet is told in both.
  const [wire] = JSON.parse(job).wires;
  await app.selectWire(wire.id);
  await app.side("Selected");
  await app.fill("Length, one way", "8 ft 6 in");
  await app.kept();
  const { length_m: length } = (await app.job()).wires.find(({ id }) => id === wire.id);
  assert.equal(length, 2.5908, "a foot is 0.3048 m exactly");
  const beside = (feet) => page.waitForFunction((feet) => [...document.querySelectorAll(".drawer .entry > .unit")].some((unit) => unit.dataset.feet === feet), {}, feet);
  await beside("8 ft 6 in");
  // Also once it is taken back: the field says something else, and nobody typed it.
  await app.closeDrawer();
  await app.pressButton("Undo", ".tools");
  await app.side("Selected");
  await beside("3 ft 11¼ in");
  const others = await page.$$eval("[data-feet]", (all) => all.map((one) => one.textContent).filter((unit) => unit !== "m"));
  assert.deepEqual(others, [], "only lengths are told in feet");

  // Who measures in feet gets them on the cut list, unless it was said otherwise.
  await app.closeDrawer();
  await app.pressButton("Handover", ".edge-buttons");
  await made(app);
  assert.ok(await page.$eval('[name="handover-feet"]', (one) => one.checked));
}

/** Every length of the page that is told in feet too: all of it, its metres, feet, inches and quarters. */
async function inFeet(app) {
  const texts = [];
  for (const side of ["Checks", "Prove", "Job"]) {
    await app.side(side);
    texts.push(await app.page.$eval(".drawer", (drawer) => drawer.textContent));
  }
  await app.closeDrawer();
  await app.press("#wires");
  await app.page.waitForSelector("dialog.wires[open] .wires-now");
  await app.frames();
  texts.push(await app.page.$eval("dialog.wires", (list) => list.innerText));
  await app.pressButton("Close", ".wires-head");
  await app.noDialog();
  return [...texts.join("\n").matchAll(/([\d.]+)\sm \((?:(\d+) ft)? ?(?:(\d+)?([¼½¾]?) in)?\)/gu)];
}

/** All that is written on the drawing. */
function drawing({ page }) {
  return page.$$eval("#drawing text", (all) => all.map((one) => one.textContent));
}
