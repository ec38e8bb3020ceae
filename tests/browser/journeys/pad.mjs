import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "numbers are typed on keys of their own, with units and what was used last, and a keyboard goes on working";

export async function run({ page, address }) {
  for (const [width, height, gloves] of [[390, 844], [390, 844, "on"], [820, 1180], [1280, 800]]) {
    const app = await App.open(page, address, { width, height, hasTouch: true, isMobile: true });
    await page.evaluate((gloves) => {
      localStorage.clear();
      localStorage["loomwright.device"] = JSON.stringify({ gloves });
    }, gloves);
    await page.reload();
    await app.ready();
    if (width > 390) {
      await app.openListed("Driving lamps that stay dark on main beam");
    }
    const lamps = [];
    for (const at of width > 390 ? [] : [[0.3, 0.3], [0.7, 0.3]]) {
      lamps.push(await app.put("lamp", () => app.spot(at)));
    }
    const found = lamps.length ? lamps : (await app.symbols()).filter(({ words }) => words.startsWith("lamp")).map(({ part }) => part);
    const [one, other] = [found[0], found.find((part) => part !== found[0])];
    await app.select(one);
    await app.side("Selected");
    await page.evaluate(() => document.querySelector("#field-watts, .drawer .entry input").scrollIntoView({ block: "end" }));

    await app.press(await field(app));
    await clear(app);
    await inSight(app, width, gloves ? 72 : 64);
    for (const key of ["5", "6", "Delete the last digit", "5", "Decimal point", "5"]) {
      await app.pressButton(key, ".pad");
      await inSight(app, width, gloves ? 72 : 64);
    }
    await app.pressButton("Done", ".pad");
    await app.frames();
    assert.equal(await page.$(".pad"), null);
    assert.equal(await app.shown("Rated power"), "55.5");
    assert.equal(await page.$eval(".thumb-bar", (bar) => bar.checkVisibility()), true);

    // The unit is a key, and what was used last is offered.
    await app.select(other);
    await app.side("Selected");
    await app.press(await field(app));
    await clear(app);
    await app.pressButton("A", ".pad");
    await app.pressButton("2", ".pad");
    await app.pressButton("Done", ".pad");
    await app.frames();
    assert.equal(await app.shown("Rated power"), "24", "2 A at 12 V");
    await app.press(await field(app));
    await app.pressButton("55.5", ".pad-used");
    // A tap on the drawing enters it as well.
    await app.tapPart(one);
    await app.select(other);
    await app.side("Selected");
    assert.equal(await app.shown("Rated power"), "55.5");

    // Keys of a keyboard write into the same field; its own keyboard is brought back by a key.
    await app.press(await field(app));
    await clear(app);
    await page.keyboard.type("21");
    await page.keyboard.press("Enter");
    await app.frames();
    assert.equal(await app.shown("Rated power"), "21");
    await app.press(await field(app).then(blurred));
    assert.equal(await (await field(app)).evaluate((input) => input.inputMode), "none", "the keyboard of the system stays down");
    await app.pressButton("Keyboard", ".pad");
    assert.equal(await page.$(".pad"), null);
    assert.deepEqual(await (await field(app)).evaluate((input) => [input.inputMode, document.activeElement === input]), ["decimal", true]);

    // Who comes by the Tab key has a keyboard and needs no pad.
    await page.keyboard.press("Tab");
    await page.keyboard.down("Shift");
    await page.keyboard.press("Tab");
    await page.keyboard.up("Shift");
    await app.frames();
    assert.equal(await page.$(".pad"), null);
  }
}

async function field(app) {
  const handle = await app.page.evaluateHandle(() =>
    [...document.querySelectorAll(".drawer .field")].find((one) => one.innerText.startsWith("Rated power"))?.querySelector("input"),
  );
  assert.ok(handle.asElement(), "a lamp has a rated power");
  return handle.asElement();
}

async function blurred(field) {
  await field.evaluate((input) => input.blur());
  return field;
}

/** What the field said is taken for typed over: a field selects all of it when it is gone to. */
async function clear(app) {
  const [start, end, length] = await (await field(app)).evaluate((input) => [input.selectionStart, input.selectionEnd, input.value.length]);
  assert.deepEqual([start, end], [0, length], "typing replaces what the field says");
}

/** The pad covers neither the field nor leaves the window. */
async function inSight(app, width, least) {
  const [covered, inside, keys] = await (await field(app)).evaluate((input) => {
    const { left, top, width, height } = input.getBoundingClientRect();
    const pad = document.querySelector(".pad").getBoundingClientRect();
    const keys = [...document.querySelectorAll(".pad-keys button")].map((one) => one.getBoundingClientRect());
    return [
      [top + 2, top + height - 2].some((y) => document.elementFromPoint(left + width / 2, y) !== input),
      pad.left >= 0 && pad.right <= innerWidth + 0.01 && pad.bottom <= innerHeight + 0.01,
      Math.min(...keys.flatMap((key) => [key.width, key.height])),
    ];
  });
  assert.equal(covered, false, `the field is seen at ${width}`);
  assert.equal(inside, true, `the pad is whole at ${width}`);
  assert.ok(keys >= least - 0.02, `keys of ${keys} at ${width}`);
}
