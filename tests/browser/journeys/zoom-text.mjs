import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "with letters twice as large on a window of 320 pixels nothing scrolls sideways and no words are cut";

export async function run({ page, address }) {
  const app = await App.open(page, address, { width: 320, height: 800, hasTouch: true, isMobile: true });
  await page.evaluate(() => (document.documentElement.style.fontSize = "200%"));
  await app.frames(4);
  const found = [];
  const look = async (screen) => {
    await app.frames();
    found.push(...(await page.evaluate(measure)).map((what) => `${screen}: ${what}`));
  };
  await look("first screen");
  for (const caption of ["Jobs", "Save", "Help", "Workshop"]) {
    await app.pressButton(caption, ".edge-buttons");
    await page.waitForSelector("dialog[open] h2");
    await look(caption);
    await app.pressButton("Close", "dialog[open]");
  }
  await app.openUsedShelf();
  await look("Jobs in use");
  await app.pressButton("Close", "dialog.shelf");
  await app.openListed("Driving lamps that stay dark on main beam");
  for (const side of ["Checks", "Switches", "Prove", "Job"]) {
    await app.side(side);
    await look(side);
  }
  await app.pressButton("Handover", ".edge-buttons");
  await page.waitForFunction(() => document.querySelectorAll(".handover svg").length > 0);
  await look("Handover");
  assert.ok(found.length === 0, [...new Set(found)].join("\n"));
}

/** Runs in the page: what is wider than its place, tables and the drawing left out, and what is cut. */
function measure() {
  const name = (one) => `<${one.tagName.toLowerCase()} ${one.className?.baseVal ?? one.className}> “${(one.innerText ?? "").trim().replace(/\s+/g, " ").slice(0, 30)}”`;
  const top = [...document.querySelectorAll("dialog[open]")].at(-1) ?? document.body;
  const all = [...top.querySelectorAll("*")].filter((one) => one.checkVisibility() && !one.closest("svg, .worktop, .wide, table, .handover-sheets, #paper"));
  const wide = all
    .filter((one) => one.scrollWidth > one.clientWidth + 1 && one.clientWidth > 0 && ["auto", "scroll"].includes(getComputedStyle(one).overflowX))
    .map((one) => `${name(one)} scrolls sideways: ${one.scrollWidth} in ${one.clientWidth}`);
  if (document.documentElement.scrollWidth > innerWidth) {
    wide.push(`the page is ${document.documentElement.scrollWidth} wide`);
  }
  const outside = all
    .filter((one) => one.matches("button, input, select, summary, p, h1, h2, h3, label"))
    .filter((one) => one.getBoundingClientRect().right > innerWidth + 1 || one.getBoundingClientRect().left < -1)
    .map((one) => `${name(one)} leaves the window`);
  // A title may end in an ellipsis; the whole of it stands on the Job side.
  const cut = all
    .filter((one) => one.matches("button, summary, label, p, h2, h3") && one.scrollWidth > one.clientWidth + 1 && getComputedStyle(one).overflowX !== "visible" && !one.matches(".kept"))
    .map((one) => `${name(one)} is cut`);
  return [...wide, ...outside, ...cut];
}
