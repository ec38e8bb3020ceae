import assert from "node:assert/strict";
import { App } from "../app.mjs";
import { Tab } from "../tab.mjs";

export const name = "a fault is looked for card by card, by touch and by keyboard alone, and every step is kept, undone and ended";

const JOB = "Driving lamps that stay dark on main beam";
const PLACE = "[data-report=walk]";

export async function run({ page, newPage, address }) {
  await byTouch(page, address);
  const next = await newPage();
  await page.close();
  await byKeyboard(next, address);
}

async function byTouch(page, address) {
  const app = await App.open(page, address);
  await app.openListed(JOB);
  await app.keepAsItIs();
  await app.side("Prove");
  await open(app, page);
  assert.match(await app.text(PLACE), /Caution: hands off bare metal while it is live/);
  await choose(page, "when", /^main beam, driving lamps switched on/);
  await choose(page, "load", /^lamp E3/);
  await app.pressButton("Stays dark or dead", PLACE);
  await card(page, "Reading 1");
  const [record] = (await app.job()).records;
  assert.equal(record.for, "fault");
  assert.match(record.date, /^20\d\d-\d\d-\d\d$/);
  assert.deepEqual([record.should[0].should, record.should[0].found], [{ seen: "lit" }, { seen: "dark" }]);
  assert.match(await app.text(PLACE), /Lamp E3 stays dark/);

  // The drawing stands back but for what may be wrong, and shows where the reading is taken.
  const back = await page.$$eval("#drawing [data-back]", (all) => all.length);
  const all = await page.$$eval("#drawing [data-id]", (all) => all.length);
  assert.ok(back > 0 && back < all, `${back} of ${all} stand back`);
  await page.waitForSelector("#drawing .under .lit");

  // Nobody gets there: another reading is proposed, and the step is undone.
  const first = await instruction(page);
  await app.pressButton("Can't reach", PLACE);
  await card(page, "Reading 2");
  assert.notEqual(await instruction(page), first);
  await app.closeDrawer();
  await app.pressButton("Undo", ".tools");
  await app.side("Prove");
  await card(page, "Reading 1");
  assert.equal(await instruction(page), first);

  // The vehicle is as it is drawn, and the drawing has the tap on the dipped beam.
  let n = 0;
  for (; (await heading(page)).startsWith("Reading"); n += 1) {
    assert.ok(n < 4, "the wrong tap is found in four readings");
    await reply(app, page);
    await another(page, n);
  }
  const told = await app.text(PLACE);
  assert.match(told, /Move wire W11 to donor circuit E1 terminal feed\./);
  assert.match(await page.$eval(`${PLACE} input[name=answer]`, (one) => one.value), /The drawing itself is wrong.* Move wire W11 to/);
  // What has to be changed is in plain sight.
  const wire = (await app.job()).wires.find(({ label }) => label === "W11").id;
  assert.equal((await page.$$(`#drawing [data-id="${wire}"][data-back]`)).length, 0);
  assert.ok(told.indexOf("End this walk") < told.indexOf("What may be wrong"), told);
  // What was read outlives a look at another side, and opening the job again.
  await app.side("Checks");
  assert.equal((await page.$$("#drawing [data-back]")).length, 0);
  await app.side("Prove");
  await app.kept();
  await page.reload();
  await app.ready();
  await app.side("Prove");
  await open(app, page);
  await page.waitForFunction((place) => /Move wire W11/.test(document.querySelector(place).innerText), {}, PLACE);

  await app.pressButton("End the walk with this", PLACE);
  await page.waitForFunction((place) => /Earlier walks/.test(document.querySelector(place).innerText), {}, PLACE);
  const [ended] = (await app.job()).records;
  assert.equal(ended.readings.length, n);
  assert.match(ended.answer, /Move wire W11 to donor circuit E1/);
  assert.ok(ended.readings.every(({ expected, found }) => expected && found), JSON.stringify(ended));
  assert.equal((await page.$$("#drawing [data-back]")).length, 0);
}

