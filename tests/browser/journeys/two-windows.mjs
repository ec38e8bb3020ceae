import assert from "node:assert/strict";
import { App } from "../app.mjs";

export const name = "a job is changed in one window at a time: a second one shows it, takes it over or goes on with a copy";

/** Why it is not tried in Firefox. */
export const onlyChromium = "Firefox, when it is driven, keeps the focus from a window that stands in place of another";

export async function run({ page, newPage, address }) {
  const first = await App.open(page, address);
  await first.put("battery", () => first.spot([0.3, 0.3]));
  const id = await first.jobId();
  const { revision, text } = await first.record();

  // A second window shows the job; it is looked at and not changed.
  const second = await App.open(await newPage(), address);
  await isBehind(second);
  await refuses(second, "lamp");
  await second.pressButton("+", ".tools");
  await second.select((await second.symbols())[0].part);
  await second.pressButton("Turn", ".selection-bar");
  await saysWhy(second);
  assert.deepEqual(await first.record(), { ...(await first.record()), id, revision, text });

  // It takes the job over; the first window is told.
  await second.pressButton("Take over here", "#two-windows");
  await isAhead(second);
  await second.put("lamp", () => second.spot([0.6, 0.4]));
  await second.kept();
  await first.page.bringToFront();
  await isBehind(first);
  await refuses(first, "fuse");

  // Taken back, it is as the other window left it.
  await chooses(first, "Take over here");
  await kinds(first, ["battery", "lamp"]);
  await isAhead(first);
  await first.put("fuse", () => first.spot([0.6, 0.7]));
  await first.kept();

  // A window that is closed leaves the job to the next by itself.
  await second.page.bringToFront();
  await isBehind(second);
  await first.page.close();
  await kinds(second, ["battery", "lamp", "fuse"]);
  await isAhead(second);

  // A window that does not hear is not waited for, and what it writes afterwards is no change of the job.
  const deaf = await newPage();
  await second.page.close();
  await deaf.evaluateOnNewDocument(() => delete globalThis.BroadcastChannel);
  await deaf.bringToFront();
  const owner = await App.open(deaf, address);
  const third = await App.open(await newPage(), address);
  await isBehind(third);
  await third.pressButton("Take over here", "#two-windows");
  await isAhead(third);
  await third.put("switch", () => third.spot([0.3, 0.6]));
  await third.kept();
  await owner.page.bringToFront();
  await isBehind(owner);

  // A copy is a job of its own.
  await chooses(owner, "Go on with a copy");
  await owner.page.waitForFunction((id) => localStorage.getItem("loomwright.last-job") !== id, {}, id);
  await kinds(owner, ["battery", "lamp", "fuse", "switch"]);
  await isAhead(owner);
  await owner.put("earth", () => owner.spot([0.5, 0.7]));
  const copy = await owner.job();
  assert.deepEqual(copy.parts.map(({ kind }) => kind), ["battery", "lamp", "fuse", "switch", "earth"]);
  await third.page.bringToFront();
  assert.equal(new Set((await third.symbols()).map(({ part }) => part)).size, 4);

  // What is open elsewhere is not deleted.
  await third.openJobs();
  assert.equal((await third.page.$$("dialog .jobs .job")).length, 2);
  await third.pressButton("Delete", "dialog .jobs .job:first-child");
  await third.page.waitForFunction(() => /open in another window/.test(document.querySelector("dialog.shelf .refused").innerText));
  assert.equal((await third.page.$$("dialog .jobs .job:not([hidden])")).length, 2);
}

/** Presses a button over which the window begins anew: no touch is waited for in it. */
async function chooses(app, caption) {
  const button = await app.button(caption, "#two-windows");
  await button.evaluate((one) => setTimeout(() => one.click()));
}

/** The window only shows the job, and says so. */
async function isBehind(app) {
  await app.page.waitForSelector("#two-windows");
  assert.match(await app.text(".kept"), /Open in another window: only shown here/);
}

/** The job is changed in this window. */
async function isAhead(app) {
  await app.page.waitForFunction(() => document.getElementById("drawing") && !document.getElementById("two-windows"));
  await app.ready();
}

async function refuses(app, kind) {
  const before = (await app.symbols()).length;
  await app.pressButton("Parts", ".tools");
  await app.press(`button[data-kind="${kind}"]`);
  await app.tap(await app.spot([0.7, 0.3]));
  await saysWhy(app);
  assert.equal((await app.symbols()).length, before);
  await app.pressButton("Draw", ".modes");
}

async function saysWhy(app) {
  await app.frames();
  assert.match(await app.status(), /Nothing was changed: the job is open in another window/);
}

async function kinds(app, wanted) {
  await app.page.waitForFunction(
    (n) => new Set([...document.querySelectorAll("#drawing .scene > .symbol")].map((one) => one.dataset.id.split(".")[1])).size === n,
    {},
    wanted.length,
  );
  await app.ready();
  assert.deepEqual((await app.job()).parts.map(({ kind }) => kind), wanted);
}
