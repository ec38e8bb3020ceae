import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "a drawing is tidied in one step, but for what is kept in its place";

export async function run({ page, address, downloads }) {
  const app = await App.open(page, address);

  // A job without places opens tidy, so there is nothing to tidy.
  await app.openListed("Driving lamps that stay dark on main beam");
  await app.pressButton("Tidy", ".table");
  await says(app, /as tidy as it gets/);
  const opened = await places(app);

  // Parts are dragged about; one of them is kept where it is then.
  const [one, other] = [...new Set((await app.symbols()).map(({ part }) => part))].slice(2, 4);
  await drag(app, one, [60, 90]);
  await drag(app, other, [-70, 80]);
  const moved = await places(app);
  assert.notDeepEqual(moved, opened);
  await app.select(one);
  await app.pressButton("Keep in place", ".selection-bar");
  await says(app, /kept in place/);
  assert.ok((await app.job()).parts.find(({ id }) => id === one).at.every(({ pinned }) => pinned));
  assert.ok(await page.$("#drawing .over .pin"), "the drawing shows what is kept");
  const kept = await app.jobText();

  // With something selected the whole drawing is tidied all the same.
  await app.pressButton("Tidy", ".table");
  await says(app, /What is kept in place has stayed/);
  const tidied = await places(app);
  assert.deepEqual(tidied[one], moved[one], "it has stayed");
  assert.notDeepEqual(tidied[other], moved[other], "the other has not");
  await app.pressButton("Tidy", ".table");
  await says(app, /as tidy as it gets/);
  await app.pressButton("Undo", ".tools");
  assert.match(await app.status(), /Undone: tidy/);
  assert.equal(await app.jobText(), kept, "one step");

  // Let go, by the key, everything is where it was when the job was opened.
  await app.select(one);
  await app.pressButton("Let go", ".selection-bar");
  assert.equal(await page.$("#drawing .over .pin"), null);
  await page.$eval("#drawing", (drawing) => drawing.focus());
  await page.keyboard.press("t");
  await says(app, /^Tidied/);
  assert.deepEqual(await places(app), opened);

  // Of a part with several symbols alike each has its own pin.
  const alike = Object.entries(opened).find(([, symbols]) => new Set(symbols.map(([id]) => id.replace(/\d+$/, ""))).size < symbols.length);
  assert.ok(alike, "the job has a part with several symbols alike");
  const [part, symbols] = alike;
  await app.select(part);
  await app.pressButton("Keep in place", ".selection-bar");
  await says(app, /kept in place/);
  const pins = await page.$$eval("#drawing .over .pin", (pins) => pins.map((pin) => pin.getAttribute("d")));
  assert.equal(pins.length, symbols.length);
  assert.equal(new Set(pins).size, pins.length, "no two pins in one place");
}

async function says(app, what) {
  await app.page.waitForFunction((source) => new RegExp(source).test(document.querySelector(".status").innerText), {}, what.source);
  await app.frames();
}

/** Where the symbols of each part stand on the drawing, in hundredths of a millimetre. */
async function places(app) {
  const view = await app.view();
  const places = {};
  for (const { id, part, middle } of await app.symbols()) {
    const at = [(middle[0] - view.x) / view.scale, (middle[1] - view.y) / view.scale].map((mm) => Math.round(mm * 10) / 10);
    (places[part] ??= []).push([id, ...at]);
  }
  return places;
}

async function drag(app, part, [dx, dy]) {
  await app.select(part);
  const [x, y] = (await app.symbols()).find((symbol) => symbol.part === part).middle;
  await app.drag([x, y], [x + dx, y + dy]);
  await app.answered();
}
