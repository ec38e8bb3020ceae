import assert from "node:assert/strict";
import { App } from "../app.mjs";
import { tooTight } from "../targets.mjs";
import { closeVersions, nameVersion, openVersions } from "../version.mjs";

export const name = "everything that can be pressed is large enough for a finger, and for a glove, and stands apart";

const JOB = "Accessory wiring as found, to be judged before purchase";
const SIDES = ["Checks", "Switches", "Prove", "Job"];

export async function run({ page, address }) {
  const found = [];
  for (const [width, height] of [[390, 844], [820, 1180], [1280, 800]]) {
    const viewport = { width, height, hasTouch: true, isMobile: true };
    const app = await App.open(page, address, viewport);
    for (const [least, gloves] of [[48, "no gloves"], [72, "gloves"]]) {
      await page.evaluate((on) => (localStorage["loomwright.device"] = JSON.stringify(on ? { gloves: "on" } : {})), least > 48);
      await page.goto("about:blank");
      await page.goto(address);
      await app.ready();
      for await (const screen of screens(app, width)) {
        await app.frames();
        const tight = await tooTight(page, { least });
        found.push(...tight.map((what) => `${width} px, ${gloves}, ${screen}: ${what}`));
      }
    }
  }
  assert.ok(found.length === 0, [...new Set(found)].join("\n"));
}

/** Goes to one screen after the other. */
async function* screens(app, width) {
  const { page } = app;
  yield "first screen";
  if (width < 1000) {
    await app.pressButton("Parts", ".tools");
    yield "parts";
    await app.pressButton("Close", "#tray");
  }
  for (const caption of ["Jobs", "Save", "Help", "Workshop"]) {
    await app.pressButton(caption, ".edge-buttons");
    await page.waitForSelector(caption === "Workshop" ? "dialog[open] .card-form [name=name]" : "dialog[open] h2");
    yield caption;
    await app.pressButton("Close", "dialog[open]");
  }
  await app.openUsedShelf();
  yield "Jobs in use";
  await app.pressButton("Close", "dialog.shelf");
  await app.openListed(JOB);
  for (const side of SIDES) {
    await app.side(side);
    yield side;
  }
  await app.side("Prove");
  await app.openReports();
  yield "Prove, all open";
  await app.closeDrawer();
  await app.tool("Draw");
  await app.tapPart((await app.symbols())[0].part);
  yield "a part, details closed";
  await app.side("Selected");
  yield "a part";
  await app.pressButton("My parts", ".drawer");
  await page.waitForSelector("dialog.my-part[open] [name=name]");
  yield "My parts of a part";
  await app.pressButton("Close", "dialog.my-part");
  if (await page.$(".drawer input[inputmode=decimal]")) {
    await app.press(".drawer input[inputmode=decimal]");
    yield "number pad";
    await app.pressButton("Done", ".pad");
  }
  await app.closeDrawer();
  await app.pressButton("Plan", ".tools");
  await page.waitForSelector("#plan[aria-pressed=true]");
  yield "Plan";
  await app.pressButton("Plan", ".tools");
  await app.pressButton("Handover", ".edge-buttons");
  await page.waitForFunction(() => document.querySelectorAll(".handover svg").length > 0);
  yield "Handover";
  await app.pressButton("Close", ".handover-head");
  await app.keepAsItIs();
  await openVersions(app);
  await nameVersion(app, "quoted");
  yield "Versions";
  await closeVersions(app);
}
