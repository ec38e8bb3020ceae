import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "nothing scrolls sideways and everything can be pressed, from 320 pixels up";

/** Why it is not tried in Firefox. */
export const onlyChromium = "Firefox complains of what was still on its way when another kind of window loads the page anew";

const SIDES = ["Selected", "Checks", "Switches", "Prove", "Job"];

/** The first choices and the placeholders that are longer than their fields; runs in the page. */
function cutWords(fields) {
  const ARROW = 20;
  const pen = document.createElement("canvas").getContext("2d");
  return fields
    .filter((field) => field.clientWidth > 0)
    .map((field) => {
      const style = getComputedStyle(field);
      const isChoice = field.tagName === "SELECT";
      const words = isChoice ? (field.options[0]?.text ?? "") : field.placeholder;
      const padding = parseFloat(style.paddingLeft) + parseFloat(style.paddingRight) + (isChoice ? ARROW : 0);
      pen.font = style.font;
      return [words, pen.measureText(words).width, field.clientWidth - padding];
    })
    .filter(([, wide, room]) => wide > room)
    .map(([words, wide, room]) => `${words}: ${Math.round(wide)} in ${Math.round(room)}`);
}

export async function run({ page, address }) {
  for (const width of [320, 390, 820, 1440]) {
    const viewport = { width, height: 800, hasTouch: width < 1000, isMobile: width < 1000 };
    const app = await App.open(page, address, viewport);
    const states = {
      empty: async () => {},
      tray: async () => {
        if (width < 1000) {
          await app.pressButton("Parts", ".tools");
        }
      },
      job: async () => {
        if (width < 1000) {
          await app.pressButton("Close", "#tray");
        }
        await app.openListed("Accessory wiring as found, to be judged before purchase");
      },
      selected: async () => {
        await app.tapPart("p1");
        await app.side("Selected");
      },
      donor: async () => {
        await app.tapPart("p5");
        await app.side("Selected");
      },
      working: () => app.openReports(),
      ...Object.fromEntries(SIDES.slice(1).map((side) => [side, () => app.side(side)])),
      reports: async () => {
        await app.side("Switches");
        await app.pressButton("reversing", ".situations");
        await app.openReports();
      },
      shelf: () => app.openUsedShelf(),
      ...Object.fromEntries(
        ["Jobs", "Save", "Handover", "Help"].map((dialog) => [
          `dialog ${dialog}`,
          async () => {
            if (await page.$("dialog[open]")) {
              await app.pressButton("Close", "dialog");
            }
            await app.pressButton(dialog, ".edge-buttons");
            await page.waitForSelector("dialog[open]");
          },
        ]),
      ),
    };
    for (const [name, enter] of Object.entries(states)) {
      await enter();
      await app.frames();
      const [wide, window] = await page.evaluate(() => [
        Math.max(document.documentElement.scrollWidth, visualViewport.width * visualViewport.scale),
        innerWidth,
      ]);
      assert.ok(wide <= width && window <= width, `${name}: ${wide} pixels wide in a window of ${width}`);
      const sideways = await page.$$eval("section, dialog, .drawer-content, header, nav", (boxes) =>
        boxes.filter((box) => box.scrollWidth > box.clientWidth + 1).map((box) => `${box.tagName}.${box.className} ${box.scrollWidth} in ${box.clientWidth}`),
      );
      assert.deepEqual(sideways, [], `${name} at ${width}`);

      // What is used while nothing is said can be read whole, from the width of a common phone up.
      const cut = width < 390 ? [] : await page.$$eval(".field select, .field input", cutWords);
      assert.deepEqual(cut, [], `${name} at ${width}`);

      // A finger in a glove needs room; what belongs to a label is pressed by it.
      const small = await page.$$eval("button, select, summary, input", (elements) =>
        elements
          .filter((element) => element.checkVisibility({ visibilityProperty: true }))
          .map((element) => [element, ["checkbox", "radio"].includes(element.type) ? element.closest("label") : element])
          .filter(([, pressed]) => pressed.getBoundingClientRect().height < 47.99)
          .map(([element, pressed]) => `${element.outerHTML.slice(0, 80)} ${pressed.getBoundingClientRect().height}`),
      );
      assert.deepEqual(small, [], `${name}: too small to press at ${width}`);
    }
  }

  // On a small phone the bar of the selection takes one row of the drawing, whatever is kept.
  const app = await App.open(page, address, { width: 360, height: 740, hasTouch: true, isMobile: true });
  await app.openListed("Accessory wiring as found, to be judged before purchase");
  await app.tapPart("p1");
  const rows = () =>
    page.$$eval(".selection-bar button", (all) => [...new Set(all.filter((one) => one.checkVisibility()).map((one) => one.offsetTop))]);
  await app.frames();
  assert.equal((await rows()).length, 1);
  await app.pressButton("Keep in place", ".selection-bar");
  await app.frames();
  assert.equal((await rows()).length, 1);
}
