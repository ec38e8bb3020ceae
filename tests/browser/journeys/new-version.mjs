import assert from "node:assert/strict";
import { App } from "../app.mjs";
import { Host } from "../host.mjs";

export const name = "a new version waits until it is asked for, and brings the same job with files of one build";

export const usesServiceWorker = true;

export async function run({ page, address, addresses }) {
  const host = await Host.start(address);
  addresses.push(host.address);
  try {
    const app = await App.open(page, host.address);
    await page.waitForSelector(".signal", { timeout: 60_000 });
    await app.openListed("Night loading lamps and bed electrics");
    await app.keepAsItIs();
    const before = await app.job();

    host.build = "b";
    await page.evaluate(async () => (await navigator.serviceWorker.ready).update());
    await page.waitForSelector("#new-version", { timeout: 60_000 });
    // Nothing changes by itself, by a reload neither.
    assert.equal(await build(page), "a");
    await page.reload();
    await app.ready();
    await page.waitForSelector("#new-version", { timeout: 60_000 });
    assert.equal(await build(page), "a");

    const asked = [];
    page.on("request", (request) => asked.push(request.url()));
    await Promise.all([page.waitForNavigation(), app.pressButton("New version ready: change to it")]);
    await app.ready();
    await app.answered();
    assert.equal(await build(page), "b");
    assert.deepEqual(await app.job(), before);
    const modules = asked.filter((url) => /\/assets\/(b-)?(start|web)-/.test(url)).map((url) => url.slice(host.address.length));
    assert.ok(modules.length >= 3 && modules.every((path) => path.startsWith("assets/b-")), modules.join("\n"));
  } finally {
    host.stop();
  }
}

/** Which build the page is of. */
function build(page) {
  return page.$eval('script[type="module"]', (script) => (script.src.includes("/assets/b-") ? "b" : "a"));
}
