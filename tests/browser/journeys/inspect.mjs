import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "wiring as found is inspected: a size that is not known makes a doubt, and filling it in clears it";

/** Why it is not tried in Firefox. */
export const onlyChromium = "in Firefox the Tab key leads on into its own bars, which cannot be driven";

const JOB = "Accessory wiring as found, to be judged before purchase";
const DESKTOP = { width: 1280, height: 900 };

export async function run({ page, address }) {
  await byTouch(await App.open(page, address));
  await byKeyboard(await App.open(page, address, DESKTOP));
}

async function byTouch(app) {
  await app.openListed(JOB);
  await forgetSize(app);
  await app.side("Checks");
  await open(app);
  await app.pressButton("Inspect what is drawn", ".report");
  const first = await inspected(app);
  assert.match(first, /^Do not drive it\. Found: \d+ sure \(\d+ can start a fire\), \d+ possible/);
  assert.match(first, /Read the size printed on wire W45, or measure its conductor\. At 1\.5 mm² or less: this wire can catch fire/);
  assert.match(first, /Stop, possible: wire W45/);
  assert.match(first, /What was not drawn was not judged/);
  const small = await app.page.$$eval(".report button", (all) => all.filter((one) => one.getClientRects().length > 0 && one.getBoundingClientRect().height < 44).map((one) => one.innerText));
  assert.deepEqual(small, [], "every button is large enough to touch");

  // The entry leads to the wire and to the field that is empty; with a thick wire the doubt is gone.
  await fillIn(app, "4 mm²");
  await app.side("Checks");
  await open(app);
  await app.page.waitForSelector(".report.old");
  await app.pressButton("Inspect again", ".report");
  const thick = await inspected(app);
  assert.doesNotMatch(thick, /W45/);

  // With a thin one it is sure. Undo brings the doubt back.
  await app.pressButton("Undo", ".tools");
  await app.side("Checks");
  await open(app);
  await app.pressButton("Inspect again", ".report");
  assert.match(await inspected(app), /Stop, possible: wire W45/);
  await fillIn(app, "0.75 mm²");
  await app.side("Checks");
  await open(app);
  await app.pressButton("Inspect again", ".report");
  assert.match(await inspected(app), /Stop, sure: wire W45/);
}

async function byKeyboard(app) {
  await app.openListed(JOB);
  await forgetSize(app);
  await app.side("Checks");
  await app.answered();
  const press = async (caption, tag = "BUTTON") => {
    await tabTo(app, caption, tag);
    await app.page.keyboard.press("Enter");
    await app.frames();
  };
  await press("Inspect what is there", "SUMMARY");
  await app.page.waitForSelector(".report [data-ask=inspected]");
  await press("Inspect what is drawn");
  assert.match(await inspected(app), /Stop, possible: wire W45/);
  await press("Fill in: wire W45");
  await app.page.waitForFunction(() => document.querySelector("#drawer-title").textContent.includes("W45"));
  await tabTo(app, "Size", "SELECT");
  await app.page.keyboard.type("0.75");
  await app.page.keyboard.press("Tab");
  await app.answered();
  await press("Checks");
  await app.answered();
  await press("Inspect what is there", "SUMMARY");
  await press("Inspect again");
  assert.match(await inspected(app), /Stop, sure: wire W45/);
}

/** Takes the size of W45 away, as if nobody could read it. */
async function forgetSize(app) {
  await app.findings();
  const entry = await app.page.evaluateHandle(() =>
    [...document.querySelectorAll(".finding")].find((one) => one.querySelector(".subject").textContent.includes("W45")),
  );
  await app.press(await entry.evaluateHandle((one) => [...one.querySelectorAll("button")].find((button) => button.textContent === "Show where")));
  await app.side("Selected");
  await app.fill("Size", "");
  await app.answered();
}

async function fillIn(app, size) {
  await app.pressButton("Fill in: wire W45", ".report");
  await app.page.waitForFunction(() => document.querySelector("#drawer-title").textContent.includes("W45"));
  await app.side("Selected");
  await app.fill("Size", size);
  await app.answered();
}

/** Opens what stands under the caption, unless it is open. */
async function open(app) {
  await app.answered();
  const handle = await app.page.waitForFunction(() => [...document.querySelectorAll(".drawer summary")].find((one) => one.innerText === "Inspect what is there"));
  if (!(await handle.evaluate((one) => one.parentElement.open))) {
    await app.press(handle);
  }
  await app.page.waitForFunction((one) => one.nextElementSibling.childElementCount > 0, { timeout: 60000 }, handle);
}

/** What the inspection of the job as it is tells. */
async function inspected(app) {
  const place = '[data-report="inspect"]';
  await app.page.waitForFunction(
    (place) => {
      const report = document.querySelector(place);
      return report?.querySelector("h4") && !report.matches(".old, .asked") && !report.querySelector("progress");
    },
    { timeout: 120000 },
    place,
  );
  return app.page.$eval(place, (one) => one.innerText.replaceAll("\n\n", "\n"));
}

/** Goes on by Tab to what says `caption`. */
async function tabTo(app, caption, tag) {
  for (let i = 0; i < 400; i += 1) {
    const is = await app.page.evaluate(
      (caption, tag) => {
        const one = document.activeElement;
        const says = one.closest(".field")?.querySelector(".caption").textContent ?? one.textContent.trim();
        return one.tagName === tag && says.startsWith(caption);
      },
      caption,
      tag,
    );
    if (is) {
      return;
    }
    await app.page.keyboard.press("Tab");
  }
  assert.fail(`Tab never comes to “${caption}”`);
}
