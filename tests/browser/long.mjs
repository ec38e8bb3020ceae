// Measures what is asked of the second worker: the table of mistakes.
//
// A browser's switch for a slower processor may leave a worker as fast as it was, also where it takes the command. So a
// loop is timed in the worker before and after, and what the switch does not slow down is counted as often more.
import { App } from "./app.mjs";

const PLACE = '[data-report="mistakes"]';

/** How long the table of mistakes of a job takes, from the button to what is told, with the processor so much slower. */
export async function mistakes(withPage, address, job, slower) {
  await withPage(async (page) => {
    const app = await App.open(page, address);
    await app.openListed(job);
    await app.keepAsItIs();
    await app.side("Prove");
    await page.evaluate(() => {
      [...document.querySelectorAll("summary")].find((one) => one.textContent === "What every mistake would do").click();
    });
    await page.waitForSelector(`${PLACE} button`);
    // The first time brings the second worker and its module.
    await tried(page, app, "Try every mistake");
    const plain = await tried(page, app, "Try again");
    const worker = page.workers().at(-1);
    const before = await worker.evaluate(loop);
    let refused = "";
    try {
      await worker.client.send("Emulation.setCPUThrottlingRate", { rate: slower });
    } catch (error) {
      refused = `; it says “${error.message}”`;
    }
    await app.cdp.send("Emulation.setCPUThrottlingRate", { rate: slower });
    const slowed = (await worker.evaluate(loop)) / before;
    const slow = await tried(page, app, "Try again");
    const counted = slow.all + Math.max(0, slower / slowed - 1) * slow.compute;
    console.log(`\ntable of mistakes, ${job}: ${page.workers().length} workers`);
    console.log(`  at full speed: ${plain.all.toFixed(0)} ms from the button until it is told, ${plain.compute.toFixed(0)} ms of that in the worker`);
    console.log(`  the switch makes a loop in the worker ${slowed.toFixed(2)} times slower${refused}`);
    console.log(`  at a processor ${slower} times slower: ${slow.all.toFixed(0)} ms as measured, ${counted.toFixed(0)} ms with the worker counted as slow`);
  });
}

/** Presses a button and waits until what it asks for is told; the shortest of three, with what the worker computed. */
async function tried(page, app, caption) {
  let best = null;
  for (let i = 0; i < 3; i += 1) {
    const button = await app.button(i === 0 ? caption : "Try again", PLACE);
    const time = await page.evaluate(async (button, place) => {
      const n = window.answers.length;
      const old = document.querySelector(`${place} .hint:last-of-type`);
      const start = performance.now();
      button.click();
      const told = () => /mistakes tried in/.test(document.querySelector(place).innerText) && (!old || !old.isConnected);
      await window.painted(told);
      const compute = window.answers.slice(n).reduce((sum, { ms }) => sum + ms, 0);
      return { all: performance.now() - start, compute };
    }, button, PLACE);
    if (best === null || time.all < best.all) {
      best = time;
    }
  }
  return best;
}

/** Runs in the worker: the milliseconds that a fixed loop takes, the shortest of five. */
function loop() {
  let shortest = Infinity;
  for (let i = 0; i < 5; i += 1) {
    const start = performance.now();
    let x = 1;
    for (let n = 0; n < 2e7; n += 1) {
      x = (x * 1.0000001) % 7;
    }
    shortest = Math.min(shortest, performance.now() - start + 0 * x);
  }
  return shortest;
}
