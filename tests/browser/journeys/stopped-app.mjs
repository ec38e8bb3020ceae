import assert from "node:assert/strict";

export const name = "an app that stops leaves a notice outside of itself";

// The stop is reported on the console, and the runtime error that ends the module follows it.
export const expected = ["the page has a place for the app", "unreachable", "console: "];

export async function run({ page, address }) {
  await page.setRequestInterception(true);
  page.on("request", async (request) => {
    if (request.url() !== address) {
      return request.continue();
    }
    const original = await fetch(address);
    const body = (await original.text()).replace('id="app"', 'id="elsewhere"');
    return request.respond({ status: 200, contentType: "text/html; charset=utf-8", body });
  });
  await page.goto(address);
  await page.waitForSelector("#stopped:not([hidden])");
  const why = await page.$eval("#stopped-why", (element) => element.textContent);
  assert.match(why, /the page has a place for the app/);
}
