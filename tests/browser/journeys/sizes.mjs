import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "sizes are proposed wire by wire, and applied and taken back in one step";

export async function run({ page, address }) {
  const app = await App.open(page, address);
  await app.openListed("Driving lamps that stay dark on main beam");
  await app.keepAsItIs();
  const job = await app.jobText();
  await app.findings();
  await open(app, "Sizes of wires and fuses");
  await app.pressButton("Work out the sizes", ".report");
  await page.waitForSelector(".report table", { timeout: 120000 });
  const text = await page.$eval(".report", (one) => one.innerText);
  assert.match(text, /Copper of these wires: now [\d.]+ g, needed [\d.]+ g\. (That is the least that passes|The least that passes is no less than)/);
  const rows = await page.$$eval(".report table tr", (all) => all.map((row) => [...row.cells].map((cell) => cell.innerText)));
  const changed = rows.filter(([, , needed]) => needed?.startsWith("→ "));
  assert.ok(changed.length > 0, JSON.stringify(rows));
  await app.pressButton("Apply these sizes", ".report");
  await page.waitForFunction(() => document.querySelector(".status").innerText.startsWith("Sizes applied"));
  const after = await app.job();
  for (const [title, , needed] of changed.filter(([title]) => title.startsWith("wire "))) {
    const wire = after.wires.find(({ label }) => `wire ${label}` === title);
    assert.equal(`→ ${wire.size.mm2} mm²`, needed, title);
  }
  await app.pressButton("Undo", ".tools");
  assert.match(await app.status(), /^Undone: apply sizes/);
  assert.equal(await app.jobText(), job);
}

async function open(app, caption) {
  const handle = await app.page.waitForFunction(
    (caption) => [...document.querySelectorAll(".drawer summary")].find((one) => one.innerText === caption),
    {},
    caption,
  );
  await app.press(handle);
  await app.page.waitForFunction((one) => one.nextElementSibling.childElementCount > 0, {}, handle);
}
