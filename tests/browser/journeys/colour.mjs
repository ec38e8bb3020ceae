import assert from "node:assert/strict";
import { mkdir, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { App } from "../app.mjs";

export const name = "findings are told apart by word and shape, whatever colours somebody sees";

/** Why it is not tried in Firefox. */
export const onlyChromium = "how somebody sees colours is set by its protocol";

const KINDS = ["none", "achromatopsia", "blurredVision", "deuteranopia", "protanopia", "tritanopia", "reducedContrast"];
const JOB = "Accessory wiring as found, to be judged before purchase";

export async function run({ page, address, drawings }) {
  const app = await App.open(page, address, { width: 1280, height: 900, hasTouch: true, isMobile: true });
  await app.openListed(JOB);
  await app.side("Checks");
  await app.answered();
  for (const type of KINDS) {
    await app.cdp.send("Emulation.setEmulatedVisionDeficiency", { type });
    await app.frames();
    await toldApart(app);
  }
  await app.cdp.send("Emulation.setEmulatedVisionDeficiency", { type: "achromatopsia" });
  await inGrey(app, drawings);
  await app.cdp.send("Emulation.setEmulatedVisionDeficiency", { type: "none" });
  await inTheList(app);
}

/** Word, outline and side line of each entry of the checks; marks on the drawing by their outlines. */
async function toldApart(app) {
  const entries = await app.page.$$eval(".finding", (all) =>
    all.map((one) => ({
      word: one.querySelector(".severity").textContent.split(" ")[0],
      shape: one.querySelector(".mark-outline").getAttribute("d"),
      line: getComputedStyle(one).borderInlineStartStyle,
    })),
  );
  apart(entries, ["word", "shape", "line"]);
  const words = new Set(entries.map(({ word }) => word));
  assert.ok(words.has("Stop") && words.has("Look"), [...words].join());
}

/** Things of one word look alike in each of these, and things of another word do not. */
function apart(entries, keys) {
  for (const key of keys) {
    const byWord = new Map();
    for (const entry of entries) {
      byWord.set(entry.word, (byWord.get(entry.word) ?? new Set()).add(entry[key]));
    }
    const looks = [...byWord.values()].map((all) => [...all].join(" | "));
    assert.equal(new Set(looks).size, byWord.size, `${key}: ${looks.join(" / ")}`);
    assert.ok([...byWord.values()].every((all) => all.size === 1), `${key}: ${looks.join(" / ")}`);
  }
}

/** One picture without colours: what the marks of Stop and Look cover there is not the same. */
async function inGrey(app, drawings) {
  const { page } = app;
  const covered = [];
  for (const word of ["Stop", "Look"]) {
    const clip = await page.evaluate((word) => {
      const mark = [...document.querySelectorAll(".finding")].find((one) => one.querySelector(".severity").textContent.startsWith(word)).querySelector(".mark svg");
      mark.scrollIntoView({ block: "center" });
      const { x, y, width, height } = mark.getBoundingClientRect();
      return { x, y, width, height };
    }, word);
    await app.frames();
    const picture = await page.screenshot({ clip, encoding: "base64" });
    await mkdir(drawings, { recursive: true });
    await writeFile(join(drawings, `mark-${word}-grey.png`), Buffer.from(picture, "base64"));
    covered.push(await page.evaluate(pixels, picture));
  }
  const [stop, look] = covered;
  assert.ok(stop.isGrey && look.isGrey, "the pictures are without colours");
  // By their outlines the octagon covers 0.44 of the upper third of its square, the triangle 0.09.
  assert.ok(stop.upper > 0.35 && look.upper < 0.2, `upper third: ${stop.upper} and ${look.upper}`);
  assert.ok(stop.all > 0.4 && look.all > 0.25, `all: ${stop.all} and ${look.all}`);
}

/** How much of a picture is unlike its upper left corner, in all and in its upper third. */
async function pixels(base64) {
  const bytes = Uint8Array.from(atob(base64), (one) => one.charCodeAt(0));
  const image = await createImageBitmap(new Blob([bytes], { type: "image/png" }));
  const canvas = new OffscreenCanvas(image.width, image.height);
  const context = canvas.getContext("2d");
  context.drawImage(image, 0, 0);
  const { data, width, height } = context.getImageData(0, 0, image.width, image.height);
  const at = (x, y) => data.slice(4 * (y * width + x), 4 * (y * width + x) + 3);
  const [ground] = at(0, 0);
  let [all, upper, isGrey] = [0, 0, true];
  for (let y = 0; y < height; y += 1) {
    for (let x = 0; x < width; x += 1) {
      const [r, g, b] = at(x, y);
      isGrey &&= Math.max(r, g, b) - Math.min(r, g, b) <= 6;
      const isMark = Math.abs(r - ground) > 40;
      all += isMark ? 1 : 0;
      upper += isMark && y < height / 3 ? 1 : 0;
    }
  }
  return { all: all / (width * height), upper: upper / (width * (height / 3)), isGrey };
}

/** The Wire list tells them apart in the same way, and names each color of a wire. */
async function inTheList(app) {
  await app.page.keyboard.press("F2");
  await app.page.waitForSelector("dialog.wires[open] .wires-now");
  const lines = await app.page.$$eval("dialog.wires .finding-line", (all) =>
    all.map((one) => ({
      word: one.querySelector(".severity").textContent.split(" ")[0],
      shape: one.querySelector(".mark-outline").getAttribute("d"),
      line: getComputedStyle(one).borderInlineStartStyle,
    })),
  );
  apart(lines, ["word", "shape", "line"]);
  assert.ok(lines.length > 3, `${lines.length} findings in the list`);
}
