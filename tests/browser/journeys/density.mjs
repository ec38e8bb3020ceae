import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "lettering too small to be read is not shown, marks keep their size, and two fingers move what is painted already";

export async function run({ page, address }) {
  const app = await App.open(page, address);
  await app.openListed("Night loading lamps and bed electrics");
  const steps = new Set();
  for (let i = 0; i < 16; i += 1) {
    const { step, lowest, low } = await page.evaluate(lettering);
    steps.add(step);
    assert.ok(lowest === null || lowest >= 6.9, `${step}: “${low}” is ${lowest} pixels high`);
    await app.pressButton(i < 8 ? "Larger" : "Smaller", ".sizes");
    await app.frames();
  }
  for (let i = 0; i < 8; i += 1) {
    await app.pressButton("Smaller", ".sizes");
    await app.frames();
    const { step, lowest, low } = await page.evaluate(lettering);
    steps.add(step);
    assert.ok(lowest === null || lowest >= 6.9, `${step}: “${low}” is ${lowest} pixels high`);
  }
  assert.ok(steps.has("near") && steps.has("names") && steps.has("far"), [...steps].join(", "));

  // From afar most parts still have their names.
  const found = await fromAfar(app);
  assert.ok(found.shown.length > found.all / 2, `${found.shown.length} of ${found.all}`);
  await app.openListed("Accessory wiring as found, to be judged before purchase");
  await app.answered();
  const crowded = await fromAfar(app);
  assert.ok(crowded.shown.length > 20 && crowded.marks.length > 10, `${crowded.shown.length} below ${crowded.marks.length} marks`);

  // The name goes with the symbol that is dragged, and stays nowhere else.
  const of = (id) => page.$eval(`#layer-scene [data-id="${id}"]`, (one) => { const { x, y, width, height } = one.getBoundingClientRect(); return [x + width / 2, y + height / 2]; });
  const [symbol, name] = await page.evaluate(firstNamed);
  const [x, y] = await of(symbol);
  await app.drag([x, y], [x + 60, y + 90], { release: false });
  const seen = (where) => page.$eval(`${where} [data-id="${name}"] text`, (text) => getComputedStyle(text).visibility);
  assert.deepEqual([await seen("#layer-scene"), await seen("#layer-lift-scene")], ["hidden", "visible"]);
  await app.touch("touchCancel", []);
  await app.frames();
  assert.equal(await seen("#layer-scene"), "visible");

  // While fingers move the view nothing is painted anew; when they rest it is, in the same place.
  await app.pressButton("Show all");
  const middle = await app.spot([0.5, 0.5]);
  const matrix = () => page.$eval("#layer-view", (group) => group.getAttribute("transform"));
  const painted = await matrix();
  const [one, other] = [-60, 60].map((by) => [middle[0] + by, middle[1]]);
  const to = ([x, y]) => [x + 70, y + 40];
  await app.pinch([one, to(one)], [other, to(other)], { release: false });
  await app.frames();
  assert.equal(await matrix(), painted, "the drawing is moved as it is painted");
  const moved = await app.view();
  await app.touch("touchEnd", []);
  await app.frames();
  assert.notEqual(await matrix(), painted);
  const rested = await app.view();
  for (const key of ["scale", "x", "y"]) {
    assert.ok(Math.abs(moved[key] - rested[key]) < 0.01, `${key}: ${moved[key]} and ${rested[key]}`);
  }
  // Moved further than it is painted beyond the window, it is painted anew on the way.
  const far = ([x, y]) => [x + 340, y + 200];
  await app.pinch([one, far(one)], [other, far(other)], { moves: 30, release: false });
  const frame = await page.$eval("#worktop", (worktop) => worktop.getBoundingClientRect().toJSON());
  const drawing = await page.$eval("#drawing", (drawing) => drawing.getBoundingClientRect().toJSON());
  assert.ok(drawing.left <= frame.left && drawing.right >= frame.right && drawing.top <= frame.top && drawing.bottom >= frame.bottom);
  await app.touch("touchEnd", []);
}

/** The designations that are shown where all other lettering is too small: none lies on another, or below a mark. */
async function fromAfar(app) {
  await app.pressButton("Show all");
  for (let i = 0; i < 8 && (await app.page.evaluate(lettering)).step !== "far"; i += 1) {
    await app.pressButton("Smaller", ".sizes");
    await app.frames();
  }
  const names = await app.page.evaluate(named);
  for (const [at, one] of names.shown.entries()) {
    for (const other of [...names.shown.slice(at + 1), ...names.marks]) {
      // Half a pixel, as the browser has letters of its own.
      const meet = one.right > other.left + 0.5 && other.right > one.left + 0.5 && one.bottom > other.top + 0.5 && other.bottom > one.top + 0.5;
      assert.ok(!meet, `${one.name} and ${other.name}`);
    }
  }
  return names;
}

/** Runs in the page: how many designations there are, those that are shown, and the marks, each with its place. */
function named() {
  const placed = (all) => all.map((one) => ({ name: one.textContent.trim(), ...one.getBoundingClientRect().toJSON() }));
  const all = [...document.querySelectorAll('#drawing [data-id^="part."] text[font-weight]')];
  const shown = all.filter((text) => getComputedStyle(text).visibility === "visible");
  const marks = [...document.querySelectorAll("#drawing .marks > g > polygon")].filter((field) => getComputedStyle(field).visibility === "visible");
  // The box of a text has room above and below its capitals: 0.189 and 0.212 of 1.117, by the metrics of the letters.
  const capitals = ({ top, bottom, height, ...box }) => ({ ...box, top: top + 0.169 * height, bottom: bottom - 0.19 * height });
  return { all: all.length, shown: placed(shown).map(capitals), marks: placed(marks) };
}

/** Runs in the page: a symbol whose name is shown, and that name, by their ids. */
function firstNamed() {
  const has = (text) => getComputedStyle(text).visibility === "visible";
  const name = [...document.querySelectorAll('#layer-scene [data-id^="part."][data-room]')].find((one) => has(one.querySelector("text[font-weight]"))).dataset.id;
  return [name.replace(/^part\./, "symbol."), name];
}

/** Runs in the page: the step of lettering, and the lowest lettering that is shown. */
function lettering() {
  const step = document.getElementById("layer-view").getAttribute("class");
  let [lowest, low] = [Infinity, ""];
  for (const text of document.querySelectorAll("#drawing text")) {
    if (getComputedStyle(text).visibility !== "visible") {
      continue;
    }
    // Capitals are 0.716 of the size of the letters.
    const { a, b } = text.getScreenCTM();
    const height = Number(text.getAttribute("font-size")) * 0.716 * Math.hypot(a, b);
    if (height < lowest) {
      [lowest, low] = [height, text.textContent];
    }
  }
  return { step, lowest: low ? lowest : null, low };
}
