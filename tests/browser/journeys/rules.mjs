import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "rules are written by choosing, and proved, broken or waived";

export async function run({ page, address }) {
  const app = await App.open(page, address);
  await app.openListed("Driving lamps that stay dark on main beam");
  await app.keepAsItIs();
  await app.side("Switches");
  await open(app, "Rules: what must hold in every position");
  const told = () => page.$$eval(".report[data-long] section", (all) => all.map((one) => one.innerText.replace(/\s+/g, " ")));
  assert.ok((await told()).some((text) => /only with/.test(text) && /Usual, unless it is waived/.test(text)), "the usual rule is offered");

  // One by choosing; it is broken, and the way there is shown.
  await choose(page, "load", "lamp E3");
  await choose(page, "rule", "never with");
  const states = await page.$$eval(".report select[name=state] option", (all) => all.map((one) => one.innerText));
  await choose(page, "state", states[0]);
  await app.pressButton("Add this rule", ".report");
  await page.waitForFunction(() => document.querySelector(".status").innerText.startsWith("Rule added: lamp E3 never with"));
  assert.equal((await app.job()).interlocks.length, 1);
  await page.waitForFunction(() => [...document.querySelectorAll(".report section")].some((one) => /lamp E3 never with/.test(one.innerText)));
  const outcome = (await told()).find((text) => text.startsWith("lamp E3 never with"));
  assert.match(outcome, /Proved: it holds in|Broken after|Broken at rest/);

  // The usual one is waived, for a reason.
  await app.pressButton("Waive", ".report");
  await page.waitForFunction(() => document.querySelector(".status").innerText.startsWith("Say first why"));
  await app.press(".report input[name=reason-0]");
  await page.keyboard.type("used on private ground");
  await app.pressButton("Waive", ".report");
  await page.waitForFunction(() => [...document.querySelectorAll(".report section")].some((one) => /Waived: used on private ground/.test(one.innerText)));
  const kept = (await app.job()).interlocks;
  assert.ok(kept.some(({ rule, reason }) => rule === "any time" && reason === "used on private ground"), JSON.stringify(kept));

  await app.closeDrawer();
  await app.pressButton("Undo", ".tools");
  await app.pressButton("Undo", ".tools");
  assert.equal((await app.job()).interlocks, undefined);
}

async function choose(page, name, caption) {
  const value = await page.$eval(`.report select[name=${name}]`, (select, caption) => [...select.options].find((one) => one.innerText === caption)?.value, caption);
  assert.ok(value, `${name} can be ${caption}`);
  await page.select(`.report select[name=${name}]`, value);
}

async function open(app, caption) {
  const handle = await app.page.waitForFunction(
    (caption) => [...document.querySelectorAll(".drawer summary")].find((one) => one.innerText === caption),
    {},
    caption,
  );
  await app.press(handle);
  await app.page.waitForFunction((one) => one.nextElementSibling.querySelector("h4, select"), { timeout: 60000 }, handle);
}
