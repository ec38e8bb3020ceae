import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "everything has a name for those who listen, and shows where the focus is";

/** Why it is not tried in Firefox. */
export const onlyChromium = "what is told to those who listen is read by its protocol";

/** What can be worked, by its role in the accessibility tree. */
const WORKED = ["button", "textbox", "combobox", "checkbox", "link", "DisclosureTriangle"];

export async function run({ page, address }) {
  const app = await App.open(page, address, { width: 1280, height: 900 });
  await named(page, "empty");

  await app.openListed("Driving lamps that stay dark on main beam");
  await app.keepAsItIs();
  const { parts, situations } = await app.job();
  const { name: burning } = situations.at(-1);
  await app.side("Switches");
  await app.pressButton(burning, ".situations");
  await app.answered();
  await named(page, "job");

  // Every part is in the tree by its name and tells what it carries.
  const nodes = await tree(page);
  for (const part of parts) {
    const own = nodes.filter(({ role, name }) => role === "button" && new RegExp(`\\b${part.label}\\b`).test(name));
    assert.ok(own.length > 0, `${part.kind} ${part.label} is not in the tree`);
    // A joint of wires has nothing to tell.
    const tells = own.some(({ name }) => /, \S/.test(name)) || ["bar", "splice", "earth"].includes(part.kind);
    assert.ok(tells, `${part.kind} ${part.label} tells nothing: ${own.map(({ name }) => name)}`);
  }
  const lamp = nodes.find(({ role, name }) => role === "button" && name.startsWith("lamp E3"));
  assert.match(lamp.name, /\d A\b/, lamp.name);

  for (const side of ["Checks", "Prove", "Job"]) {
    await app.side(side);
    await named(page, side);
  }
  await app.side("Switches");
  await app.openReports();
  await named(page, "reports");
  for (const part of parts) {
    await app.tapPart(part.id);
    await app.side("Selected");
    await named(page, `part ${part.label}`);
  }
  await app.selectWire((await app.job()).wires[0].id);
  await named(page, "wire");

  // Each stop of Tab is seen.
  await page.evaluate(() => document.activeElement.blur());
  const plain = [];
  for (let i = 0; i < 80; i += 1) {
    await page.keyboard.press("Tab");
    const seen = await page.evaluate(() => {
      const element = document.activeElement;
      const { outlineStyle, outlineWidth, outlineColor } = getComputedStyle(element);
      const invisible = outlineStyle === "none" || parseFloat(outlineWidth) < 2 || outlineColor.startsWith("rgba(0, 0, 0, 0");
      return element !== document.body && invisible ? element.outerHTML.slice(0, 120) : "";
    });
    if (seen) {
      plain.push(seen);
    }
  }
  assert.deepEqual([...new Set(plain)], []);

  await page.keyboard.press("F2");
  await page.waitForSelector("dialog.wires[open] .wires-now");
  await named(page, "dialog Wire list");
  await app.pressButton("Change", "dialog.wires tbody");
  await page.waitForSelector(".wires-form h3");
  await named(page, "dialog Wire list, a part");
  await page.keyboard.press("Escape");
  await page.waitForSelector(".wires-form[hidden]");
  await page.keyboard.press("Escape");
  await app.noDialog();

  for (const dialog of ["Jobs", "Save", "Handover", "Help"]) {
    await app.pressButton(dialog, ".edge-buttons");
    await page.waitForSelector("dialog[open]");
    await named(page, `dialog ${dialog}`);
    const inside = (await tree(page)).find(({ role }) => role === "dialog");
    assert.notEqual(inside?.name ?? "", "", `the dialog ${dialog} has a name`);
    await page.keyboard.press("Escape");
    await app.noDialog();
  }
}

/** Everything in the accessibility tree. */
async function tree(page) {
  const nodes = [];
  const walk = (node) => {
    nodes.push({ role: node.role, name: node.name ?? "" });
    (node.children ?? []).forEach(walk);
  };
  walk(await page.accessibility.snapshot());
  return nodes;
}

async function named(page, state) {
  const nodes = await tree(page);
  const worked = nodes.filter(({ role }) => WORKED.includes(role));
  assert.ok(worked.length > 10 || state.startsWith("dialog"), `${state}: there is something to work`);
  const nameless = worked.filter(({ name }) => name.trim() === "");
  assert.deepEqual(nameless, [], `${state}: something has no name`);
}
