import assert from "node:assert/strict";
import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import { App } from "../app.mjs";

export const name = "a sweep that takes long tells how far it is, keeps nobody waiting, and can be stopped";

/** So many switches side by side that every one has a say in one lamp. */
const N_SWITCHES = 14;

function job() {
  const numbers = Array.from({ length: N_SWITCHES }, (_, i) => i + 1);
  const wire = (id, from, to) => ({ id, label: id, from, to, size: { mm2: 2.5 }, length_m: 1 });
  return {
    format: "loomwright-job",
    version: 2,
    card: { title: "Many switches" },
    settings: { nominal_v: 12 },
    parts: [
      { id: "g", kind: "battery", label: "G1" },
      { id: "e", kind: "lamp", label: "E1", values: { watts: 21 } },
      { id: "x", kind: "earth", label: "X1" },
      ...numbers.map((i) => ({ id: `s${i}`, kind: "switch", label: `S${i}` })),
    ],
    wires: [
      ...numbers.flatMap((i) => [wire(`a${i}`, "g.+", `s${i}.in`), wire(`b${i}`, `s${i}.out`, "e.1")]),
      wire("c", "e.2", "x.1"),
    ],
  };
}

export async function run({ page, address, downloads }) {
  const app = await App.open(page, address);
  const path = join(downloads, "many.json");
  await writeFile(path, JSON.stringify(job()));
  await app.openFile(path);
  await page.waitForFunction(() => document.querySelector(".edge h1").innerText === "Many switches");
  await app.side("Switches");
  const summary = await page.waitForFunction(() =>
    [...document.querySelectorAll(".drawer summary")].find((one) => one.innerText === "Every position gone through"),
  );
  await app.press(summary);
  await page.waitForSelector(".report button[data-ask=swept]");
  await app.pressButton("Go through all positions", ".report");
  await page.waitForFunction(() => document.querySelector(".report progress")?.value > 0, { timeout: 60000 });

  // Readings come meanwhile.
  await app.pressButton("on", ".switch-row");
  await app.frames();
  await page.waitForSelector("#drawing:not(.stale)", { timeout: 10000 });
  assert.ok(await page.$(".report progress"), "it is still at it");
  await app.pressButton("Stop", ".report");
  await page.waitForFunction(() => !document.querySelector(".report progress"));
  assert.ok(await page.$(".report button[data-ask=swept]"), "it can be begun again");
}
