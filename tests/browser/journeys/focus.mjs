import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "what has the focus is never hidden behind something else, at any width";

const WIDTHS = [
  { width: 390, height: 844 },
  { width: 820, height: 1180 },
  { width: 1280, height: 800 },
];

/** The pages that come over the drawing: what is there once each is open, and how many stops it has at least. */
const PAGES = [
  ["Jobs", "dialog.shelf[open] .jobs[aria-busy=false]", 8],
  ["Save", "dialog[open] .choices", 3],
  ["Handover", "dialog.handover[open] .handover-sheets figure", 5],
  ["Workshop", "dialog.workshop[open] .card-form [name=name]", 10],
  ["Help", "dialog[open] h2", 1],
];

export async function run({ page, address }) {
  const app = await App.open(page, address, { ...WIDTHS[1], hasTouch: true, isMobile: true });
  await app.openListed("Driving lamps that stay dark on main beam");
  await app.keepAsItIs();
  for (const size of WIDTHS) {
    await page.setViewport({ ...size, hasTouch: true, isMobile: true });
    await app.frames();
    const [first] = await app.symbols();
    await app.select(first.part);
    for (const side of ["Selected", "Checks", "Switches", "Prove", "Job"]) {
      await app.side(side);
      const stops = await tabThrough(page, `${side}, ${size.width} px`);
      assert.ok(stops > 10, `${side}, ${size.width} px: only ${stops} stops`);
    }
    await app.closeDrawer();
    await app.pressButton("Show all");
    await page.$eval("#wires", (button) => button.click());
    await page.waitForSelector("dialog.wires[open] .wires-now");
    assert.ok((await tabThrough(page, `Wire list, ${size.width} px`)) > 20);
    await page.keyboard.press("Escape");
    await app.noDialog();
    for (const [caption, ready, least] of PAGES) {
      await app.pressButton(caption, ".edge-buttons");
      await page.waitForSelector(ready);
      await app.frames();
      const stops = await tabThrough(page, `${caption}, ${size.width} px`);
      assert.ok(stops >= least, `${caption}, ${size.width} px: only ${stops} stops`);
      await page.keyboard.press("Escape");
      await app.noDialog();
    }
    await app.pressButton("Plan", ".tools");
    await page.waitForSelector("#plan[aria-pressed=true]");
    assert.ok((await tabThrough(page, `Plan, ${size.width} px`)) > 10);
    await app.pressButton("Plan", ".tools");
  }
}

/** Goes through everything by Tab until it begins again; tells how many stops that were. */
async function tabThrough(page, where) {
  await page.evaluate(() => document.activeElement.blur());
  await page.evaluate(() => (window.met = new WeakSet()));
  const hidden = [];
  let stops = 0;
  for (; stops < 300; stops += 1) {
    await page.keyboard.press("Tab");
    await page.evaluate(() => new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve))));
    const seen = await page.evaluate(() => {
      const one = document.activeElement;
      if (one === document.body || one === null) {
        return { isOut: true };
      }
      if (window.met.has(one)) {
        return { isOver: true };
      }
      window.met.add(one);
      // The middle of what lies in the window: what is larger than that, such as the sheets of a job, is scrolled.
      const { left, top, right, bottom } = one.getBoundingClientRect();
      const middle = (from, to, most) => (Math.max(from, 0) + Math.min(to, most - 1)) / 2;
      const at = [middle(left, right, innerWidth), middle(top, bottom, innerHeight)];
      const met = document.elementFromPoint(...at);
      const isSeen = met && (met === one || one.contains(met));
      const told = (element) => element?.outerHTML.slice(0, 90);
      return { why: isSeen ? "" : `${told(one)} at ${at} is behind ${told(met)}` };
    });
    if (seen.isOver) {
      break;
    }
    if (seen.why) {
      hidden.push(seen.why);
    }
  }
  assert.deepEqual(hidden, [], where);
  return stops;
}
