import assert from "node:assert/strict";
import { readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { App } from "../app.mjs";

export const name = "a file over which the worker stops leaves the open job its results";

/** Why it is not tried in Firefox. */
export const onlyChromium = "answers of the network are replaced by its protocol";

/** Takes the place of the module's own word in the worker: it stops over a file with this mark, after a while. */
const REPLY = `
  const reply = (bytes) => {
    if (new TextDecoder().decode(bytes).includes("stop over this")) {
      const until = performance.now() + 1500;
      while (performance.now() < until);
      throw new Error("stopped over the file");
    }
    return replies(bytes);
  };`;

export async function run({ page, address, downloads }) {
  const cdp = await page.createCDPSession();
  let replaced = 0;
  cdp.on("Fetch.requestPaused", async ({ requestId, request }) => {
    replaced += 1;
    const script = await (await fetch(request.url)).text();
    const body = script.replace("{ reply, checked }", "{ reply as replies, checked }") + REPLY;
    await cdp.send("Fetch.fulfillRequest", {
      requestId,
      responseCode: 200,
      responseHeaders: [{ name: "Content-Type", value: "text/javascript" }],
      body: Buffer.from(body).toString("base64"),
    });
  });
  await cdp.send("Fetch.enable", { patterns: [{ urlPattern: "*/worker-????????????????.js" }] });
  const app = await App.open(page, address);
  // It is only looked at: of a kept job another worker would make a picture.
  await app.openListed("Driving lamps that stay dark on main beam");
  assert.equal(replaced, 1);
  const findings = await app.findings();

  const bad = join(downloads, "stops.json");
  const job = await readFile(fileURLToPath(new URL("../../../fixtures/files/v7/first-job.json", import.meta.url)), "utf8");
  await writeFile(bad, job.replace("One lamp on a switch", "stop over this"));

  // The file is refused, and nothing else happens.
  await app.openFile(bad);
  await page.waitForFunction(() => document.querySelector("dialog.shelf .refused").innerText.includes("stopped over the file"));
  await app.pressButton("Close", "dialog");
  assert.deepEqual(await app.findings(), findings);

  // A question that was asked while the file was being read is answered nevertheless.
  await app.openFile(bad);
  await app.pressButton("Close", "dialog");
  await app.noDialog();
  await app.select((await app.symbols())[0].part);
  assert.ok(await page.$("#drawing.stale"), "the worker is busy with the file");
  assert.deepEqual(await app.findings(), findings);
  assert.equal(replaced, 3);
}
