import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "situations are named, renamed, deleted and compared";

export async function run({ page, address }) {
  const app = await App.open(page, address);
  await app.openListed("Driving lamps that stay dark on main beam");
  await app.keepAsItIs();
  const names = async () => (await app.job()).situations.map(({ name }) => name);
  const known = await names();

  // The present positions get a name.
  await app.side("Switches");
  await app.pressButton(known.at(-1), ".situations");
  for (const button of await page.$$('.switch-row button[aria-pressed="false"]')) {
    await app.press(button);
    await app.frames();
    if (!(await page.$('.situations button[aria-pressed="true"]'))) {
      break;
    }
  }
  await fill(app, "Keep these positions as a situation called", "as it <b>came</b>");
  await app.pressButton("Keep", ".report");
  await page.waitForFunction(() => document.querySelector(".situations").innerText.includes("as it <b>came</b>"));
  assert.deepEqual(await names(), [...known, "as it <b>came</b>"]);
  assert.equal(await app.page.$(".drawer b b, .report b"), null, "a name stays a text");

  // It is called something else, and not by a name that is taken.
  await fill(app, "Name of this situation", known[0]);
  await app.pressButton("Rename", ".report");
  await page.waitForFunction(() => document.querySelector(".status").innerText.includes("already"));
  await fill(app, "Name of this situation", "as found");
  await app.pressButton("Rename", ".report");
  await page.waitForFunction(() => document.querySelector(".situations").innerText.includes("as found"));
  assert.deepEqual(await names(), [...known, "as found"]);

  // Two of them side by side: only what differs.
  await page.evaluate(() => [...document.querySelectorAll("summary")].find((one) => one.innerText === "Compare two situations").id = "compare");
  await app.press("#compare");
  await page.waitForSelector(".report select[name=one]");
  await page.select(".report select[name=one]", "at rest");
  await page.select(".report select[name=other]", known.at(-1));
  await app.pressButton("Compare", ".report");
  await page.waitForSelector(".report table");
  const rows = await page.$$eval(".report tr", (all) => all.map((row) => [...row.cells].map((cell) => cell.innerText)));
  assert.ok(rows.length > 3, JSON.stringify(rows));
  for (const [title, one, other] of rows) {
    assert.notEqual(one, other, `${title} differs`);
  }
  assert.ok(rows.some(([, one, other]) => /A$/.test(one) && /A$/.test(other)), "amperes of a wire");

  // Deleted, and brought back.
  await app.pressButton("Delete", ".report");
  await page.waitForFunction(() => !document.querySelector(".situations").innerText.includes("as found"));
  assert.deepEqual(await names(), known);
  await app.closeDrawer();
  await app.pressButton("Undo", ".tools");
  assert.match(await app.status(), /^Undone: delete situation as found/);
  assert.deepEqual(await names(), [...known, "as found"]);
}

/** Types into the field with this caption. */
async function fill(app, caption, text) {
  const wanted = (caption) =>
    [...document.querySelectorAll(".report .field")].find((one) => one.querySelector(".caption").innerText === caption)?.querySelector("input");
  await app.page.waitForFunction(wanted, {}, caption);
  const input = await app.page.evaluateHandle(wanted, caption);
  await app.press(input);
  await input.evaluate((one) => one.select());
  await app.page.keyboard.type(text);
}