async function byKeyboard(page, address) {
  const app = await App.open(page, address, { width: 1280, height: 900 });
  await app.openListed(JOB);
  await app.keepAsItIs();
  await app.side("Prove");
  const tab = new Tab(page);
  await tab.summary("Find a fault");
  await page.waitForSelector(`${PLACE}:not(.asked) [data-ask]`);
  await tab.field("when", "main beam, dr");
  await tab.field("load", "lamp E3");
  await tab.button("Stays dark or dead");
  await card(page, "Reading 1");
  for (let n = 0; (await heading(page)).startsWith("Reading"); n += 1) {
    assert.ok(n < 6, "the walk comes to an end");
    // Everything reads as it is drawn.
    if (await page.$(`${PLACE} input[name=number]`)) {
      await tab.field("number", String(await expected(page)));
      await tab.button("Enter this reading");
    } else {
      await tab.button(await expected(page));
    }
    await another(page, n);
  }
  await tab.field("answer", "");
  await page.keyboard.down("Control");
  await page.keyboard.press("a");
  await page.keyboard.up("Control");
  await page.keyboard.type("Tap moved to the main beam.");
  await tab.button("End the walk with this");
  await page.waitForFunction((place) => /Earlier walks/.test(document.querySelector(place).innerText), {}, PLACE);
  assert.equal((await app.job()).records[0].answer, "Tap moved to the main beam.");
}

/** Opens the section, and waits for what it shows. */
async function open(app, page) {
  // What the survey above shows moves everything below it.
  await page.waitForSelector("details:not([open]) > .survey, .survey:not(.asked) [data-ask]");
  const isOpen = await page.$eval(PLACE, (place) => place.parentElement.open);
  if (!isOpen) {
    await app.press(await page.waitForSelector(".drawer summary::-p-text(Find a fault)"));
  }
  await page.waitForSelector(`${PLACE}:not(.asked) [data-ask]`);
}

async function choose(page, field, pattern) {
  const options = await page.$$eval(`${PLACE} select[name=${field}] option`, (all) => all.map(({ value, innerText }) => [value, innerText]));
  const found = options.find(([, title]) => pattern.test(title));
  assert.ok(found, `${pattern} is none of ${options.map(([, title]) => title).join(", ")}`);
  await page.select(`${PLACE} select[name=${field}]`, found[0]);
}

const heading = (page) => page.$eval(`${PLACE} .working h4`, (one) => one.innerText);

const instruction = (page) => page.$eval(`${PLACE} .working`, (one) => one.innerText);

async function card(page, title) {
  await page.waitForFunction(
    (place, title) => document.querySelector(`${place}:not(.asked) .working h4`)?.innerText.split(",")[0] === title,
    {},
    PLACE,
    title,
  );
}

/** Waits for the card after the one of this number. */
async function another(page, number) {
  await page.waitForFunction(
    (place, title) => {
      const heading = document.querySelector(`${place}:not(.asked) .working h4`)?.innerText;
      return heading !== undefined && heading.split(",")[0] !== title;
    },
    {},
    PLACE,
    `Reading ${number + 1}`,
  );
}

/** Gives what the card expects if everything is built as it is drawn. */
async function reply(app, page) {
  const answer = await expected(page);
  if (await page.$(`${PLACE} input[name=number]`)) {
    await app.press(`${PLACE} input[name=number]`);
    await page.keyboard.type(String(answer));
    await app.pressButton("Enter this reading", PLACE);
  } else {
    await app.pressButton(answer, PLACE);
  }
}

/** What is expected where nothing differs from the drawing: a number, or the caption of a button. */
async function expected(page) {
  const lines = await page.$$eval(`${PLACE} .working li`, (all) => all.map((one) => one.innerText));
  const line = lines.find((one) => /the drawing itself is wrong/.test(one)) ?? lines[0];
  const number = /^(-?[\d.]+) [mk]?[VA]/.exec(line);
  return number ? Number(number[1]) : line.split(" ")[0];
}
