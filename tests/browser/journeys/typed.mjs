import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "what is typed is entered by a tap on the drawing, what is refused says so, and a press needs no place";

export async function run({ page, address }) {
  const app = await App.open(page, address);
  assert.equal(await expanded(page), "false");
  await app.pressButton("Parts", ".tools");
  assert.equal(await expanded(page), "true");
  await app.pressButton("Close", "#tray");

  const battery = await app.put("battery", () => app.spot([0.3, 0.12]));
  const lamp = await app.put("lamp", () => app.spot([0.6, 0.12]));
  const knob = await app.put("switch", () => app.spot([0.8, 0.12]));

  // A finger on the drawing takes the focus only after it has selected something else.
  await app.select(lamp);
  await app.side("Selected");
  await type(app, "Rated power", "55");
  await app.tap((await app.symbols()).find(({ part }) => part === battery).middle);
  const { parts } = await app.job();
  assert.equal(parts.find(({ id }) => id === lamp).values?.watts, 55);
  assert.equal((await app.text(".drawer h2")).startsWith("battery"), true, "the tap selects as well");

  // A refusal is told with the field, and is no part of its name.
  await app.select(lamp);
  await app.side("Selected");
  assert.deepEqual(await field(page), { name: "Rated power", invalid: null, why: "", unit: "Unit of Rated power" });
  await type(app, "Rated power", "bright");
  await page.keyboard.press("Enter");
  await app.frames();
  const refused = await field(page);
  assert.deepEqual([refused.name, refused.invalid], ["Rated power", "true"]);
  assert.notEqual(refused.why, "");
  await type(app, "Rated power", "21");
  await page.keyboard.press("Enter");
  await app.frames();
  assert.deepEqual([(await field(page)).invalid, (await field(page)).why], [null, ""]);

  // Escape leaves a field as it was, and goes back to the drawing.
  await type(app, "Rated power", "99");
  await page.keyboard.press("Escape");
  await app.frames();
  assert.equal(await app.shown("Rated power"), "21");
  assert.equal(await page.evaluate(() => document.activeElement.closest("#drawing") !== null), true);
  assert.equal((await app.job()).parts.find(({ id }) => id === lamp).values.watts, 21);

  // What is to be done next is told in the place of what was said before.
  await app.closeDrawer();
  await app.pressButton("Copy", ".selection-bar");
  assert.match(await app.status(), /^Copied\./);
  await app.side("Selected");
  await app.pressButton("Start wire", ".drawer");
  assert.match(await app.status(), /Tap the terminal where the wire ends/);
  await app.pressButton("Stop this wire", ".drawer");

  // A name that is taken stays to be mended.
  await app.side("Switches");
  await app.pressButton("on", ".switch-row");
  const kept = await page.waitForSelector(".report input[name=name]");
  await app.press(kept);
  await page.keyboard.type("at rest");
  await app.pressButton("Keep", ".report");
  await page.waitForFunction(() => document.querySelector(".status").innerText.includes("always exists"));
  assert.equal(await kept.evaluate((one) => one.value), "at rest");
  await kept.evaluate((one) => one.select());
  await page.keyboard.type("lit");
  await app.pressButton("Keep", ".report");
  await page.waitForFunction(() => document.querySelector(".situations").innerText.includes("lit"));

  // A press without a place, as a screen reader gives it, does what a tap does.
  await app.closeDrawer();
  await app.tool("Draw");
  await click(app, battery);
  await app.side("Selected");
  assert.match(await app.text(".drawer h2"), /^battery/);
  await app.closeDrawer();
  await app.tool("Try");
  await click(app, knob);
  assert.match(await app.status(), /: off/);
}

const expanded = (page) => page.$eval("#parts", (parts) => parts.getAttribute("aria-expanded"));

/** Types into a field of the drawer and leaves it at that. */
async function type(app, caption, text) {
  const input = await app.page.evaluateHandle(
    (caption) => [...document.querySelectorAll(".drawer .field")].find((one) => one.innerText.startsWith(caption)).querySelector("input"),
    caption,
  );
  await app.press(input);
  await input.evaluate((input) => input.select());
  await app.page.keyboard.type(text);
}

/** What is told of the field of a lamp's power. */
async function field(page) {
  return page.evaluate(() => {
    const field = [...document.querySelectorAll(".drawer .field")].find((one) => one.innerText.startsWith("Rated power"));
    const input = field.querySelector("input");
    const why = input.getAttribute("aria-describedby");
    return {
      name: [...input.labels].map((label) => label.textContent).join(" "),
      invalid: input.getAttribute("aria-invalid"),
      why: why ? document.getElementById(why).textContent : "",
      unit: field.querySelector("select").getAttribute("aria-label"),
    };
  });
}

/** A click that no pointer made. */
async function click(app, part) {
  await app.page.$eval(`#drawing .symbol[data-id^="symbol.${part}."] *`, (shape) =>
    shape.dispatchEvent(new MouseEvent("click", { bubbles: true, detail: 0 })),
  );
  await app.frames();
}
