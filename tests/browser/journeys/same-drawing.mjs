import assert from "node:assert/strict";
import { readFile, readdir } from "node:fs/promises";
import { join } from "node:path";
import { App } from "../app.mjs";

export const name = "every job is drawn byte for byte as the command line draws it";

export async function run({ page, address, drawings }) {
  const jobs = (await readdir(drawings)).filter((file) => file.endsWith(".json")).sort();
  assert.ok(jobs.length >= 5, "the demonstration jobs are there to be compared");
  const app = await App.open(page, address);
  await app.answered();
  for (const job of jobs) {
    const text = await readFile(join(drawings, job), "utf8");
    const native = await readFile(join(drawings, job.replace(/json$/, "svg")), "utf8");
    const inBrowser = await page.evaluate(draw, text);
    const at = firstDifference(native, inBrowser);
    assert.equal(at, -1, `${job} differs at ${at}: ${native.slice(at - 60, at + 60)} | ${inBrowser.slice(at - 60, at + 60)}`);
  }
}

/** Has the module of the worker read a job and draw it. */
async function draw(job) {
  // Loaded once already; the same address gives the same instance.
  const glue = await import(document.getElementById("glue").href);
  // The app has started a worker from this address; another one from it is as good.
  const entries = performance.getEntriesByType("resource").map((entry) => entry.name);
  const url = entries.find((name) => /\/worker-[0-9a-f]+\.js$/.test(name));
  const worker = new Worker(url, { type: "module" });
  const replied = (number, bytes) =>
    new Promise((resolve, reject) => {
      worker.onmessage = ({ data }) => {
        if (data.failure !== undefined) {
          reject(new Error(data.failure));
        } else if (data.number === number) {
          resolve(data.bytes);
        }
      };
      worker.onerror = (event) => reject(new Error(event.message));
      worker.postMessage({ number, bytes });
    });
  const read = await replied(1, glue.wish_for(new TextEncoder().encode(job)));
  const picture = await replied(2, glue.picture_of(read));
  worker.terminate();
  return glue.markup_of(picture);
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
