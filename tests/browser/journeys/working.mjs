import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "every number shows how it came about, at one tap";

const JOB = "Accessory wiring as found, to be judged before purchase";

export async function run({ page, address }) {
  const app = await App.open(page, address);
  await app.openListed(JOB);
  await app.side("Switches");
  await app.pressButton("main beam, driving lamps switched on", ".situations");

  // A wire: what it reads is worked out again from what the page shows of it.
  await app.selectWire("w6");
  await app.side("Selected");
  const reading = await app.reading();
  await app.press(".drawer details > summary");
  await page.waitForSelector(".report .working");
  const shown = await workings(page);
  const current = shown.find(({ what }) => what.startsWith("current of"));
  assert.ok(reading.includes(current.result), `${reading} has the current ${current.result}`);
  for (const { what, formula, inputs, result, source } of shown) {
    assert.match(source, /^Source: \S/, what);
    if (formula) {
      assert.ok(inputs.length > 0 && inputs.every((input) => /, (calculated|entered|assumed|tabled)$/.test(input)), what);
    }
    assert.match(result, /\d/, what);
  }
  const drop = shown.find(({ what }) => what.startsWith("voltage across"));
  const [one, other] = drop.values;
  assert.ok(Math.abs(Math.abs(one - other) - parseFloat(drop.result)) < 0.0021, `${one} − ${other} = ${drop.result}`);

  // Another situation has other numbers, and they come by themselves.
  await app.side("Switches");
  await app.pressButton("at rest", ".situations");
  await app.selectWire("w6");
  await app.side("Selected");
  await app.press(".drawer details > summary");
  await page.waitForFunction(() => document.querySelector(".report")?.innerText.length > 0);
  assert.notDeepEqual((await workings(page)).find(({ what }) => what.startsWith("current of"))?.result, current.result);

  // A finding about a limit shows how its numbers came about.
  const findings = await app.findings();
  assert.ok(findings.length > 5);
  const limited = await page.waitForSelector(".finding:has(.limits):has(.report)");
  await app.press(await limited.$("details:has(.report) > summary"));
  await page.waitForSelector(".finding .working");
  const results = await page.$$eval(".finding .working h4 b", (all) => all.map((one) => one.innerText));
  const said = await limited.evaluate((one) => one.querySelector(".limits").innerText + one.querySelector(".message").innerText);
  assert.ok(results.some((result) => said.includes(result.split(" ")[0])), `${said} has one of ${results}`);
}

/** What the open workings say. */
async function workings(page) {
  return page.$$eval(".report .working", (all) =>
    all.map((one) => ({
      what: one.querySelector("h4").innerText,
      result: one.querySelector("h4 b").innerText,
      formula: one.querySelector(".formula")?.innerText ?? "",
      inputs: [...one.querySelectorAll("dd")].map((input) => input.innerText),
      values: [...one.querySelectorAll("dt")].map((term) => Number(term.innerText.split("= ")[1].split(" ")[0])),
      source: one.querySelector(".source").innerText,
    })),
  );
}
