import assert from "node:assert/strict";
import { App } from "../app.mjs";
import { Host } from "../host.mjs";
import { pages } from "../pdf.mjs";
import { made } from "./handover.mjs";

export const name = "after the first visit everything works without signal: reload, draw, keep, print";

export const usesServiceWorker = true;

export async function run({ page, newPage, address, addresses }) {
  const host = await Host.start(address);
  addresses.push(host.address);
  await page.evaluateOnNewDocument(() => {
    window.print = () => (window.printed = true);
  });
  try {
    const app = await App.open(page, host.address);
    await page.waitForSelector(".signal", { timeout: 60_000 });
    // There is no host any more, for the page and for what works behind it.
    host.stop();
    await assert.rejects(fetch(host.address));

    await page.reload();
    await app.ready();
    await app.put("battery", () => app.spot([0.3, 0.3]));
    await app.put("lamp", () => app.spot([0.6, 0.5]));
    await app.kept();
    await page.reload();
    await app.ready();
    await app.answered();
    assert.deepEqual((await app.symbols()).map((symbol) => symbol.words.split(",")[0]).sort(), ["battery G1", "lamp E1"]);

    await app.openListed("Night loading lamps and bed electrics");
    await app.answered();
    await app.pressButton("Handover");
    await made(app);
    await app.pressButton("Print", ".handover-do");
    await page.waitForFunction(() => window.printed);
    if (app.cdp) {
      const sheets = await pages(await page.pdf({ preferCSSPageSize: true }));
      assert.ok(sheets.length > 1 && sheets.every(({ text }) => text.length > 100), `${sheets.length} sheets`);
    }

    // Another window on the same device begins without signal too.
    await App.open(await newPage(), host.address);
  } finally {
    host.stop();
  }
}
