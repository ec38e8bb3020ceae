import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "fingers navigate, cancel and undo as they should";

/** Why it is not tried in Firefox. */
export const onlyChromium = "no other lets a finger leave the window";

export async function run({ page, address }) {
  const app = await App.open(page, address);
  await wiring(app);
  await app.openListed("Driving lamps that stay dark on main beam");
  await app.keepAsItIs();
  await app.closeDrawer();
  await app.pressButton("Show all");
  await app.tap(await app.spot([0.03, 0.97]));
  const opened = await app.jobText();
  const unchanged = async (what) => {
    await app.frames();
    assert.equal(await page.$("#drawing.dragging"), null, what);
    assert.equal(await app.jobText(), opened, what);
    assert.equal(await undoIsIdle(app), true, what);
  };
  const lamp = async () => (await app.symbols()).find((symbol) => symbol.words.startsWith("lamp E3")).middle;

  // Two fingers move and zoom, whatever lies below them: what was between them stays between them.
  const [x, y] = (await lamp()).map(Math.round);
  const middle = [x + 40, y];
  for (const [one, other] of [
    [[x - 60, y - 90], [x + 190, y + 40]],
    [[x + 120, y + 30], [x + 200, y + 30]],
    [[x - 20, y - 20], [x + 60, y + 20]],
  ]) {
    const before = await app.view();
    const held = [(middle[0] - before.x) / before.scale, (middle[1] - before.y) / before.scale];
    const ways = [[[x, y], one], [[x + 80, y], other]];
    await app.pinch(ways[0], ways[1], { release: false });
    const now = await app.view();
    const [wantX, wantY] = [(one[0] + other[0]) / 2, (one[1] + other[1]) / 2];
    const [isX, isY] = [now.x + held[0] * now.scale, now.y + held[1] * now.scale];
    assert.ok(Math.hypot(isX - wantX, isY - wantY) < 1, `held at ${isX},${isY}, fingers around ${wantX},${wantY}`);
    const spread = Math.hypot(other[0] - one[0], other[1] - one[1]) / 80;
    assert.ok(Math.abs(now.scale / before.scale - spread) < 0.01, `${now.scale / before.scale} for ${spread}`);
    // The same way back, with the fingers still down.
    for (const step of [0.6, 0.3, 0]) {
      const at = ([from, to]) => [from[0] + (to[0] - from[0]) * step, from[1] + (to[1] - from[1]) * step];
      await app.touch("touchMove", ways.map(at));
    }
    await app.touch("touchEnd", []);
    await app.frames();
    const back = await app.view();
    for (const key of ["scale", "x", "y"]) {
      assert.ok(Math.abs(back[key] - before[key]) < 1e-6 * Math.abs(before[key] || 1), `${key}: ${back[key]} of ${before[key]}`);
    }
  }
  await unchanged("after navigation");

  // One finger on empty ground moves the drawing.
  const start = await app.view();
  const ground = await app.spot([0.03, 0.97]);
  await app.drag(ground, [ground[0] + 60, ground[1] - 90]);
  const panned = await app.view();
  assert.ok(Math.abs(panned.x - start.x - 60) < 1 && Math.abs(panned.y - start.y + 90) < 1, "panned with the finger");
  await app.pressButton("Show all");
  await unchanged("after panning");

  // A second finger gives a drag up.
  const [fromX, fromY] = await lamp();
  await app.drag([fromX, fromY], [fromX + 90, fromY + 60], { release: false });
  assert.ok(await page.$("#drawing.dragging"), "the part follows the finger");
  const step = 2.5 * (await app.view()).scale;
  const [heldX, heldY] = await held(app, "lamp E3");
  const [farX, farY] = [Math.abs(heldX - fromX - 90), Math.abs(heldY - fromY - 60)];
  assert.ok(Math.max(farX, farY) <= step / 2 + 1, `it is ${farX},${farY} pixels from where it is held; a step has ${step}`);
  await app.touch("touchStart", [[fromX + 90, fromY + 60], await app.spot([0.05, 0.8])]);
  await app.frames();
  assert.equal(await page.$("#drawing.dragging"), null);
  await app.touch("touchEnd", []);
  await unchanged("after a second finger");
  assert.deepEqual(await lamp(), [fromX, fromY]);

  // So does the browser when it takes the finger away.
  await app.drag([fromX, fromY], [fromX + 90, fromY + 60], { release: false });
  await app.touch("touchCancel", []);
  await unchanged("after a cancel");
  assert.deepEqual(await lamp(), [fromX, fromY]);

  // A drag is one step to undo, however many moves it has; a tap of two fingers takes it back.
  await app.drag([fromX, fromY], [fromX + 90, fromY + 60], { moves: 60, release: false });
  const [shownX, shownY] = await held(app, "lamp E3");
  // One that is lifted while it moves throws what it drags.
  await app.rest(90);
  await app.touch("touchEnd", []);
  await app.frames();
  const [putX, putY] = await lamp();
  assert.ok(Math.hypot(putX - shownX, putY - shownY) < 1.5, `put at ${putX},${putY}, shown at ${shownX},${shownY}`);
  assert.notEqual(await app.jobText(), opened);
  assert.equal(await undoIsIdle(app), false);
  await app.pressButton("Undo");
  await unchanged("after undo");
  await app.pressButton("Redo");
  assert.notEqual(await app.jobText(), opened);
  await app.hold([[300, 400], [420, 420]]);
  await unchanged("after a tap of two fingers");
}

