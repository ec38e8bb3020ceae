import assert from "node:assert/strict";

export const name = "the page opens under its policy";

export async function run({ page, address }) {
  const response = await page.goto(address);
  assert.match(response.headers()["content-security-policy"] ?? "", /default-src 'none'/);
  await page.waitForFunction(() => !document.querySelector("main.waiting"), { timeout: 20_000 });
  assert.equal(await page.$eval("#stopped", (element) => element.hidden), true);
}
