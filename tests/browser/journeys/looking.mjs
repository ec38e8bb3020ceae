import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "looking around leaves everything as it was, and what is asked for stands where it is seen";

const DEMONSTRATION = "Driving lamps that stay dark on main beam";

export async function run({ page, newPage, address }) {
  const app = await App.open(page, address);
  await looking(app);
  await details(app);
  await several(app);
  await tray(app);

  // The same with keys and a mouse: a copy says that it was made, and the next act says something else.
  const other = await newPage();
  await page.close();
  const wide = await App.open(other, address, { width: 1280, height: 900 });
  await wide.page.bringToFront();
  await wide.put("battery", () => wide.spot([0.3, 0.3]));
  await wide.put("fuse", () => wide.spot([0.6, 0.3]));
  await wide.page.$eval("#drawing", (drawing) => drawing.focus());
  await ctrlC(wide);
  assert.equal(await wide.status(), "Copied. Paste it here or in another job.");
  await wide.page.keyboard.press("ArrowLeft");
  await wide.frames();
  assert.equal(await wide.status(), "");
}

async function ctrlC({ page }) {
  await page.keyboard.down("Control");
  await page.keyboard.press("c");
  await page.keyboard.up("Control");
}

/** A demonstration is not kept for being looked at. */
async function looking(app) {
  const onDevice = async () => {
    await app.openJobs();
    const titles = await app.page.$$eval("dialog .jobs .job h4", (all) => all.map((one) => one.innerText));
    await app.pressButton("Close", "dialog");
    return titles;
  };
  await app.openListed(DEMONSTRATION);
  await app.tool("Try");
  await app.tapPart((await app.symbols()).find(({ words }) => words.startsWith("switch")).part);
  await app.tool("Draw");
  assert.deepEqual(await onDevice(), []);
  assert.equal(await app.jobId(), null, "there is nothing to come back to");
  await app.keepAsItIs();
  assert.deepEqual(await onDevice(), [DEMONSTRATION]);
}

/** Details that open and close bring the same view back, and what is shown stands in the middle. */
async function details(app) {
  await app.openListed("Accessory wiring as found, to be judged before purchase");
  await whole(app, "as the job is opened");
  await app.pressButton("Readings", ".tools");
  await app.pressButton("Readings", ".tools");
  await app.pressButton("Larger", ".tools");
  await app.pressButton("Show all", ".tools");
  await whole(app, "by Show all");
  const symbols = await app.symbols();
  const lowest = symbols.reduce((low, one) => (one.middle[1] > low.middle[1] ? one : low));
  await app.select(lowest.part);
  await app.closeDrawer();
  const first = await app.view();
  const further = () => app.press(".tabs .stop");
  for (const stop of ["half", "full"]) {
    await further();
    await app.page.waitForSelector(`.drawer.${stop}`);
    await app.frames(4);
    const [, y] = (await app.symbols()).find(({ id }) => id === lowest.id).middle;
    const { top, height } = await app.view();
    assert.ok(y > top && y < top + height, `${lowest.words} is seen at ${y} with the details open by ${stop}`);
    const bar = await app.page.$eval(".selection-bar", (one) => one.getBoundingClientRect().top);
    assert.ok(bar === 0 || y < bar, `the bar at ${bar} leaves ${y} free with the details open by ${stop}`);
  }
  await further();
  await app.page.waitForSelector(".drawer.peek");
  await app.frames(4);
  const last = await app.view();
  assert.deepEqual([last.scale, last.x, last.y], [first.scale, first.x, first.y]);

  // From the list, opened wide, to the place on the drawing.
  await app.side("Checks");
  await further();
  await app.page.waitForSelector(".drawer.full");
  await app.answered();
  await app.pressButton("Show where", ".findings");
  await app.frames(6);
  const picked = await app.page.$eval("#drawing .under .picked", (one) => {
    const { left, top, width, height } = one.getBoundingClientRect();
    return [left + width / 2, top + height / 2];
  });
  const { left, top, width, height, scale } = await app.view();
  assert.ok(scale >= 4, `shown at ${scale} pixels a millimetre`);
  const [right, down] = [(picked[0] - left) / width, (picked[1] - top) / height];
  assert.ok(Math.abs(right - 0.5) < 0.15 && Math.abs(down - 0.5) < 0.2, `shown at ${right}, ${down} of the drawing`);
}

