import assert from "node:assert/strict";
import { App } from "../app.mjs";
import { Tab } from "../tab.mjs";

export const name = "a donor is surveyed card by card, by touch and by keyboard alone, and its coil wired from the answer";

/** A lamp switched on its positive side, as a meter shows it: [against earth, from battery positive] of each wire. */
const EARTH = [0.02, 12.6];
const LAMP = {
  "all lights off": [EARTH, EARTH],
  "Switch on main beam": [[12.3, 0.3], [0.1, 12.5]],
  "Switch on dipped beam": [EARTH, EARTH],
  unplugged: [[0, 0], EARTH],
};

export async function run({ page, newPage, address }) {
  await byTouch(page, address);
  const next = await newPage();
  await page.close();
  await byKeyboard(next, address);
}

async function byTouch(page, address) {
  const app = await App.open(page, address);
  await app.openListed("Driving lamps that stay dark on main beam");
  await app.keepAsItIs();
  const before = await app.jobText();
  await app.side("Prove");
  await page.waitForSelector(".survey select[name=signal]");
  assert.match(await app.text(".survey"), /never a filament test lamp/);
  await page.select(".survey select[name=signal]", "main beam");
  await app.press(".survey input[name=name1]");
  await page.keyboard.type("white");
  await app.pressButton("Begin", ".survey");
  await card(page, "Reading 1");

  // What is no number is asked for again, and nothing is lost.
  await app.pressButton("Enter this reading", ".survey");
  await page.waitForFunction(() => document.querySelector(".status").innerText.startsWith("Enter the number"));
  assert.equal(await heading(page), "Reading 1");
  await app.press(".survey input[name=volts]");
  await page.keyboard.type("0.05A");
  await app.pressButton("Enter this reading", ".survey");
  await page.waitForFunction(() => /cannot be read as volts/.test(document.querySelector(".status").innerText));
  await page.waitForSelector(".survey:not(.asked)");
  assert.equal(await page.$eval(".survey input[name=volts]", (one) => one.value), "0.05A");
  await page.$eval(".survey input[name=volts]", (one) => (one.value = ""));

  let n = 0;
  for (; (await heading(page)).startsWith("Reading"); n += 1) {
    assert.ok(n < 16, "the survey comes to an end");
    await app.press(".survey input[name=volts]");
    await page.keyboard.type(String(shown(await instruction(page))));
    await app.pressButton("Enter this reading", ".survey");
    await another(page, n);
    if (n === 1) {
      // What was read outlives a look at another side.
      await app.side("Checks");
      await app.side("Prove");
      await card(page, "Reading 3");
    }
  }
  assert.equal(await heading(page), "What drives the lamp?");
  await app.pressButton("A switch or a relay", ".survey .working");
  await card(page, "What the readings say");
  const told = await app.text(".survey");
  assert.match(told, /The lamp is switched on its positive side\./);
  assert.match(told, /The white wire is its positive wire, wire 2 the negative one\./);

  // Into the drawing: the donor, and the coil that was tapped from the wrong lamp.
  await app.pressButton("Take the answer into the drawing", ".survey");
  await page.waitForFunction(() => /Nothing to change|Done with/.test(document.querySelector(".status").innerText));
  await page.waitForSelector(".survey:not(.asked)");
  await app.pressButton("Wire the coil so", ".survey");
  await page.waitForFunction(() => /^Done with .*W11 goes to E1:feed instead of E2:feed/.test(document.querySelector(".status").innerText), { timeout: 30000 });
  const { parts, wires, records } = await app.job();
  assert.deepEqual([records.length, records[0].for, records[0].about], [1, "survey", "the lamp for main beam"]);
  assert.match(await app.text(".survey"), /These readings are kept with the job/);
  const lamp = parts.find(({ label }) => label === "E1").id;
  assert.equal(wires.find(({ label }) => label === "W11").from, `${lamp}.feed`);
  await app.closeDrawer();
  await app.pressButton("Undo", ".tools");
  while ((await app.jobText()) !== before) {
    await app.pressButton("Undo", ".tools");
  }
  // A change of the job takes no reading back.
  await app.side("Prove");
  assert.match(await app.text(".survey"), /switched on its positive side/);

  await order(app, page);
}

/** The order of work stands below. */
async function order(app, page) {
  const summary = await page.waitForSelector(".drawer summary::-p-text(Order of work)");
  await app.press(summary);
  await page.waitForFunction(() => document.querySelector("[data-report=work] li"));
  const steps = await page.$$eval("[data-report=work] h4", (all) => all.map((one) => one.innerText));
  const place = (text) => steps.findIndex((step) => step.includes(text));
  assert.ok(place("Take the battery off") >= 0 && place("Take the battery off") < place("Make the earth points"), String(steps));
  assert.ok(place("Fuses in") < place("Put the battery on"), String(steps));
}

async function byKeyboard(page, address) {
  const app = await App.open(page, address, { width: 1280, height: 900 });
  const tab = new Tab(page);
  await tab.button("Prove");
  await page.waitForSelector(".survey select[name=signal]");
  await tab.field("signal", "main");
  await tab.button("Begin");
  await card(page, "Reading 1");
  for (let n = 0; (await heading(page)).startsWith("Reading"); n += 1) {
    assert.ok(n < 16, "the survey comes to an end");
    await tab.field("volts", String(shown(await instruction(page))));
    await tab.button("Enter this reading");
    await another(page, n);
  }
  await tab.button("A module");
  await card(page, "What the readings say");
  const told = await app.text(".survey");
  assert.match(told, /The lamp is driven by a module, or in pulses\./);
  assert.match(told, /Do not tap it with a coil/);
  assert.ok(!told.includes("Wire the coil"), told);
  // A donor that the job does not have yet.
  await tab.button("Take the answer into the drawing");
  await page.waitForFunction(() => document.querySelector(".status").innerText.startsWith("Done with donor circuit"));
  const donor = (await app.job()).parts.find(({ kind }) => kind === "donor");
  assert.deepEqual([donor.status, donor.values.drive, donor.values.signal], ["existing", "module", "main beam"]);
}

const heading = (page) => page.$eval(".survey .working h4", (one) => one.innerText);

const instruction = (page) => page.$eval(".survey .working", (one) => one.innerText);

async function card(page, title) {
  await page.waitForFunction((title) => document.querySelector(".survey .working h4")?.innerText === title, {}, title);
}

/** Waits for the card after the one of this number. */
async function another(page, number) {
  const title = `Reading ${number + 1}`;
  await page.waitForFunction((title) => document.querySelector(".survey .working h4").innerText !== title, {}, title);
}

/** What the meter shows where a card sends its leads. */
function shown(text) {
  const lights = Object.keys(LAMP).find((words) => text.includes(words));
  assert.ok(lights, text);
  const wire = /wire 2/.test(text) ? 1 : 0;
  const way = /Red lead on the positive pole/.test(text) ? 1 : 0;
  return LAMP[lights][wire][way];
}
