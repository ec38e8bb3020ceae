import assert from "node:assert/strict";
import { readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { App, TABLET } from "../app.mjs";

export const name = "a file is given by whichever way the browser has: a picker, the share sheet, or a download; it opens again as the same job";

export const onlyChromium = "whether a hand has fingers alone is set by its protocol";

export async function run({ page, address, downloads }) {
  // The share sheet of a tablet.
  await page.evaluateOnNewDocument(shares);
  const app = await App.open(page, address, TABLET);
  await app.put("battery", () => app.spot([0.3, 0.3]));
  await app.put("lamp", () => app.spot([0.6, 0.5]));
  await app.kept();
  const job = await app.job();
  await giveAway(app);
  assert.match(await app.status(), /^Shared /);
  const [drawing] = await page.evaluate(() => window.shared);
  assert.equal(drawing.type, "image/svg+xml");
  assert.match(drawing.name, /\.svg$/);

  // Who puts the sheet away has nothing saved, and is told so; where sharing is refused there is a download.
  await page.evaluate(() => (window.answer = "AbortError"));
  await giveAway(app);
  assert.equal(await app.status(), "Not saved");
  await page.evaluate(() => (window.answer = "NotAllowedError"));
  const downloaded = await readFile(await app.save("Drawing (SVG)", downloads), "utf8");
  assert.match(await app.status(), /is with your downloads$/);
  assert.equal(downloaded, drawing.text, "whichever way it went, it is the same file");

  // A picker, where there is one.
  await page.evaluate(picks);
  await giveAway(app);
  assert.match(await app.status(), /^Saved /);
  assert.equal(await page.evaluate(() => window.written), drawing.text);

  // What was shared opens again as the job it was, whatever has become of that.
  await app.put("fuse", () => app.spot([0.6, 0.8]));
  await app.kept();
  assert.notDeepEqual(await app.job(), job);
  const path = join(downloads, "shared.svg");
  await writeFile(path, drawing.text);
  await app.openFile(path);
  await app.noDialog();
  await app.keepAsItIs();
  assert.deepEqual(await app.job(), job);
}

/** Saves the drawing and waits until that is told. */
async function giveAway(app) {
  await app.pressButton("Save", ".edge-buttons");
  const button = await app.page.waitForSelector("dialog[open] ::-p-text(Drawing (SVG))");
  await app.press(await button.evaluateHandle((element) => element.closest("button")));
  await app.noDialog();
}

/** Runs in the page: a device that can share files, and answers as `window.answer` says. */
function shares() {
  window.shared = [];
  navigator.canShare = ({ files }) => files.length > 0;
  navigator.share = async ({ files: [file] }) => {
    if (window.answer) {
      throw new DOMException("not shared", window.answer);
    }
    window.shared.push({ name: file.name, type: file.type, text: await file.text() });
  };
}

/** Runs in the page: a device with a picker that takes whatever is written. */
function picks() {
  window.showSaveFilePicker = async ({ suggestedName }) => ({
    name: suggestedName,
    createWritable: async () => ({ write: async (blob) => (window.written = await blob.text()), close: async () => {} }),
  });
}