/** Everything is seen, readings and findings included. */
async function whole(app, when) {
  await app.answered();
  const outside = await app.page.evaluate(() => {
    const room = document.getElementById("worktop").getBoundingClientRect();
    const all = [...document.querySelectorAll("#drawing .scene > g, #drawing .marks > g")];
    return all
      .filter((one) => {
        // What is not shown of a mark takes no room, though some browsers count it.
        const seen = one.childElementCount > 0 ? [...one.children].filter((child) => child.checkVisibility()) : [one];
        return seen.some((child) => {
          const { left, top, right, bottom } = child.getBoundingClientRect();
          return left < room.left || top < room.top || right > room.right || bottom > room.bottom;
        });
      })
      .map((one) => one.dataset.id);
  });
  assert.deepEqual(outside, [], `cut off ${when}`);
}

/** What several wires share is said of all of them at once, and what differs says so. */
async function several(app) {
  await app.keepAsItIs();
  const [one, other] = (await app.job()).wires.filter(({ id }) => ["w2", "w6"].includes(id));
  await app.closeDrawer();
  await app.pressButton("Show all");
  await app.selectWire(one.id);
  await app.closeDrawer();
  await app.pressButton("Select more", ".selection-bar");
  await app.tapOn(() => app.onWire(other.id));
  assert.equal((await app.page.$$("#drawing .under .picked")).length, 2, "both wires are selected");
  await app.pressButton("Select more", ".selection-bar");
  await app.side("Selected");
  assert.equal(await app.text(".drawer-title"), "2 wires");
  await app.fill("Length, one way", "7");
  await app.fill("Colour", "VT");
  const wires = (await app.job()).wires.filter(({ id }) => [one.id, other.id].includes(id));
  assert.deepEqual(wires.map(({ length_m }) => length_m), [7, 7]);
  assert.deepEqual(wires.map(({ colour }) => colour?.base), ["VT", "VT"]);
  await app.pressButton("Undo", ".tools");
  await app.pressButton("Undo", ".tools");
  assert.deepEqual((await app.job()).wires.find(({ id }) => id === one.id), one);
  const hint = await app.page.evaluate(
    () =>
      [...document.querySelectorAll(".drawer .field")]
        .find((field) => field.querySelector(".caption").textContent === "Length, one way")
        .querySelector("input").placeholder,
  );
  assert.equal(hint, one.length_m === other.length_m ? "1 m for readings assumed" : "differs");
}

/** The tray on a telephone: what every job has lies above the fold, and it opens where it was left. */
async function tray(app) {
  await app.page.setViewport({ width: 390, height: 844, hasTouch: true, isMobile: true });
  await app.closeDrawer();
  await app.pressButton("Parts", ".tools");
  await app.frames();
  for (const kind of ["battery", "fuse", "switch", "relay", "lamp", "earth", "splice"]) {
    const [entry, fold] = await app.page.$eval(
      `button[data-kind="${kind}"]`,
      (button) => [button.getBoundingClientRect().bottom, button.closest("#tray").getBoundingClientRect().bottom],
    );
    assert.ok(entry <= fold, `${kind} ends at ${entry}, the tray at ${fold}`);
  }
  const kinds = await app.page.$$eval("#tray [data-kind]", (all) => all.map((one) => one.dataset.kind));
  assert.equal(new Set(kinds).size, kinds.length, "every kind is there once");
  const scroll = () => app.page.$eval("#tray", (tray) => tray.scrollTop);
  await app.page.$eval("#tray", (tray) => (tray.scrollTop = 200));
  // Where it is seen: a button that is scrolled into the middle first would scroll the tray.
  const place = await app.page.$eval("#tray .tray-close", (close) => {
    const { left, top, width, height } = close.getBoundingClientRect();
    return [left + width / 2, top + height / 2];
  });
  await app.tap(place);
  await app.page.waitForSelector("#tray:not(.open)");
  await app.pressButton("Parts", ".tools");
  await app.frames();
  assert.equal(await scroll(), 200);
  await app.pressButton("Close", "#tray");
}
