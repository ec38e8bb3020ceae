import assert from "node:assert/strict";
import { App } from "../app.mjs";
import { ListKeys } from "../list.mjs";

export const name = "the Wire list builds by keys alone what the drawing builds, and takes all of it back";

const KINDS = [
  ["battery", "Battery", [0.25, 0.2]],
  ["fuse", "Fuse", [0.6, 0.15]],
  ["switch", "Switch", [0.6, 0.45]],
  ["lamp", "Lamp", [0.6, 0.8]],
  ["earth", "Earth point", [0.25, 0.8]],
  ["earth", "Earth point", [0.1, 0.6]],
];
// Indices into the kinds, with the terminals.
const WIRES = [
  [[0, "+"], [1, "1"]],
  [[1, "2"], [2, "in"]],
  [[2, "on"], [3, "1"]],
  [[3, "2"], [4, "1"]],
  [[0, "-"], [5, "1"]],
];

export async function run({ page, address }) {
  const app = await App.open(page, address, { width: 1280, height: 900, hasTouch: true, isMobile: true });
  const list = new ListKeys(app);
  const onList = await fromNothing(app, list);
  const onDrawing = await byHand(app, onList.switchOn);
  assert.deepEqual(onList.parts, onDrawing.parts);
  assert.deepEqual(onList.wires, onDrawing.wires);
  assert.deepEqual(onList.findings, onDrawing.findings);
  assert.deepEqual(onList.readings, onDrawing.readings);
  await atAJob(app, list);
  await narrow(app, list);
}

/** What is electrical in a job, and what is read and found in it. */
async function result(app) {
  const { parts, wires } = await app.job();
  const plain = parts.map(({ at, ...rest }) => rest);
  const findings = await app.findings();
  const readings = (await app.symbols()).map(({ id, words }) => [id, words]).sort();
  assert.ok(readings.some(([, words]) => /\d A\b/.test(words)), "something is read");
  return { parts: plain, wires, findings, readings };
}

async function fromNothing(app, list) {
  await list.open();
  for (const [, kind] of KINDS) {
    await list.add(kind);
  }
  const titles = (await list.rows("parts")).map(({ title }) => title);
  const outs = await app.page.$$eval('select[name="from"] option', (all) => all.map((one) => one.textContent));
  const switchOn = outs.find((text) => text.startsWith(`${titles[2]} terminal `) && !text.startsWith(`${titles[2]} terminal in`)).match(/terminal (\S+):/)[1];
  const end = ([part, terminal]) => `${titles[part]} terminal ${terminal === "on" ? switchOn : terminal}:`;
  for (const [from, to] of WIRES) {
    await list.join(end(from), end(to));
  }
  assert.ok((await list.rows("wires")).every(({ Size, Length }) => Size === "not known" && Length === "not known"));
  await noOverlap(app);
  await list.change(`fuse ${titles[1]}`);
  await list.fill("rating_a", "10");
  await list.back();
  assert.equal((await list.focused()).label, `Change fuse ${titles[1]}`, "back at the row");
  await list.change(`lamp ${titles[3]}`);
  await list.fill("watts", "21");
  await list.fill("watts", "much");
  assert.match(await app.text('.wires-form .field:has([data-field="watts"]) .refused'), /not a number/);
  await list.fill("watts", "21");
  await list.back();
  await list.change("wire W1");
  await list.choose("size", "1.5 mm²");
  await list.choose("base", "RD");
  await list.fill("length_m", "2");
  await list.back();
  const [first] = await list.rows("wires");
  assert.deepEqual([first.Size, first.Colour, first.Length], ["1.5 mm²", "RD red", "2 m"]);
  // The switch is worked in its form; that is no change of the job.
  const before = await app.jobText();
  await list.change(`switch ${titles[2]}`);
  const positions = await app.page.$$eval('[data-field="position-now"] option', (all) => all.map((one) => one.textContent));
  await list.choose("position-now", positions[1]);
  await list.back();
  assert.equal(await app.jobText(), before);
  assert.match((await list.rows("wires"))[0].Carries, /\d A/);
  await list.close();
  const made = await result(app);
  await list.open();
  const n = await list.undoAll();
  assert.ok(n >= 16, `${n} steps`);
  await list.close();
  const { parts, wires } = await app.job();
  assert.deepEqual([parts, wires], [[], []]);
  return { ...made, switchOn };
}

