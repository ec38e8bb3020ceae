import assert from "node:assert/strict";
import { App, pause } from "../app.mjs";

export const name = "water, palms, pens and long presses do what they should, and the details follow a finger";

/** Why it is not tried in Firefox. */
export const onlyChromium = "no other tells of pens, of places beyond the window and of touches that the browser takes back";

export async function run({ page, address }) {
  const app = await App.open(page, address);
  await app.openListed("Driving lamps that stay dark on main beam");
  await app.keepAsItIs();
  await app.closeDrawer();
  await app.pressButton("Show all");
  const before = await app.jobText();
  const lamp = async () => (await app.symbols()).find(({ words }) => words.startsWith("lamp E3")).middle;
  const isSelected = () => page.$eval(".selection-bar", (bar) => bar.checkVisibility());
  await app.tap(await app.spot([0.03, 0.97]));
  assert.equal(await isSelected(), false);

  // A drop of water is gone in no time. The browser takes the time at which it is told, so both are told at once.
  const [x, y] = await lamp();
  const at = { x, y, id: 0, radiusX: 8, radiusY: 8, force: 1 };
  const timestamp = Date.now() / 1000;
  for (const [later, isFinger] of [[0.02, false], [0.06, true]]) {
    await Promise.all([
      app.cdp.send("Input.dispatchTouchEvent", { type: "touchStart", touchPoints: [at], timestamp }),
      app.cdp.send("Input.dispatchTouchEvent", { type: "touchEnd", touchPoints: [], timestamp: timestamp + later }),
    ]);
    await app.frames();
    assert.equal(await isSelected(), isFinger, `${later} s`);
  }
  // More fingers than two take no step back.
  await app.hold([[300, 400], [380, 400], [460, 400], [540, 400]]);
  await app.frames();
  assert.equal(await app.jobText(), before);

  // A long press does what a tap does, opens nothing else, and lifting presses nothing that came below the finger.
  await app.tap(await app.spot([0.03, 0.97]));
  const offered = () => page.$$eval(".selection-bar button", (all) => all.filter((one) => one.checkVisibility()).map((one) => one.textContent));
  await app.tap(await lamp());
  const byTap = await offered();
  await app.tap(await app.spot([0.03, 0.97]));
  await app.hold([await lamp()], 600);
  await app.frames();
  assert.equal(await isSelected(), true);
  assert.deepEqual(await offered(), byTap);
  assert.equal(await page.$("dialog[open]"), null);
  assert.equal(await app.jobText(), before);

  // While a pen is down, the hand that holds it rests on the screen.
  await pen(app, "mousePressed", await lamp());
  const view = await app.view();
  const [left, top] = await app.spot([0.5, 0.7]);
  await app.drag([left, top], [left + 90, top + 40]);
  assert.deepEqual(await app.view(), view, "a palm moves nothing");
  await pen(app, "mouseReleased", await lamp());
  assert.equal(await app.jobText(), before);
  await app.drag(await app.spot([0.03, 0.97]), await app.spot([0.2, 0.8]));
  assert.notDeepEqual(await app.view(), view, "without the pen a finger moves the drawing again");
  await app.pressButton("Show all");

  // A drag is given up by the browser, by another window, and by another tab.
  for (const leave of [
    () => app.touch("touchCancel", []),
    () => page.evaluate(() => dispatchEvent(new Event("blur"))),
    () => page.evaluate(() => document.dispatchEvent(new Event("visibilitychange", { bubbles: true }))),
  ]) {
    const [fromX, fromY] = await lamp();
    await app.drag([fromX, fromY], [fromX + 90, fromY + 60], { release: false });
    assert.ok(await page.$("#drawing.dragging"));
    await leave();
    await app.frames();
    assert.equal(await page.$("#drawing.dragging"), null);
    await app.rest(90);
    await app.touch("touchEnd", []).catch(() => {});
    await app.frames();
    assert.equal(await app.jobText(), before);
    assert.deepEqual(await lamp(), [fromX, fromY]);
  }
  await byDragAsByTaps(app);
  await details(app);
}

/** A wire that is drawn is the same as one that is tapped. */
async function byDragAsByTaps(app) {
  const texts = [];
  for (const draw of [
    async (from, to) => {
      await app.tap(from);
      await app.tap(to);
    },
    (from, to) => app.drag(from, to),
  ]) {
    await app.openJobs();
    await app.pressButton("Empty job", "dialog");
    await app.page.waitForFunction(() => !document.querySelector("dialog[open]"));
    const [battery, lamp] = [await app.put("battery", () => app.spot([0.3, 0.3])), await app.put("lamp", () => app.spot([0.6, 0.6]))];
    await draw(await app.terminal(battery, "+"), await app.terminal(lamp, "1"));
    texts.push((await app.jobText()).replace(/"date": ?"[^"]*"/, ""));
  }
  assert.equal(texts[1], texts[0]);
  assert.match(texts[0], /"wires"/);
}

/** The details stop at three heights, to which a finger brings them, and what is selected stays in sight. */
async function details(app) {
  const { page } = app;
  await app.tapPart((await app.symbols()).at(-1).part);
  const state = () => page.$eval(".drawer", (drawer) => [drawer.className, drawer.offsetHeight]);
  const handle = () => page.$eval(".tabs", (tabs) => [tabs.getBoundingClientRect().left + 200, tabs.getBoundingClientRect().top + 12]);
  const drawTo = async (part) => {
    const [x, y] = await handle();
    const height = await page.evaluate(() => document.querySelector(".bench").getBoundingClientRect().bottom);
    await app.drag([x, y], [x, height - part * (await page.evaluate(() => innerHeight))]);
    await pause(50);
  };
  assert.deepEqual([(await state())[0], Math.abs((await state())[1] - 88) <= 2], ["drawer peek", true], String(await state()));
  for (const [part, stop] of [[0.4, "drawer half"], [0.7, "drawer full"], [0.45, "drawer half"], [0.02, "drawer peek"]]) {
    await drawTo(part);
    assert.equal((await state())[0], stop);
    const [x, y] = (await app.symbols()).at(-1).middle;
    const { left, top, width, height } = await app.view();
    assert.ok(left <= x && x <= left + width && top <= y && y <= top + height, `${stop}: what is selected is seen`);
  }
  // A finger that is taken away leaves them where they were.
  const [x, y] = await handle();
  await app.drag([x, y], [x, y - 300], { release: false });
  await app.touch("touchCancel", []);
  await app.frames();
  assert.equal((await state())[0], "drawer peek");
  // Lifting the finger over a tab does not press it.
  const side = () => page.$eval('.tabs [aria-pressed="true"]', (tab) => tab.textContent);
  const was = await side();
  const [tabX, tabY] = await (await app.tab("Job")).evaluate((tab) => [tab.getBoundingClientRect().left + 20, tab.getBoundingClientRect().top + 20]);
  await app.drag([tabX, tabY], [tabX, tabY - 350]);
  assert.deepEqual([(await state())[0], await side()], ["drawer half", was]);
}

async function pen(app, type, [x, y]) {
  await app.cdp.send("Input.dispatchMouseEvent", { type, x, y, button: "left", buttons: type === "mousePressed" ? 1 : 0, clickCount: 1, pointerType: "pen" });
  await app.frames();
}
