import assert from "node:assert/strict";
import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import { App } from "../app.mjs";
import { between } from "../fingers.mjs";
import { PlanOnPage } from "../plan-on-page.mjs";

export const name = "parts put on the plan give lengths and bundles that change what is found, and a relay moves to where it should sit";

/** Two lamps at the rear, one by a relay with a thin feed; no length is known. */
const JOB = {
  format: "loomwright-job",
  version: 4,
  card: { title: "Two rear lamps" },
  settings: { nominal_v: 12 },
  parts: [
    { id: "g1", kind: "battery", label: "G1", status: "existing" },
    { id: "f1", kind: "fuse", label: "F1", values: { rating_a: 20, family: "blade-C" } },
    { id: "f2", kind: "fuse", label: "F2", values: { rating_a: 20, family: "blade-C" } },
    { id: "k1", kind: "relay", label: "K1", values: { contact: "make", suppression: "resistor", contact_a: 30 } },
    { id: "s1", kind: "switch", label: "S1", values: { action: "on-off", rating_a: 20 } },
    { id: "s2", kind: "switch", label: "S2", values: { action: "on-off", rating_a: 20 } },
    { id: "e1", kind: "lamp", label: "E1", values: { watts: 100 } },
    { id: "e2", kind: "lamp", label: "E2", values: { watts: 100 } },
    { id: "x1", kind: "earth", label: "X1", values: { surface: "bare metal" } },
    { id: "x2", kind: "earth", label: "X2", values: { surface: "bare metal" } },
  ],
  wires: [
    ["g1.+", "f1.1"],
    ["f1.2", "k1.30"],
    ["k1.87", "e1.1"],
    ["e1.2", "x1.1"],
    ["f1.2", "s1.in"],
    ["s1.out", "k1.86"],
    ["k1.85", "x2.1"],
    ["g1.+", "f2.1"],
    ["f2.2", "s2.in"],
    ["s2.out", "e2.1"],
    ["e2.2", "x1.1"],
  ].map(([from, to], index) => ({ id: `w${index + 1}`, label: `W${index + 1}`, from, to, size: { mm2: index === 2 ? 1.5 : 2.5 } })),
  situations: [{ name: "both lamps", set: { s1: "on", s2: "on" } }],
};

/** Where each part is put at first: the relay where nobody would want it. */
const AT = {
  "battery tray": ["g1", "f1", "f2"],
  tail: ["e1", "e2", "x1"],
  dash: ["s1", "x2"],
  "under the seats": ["k1"],
};

export async function run({ page, address, downloads }) {
  const app = await App.open(page, address);
  const path = join(downloads, "rear-lamps.json");
  await writeFile(path, JSON.stringify(JOB));
  await app.openFile(path);
  await page.waitForFunction(() => document.querySelectorAll("#drawing .symbol").length > 9);
  const fuse = ({ message }) => /^Fuse F1 lets 20 A pass, too much for wire W2/.test(message);
  const drop = ({ message }) => /^Lamp E1, .* is lost on the way/.test(message);
  const unplaced = await app.findings();
  assert.ok(!unplaced.some(fuse) && !unplaced.some(drop), JSON.stringify(unplaced));

  // A plan is drawn, and the parts are put at its places.
  const plan = new PlanOnPage(app);
  await app.closeDrawer();
  await app.pressButton("Plan", ".tools");
  await plan.drawn();
  await app.pressButton("Begin with a truck", ".plan-form");
  await page.waitForFunction(() => document.querySelectorAll(".plan-sheet [data-place]").length > 5);
  const places = (await app.job()).plan.places;
  const called = (name) => places.find((place) => place.name === name).id;
  // The loom from the battery is clipped along the body instead of lying in a conduit.
  const loom = (await app.job()).plan.routes.find(({ from, to }) => from === called("battery tray") && to === called("bulkhead")).id;
  await app.tap(between(await plan.of(called("battery tray")), await plan.of(called("bulkhead")), 0.5));
  assert.equal(await plan.chosen("route"), loom);
  await page.select(`[data-change="plan-route ${loom} kind"]`, "along the chassis");
  await plan.until(async () => (await plan.route(loom)).kind === "along the chassis");
  const sits = async (part) => (await app.job()).parts.find(({ id }) => id === part).place;
  const put = async (part, name) => {
    const place = called(name);
    await app.tap(await plan.of(place));
    await page.waitForSelector(`.plan-sheet [data-place="${place}"].chosen`);
    await plan.press(`plan-put ${place} ${part}`);
    await plan.until(async () => (await sits(part)) === place);
  };
  for (const [name, parts] of Object.entries(AT)) {
    for (const part of parts) {
      await put(part, name);
    }
  }

  // With the lengths of their ways the lamp loses too much; its feed is the one loaded wire of its loom, so the fuse fits it.
  const laid = await app.findings();
  assert.ok(laid.some(drop), JSON.stringify(laid));
  assert.ok(!laid.some(fuse), JSON.stringify(laid));
  await app.closeDrawer();

  // The second lamp's feed comes into the same loom: two loaded wires together carry less, and the fuse is too large.
  await put("s2", "dash");
  const bundled = await app.findings();
  assert.ok(bundled.some(fuse), JSON.stringify(bundled));
  await app.closeDrawer();

  // The relay is moved to the place that is offered, in one step.
  await app.pressButton("Plan", ".tools");
  await app.select("k1");
  await app.side("Selected");
  const summary = await page.waitForSelector(".drawer summary::-p-text(Where should it sit?)");
  await app.press(summary);
  await page.waitForSelector(".drawer [data-ask='sat k1']");
  await app.pressButton("Try the places", ".drawer");
  await page.waitForFunction(() => [...document.querySelectorAll(".drawer button")].some((one) => one.innerText === "Move it there"), { timeout: 60000 });
  const told = await page.$eval(".drawer [data-report='sit k1']", (one) => one.innerText.replaceAll("\u00a0", " "));
  assert.match(told, /Best: dash/);
  assert.match(told, /saves [\d.]+ g of copper and [\d.]+ m of wire/);
  const before = await app.jobText();
  await app.pressButton("Move it there", ".drawer");
  await plan.until(async () => (await sits("k1")) === called("dash"));
  await app.pressButton("Undo", ".tools");
  await plan.until(async () => (await sits("k1")) === called("under the seats"));
  assert.equal(await app.jobText(), before);
}
