import assert from "node:assert/strict";
import { readFile, readdir } from "node:fs/promises";
import { join } from "node:path";

export const name = "every job is drawn byte for byte as the command line draws it";

export async function run({ page, address, drawings }) {
  const jobs = (await readdir(drawings)).filter((file) => file.endsWith(".json")).sort();
  assert.ok(jobs.length >= 5, "the demonstration jobs are there to be compared");
  await page.goto(address);
  await page.waitForSelector(".sheet svg");
  for (const job of jobs) {
    const text = await readFile(join(drawings, job), "utf8");
    const native = await readFile(join(drawings, job.replace(/json$/, "svg")), "utf8");
    const inBrowser = await page.evaluate(async (text) => {
      // Loaded once already; the same address gives the same instance.
      const glue = await import(document.getElementById("glue").href);
      return glue.drawing_of(text);
    }, text);
    const at = firstDifference(native, inBrowser);
    assert.equal(at, -1, `${job} differs at ${at}: ${native.slice(at - 60, at + 60)} | ${inBrowser.slice(at - 60, at + 60)}`);
  }
}

/** Where two texts part; -1 when they are the same. */
function firstDifference(one, other) {
  const length = Math.max(one.length, other.length);
  for (let at = 0; at < length; at += 1) {
    if (one[at] !== other[at]) {
      return at;
    }
  }
  return -1;
}
