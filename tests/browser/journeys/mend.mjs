import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "what a finding says can be done is done at one tap, and taken back at one";

export async function run({ page, address }) {
  const app = await App.open(page, address);
  await app.openListed("Accessory wiring as found, to be judged before purchase");
  await app.keepAsItIs();
  const job = await app.jobText();
  const before = await app.findings();
  const fix = await page.waitForSelector(".finding .fix");
  const [does, message] = await fix.evaluate((one) => [one.innerText, one.closest(".finding").querySelector(".message").innerText]);
  // The button names the thing and what becomes of it.
  assert.match(does, /^Do it: wire W\d+: .+ becomes .+/);
  await app.press(fix);
  await page.waitForFunction(() => document.querySelector(".status").innerText.startsWith("Done: "));
  assert.match(await app.status(), /^Done: wire W\d+: .+\. \d+ findings? (is|are) gone/);
  assert.ok((await app.status()).includes(does.replace("Do it: ", "")));
  const after = await app.findings();
  assert.ok(!after.some((finding) => finding.message === message), "what was mended is found no more");
  assert.ok(after.filter(({ word }) => word.startsWith("Stop")).length <= before.filter(({ word }) => word.startsWith("Stop")).length);
  assert.notEqual(await app.jobText(), job);

  await app.pressButton("Undo", ".tools");
  assert.match(await app.status(), /^Undone: mend wire/);
  assert.equal(await app.jobText(), job);
  assert.deepEqual(await app.findings(), before);
}
