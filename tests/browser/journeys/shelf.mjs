import assert from "node:assert/strict";
import { readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { App } from "../app.mjs";

export const name = "jobs are found, looked at, copied, deleted and brought back on a page of their own";

/** The card of each job that is there. */
const CARDS = [
  { title: "Bed lighting", customer: "Hollow Creek Apiary (invented)", vehicle: "Flatbed truck" },
  { title: "Pump for the wash tank", customer: "Hollow Creek Apiary (invented)", vehicle: "Honey stall trailer" },
  { title: "Socket in the cab", customer: "Mära’s orchard (invented)", vehicle: "Flatbed truck", drawn_by: "J. Sample", owner: "Wants it dry" },
];

export async function run({ page, address, downloads }) {
  const app = await App.open(page, address);
  await comesIn(app, downloads);
  await isLookedAt(app);
  await isFound(app);
  await isCopied(app);
  await isBroughtBack(app);
  await isDeleted(app);
  await byKeys(app);
}

const titles = (app) => app.page.$$eval(".job:not([hidden]) h4", (all) => all.map((one) => one.textContent));

/** Waits until the cards that are seen have these titles, in any order. */
async function shows(app, wanted) {
  const text = wanted.toSorted().join("\n");
  const find = (text) => [...document.querySelectorAll(".job:not([hidden]) h4")].map((one) => one.textContent).sort().join("\n") === text;
  await app.page.waitForFunction(find, {}, text).catch(async () => assert.deepEqual((await titles(app)).sort(), wanted.toSorted()));
}

/** The button on the card of a job. */
async function onCard(app, title, caption) {
  await app.pressButton(`${caption}: ${title}`, ".job");
}

/** A file of many jobs brings those that can be read, and tells of each other which it is and where it is wrong. */
async function comesIn(app, downloads) {
  const job = JSON.parse(await readFile(new URL("../../../fixtures/starts/pump.json", import.meta.url), "utf8"));
  const jobs = CARDS.map((card) => ({ job: { ...job, card }, versions: [] }));
  jobs[1].versions = [
    { name: "quoted", kept: Date.now(), job },
    { name: "as fitted", kept: Date.now(), job: { ...job, wires: 7 } },
  ];
  const bad = { ...job, parts: job.parts.map((part, at) => (at === 2 ? { ...part, kind: "<b>" } : part)) };
  const path = join(downloads, "all.json");
  await writeFile(path, JSON.stringify({ format: "loomwright-shelf", version: 1, jobs: [...jobs, { job: bad }] }));
  await app.openFile(path);
  await app.page.waitForFunction(() => document.querySelector(".shelf .refused").textContent.includes("added"));
  const told = await app.text(".shelf .refused");
  assert.match(told, /3 jobs were added/);
  assert.match(told, /Version 2 of job 2, “Pump for the wash tank”,? was left out:\s+wires: /);
  assert.match(told, /Job 4, “Water pump with a switch”, was left out:\s+parts\[2\]\.kind: /);
  await shows(app, CARDS.map(({ title }) => title));
}

/** Every card has its words, and a picture that is kept, is no part of the page, and is not of an earlier state. */
async function isLookedAt(app) {
  await app.page.waitForFunction(() => [...document.querySelectorAll(".shelf-picture img")].filter(({ naturalWidth }) => naturalWidth > 0).length === 3);
  assert.equal(await app.page.$(".shelf .jobs svg"), null);
  const words = await app.page.$$eval(".job", (all) => all.map((one) => one.innerText));
  const of = ({ title }) => words.find((all) => all.includes(title));
  for (const card of CARDS) {
    assert.ok(of(card).includes(card.vehicle) && of(card).includes(card.customer), of(card));
  }
  assert.match(of(CARDS[1]), /1 version has a name/);
  assert.doesNotMatch(of(CARDS[0]), /has a name/);
  const pictures = () => app.page.evaluate(async () => {
    const done = (request) => new Promise((resolve, reject) => Object.assign(request, { onsuccess: () => resolve(request.result), onerror: reject }));
    const database = await done(indexedDB.open("loomwright"));
    const all = (name) => done(database.transaction(name).objectStore(name).getAll());
    const [jobs, pictures] = [await all("jobs"), await all("pictures")];
    database.close();
    return jobs.map(({ id, title, revision }) => [title, revision, pictures.find((one) => one.id === id)?.revision]);
  });
  assert.ok((await pictures()).every(([, revision, of]) => revision === of), JSON.stringify(await pictures()));

  await onCard(app, CARDS[0].title, "Open");
  await app.noDialog();
  await app.answered();
  assert.equal(await app.text("h1"), CARDS[0].title);
  await app.keepAsItIs();
  const isOld = ([, revision, of]) => revision !== of;
  assert.deepEqual((await pictures()).filter(isOld).map(([title]) => title), [CARDS[0].title]);
  await app.openJobs();
  await app.page.waitForFunction(() => document.querySelectorAll(".shelf-picture img").length === 3);
  await app.page.waitForFunction(() => document.querySelector(".job .shelf-when").textContent.startsWith("Open now."));
  assert.deepEqual((await pictures()).filter(isOld), []);
}

/** What is typed finds by any word of the card, without regard to marks and capitals, and how many are found is told. */
async function isFound(app) {
  for (const [typed, wanted] of [["flatbed", [0, 2]], ["MARA", [2]], ["dry", [2]], ["sample cab", [2]], ["tank stall", [1]], ["wagon", []]]) {
    await app.page.$eval(".shelf input", (field) => (field.value = ""));
    await app.press(".shelf input");
    await app.page.keyboard.type(typed);
    await shows(app, wanted.map((at) => CARDS[at].title));
    assert.equal(await app.text(".shelf-count"), `${wanted.length} of 3 jobs`);
  }
  await app.page.$eval(".shelf input", (field) => field.select());
  await app.page.keyboard.press("Backspace");
  await shows(app, CARDS.map(({ title }) => title));
  assert.equal(await app.text(".shelf-count"), "3 jobs");
}

/** A copy is a job more, which is told and in focus; the open job stays open. */
async function isCopied(app) {
  const id = await app.jobId();
  await onCard(app, CARDS[2].title, "Make a copy");
  const copy = `${CARDS[2].title} (copy)`;
  await shows(app, [...CARDS.map(({ title }) => title), copy]);
  await app.page.waitForFunction((copy) => document.activeElement.ariaLabel === `Open: ${copy}`, {}, copy);
  assert.ok((await app.text(".shelf-said")).includes(copy));
  assert.equal(await app.jobId(), id);
}

const stored = (app) =>
  app.page.evaluate(async () => {
    const done = (request) => new Promise((resolve, reject) => Object.assign(request, { onsuccess: () => resolve(request.result), onerror: reject }));
    const database = await done(indexedDB.open("loomwright"));
    const all = (name) => done(database.transaction(name).objectStore(name).getAll());
    const [jobs, versions] = [await all("jobs"), await all("versions")];
    database.close();
    return { jobs: jobs.map(({ title }) => title).sort(), versions: versions.filter(({ name }) => name).map(({ name }) => name) };
  });

/** One tap deletes, and one brings back: until something else is done nothing is gone from the store. */
async function isBroughtBack(app) {
  const before = await stored(app);
  assert.deepEqual(before.versions, ["quoted"]);
  await onCard(app, CARDS[1].title, "Delete");
  await app.page.waitForSelector("dialog.shelf [data-do=back]:not([hidden])");
  assert.ok(!(await titles(app)).includes(CARDS[1].title));
  assert.match(await app.text(".shelf-said"), /“Pump for the wash tank” is deleted/);
  assert.deepEqual(await stored(app), before);
  await app.pressButton("Bring back", "dialog.shelf");
  await app.page.waitForFunction((title) => document.activeElement.ariaLabel === `Open: ${title}`, {}, CARDS[1].title);
  assert.ok((await titles(app)).includes(CARDS[1].title));
  assert.deepEqual(await stored(app), before);
  assert.ok(await app.page.$("dialog.shelf [data-do=back][hidden]"));
}

/** With the next thing that is done, and when the page is left, what was deleted is gone with its versions. */
async function isDeleted(app) {
  await onCard(app, CARDS[1].title, "Delete");
  await app.page.waitForSelector("dialog.shelf [data-do=back]:not([hidden])");
  await onCard(app, `${CARDS[2].title} (copy)`, "Delete");
  await app.page.waitForFunction(() => document.querySelector(".shelf-said").textContent.includes("(copy)"));
  const left = await stored(app);
  assert.ok(!left.jobs.includes(CARDS[1].title) && left.jobs.includes(`${CARDS[2].title} (copy)`), left.jobs.join());
  assert.deepEqual(left.versions, []);
  await app.pressButton("Close", "dialog.shelf");
  await app.noDialog();
  await app.openJobs();
  await shows(app, [CARDS[0].title, CARDS[2].title]);
  assert.deepEqual((await stored(app)).jobs, [CARDS[0].title, CARDS[2].title]);
}

/** The page works with keys alone: Enter opens it, its heading is met first, Escape leads back to where one was. */
async function byKeys(app) {
  const { page } = app;
  await app.pressButton("Close", "dialog.shelf");
  await app.noDialog();
  await page.focus("[data-jobs=jobs]");
  await page.keyboard.press("Enter");
  await page.waitForSelector("dialog.shelf[open]");
  await page.waitForFunction(() => document.activeElement.id === "shelf-title");
  await page.keyboard.press("Escape");
  await app.noDialog();
  assert.equal(await page.evaluate(() => document.activeElement.dataset.jobs), "jobs");
}
