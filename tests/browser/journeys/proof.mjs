import assert from "node:assert/strict";
import { App } from "../app.mjs";
import { Tab } from "../tab.mjs";

export const name = "a proving sheet is made and filled in, by touch and by keyboard alone; a wrong reading says so, and all of it is undone and kept";

const JOB = "Driving lamps that stay dark on main beam";
const PLACE = "[data-report=proof]";
const OPEN = `${PLACE} .proof-step[open]`;

export async function run({ page, newPage, address }) {
  await byTouch(page, address);
  const next = await newPage();
  await page.close();
  await byKeyboard(next, address);
}

async function byTouch(page, address) {
  let app = await App.open(page, address);
  await app.openListed(JOB);
  await app.keepAsItIs();
  await app.side("Prove");
  await unfold(app);
  await app.press(`${PLACE} input[name=by]`);
  await page.keyboard.type("A. Fitter");
  await app.pressButton("Make the proving sheet", PLACE);
  const n = await done(page, 0);
  assert.ok(n > 3, `${n} steps`);

  // Right ones: the next card opens each time.
  for (let taken = 0; taken < 2; taken += 1) {
    await take(app, page);
    await done(page, taken + 1);
  }

  // A wrong one says so plainly, and leads to the fault walk.
  const number = await numberStep(app, page, 2);
  await app.press(`${OPEN} input[name^=found]`);
  await page.keyboard.type("5000");
  await app.pressButton("Enter", OPEN);
  // What no vehicle shows is asked back, and what was typed stays.
  await page.waitForFunction(() => document.querySelector(".status").innerText.startsWith("5000 V on a 12 V vehicle?"));
  assert.equal(await page.$eval(`${OPEN} input[name^=found]`, (one) => one.value), "5000");
  await page.$eval(`${OPEN} input[name^=found]`, (one) => one.select());
  await page.keyboard.type("3,3");
  await app.pressButton("Enter", OPEN);
  await page.waitForFunction(() => document.querySelector(".status").innerText.startsWith("Not right"));
  await done(page, number + 1);
  assert.match(await app.text(PLACE), /1 of \d+ steps is not right/);
  // The card stays open until the user goes on, and the next one is taken like any other.
  assert.match(await app.text(OPEN), /Found 3\.3 V\. It should be .*This is not right\./);
  await app.pressButton("Go on", OPEN);
  await page.waitForFunction((open) => !/Found 3\.3 V/.test(document.querySelector(open)?.innerText ?? "Found 3.3 V"), {}, OPEN);
  assert.equal((await record(app)).readings.filter((one) => one.right === false).length, 1);

  // Undo takes exactly that entry back; the card is open again.
  await app.closeDrawer();
  await app.pressButton("Undo", ".tools");
  await app.side("Prove");
  await done(page, number);
  assert.doesNotMatch(await app.text(PLACE), /not right/);
  await app.closeDrawer();
  await app.pressButton("Redo", ".tools");
  await app.side("Prove");
  await done(page, number + 1);

  // What was entered outlives the page.
  await app.kept();
  await page.reload();
  app = new App(page, app.cdp);
  await app.ready();
  await app.side("Prove");
  await unfold(app);
  await done(page, number + 1);
  const kept = await record(app);
  assert.equal(kept.by, "A. Fitter");
  assert.match(kept.date, /^\d{4}-\d\d-\d\d$/);

  // A card that is wrong has the way into the fault walk, and can be taken again.
  const openWrong = async () => {
    const steps = await page.$$(`${PLACE}:not(.asked) .proof-step`);
    if (!(await steps[number].evaluate((one) => one.open))) {
      await app.press(await steps[number].$("summary"));
    }
    assert.match(await app.text(OPEN), /This is not right\./);
  };
  await openWrong();
  await app.pressButton("Find the fault", OPEN);
  await page.waitForFunction(() => document.querySelector("[data-report=walk]:not(.asked) .working h4")?.innerText === "Reading 1");
  const walk = (await app.job()).records.find((one) => one.for === "fault");
  assert.deepEqual([walk.should.length, walk.should[0].found], [1, { number: 3.3 }]);
  await done(page, number + 1);
  await openWrong();
  await app.pressButton("Take it again", OPEN);
  await done(page, number);
}

