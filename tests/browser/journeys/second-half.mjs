import assert from "node:assert/strict";
import { App, TABLET, pause } from "../app.mjs";

export const name = "the drawing is there before the second half of the program, which is fetched until it comes";

/** Why it is not tried in Firefox. */
export const onlyChromium = "answers of the network are held up by its protocol";

export const expected = ["404", "response: 404", "TypeError"];

export async function run({ page, address }) {
  const asked = [];
  await page.setRequestInterception(true);
  page.on("request", (request) => {
    if (!/\/rest-\w+\.wasm$/.test(request.url())) {
      return request.continue();
    }
    asked.push(request);
    return asked.length === 1 ? request.respond({ status: 404, contentType: "text/plain", body: "gone" }) : undefined;
  });
  await page.setViewport(TABLET);
  await page.goto(address);
  await page.waitForFunction(() => performance.getEntriesByName("ready").length > 0);
  const app = new App(page, await page.createCDPSession());

  // It could not be fetched, and that is said; what asks for it waits.
  await page.waitForFunction(() => document.querySelector(".status").textContent.includes("could not be fetched"));
  assert.match(await app.text(".drawer-content"), /Fetching/);
  await app.pressButton("Help");
  await pause(300);
  assert.equal(await page.$("dialog[open]"), null);
  await app.drag([400, 500], [300, 420]);
  assert.equal(await page.$eval("#stopped", (element) => element.hidden), true);

  // It is asked for again, and everything that waited is there with it.
  for (let waited = 0; asked.length < 2 && waited < 20000; waited += 200) {
    await pause(200);
  }
  assert.equal(asked.length, 2);
  await asked[1].continue();
  await page.waitForSelector("dialog[open]");
  assert.match(await app.text("dialog"), /What to tap first/);
  await page.waitForSelector("#drawer-title");
}
