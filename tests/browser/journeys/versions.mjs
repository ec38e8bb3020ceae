import assert from "node:assert/strict";
import { readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { App } from "../app.mjs";
import { closeVersions, nameVersion, openVersions } from "../version.mjs";
import { MOST, gone, isWorthKeeping } from "../../../web/host/thinning.js";

export const name = "versions are named, compared and put back, and all jobs go through one file";

const JOB = "Driving lamps that stay dark on main beam";

export async function run({ page, address, downloads }) {
  thinning();
  const app = await App.open(page, address);
  await app.openListed(JOB);
  await app.keepAsItIs();
  await openVersions(app);
  await nameVersion(app, "as fitted");
  const fitted = await app.text("dialog.versions .version strong");
  assert.equal(fitted, "as fitted");
  await closeVersions(app);
  const before = await app.jobText();

  // One size is changed: the list has that and nothing else.
  const wire = (await app.job()).wires.find(({ size }) => size?.mm2 === 2.5);
  await app.selectWire(wire.id);
  await app.side("Selected");
  await app.fill("Size", "4 mm2");
  await app.closeDrawer();
  const changed = await app.jobText();
  assert.notEqual(changed, before);
  await openVersions(app);
  await app.press(await rowButton(app, "as fitted", "compare"));
  await page.waitForSelector(".versions-changed:not([hidden]) li");
  const told = await page.$$eval(".versions-changed li", (all) => all.map((one) => one.textContent));
  assert.equal(told.length, 1, told.join("; "));
  assert.match(told[0], /^Size: now 4\s*mm², was 2\.5\s*mm²$/);

  // Putting it back is one step, and that step can be undone.
  await app.press(await rowButton(app, "as fitted", "back"));
  await page.waitForFunction(() => !document.querySelector("dialog[open]"));
  assert.deepEqual(await app.job(), JSON.parse(before));
  await app.pressButton("Undo", ".tools");
  assert.deepEqual(await app.job(), JSON.parse(changed));

  // All jobs in one file, and that file taken in: a job more, and nothing written over.
  const id = await app.jobId();
  await app.openJobs();
  await app.pressButton("Save everything", "dialog.shelf");
  const path = await app.arrived(downloads, ".json");
  const file = JSON.parse(await readFile(path, "utf8"));
  assert.deepEqual(file.jobs.map(({ job, versions }) => [job, versions.map(({ name, job }) => [name, job])]), [
    [JSON.parse(changed), [["as fitted", JSON.parse(before)]]],
  ]);
  await app.pressButton("Close", "dialog.shelf");
  const mixed = join(downloads, "mixed.json");
  await writeFile(mixed, JSON.stringify({ ...file, jobs: [...file.jobs, { job: { card: { title: "Broken" } } }, 7, null] }));
  await app.openFile(mixed);
  await app.shelfTells(/1 job was added\.[\s\S]*Job 2, “Broken”, was left out:\s+\S[\s\S]*Job 3 was left out[\s\S]*Job 4 was left out/);
  await page.waitForFunction(() => document.querySelectorAll("dialog.shelf .jobs .job").length === 2);
  assert.equal(await app.jobId(), id);

  // What is no such file adds nothing.
  await app.pressButton("Close", "dialog.shelf");
  for (const jobs of ["many", { 0: {} }, null]) {
    await writeFile(mixed, JSON.stringify({ ...file, jobs }));
    await app.openFile(mixed);
    await app.shelfTells(/nothing was changed[\s\S]*no list of jobs/);
    await app.pressButton("Close", "dialog.shelf");
  }
}

/** What stays and what goes of versions, by their age in hours. */
function thinning() {
  const now = 1000 * 24 * 3_600_000;
  const aged = (hours, name = "") => ({ kept: now - hours * 3_600_000, name, text: `${hours}` });
  const left = (all) => gone(all, now).map(({ text }) => Number(text));
  assert.deepEqual(left([aged(1), aged(2), aged(23)]), []);
  assert.deepEqual(left([aged(49), aged(50), aged(51)]), [50, 51]);
  assert.deepEqual(left([aged(24 * 31), aged(24 * 31, "quoted")]), [24 * 31]);
  assert.equal(left(Array.from({ length: MOST + 5 }, (_, at) => aged(at / 10))).length, 5);
  const state = (hours) => ({ updated: now - hours * 3_600_000, text: "new" });
  assert.equal(isWorthKeeping(state(1), [aged(1.5)], false), false);
  assert.equal(isWorthKeeping(state(1), [aged(1.5)], true), true);
  assert.equal(isWorthKeeping(state(1), [aged(2)], false), true);
  assert.equal(isWorthKeeping({ ...state(0), text: "2" }, [aged(2)], true), false);
}

async function rowButton(app, name, what) {
  const handle = await app.page.evaluateHandle(
    (name, what) => [...document.querySelectorAll(".version")].find((row) => row.querySelector("strong").textContent === name)?.querySelector(`[data-do=${what}]`) ?? null,
    name,
    what,
  );
  assert.ok(handle.asElement(), `no version “${name}”`);
  return handle.asElement();
}