async function byKeyboard(page, address) {
  const app = await App.open(page, address, { width: 1280, height: 900 });
  await app.openListed(JOB);
  const tab = new Tab(page);
  await tab.button("Prove");
  await tab.summary("Prove the work");
  await page.waitForSelector(`${PLACE} input[name=meter]`);
  await tab.field("meter", "Meter 1");
  await tab.button("Make the proving sheet");
  const n = await done(page, 0);
  for (let taken = 0; taken < n; taken += 1) {
    const volts = await expected(page);
    if (volts === null) {
      await tab.button("All as listed");
    } else {
      await tab.field("found-", volts);
      await tab.button("Enter");
    }
    if (taken + 1 < n) {
      await done(page, taken + 1);
    }
  }
  // At the end what came of it stands in place of how many are done.
  await page.waitForFunction((place) => /^All \d+ steps are right\./m.test(document.querySelector(`${place}:not(.asked)`)?.innerText ?? ""), {}, PLACE);
  const told = await app.text(PLACE);
  assert.match(told, new RegExp(`All ${n} steps are right\\.`));
  assert.match(told, /not signed until somebody signs/);
  assert.equal((await record(app)).meter, "Meter 1");

  // Another drawing is another sheet.
  await page.evaluate(() => document.activeElement.blur());
  await app.select((await app.symbols()).find(({ words }) => words.startsWith("lamp E3")).part);
  await page.keyboard.press("Delete");
  await app.side("Prove");
  await unfold(app);
  await page.waitForFunction((place) => document.querySelector(place).innerText.includes("The drawing was changed after this sheet was made"), {}, PLACE);
}

async function unfold(app) {
  // What the survey above shows moves everything below it.
  await app.page.waitForSelector("details:not([open]) > .survey, .survey:not(.asked) [data-ask]");
  const summary = await app.page.waitForSelector(".drawer summary::-p-text(Prove the work)");
  if (!(await summary.evaluate((one) => one.parentElement.open))) {
    await app.press(summary);
  }
  await app.page.waitForSelector(`${PLACE} button`);
}

/** Waits until so many steps are done; how many there are. */
async function done(page, n) {
  await page.waitForFunction(
    (place, n) => document.querySelector(`${place}:not(.asked)`)?.innerText.includes(`${n} of `) && new RegExp(`^${n} of \\d+ steps done`, "m").test(document.querySelector(place).innerText),
    {},
    PLACE,
    n,
  );
  return Number((await page.$eval(PLACE, (one) => one.innerText)).match(/of (\d+) steps done/)[1]);
}

/** The number that passes in the open card; null where something is looked at. */
async function expected(page) {
  const text = await page.$eval(OPEN, (one) => one.innerText);
  return text.match(/Passes: (-?[\d.]+) (?:to -?[\d.]+ )?[VA]/)?.[1] ?? null;
}

/** Takes the open card as it should be. */
async function take(app, page) {
  const volts = await expected(page);
  if (volts === null) {
    await app.pressButton("All as listed", OPEN);
    return;
  }
  await app.press(`${OPEN} input[name^=found]`);
  await page.keyboard.type(volts);
  await app.pressButton("Enter", OPEN);
}

/** Goes on to a card with a number; how many are done by then. */
async function numberStep(app, page, taken) {
  while ((await expected(page)) === null) {
    await take(app, page);
    taken += 1;
    await done(page, taken);
  }
  return taken;
}

async function record(app) {
  const { records } = await app.job();
  return records.findLast((one) => one.for === "proof");
}
