import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { App, amps } from "../app.mjs";

export const name = "by touch, from an empty job to a saved drawing that opens again";

/** Runs in the page: whether the coil and the contact of a relay are lit. */
function litSymbols(relay) {
  const frames = [...document.querySelectorAll("#drawing .under rect.lit")].map((rect) => rect.getBoundingClientRect());
  return ["coil", "contact"].map((view) => {
    const { x, y, width, height } = document.querySelector(`[data-id^="symbol.${relay}.${view}"]`).getBoundingClientRect();
    const [left, top] = [x + width / 2, y + height / 2];
    return frames.some((frame) => frame.left < left && left < frame.right && frame.top < top && top < frame.bottom);
  });
}

export async function run({ page, address, downloads }) {
  const app = await App.open(page, address);

  // Main beam and a switch work the relay, and the relay feeds both lamps. The fuse is left out.
  const battery = await app.put("battery", () => app.spot([0.12, 0.18]));
  const donor = await app.put("donor", () => app.spot([0.32, 0.16]));
  const knob = await app.put("switch", () => app.spot([0.36, 0.36]));
  const relay = await app.put("relay", () => app.spot([0.36, 0.55]));
  const left = await app.put("lamp", () => app.spot([0.62, 0.76]));
  const right = await app.put("lamp", () => app.spot([0.82, 0.76]));
  const earths = [];
  for (const at of [[0.36, 0.76], [0.62, 0.92], [0.82, 0.92]]) {
    earths.push(await app.put("earth", () => app.spot(at)));
  }
  // Without a tool in hand a tap on a terminal starts a wire, and so does a drag.
  await app.tap(await app.terminal(battery, "+"));
  await app.tap(await app.terminal(relay, "30"));
  await app.wire([donor, "feed"], [knob, "in"]);
  await app.wire([knob, "out"], [relay, "86"]);
  await app.wire([relay, "85"], [earths[0], "1"]);
  // The terminal that was tapped is explained.
  await app.tool("Run wire");
  await app.tap(await app.terminal(relay, "87"));
  assert.match(await app.status(), /^From relay K1:87, output to the load/);
  await app.tap(await app.terminal(left, "1"));
  await app.wire([left, "2"], [earths[1], "1"]);
  await app.drag(await app.terminal(right, "2"), await app.terminal(earths[2], "1"));
  // A wire that ends on a wire is joined to it by a splice.
  const feed = await app.wireBetween(relay, left);
  await app.tool("Run wire");
  await app.tap(await app.terminal(right, "1"));
  await app.tap(await app.onWire(feed.id));
  const drawn = await app.job();
  const splice = drawn.parts.find((part) => part.kind === "splice").id;
  const wanted = [
    [`${battery}.+`, `${relay}.30`],
    [`${donor}.feed`, `${knob}.in`],
    [`${knob}.out`, `${relay}.86`],
    [`${relay}.85`, `${earths[0]}.1`],
    [`${relay}.87`, `${splice}.1`],
    [`${splice}.2`, `${left}.1`],
    [`${splice}.3`, `${right}.1`],
    [`${left}.2`, `${earths[1]}.1`],
    [`${right}.2`, `${earths[2]}.1`],
  ];
  assert.deepEqual(joins(drawn.wires.map(({ from, to }) => [from, to])), joins(wanted));

  // The values, one lamp's by its current.
  await app.select(left);
  await app.side("Selected");
  await app.fill("Rated power", "55");
  await app.select(right);
  await app.side("Selected");
  await app.fill("Rated power", "4.6", "A");
  assert.equal(await app.shown("Rated power"), "55.2", "4.6 A at 12 V");
  for (const wire of drawn.wires) {
    await give(app, wire.id, "1.5");
  }

  // What the checks say about the fuse that was left out; it is mended, and they say it no more.
  const [unfused, ...others] = await app.findings();
  assert.match(`${unfused.word}: ${unfused.message}`, /^Stop 1: Battery G1 feeds wire W1 without a fuse/);
  assert.deepEqual(others, []);
  const bare = await app.wireBetween(battery, relay);
  const fuse = await app.put("fuse", () => app.onWire(bare.id, 0.3));
  assert.match(await app.status(), /^F1 put into W1/);
  // What cannot be judged yet is said, and leads to where it is filled in.
  await app.side("Checks");
  assert.match(await app.text(".checks"), /Not checked \(\d+\): a value is missing[^]*fuse F1: rated current/);
  await app.pressButton("fuse F1: rated current", ".unjudged");
  await app.fill("Rated current", "15");
  await give(app, (await app.wireBetween(battery, fuse)).id, "0.15");
  await give(app, (await app.wireBetween(fuse, relay)).id, "1.5");
  assert.deepEqual(await app.findings(), []);
  assert.match(await app.text(".checks"), /Good – the checks found nothing to report. That rests on \d+ assumed values/);

  // Donor and switch are worked on the drawing, and both lamps burn.
  await app.tool("Try");
  const before = await app.jobText();
  await app.tapPart(donor);
  await app.answered();
  await app.tapPart(left);
  await app.side("Selected");
  assert.equal(amps(await app.reading()), 0, "the switch is still off");
  assert.ok(await page.$("#drawing .under .blocked"), "what keeps the lamp dark is marked");
  await app.tapPart(knob);
  for (const lamp of [left, right]) {
    await app.tapPart(lamp);
    await app.side("Selected");
    const reading = await app.reading();
    assert.ok(amps(reading) > 4 && amps(reading) < 5, `lamp ${lamp}: ${reading}`);
    assert.match(await app.text(".current-path"), /battery.*fuse.*relay.*earth/is);
    assert.ok(await page.$("#drawing .under .lit"), "the path is lit");
    assert.deepEqual(await page.evaluate(litSymbols, relay), [false, true], "its contact lies on the path, its coil does not");
    assert.equal(await page.$("#drawing .under .blocked"), null, "nothing keeps the lamp dark any more");
  }
  const marks = await app.marks();
  for (const end of [`${left}.2`, `${right}.2`, `${fuse}.1`]) {
    const wire = drawn.wires.concat((await app.job()).wires).find(({ from, to }) => [from, to].includes(end));
    assert.ok(amps(marks[`reading.${wire.id}`] ?? "") > 4, `${wire.id}: ${marks[`reading.${wire.id}`]}`);
  }
  assert.equal(await app.jobText(), before, "trying changes nothing");

  // The drawing is saved and opened again, and nothing was lost on the way.
  const file = await app.save("Drawing (SVG)", downloads);
  assert.match(await readFile(file, "utf8"), /^<svg|^<\?xml/);
  const id = await app.jobId();
  await app.openFile(file);
  await page.waitForFunction((id) => localStorage.getItem("loomwright.last-job") !== id, {}, id);
  assert.equal(await app.jobText(), before);
}

/** Pairs of terminals, whichever way round and in whichever order. */
function joins(pairs) {
  return pairs.map((pair) => [...pair].sort().join(" ")).sort();
}

/** Says of a wire that it has 2.5 square millimetres and this length. */
async function give(app, wire, metres) {
  await app.selectWire(wire);
  await app.side("Selected");
  await app.fill("Size", "2.5 mm2");
  await app.fill("Length, one way", metres);
}
