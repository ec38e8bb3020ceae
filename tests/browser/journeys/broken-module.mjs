import assert from "node:assert/strict";

export const name = "a module that does not arrive is said in plain words";

export const expected = ["404", "response: 404", "page: "];

export async function run({ page, address }) {
  await page.setRequestInterception(true);
  page.on("request", (request) =>
    request.url().endsWith(".wasm")
      ? request.respond({ status: 404, contentType: "text/plain", body: "gone" })
      : request.continue(),
  );
  await page.goto(address);
  await page.waitForSelector("#stopped:not([hidden])");
  const why = await page.$eval("#stopped-why", (element) => element.textContent);
  assert.notEqual(why.trim(), "");
}