/** The middle of a symbol where a finger holds it, by the beginning of what it is called. */
async function held(app, words) {
  await app.frames();
  return app.page.$eval(`#layer-lift [aria-label^="${words}"]`, (symbol) => {
    const { left, top, width, height } = symbol.getBoundingClientRect();
    return [left + width / 2, top + height / 2];
  });
}

/** How near a tap must be to a terminal, and what lies in its way. */
async function wiring(app) {
  const battery = await app.put("battery", () => app.spot([0.2, 0.3]));
  const lamp = await app.put("lamp", () => app.spot([0.6, 0.5]));
  const wires = async () => (await app.job()).wires.length;

  for (const [off, n] of [[20, 1], [45, 0]]) {
    await app.tool("Run wire");
    await app.tapOn(() => app.terminal(battery, "+"));
    const [x, y] = await app.terminal(lamp, "1");
    await app.tap([x, y - off]);
    assert.equal(await wires(), n, `a tap ${off} pixels off a terminal`);
    if (n > 0) {
      await app.pressButton("Undo");
    }
    await app.tool("Draw");
  }

  // A line that leads to a finding ends at a terminal without a wire; a tap there still means it.
  await app.wire([battery, "+"], [lamp, "1"]);
  await app.answered();
  await app.tap(await app.terminal(lamp, "2"));
  assert.match(await app.status(), /E1:2/, "a wire starts at the terminal that has none");
  await app.tool("Draw");

  // A terminal takes two wires; a third is offered a splice.
  const others = [];
  for (const at of [[0.8, 0.3], [0.8, 0.5]]) {
    others.push(await app.put("lamp", () => app.spot(at)));
  }
  await app.wire([lamp, "1"], [others[0], "1"]);
  await app.tool("Run wire");
  await app.tapOn(() => app.terminal(lamp, "1"));
  assert.match(await app.text(".question"), /2 wires end on lamp E1:1 already/);
  await app.pressButton("Put a splice", ".question");
  await app.tapOn(() => app.terminal(others[1], "1"));
  const { parts } = await app.job();
  const splice = parts.find(({ kind }) => kind === "splice");
  assert.ok(splice, "the splice is there");
  await app.wireBetween(lamp, splice.id);
  await app.wireBetween(splice.id, others[1]);
}

async function undoIsIdle(app) {
  const undo = await app.button("Undo", ".tools");
  return undo.evaluate((button) => button.getAttribute("aria-disabled") === "true");
}
