import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "written from right to left the bars are mirrored, and the drawing is not";

export async function run({ page, address }) {
  for (const [width, height] of [[820, 1180], [1280, 800], [390, 844]]) {
    const app = await App.open(page, address, { width, height, hasTouch: true, isMobile: true });
    await app.openListed("Driving lamps that stay dark on main beam");
    await app.pressButton("Show all");
    await app.answered();
    const before = await look(app);
    await page.evaluate(() => (document.documentElement.dir = "rtl"));
    await app.frames(4);
    await app.pressButton("Show all");
    await app.frames(4);
    const after = await look(app);

    assert.deepEqual(after.drawing.texts, before.drawing.texts, "lettering of the drawing begins where it began");
    for (const [part, [x, y]] of Object.entries(before.drawing.parts)) {
      const [nowX, nowY] = after.drawing.parts[part];
      // The worktop may lie elsewhere; on it nothing is mirrored.
      assert.ok(Math.abs(nowX - x) < 1.5 && Math.abs(nowY - y) < 1.5, `${part} at ${nowX},${nowY}, was at ${x},${y}`);
    }
    for (const [name, { left, right }] of Object.entries(before.shell)) {
      const now = after.shell[name];
      assert.ok(Math.abs(now.left - (width - right)) < 1.5 && Math.abs(now.right - (width - left)) < 1.5, `${name} at ${now.left} to ${now.right}, was at ${left} to ${right} of ${width}`);
    }
    assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), "nothing scrolls sideways");
    await shelf(app);

    // A tap means the same place.
    const lamp = (await app.symbols()).find(({ words }) => words.startsWith("lamp E3"));
    await app.tap(lamp.middle);
    await app.frames();
    const glow = await page.$$eval("#drawing .under rect.picked", (all) => all.map((one) => one.getBoundingClientRect()).map(({ left, width }) => left + width / 2));
    assert.ok(glow.some((x) => Math.abs(x - lamp.middle[0]) < 2), `${glow} is picked at ${width}, not ${lamp.middle}`);
  }
}

/** The picture of a job stands at the beginning of its card, which is at the right. */
async function shelf(app) {
  await app.keepAsItIs();
  await app.openJobs();
  const [picture, told] = await app.page.$$eval(".job > :is(.shelf-picture, .shelf-told)", (all) => all.map((one) => one.getBoundingClientRect().left));
  assert.ok(picture > told, `the picture is at ${picture}, what is told at ${told}`);
  await app.pressButton("Close", "dialog.shelf");
}

/** Where things are: parts on the worktop, and the controls around it in the window. */
async function look(app) {
  const shell = await app.page.evaluate(() => {
    const shown = [...document.querySelectorAll(".edge-buttons button, .tools button, .tabs button, .tidy")].filter((one) => one.checkVisibility());
    return Object.fromEntries(
      shown.map((one) => {
        const { left, right } = one.getBoundingClientRect();
        return [one.getAttribute("aria-label") ?? one.textContent, { left, right }];
      }),
    );
  });
  const drawing = await app.page.evaluate(() => {
    const { left, top } = document.getElementById("worktop").getBoundingClientRect();
    const middle = (one) => {
      const box = one.getBoundingClientRect();
      return [box.left + box.width / 2 - left, box.top + box.height / 2 - top];
    };
    const symbols = [...document.querySelectorAll("#drawing .scene > .symbol")];
    const texts = [...document.querySelectorAll("#drawing .scene text")].map((one) => [one.textContent, Math.round(one.getBBox().x * 10)]);
    return { parts: Object.fromEntries(symbols.map((one) => [one.dataset.id, middle(one)])), texts };
  });
  return { shell, drawing };
}
