import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "look, gloves and hand are chosen on the page Workshop, apply at once and stay on this device";

const WIDE = { width: 1280, height: 800, hasTouch: true, isMobile: true };

export async function run({ page, address }) {
  const app = await App.open(page, address);
  const root = () => page.evaluate(() => ({ ...document.documentElement.dataset }));
  const ground = () => page.evaluate(() => getComputedStyle(document.body).backgroundColor);
  const paper = () => page.$eval("#worktop", (worktop) => getComputedStyle(worktop).backgroundColor);
  assert.deepEqual(await root(), {});
  const [day, white] = [await ground(), await paper()];

  await app.pressButton("Workshop", ".edge-buttons");
  await page.waitForSelector(".settings");
  const chosen = () => page.$$eval(".settings :checked", (all) => all.map((one) => one.value));
  assert.deepEqual(await chosen(), ["", "", "", "", "", ""], "each says what holds");
  await choose(app, "Night");
  assert.notEqual(await ground(), day, "it applies at once");
  assert.equal(await paper(), white, "the drawing is paper");
  await choose(app, "Gloves: larger");
  await choose(app, "Left hand");
  assert.equal(await app.text(".settings [role=status]"), "Kept on this device.");
  await app.pressButton("Close", "dialog[open]");
  const height = () => page.$eval("#parts", (button) => button.offsetHeight);
  assert.ok((await height()) >= 72);

  // The first thing that is painted after a reload has them.
  await page.evaluateOnNewDocument(() => {
    const look = () => document.body && (globalThis.first ??= { ...document.documentElement.dataset });
    new MutationObserver(look).observe(document, { childList: true, subtree: true });
  });
  await page.reload();
  await app.ready();
  const kept = { theme: "night", gloves: "on", hand: "left" };
  assert.deepEqual(await page.evaluate(() => globalThis.first), kept);
  assert.deepEqual(await root(), kept);
  assert.ok((await height()) >= 72);

  // With gloves a tap reaches further, and may stray further.
  const battery = await app.put("battery", () => app.spot([0.3, 0.15]));
  await app.tool("Run wire");
  const [x, y] = await app.terminal(battery, "+");
  await app.tap([x, y - 38]);
  assert.match(await app.status(), /^From battery/);
  await app.tool("Draw");

  // The left hand has the details on the left, and the first tool too.
  await page.setViewport(WIDE);
  await app.frames();
  const left = (selector) => page.$eval(selector, (one) => one.getBoundingClientRect().left);
  assert.ok((await left(".drawer")) < (await left("#worktop")) && (await left("#worktop")) < (await left("#tray")));

  await app.pressButton("Workshop", ".edge-buttons");
  await page.waitForSelector(".settings");
  assert.deepEqual(await chosen(), ["night", "on", "", "", "", "left"]);
  for (const answer of ["As the device says", "No gloves", "Right hand"]) {
    await choose(app, answer);
  }
  await app.pressButton("Close", "dialog[open]");
  assert.deepEqual(await root(), {});
  assert.equal(await ground(), day);
  assert.ok((await left(".drawer")) > (await left("#worktop")));

  // What is kept there by nobody knows whom stops nothing.
  await page.evaluate(() => (localStorage["loomwright.device"] = "{"));
  await page.reload();
  await app.ready();
  assert.deepEqual(await root(), {});
}

async function choose(app, answer) {
  const label = await app.page.waitForSelector(`.settings ::-p-text(${answer})`);
  await app.press(await label.evaluateHandle((one) => one.closest("label")));
}
