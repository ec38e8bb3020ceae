// Measures the worker's module under node: node worker.mjs FOLDER
//
// FOLDER holds `glue.mjs` and `worker.wasm`, and below `questions/` each job twice, NAME.one and NAME.other, as the page
// asks about them. The two differ in one wire, so that the module has to find out everything anew each time. Prints
// numbers and passes no judgment: a limit on a time would fail on a busy machine.
import { readFileSync, readdirSync } from "node:fs";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";

const folder = resolve(process.argv[2] ?? ".");

/** How long the rounds of one job go on, in milliseconds, and the most of them. */
const LIMIT = 4000;
const MOST_ROUNDS = 200;

/** How long a job is asked about before its rounds count, in milliseconds. */
const WARM_UP = 1000;

const { initSync, reply, checked } = await import(pathToFileURL(join(folder, "glue.mjs")).href);
initSync({ module: readFileSync(join(folder, "worker.wasm")) });

const questions = join(folder, "questions");
const jobs = readdirSync(questions).filter((name) => name.endsWith(".one")).map((name) => name.slice(0, -".one".length));
const size = (name) => readFileSync(join(questions, `${name}.one`)).length;
jobs.sort((one, other) => size(one) - size(other));

console.log(`node ${process.version}, milliseconds`);
console.log(`${"".padEnd(38)} ${"rounds"} ${["first", "least", "median", "95th"].map((head) => head.padStart(10)).join(" ")}`);
for (const job of jobs) {
  const asked = ["one", "other"].map((turn) => readFileSync(join(questions, `${job}.${turn}`)));
  // The engine compiles what runs often once more, beside it: the first rounds tell of that, not of the module. What the
  // very first costs is told by itself.
  const cold = ask(asked[1]);
  for (let round = 0, start = performance.now(); round % 2 === 0 || performance.now() - start < WARM_UP; round += 1) {
    ask(asked[round % 2]);
  }
  const [readings, checks] = [[], []];
  const start = performance.now();
  for (let round = 1; round <= MOST_ROUNDS && performance.now() - start < LIMIT; round += 1) {
    const [first, second] = ask(asked[round % 2]);
    readings.push(first);
    checks.push(second);
  }
  row(`${job}, readings`, cold[0], readings);
  row(`${job}, the whole check`, cold[1], checks);
}

/** Asks one question and then for what checks find; how long each took. */
function ask(question) {
  const start = performance.now();
  reply(question);
  const read = performance.now();
  if (checked() === undefined) {
    throw new Error("the checks were known already");
  }
  return [read - start, performance.now() - read];
}

function row(what, first, times) {
  times.sort((one, other) => one - other);
  const at = (share) => times[Math.ceil(((times.length - 1) * share) / 100)];
  const shown = [first, ...[0, 50, 95].map(at)].map((time) => time.toFixed(3).padStart(10));
  console.log(`${what.padEnd(40)} ${String(times.length).padStart(4)} ${shown.join(" ")}`);
}
