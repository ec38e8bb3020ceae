import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { App, TABLET } from "../app.mjs";
import { closeVersions, nameVersion, openVersions } from "../version.mjs";

export const name = "no screen breaks a rule of WCAG 2.2 AA that a program can see, by day, at night and in forced colours";

/** Why it is not tried in Firefox. */
export const onlyChromium = "forced colours and settings of motion are set by its protocol";

const JOB = "Accessory wiring as found, to be judged before purchase";
const PHONE = { width: 390, height: 844, hasTouch: true, isMobile: true };
// A page is loaded anew when its fingers are taken away.
const DESK = { width: 1280, height: 800, hasTouch: true, isMobile: true };

const LIGHTS = [
  [{ name: "prefers-color-scheme", value: "light" }],
  [{ name: "prefers-color-scheme", value: "dark" }],
  [{ name: "forced-colors", value: "active" }],
];

export async function run({ page, address }) {
  const app = await App.open(page, address, TABLET);
  // What the driver has evaluated is not bound by the policy of the page.
  const source = await readFile(new URL("../node_modules/axe-core/axe.min.js", import.meta.url), "utf8");
  await app.cdp.send("Runtime.evaluate", { expression: source });
  const axe = new Axe(app);
  await axe.look("empty job");
  await app.pressButton("Parts", ".tools");
  await axe.look("part tray");
  await app.pressButton("Parts", ".tools");
  for (const caption of ["Jobs", "Save", "Help"]) {
    await app.pressButton(caption, ".edge-buttons");
    await page.waitForSelector("dialog[open] h2");
    await axe.look(caption);
    await app.pressButton("Close", "dialog[open]");
  }
  await app.openUsedShelf();
  await axe.look("Jobs in use");
  await app.pressButton("Close", "dialog.shelf");
  await app.pressButton("Workshop", ".edge-buttons");
  await page.waitForSelector("dialog.workshop[open] .card-form [name=name]");
  await axe.look("Workshop");
  await app.pressButton("Close", "dialog.workshop");
  await app.openListed(JOB);
  await app.answered();
  for (const side of ["Checks", "Switches", "Prove", "Job"]) {
    await app.side(side);
    await axe.look(side);
  }
  await app.pressButton("Open the details wide", ".tabs");
  await axe.look("Job, details wide open");
  await app.side("Prove");
  await app.openReports();
  await axe.look("Prove, all open");
  await app.closeDrawer();
  const [first] = await app.symbols();
  await app.select(first.part);
  await axe.look("a part, details closed");
  await app.side("Selected");
  await axe.look("a part");
  await app.pressButton("My parts", ".drawer");
  await page.waitForSelector("dialog.my-part[open] [name=name]");
  await axe.look("My parts of a part");
  await app.pressButton("Close", "dialog.my-part");
  await app.keepAsItIs();
  await app.selectWire((await app.job()).wires[0].id);
  await app.side("Selected");
  await axe.look("a wire");
  await app.closeDrawer();
  await openVersions(app);
  await nameVersion(app, "quoted");
  await axe.look("Versions");
  await closeVersions(app);
  await app.pressButton("Plan", ".tools");
  await page.waitForSelector("#plan[aria-pressed=true]");
  await axe.look("Plan");
  await app.pressButton("Plan", ".tools");
  await app.pressButton("Handover", ".edge-buttons");
  await page.waitForSelector("dialog.handover[open]");
  await page.waitForFunction(() => document.querySelectorAll(".handover svg").length > 0);
  await axe.look("Handover");
  await app.pressButton("Close", ".handover-head");
  await app.press("#wires");
  await page.waitForSelector("dialog.wires[open] .wires-now");
  await axe.look("Wire list");
  for (const kind of ["parts", "wires"]) {
    await app.pressButton("Change", `table[aria-labelledby="wires-${kind}"]`);
    await page.waitForSelector(".wires-form h3");
    await axe.look(`Wire list, one of the ${kind}`);
    await app.pressButton("Back to the list", "dialog.wires");
    await page.waitForSelector(".wires-form[hidden]");
  }
  await app.pressButton("Close", ".wires-head");
  await page.$eval("#stopped", (notice) => (notice.hidden = false));
  await axe.look("the app has stopped");
  console.log(`    ${axe.looks} looks at ${axe.screens} screens, ${axe.broken.length} rules broken`);
  assert.deepEqual(axe.broken, []);
}

class Axe {
  constructor(app) {
    Object.assign(this, { app, looks: 0, screens: 0, broken: [] });
  }

  /** Looks at the page in every light and width. */
  async look(screen) {
    const { page } = this.app;
    this.screens += 1;
    for (const [viewport, lights] of [[TABLET, LIGHTS], [PHONE, LIGHTS.slice(0, 2)], [DESK, LIGHTS.slice(0, 2)]]) {
      await page.setViewport(viewport);
      await this.app.frames();
      for (const light of lights) {
        await this.app.cdp.send("Emulation.setEmulatedMedia", { features: light });
        await this.app.frames();
        this.looks += 1;
        const found = await page.evaluate(async (isForced) => {
          const { violations } = await axe.run(document, {
            runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"],
            // It reads the fill color of letters, which a browser tells as it was before colors were forced; those that are
            // seen are the user's own.
            rules: { "target-size": { enabled: true }, "color-contrast": { enabled: !isForced } },
            resultTypes: ["violations"],
          });
          return violations.flatMap(({ id, nodes }) => nodes.map(({ target, failureSummary }) => `${id}: ${target.join(" ")}: ${failureSummary.split("\n")[1]?.trim()}`));
        }, light[0].name === "forced-colors");
        this.broken.push(...found.map((what) => `${screen}, ${viewport.width} px, ${light[0].value}: ${what}`));
      }
    }
    await this.app.cdp.send("Emulation.setEmulatedMedia", { features: [] });
    await page.setViewport(TABLET);
    await this.app.frames();
  }
}