/** The same by taps on the drawing. */
async function byHand(app, switchOn) {
  const ids = [];
  for (const [kind, , spot] of KINDS) {
    ids.push(await app.put(kind, () => app.spot(spot)));
  }
  const end = ([part, terminal]) => [ids[part], terminal === "on" ? switchOn : terminal];
  for (const [from, to] of WIRES) {
    await app.wire(end(from), end(to));
  }
  const fill = async (select, fields) => {
    await select();
    await app.side("Selected");
    for (const [caption, text] of fields) {
      await app.fill(caption, text);
    }
  };
  await fill(() => app.select(ids[1]), [["Rated current", "10"]]);
  await fill(() => app.select(ids[3]), [["Rated power", "21"]]);
  const { wires } = await app.job();
  await fill(() => app.selectWire(wires[0].id), [["Size", "1.5 mm²"], ["Colour", "RD"], ["Length, one way", "2"]]);
  await app.tool("Try");
  await app.tapPart(ids[2]);
  await app.tool("Draw");
  return result(app);
}

/** No symbol that the list has put lies on another. */
async function noOverlap(app) {
  const overlaps = await app.page.$$eval("#drawing .scene > .symbol", (symbols) => {
    const boxes = symbols.map((one) => one.getBoundingClientRect());
    return boxes.flatMap((a, i) => boxes.slice(i + 1).filter((b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom)).length;
  });
  assert.equal(overlaps, 0);
}

/** A demonstration job is changed in every way, and is the same to the last byte when all is taken back. */
async function atAJob(app, list) {
  await app.openListed("Driving lamps that stay dark on main beam");
  await app.keepAsItIs();
  const first = await app.jobText();
  const { parts, wires } = JSON.parse(first);
  await list.open();
  assert.equal((await list.rows("parts")).length, parts.length);
  assert.equal((await list.rows("wires")).length, wires.length);
  await list.add("Lamp");
  const { title: lamp } = (await list.rows("parts")).at(-1);
  await list.join(`${lamp} terminal 1:`, `${wires[0].label}, by a splice`);
  assert.equal((await list.rows("parts")).at(-1).Kind, "splice");
  await list.choose("into", `in ${wires[1].label},`);
  await list.add("Fuse");
  assert.match((await list.rows("parts")).at(-1).Kind, /fuse/);
  // Deleting asks nothing, and hands the focus to the row after.
  await list.press("Delete", ({ label }) => label === `Delete wire ${wires[2].label}`);
  assert.match(await list.said(), /deleted/);
  assert.match((await list.focused()).label, /^Change wire/);
  await list.press("Undo", ({ data }) => data.step === "Undo");
  assert.match(await list.said(), /^Undone: delete/);
  await list.press("Redo", ({ data }) => data.step === "Redo");
  await list.press("Delete", ({ label }) => label.startsWith("Delete lamp") && label.endsWith(lamp));
  await list.undoAll();
  await list.close();
  assert.equal(await app.jobText(), first);
}

/** At 320 px nothing is cut off at the side, and everything can be hit by a thumb. */
async function narrow(app, list) {
  await app.page.setViewport({ width: 320, height: 640, hasTouch: true, isMobile: true });
  await app.frames();
  await list.open();
  const wide = await app.page.$eval(".wires-body", (body) => body.scrollWidth - body.clientWidth);
  assert.equal(wide, 0, "the list does not scroll to the side");
  const small = await app.page.$$eval("dialog.wires :is(button, select, input)", (all) =>
    all.filter((one) => one.checkVisibility()).map((one) => [one.textContent.slice(0, 20), one.getBoundingClientRect()]).filter(([, box]) => box.height < 48 || box.width < 48).map(([text, box]) => `${text} ${box.width} x ${box.height}`),
  );
  assert.deepEqual(small, []);
  await app.pressButton("Change", "dialog.wires tbody");
  await app.page.waitForSelector(".wires-form h3");
  const form = await app.page.$eval(".wires-body", (body) => body.scrollWidth - body.clientWidth);
  assert.equal(form, 0, "the form does not scroll to the side");
  // Escape leaves the form, and then the list.
  await app.page.keyboard.press("Escape");
  await app.page.waitForSelector(".wires-form[hidden]");
  await list.settled();
  await list.close();
}
