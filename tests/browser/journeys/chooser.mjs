import assert from "node:assert/strict";
import { App, pause } from "../app.mjs";

export const name = "a tap between two terminals asks which is meant, and either can be chosen";

/** How far the two terminals lie from one another on the screen, in pixels. */
const APART = 20;

export async function run({ page, address }) {
  const app = await App.open(page, address);
  const [left, right] = [await app.put("lamp", () => app.spot([0.3, 0.4])), await app.put("lamp", () => app.spot([0.6, 0.4]))];
  await app.tool("Run wire");
  const [far, near] = await both(app, left, right);
  // The lamps are brought together by pinching, which changes what is seen and not the job.
  const middle = [(far[0] + near[0]) / 2, (far[1] + near[1]) / 2];
  let apart = near[0] - far[0];
  while (apart > APART + 1) {
    const part = Math.max(APART / apart, 0.5);
    const fingers = [-100, 100].map((x) => [[middle[0] + x, middle[1]], [middle[0] + x * part, middle[1]]]);
    await app.pinch(fingers[0], fingers[1]);
    await pause(250);
    const [a, b] = await both(app, left, right);
    assert.ok(b[0] - a[0] < apart, `the lamps come nearer to one another: ${b[0] - a[0]} of ${apart}`);
    apart = b[0] - a[0];
  }
  assert.ok(Math.abs(apart - APART) <= 1, `${apart} pixels apart`);

  for (const label of ["E1", "E2"]) {
    const [a, b] = await both(app, left, right);
    await app.tap([(a[0] + b[0]) / 2, a[1]]);
    assert.match(await app.text(".question"), /Which terminal\?/);
    const answers = await page.$$eval(".answers button", (all) => all.map((one) => one.textContent));
    assert.equal(answers.at(-1), "None of these");
    const number = answers.findIndex((one) => one.includes(`${label}:1`));
    assert.ok(number >= 0, `${label}:1 is among ${answers.join("; ")}`);
    await app.press(`#answer-${number}`);
    assert.match(await app.status(), new RegExp(`^From lamp ${label}:1`));
    // The wire that was begun is given up.
    await app.tap(await app.spot([0.1, 0.9]));
  }
  // None of them is an answer too.
  const [a, b] = await both(app, left, right);
  await app.tap([(a[0] + b[0]) / 2, a[1]]);
  await app.pressButton("None of these", ".question");
  assert.equal(await page.$(".question"), null);
  assert.deepEqual((await app.job()).wires, []);
}

/** Where the upper terminals of the two lamps are seen, by their rings: the lettering is too small by then. */
async function both(app, left, right) {
  const tops = await app.page.evaluate(
    (parts) =>
      parts.map((part) => {
        const symbol = document.querySelector(`#drawing .scene > [data-id^="symbol.${part}."]`).getBoundingClientRect();
        const rings = [...document.querySelectorAll("#drawing .over circle")].map((ring) => ring.getBoundingClientRect());
        const middles = rings.map(({ left, top, width, height }) => [left + width / 2, top + height / 2]);
        const own = middles.filter(([x]) => symbol.left - 1 <= x && x <= symbol.right + 1);
        return own.sort((a, b) => a[1] - b[1])[0];
      }),
    [left, right],
  );
  assert.ok(tops.every(Boolean), "both have rings");
  return tops;
}
