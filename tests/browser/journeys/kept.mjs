import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { App } from "../app.mjs";

export const name = "jobs are kept, opened, refused and copied between";

/** Why it is not tried in Firefox. */
export const onlyChromium = "Firefox, when it is driven, keeps the focus from a window that stands in place of another";

const BAD = ["unknown-key.json", "newer-version.json", "job-newer.svg", "unclosed.svg", "not-utf-8.json"];

export async function run({ page, newPage, address, downloads }) {
  // An edit survives a tab that is closed before the store has replied at all.
  await page.evaluateOnNewDocument(() => {
    IDBFactory.prototype.open = () => ({});
  });
  let app = await App.open(page, address);
  await app.put("battery", () => app.spot([0.3, 0.3]));
  assert.equal(await app.text(".kept"), "Keeping…");
  const id = await app.jobId();
  await page.close();
  app = await App.open(await newPage(), address);
  await app.answered();
  assert.deepEqual((await app.symbols()).map((symbol) => symbol.words.split(",")[0]), ["battery G1"]);
  assert.equal(await app.jobId(), id);

  // What cannot be read is refused with the place and the reason, and changes nothing.
  const before = await app.jobText();
  for (const file of BAD) {
    const path = fileURLToPath(new URL(`../../../fixtures/files/bad/${file}`, import.meta.url));
    const reason = (await readFile(`${path}.txt`, "utf8")).trim();
    await app.openFile(path);
    await app.page.waitForFunction((file) => document.querySelector("dialog.shelf .refused").innerText.includes(file), {}, file);
    const said = await app.text("dialog.shelf .refused");
    assert.ok(said.includes("nothing was changed"), said);
    for (const line of reason.split("\n")) {
      assert.ok(said.includes(line.trim()), `${file}: “${said}” does not say “${line}”`);
    }
    await app.pressButton("Close", "dialog");
  }
  assert.equal(await app.jobText(), before);
  assert.equal(await app.jobId(), id);

  // Both forms are saved and opened again as a job of their own.
  for (const choice of ["Drawing (SVG)", "Job (JSON)"]) {
    const [last, text] = [await app.jobId(), await app.jobText()];
    const file = await app.save(choice, downloads);
    await app.openFile(file);
    await app.page.waitForFunction((last) => localStorage.getItem("loomwright.last-job") !== last, {}, last);
    assert.equal(await app.jobText(), text, choice);
  }

  // A copy from one job is pasted into another.
  await app.select((await app.symbols())[0].part);
  await app.side("Selected");
  await app.fill("Capacity", "70");
  const from = await app.jobText();
  await app.closeDrawer();
  await app.pressButton("Copy", ".selection-bar");
  await app.openJobs();
  await app.pressButton("Empty job", "dialog");
  await app.page.waitForFunction(() => document.querySelectorAll("#drawing .symbol").length === 0);
  await app.pressButton("Paste", ".selection-bar");
  const pasted = (await app.job()).parts;
  assert.deepEqual(pasted.map(({ kind, values }) => [kind, values]), [["battery", { capacity_ah: 70 }]]);
  assert.notEqual(await app.jobText(), from);

  // Two windows on one job, one of them without locks: the one that is behind is told, and what the other wrote stays.
  const unlocked = await newPage();
  await unlocked.evaluateOnNewDocument(() => delete Navigator.prototype.locks);
  const other = await App.open(unlocked, address);
  await other.page.bringToFront();
  await other.put("fuse", () => other.spot([0.6, 0.3]));
  const kept = await other.jobText();
  assert.deepEqual(JSON.parse(kept).parts.map((part) => part.kind), ["battery", "fuse"]);
  await app.page.bringToFront();
  await app.put("lamp", () => app.spot([0.6, 0.6]));
  await app.page.waitForSelector(".kept.worry");
  assert.match(await app.text(".kept"), /another window changed this job/);
  await other.page.bringToFront();
  assert.equal(await other.jobText(), kept);

  // What could not be kept can still be saved as a file.
  await app.page.bringToFront();
  const rescued = JSON.parse(await readFile(await app.save("Job (JSON)", downloads), "utf8"));
  assert.deepEqual(rescued.parts.map((part) => part.kind), ["battery", "lamp"]);

  // The list of jobs has all of them, and opens one.
  await app.openJobs();
  assert.equal((await app.page.$$("dialog .jobs .job")).length, 4);

  // The open job can be deleted as well: then it is not kept, and from the next change on it is again.
  await app.pressButton("Empty job", "dialog");
  await app.noDialog();
  await app.put("battery", () => app.spot([0.3, 0.3]));
  await app.kept();
  await app.openJobs();
  await app.pressButton("Delete", "dialog .jobs .job");
  await app.page.waitForFunction(() => document.querySelectorAll("dialog .jobs .job:not([hidden])").length === 4);
  await app.pressButton("Close", "dialog");
  await app.page.waitForFunction(() => document.querySelector(".kept").textContent === "");
  assert.equal(await app.jobId(), null);
  await app.put("lamp", () => app.spot([0.6, 0.6]));
  assert.deepEqual((await app.job()).parts.map((part) => part.kind), ["battery", "lamp"]);
}
