import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "every position is gone through beside everything else, and each step is shown";

export async function run({ page, address }) {
  const app = await App.open(page, address);
  await app.openListed("Accessory wiring as found, to be judged before purchase");
  await app.side("Switches");
  await open(app, "Every position gone through");
  await app.pressButton("Go through all positions", ".report");
  await page.waitForFunction(() => document.querySelector(".report table"), { timeout: 120000 });
  const counts = await page.$$eval(".report table:first-of-type tr", (rows) => rows.map((row) => [...row.cells].map((cell) => cell.innerText)));
  assert.ok(counts.some(([what, n]) => what === "settles" && Number(n) > 0), JSON.stringify(counts));
  const n = counts.slice(1).reduce((sum, [, n]) => sum + (Number(n) || 0), 0);
  const text = await page.evaluate(() => [...document.querySelectorAll(".report p")].map((one) => one.innerText).find((one) => one.includes("combinations of positions gone through")));
  assert.ok(text.startsWith(`${n} combinations`), `${text} and ${n}`);

  // What does not settle is shown with the shortest way there.
  assert.ok(counts.some(([what]) => what.startsWith("flashing")), JSON.stringify(counts));
  const headings = await page.$$eval(".report h4", (all) => all.map((one) => one.innerText));
  assert.ok(headings.some((heading) => heading.startsWith("flashing: electronic lamp")), JSON.stringify(headings));
  const shaky = (await page.$$(".report .steps button")).at(-1);
  await app.press(shaky);
  await page.waitForFunction(() => /never settles|cannot deliver/.test(document.querySelector(".status").innerText));

  // The shortest way to a lamp that burns, one step after the other on the drawing.
  await app.closeDrawer();
  await app.openListed("Driving lamps that stay dark on main beam");
  await app.side("Switches");
  await open(app, "Every position gone through");
  await page.select(".report select[name=state]", await option(page, "state", "lamp E3 on"));
  await app.pressButton("Find the way", ".report");
  await page.waitForFunction(() => document.querySelector(".report h4")?.innerText.startsWith("lamp E3 on"), { timeout: 120000 });
  const steps = await page.$$eval(".report .steps button", (all) => all.map((one) => one.innerText));
  assert.equal(steps[0], "0. at rest");
  assert.ok(steps.length > 1, JSON.stringify(steps));
  const last = (await page.$$(".report .steps button")).at(-1);
  await app.press(last);
  await app.answered();
  assert.equal(await last.evaluate((one) => one.getAttribute("aria-pressed")), "true");
  const lamp = (await app.symbols()).find(({ words }) => words.startsWith("lamp E3"));
  assert.match(lamp.words, /on/);
  assert.doesNotMatch(lamp.words, /\b0 A/);
  const first = await page.$(".report .steps button");
  await app.press(first);
  await app.answered();
  assert.equal(await last.evaluate((one) => one.getAttribute("aria-pressed")), "false");

  // What never happens is said to be so only after all of it was looked at.
  await page.select(".report select[name=state]", await option(page, "state", "lamp E3 on"));
  await page.select(".report select[name=also]", await option(page, "also", "lamp E3 off"));
  await app.pressButton("Find the way", ".report");
  await page.waitForFunction(() => /Never reached: all \d+ states looked at/.test(document.querySelector(".drawer").innerText), { timeout: 120000 });

  // A change of the job marks what was worked out before it.
  await app.pressButton("Job", ".tabs");
  await app.fill("System voltage", "24");
  await app.side("Switches");
  await open(app, "Every position gone through");
  await page.waitForSelector(".report.old");
}

async function option(page, name, caption) {
  return page.$eval(`.report select[name=${name}]`, (select, caption) => [...select.options].find((one) => one.innerText === caption).value, caption);
}

/** Opens what stands under a caption. */
async function open(app, caption) {
  const handle = await app.page.waitForFunction(
    (caption) => [...document.querySelectorAll(".drawer summary")].find((one) => one.innerText === caption),
    {},
    caption,
  );
  await app.press(handle);
  await app.page.waitForFunction((one) => one.nextElementSibling.childElementCount > 0, { timeout: 60000 }, handle);
}
