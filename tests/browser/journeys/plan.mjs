import assert from "node:assert/strict";
import { App, pause } from "../app.mjs";
import { between } from "../fingers.mjs";
import { PlanOnPage } from "../plan-on-page.mjs";

export const name = "a vehicle plan is drawn by tap: places, routes, lengths, and what sits where";

export async function run({ page, address }) {
  const app = await App.open(page, address);
  const [battery, lamp] = await circuit(app);
  const wire = (await app.wireBetween(battery, lamp)).id;
  const plan = new PlanOnPage(app);
  const fetched = [];
  page.on("request", (request) => fetched.push(request.url()));

  // What the plan needs is fetched when it is first opened, and a plan to start from is taken.
  await app.pressButton("Plan", ".tools");
  await plan.drawn();
  assert.ok(fetched.some((url) => /plan-\w+\.js$/.test(url)) && fetched.some((url) => /plan-\w+\.css$/.test(url)));
  await app.pressButton("Begin with a van", ".plan-form");
  await page.waitForFunction(() => document.querySelectorAll(".plan-sheet [data-place]").length > 5);
  const begun = (await app.job()).plan;
  assert.equal(begun.outline.shape, "van");

  // A place by tap, called something.
  await app.pressButton("Add places", ".plan-tools");
  const free = await plan.seen(430, 150);
  await app.tap(free);
  await plan.chosen("place");
  const added = (await app.job()).plan.places.find(({ id }) => !begun.places.some((one) => one.id === id));
  assert.ok(Math.abs(added.x_cm - 430) <= 5 && Math.abs(added.y_cm - 150) <= 5, JSON.stringify(added));
  assert.deepEqual([added.x_cm % 5, added.y_cm % 5], [0, 0]);
  await plan.fill(`plan-place ${added.id} name`, "step");
  await plan.until(async () => (await plan.place(added.id)).name === "step");
  await app.pressButton("Add places", ".plan-tools");

  // A route between two places by two taps, measured off the plan until its length is typed.
  const tail = begun.places.find(({ name }) => name === "tail").id;
  await app.pressButton("Add routes", ".plan-tools");
  await app.tap(await plan.of(added.id));
  assert.match(await app.text(".plan-hint"), /the other place/);
  await app.tap(await plan.of(tail));
  await plan.chosen("route");
  const route = (await app.job()).plan.routes.find(({ id }) => !begun.routes.some((one) => one.id === id));
  assert.deepEqual([route.from, route.to, route.length_m], [added.id, tail, undefined]);
  const field = `plan-route ${route.id} length`;
  assert.match(await page.$eval(`[data-change="${field}"]`, (input) => input.placeholder), /^≈ [\d.]+, measured off the plan$/);
  await app.pressButton("Add routes", ".plan-tools");
  await plan.fill(field, "1,8 m");
  await plan.until(async () => (await plan.route(route.id)).length_m === 1.8);
  await page.select(`[data-change="plan-route ${route.id} kind"]`, "over a hinge");
  await plan.until(async () => (await plan.route(route.id)).kind === "over a hinge");
  await plan.fill(field, "long");
  await page.waitForFunction(() => /“long” is no length/.test(document.querySelector(".status").innerText));
  assert.equal((await plan.route(route.id)).length_m, 1.8);

  // Parts are put at places, and taken away, by a tap on each.
  const tray = begun.places.find(({ name }) => name === "battery tray").id;
  const sits = async (part) => (await app.job()).parts.find(({ id }) => id === part).place;
  await app.tap(await plan.of(tray));
  await plan.press(`plan-put ${tray} ${battery}`);
  await plan.until(async () => (await sits(battery)) === tray);
  await app.tap(await plan.of(added.id));
  await plan.press(`plan-put ${added.id} ${lamp}`);
  await plan.until(async () => (await sits(lamp)) === added.id);
  await plan.press(`plan-put ${added.id} ${lamp}`);
  await plan.until(async () => (await sits(lamp)) === undefined);
  await plan.undo("Undo", async () => (await sits(lamp)) === added.id);
  assert.equal(await plan.chosen("place"), added.id, "what was chosen stays so when the job changes");

  // One tap shows a wire on both, the diagram and the plan.
  await app.pressButton("Done", ".plan-form");
  const summary = await page.waitForSelector(".plan-form summary::-p-text(Wires and their ways)");
  await app.press(summary);
  await plan.press(`show ${wire}`);
  await page.waitForFunction(() => document.querySelectorAll(".plan-sheet .route.lit").length > 4);
  const way = await app.text(".plan-form");
  assert.match(way, /Wire W1: ≈ [\d.]+ m by battery tray, bulkhead, dash, under the seat, .*tail, step/);
  assert.match(await app.text("#drawer-title"), /W1/, "the details show it too");
  assert.ok(await page.$("#drawing .under polyline.picked"), "and the drawing");

  // A place is dragged; a second finger takes the drag back; keys move it too, in one step.
  const before = await plan.place(added.id);
  const from = await plan.of(added.id);
  await app.drag(from, [from[0] - 60, from[1] - 20], { release: false });
  await app.touch("touchStart", [[from[0] - 60, from[1] - 20], [from[0] + 80, from[1] + 80]]);
  await app.touch("touchEnd", []);
  await pause(200);
  assert.deepEqual(await plan.place(added.id), before, "a second finger takes back what the first began");
  const again = await plan.of(added.id);
  await app.drag(again, [again[0] - 60, again[1] - 20]);
  await plan.until(async () => (await plan.place(added.id)).x_cm < before.x_cm);
  const dragged = await plan.place(added.id);
  assert.deepEqual([dragged.x_cm % 5, dragged.y_cm % 5, dragged.name], [0, 0, "step"]);
  await page.$eval(`[data-place="${added.id}"]`, (one) => one.focus());
  await page.keyboard.press("ArrowRight");
  await page.keyboard.down("Shift");
  await page.keyboard.press("ArrowUp");
  await page.keyboard.up("Shift");
  await plan.until(async () => (await plan.place(added.id)).y_cm === dragged.y_cm - 50);
  assert.equal((await plan.place(added.id)).x_cm, dragged.x_cm + 5);
  assert.equal(await page.evaluate(() => document.activeElement.dataset.place), added.id, "the focus stays with it");
  await plan.undo("Undo", async () => (await plan.place(added.id)).x_cm === dragged.x_cm);
  await plan.undo("Undo", async () => (await plan.place(added.id)).x_cm === before.x_cm);
  await plan.undo("Redo", async () => (await plan.place(added.id)).x_cm === dragged.x_cm);

  // Two fingers look closer, and change nothing; what is deleted takes its routes with it and comes back.
  const job = await app.jobText();
  const size = await plan.scale();
  const middle = await plan.seen(280, 100);
  await app.pinch([between(middle, from, 0.1), [middle[0] - 150, middle[1]]], [[middle[0] + 20, middle[1]], [middle[0] + 150, middle[1]]]);
  assert.ok((await plan.scale()) > 1.5 * size);
  assert.equal(await app.jobText(), job);
  await app.pressButton("Show all", ".sizes");
  await app.tap(await plan.of(added.id));
  await app.pressButton("Delete", ".plan-form");
  await plan.until(async () => !(await plan.route(route.id)));
  assert.equal(await sits(lamp), undefined);
  await plan.undo("Undo", async () => (await app.jobText()) === job);

  // The lists lead to the sheets, at that with the plan; closed, the plan is there as it was.
  await app.pressButton("Done", ".plan-form");
  await app.pressButton("Handover", ".plan-form");
  await page.waitForFunction(() => {
    const sheets = document.querySelector(".handover-body")?.getBoundingClientRect();
    const leaf = document.querySelector('.handover-sheet[data-name="Plan of the vehicle"] svg')?.getBoundingClientRect();
    return leaf && leaf.top >= sheets.top && leaf.top < sheets.bottom;
  });
  await app.pressButton("Close", ".handover-head");
  await page.waitForSelector(".plan:not([hidden])");

  // The drawing is there again when the plan is closed; the form of a part and of a wire know the plan.
  await app.pressButton("Plan", ".tools");
  await app.select(lamp);
  await app.side("Selected");
  assert.equal(await app.shown("Place on the vehicle plan"), added.id);
  await app.fill("Place on the vehicle plan", "tail");
  assert.equal(await sits(lamp), tail);
  await app.selectWire(wire);
  await app.side("Selected");
  await app.fill("By way of these places", "roof");
  const roof = begun.places.find(({ name }) => name === "roof").id;
  assert.deepEqual((await app.wireBetween(battery, lamp)).via, [roof]);
}

/** A battery and a lamp, and a wire between them. */
async function circuit(app) {
  const battery = await app.put("battery", () => app.spot([0.3, 0.3]));
  const lamp = await app.put("lamp", () => app.spot([0.7, 0.5]));
  await app.wire([battery, "+"], [lamp, "1"]);
  await app.tool("Draw");
  return [battery, lamp];
}
