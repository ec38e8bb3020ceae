// Measures what browsers report themselves of a visit: what is seen first, what shifts, what holds the page up, and how
// long each interaction takes until it is painted. A part of measure.mjs.
import { App } from "./app.mjs";

/** How long a quick hand looks at what it has done before it does the next, in milliseconds. */
const LOOK = 300;

/** Visits by one profile, the first with nothing kept, the second with what the first has left. */
export async function visits(withPages, address, network, slower) {
  await withPages(async (newPage) => {
    for (const [which, wait] of [["first visit", true], ["next visit", false]]) {
      const page = await newPage();
      await page.evaluateOnNewDocument(observe);
      const cdp = await page.createCDPSession();
      await cdp.send("Network.enable");
      await cdp.send("Network.emulateNetworkConditions", network);
      await cdp.send("Emulation.setCPUThrottlingRate", { rate: slower });
      await page.goto(address);
      await page.waitForFunction(() => performance.getEntriesByName("ready").length > 0, { timeout: 120_000 });
      const ready = await page.evaluate(() => performance.getEntriesByName("ready")[0].startTime);
      if (wait) {
        await page.waitForFunction(() => navigator.serviceWorker.ready.then(() => true), { timeout: 120_000 });
      }
      await new Promise((resolve) => setTimeout(resolve, 2000));
      const { painted, shift, held } = await page.evaluate(() => window.vitals);
      console.log(
        `  ${which}: ready after ${ready.toFixed(0)} ms, largest paint after ${painted.toFixed(0)} ms, ` +
          `shift of the layout ${shift.toFixed(3)}, held up for ${held.toFixed(0)} ms above 50 ms a task`,
      );
      await page.close();
    }
  });
}

/** What an hour of work is made of, each once or more: how long it takes from an input to the paint that follows. */
export async function interactions(withPage, address, job, slower) {
  await withPage(async (page) => {
    await page.evaluateOnNewDocument(observe);
    const app = await App.open(page, address);
    await app.openListed(job);
    await app.answered();
    await app.cdp.send("Emulation.setCPUThrottlingRate", { rate: slower });
    await page.evaluate(() => window.vitals.events.splice(0));
    const { parts, wires } = await drawn(app);
    const each = async (all, act) => {
      for (const one of all) {
        await act(one);
        await new Promise((resolve) => setTimeout(resolve, LOOK));
      }
    };
    await each(parts.slice(0, 6), (part) => app.select(part));
    await each(wires.slice(0, 6), (wire) => app.selectWire(wire));
    await each(["Checks", "Switches", "Prove", "Job", "Selected"], (side) => app.side(side));
    await app.closeDrawer();
    await app.select(parts[0]);
    await each(["Turn", "Turn"], (caption) => app.pressButton(caption, ".selection-bar"));
    await each(["Undo", "Undo", "Redo", "Readings", "Readings", "+", "−", "Show all"], (caption) => app.pressButton(caption, ".tools"));
    await each(["Try"], (tool) => app.tool(tool));
    await each(parts.slice(0, 8), (part) => app.tapPart(part));
    await app.frames(10);
    const events = (await page.evaluate(() => window.vitals.events)).sort((one, other) => other.ms - one.ms);
    // As browsers count it: the slowest, and of very many the slowest but one in fifty.
    const rank = Math.floor(events.length / 50);
    console.log(`\ninteractions, ${job}, processor ${slower} times slower: ${events.length} inputs`);
    console.log(`  from an input to the paint that follows, one every ${LOOK} ms: ${events[rank].ms} ms (${events.slice(0, 5).map(({ ms, name, on }) => `${ms} ms ${name} on ${on}`).join(", ")})`);
  });
}

async function drawn(app) {
  const parts = [...new Set((await app.symbols()).map(({ part }) => part))];
  const wires = await app.page.$$eval('#drawing .scene > [data-id^="wire."]', (all) => all.map((one) => one.dataset.id.slice(5)));
  return { parts, wires };
}

/** Runs in the page before anything else: keeps what the browser reports. */
function observe() {
  window.vitals = { painted: 0, shift: 0, held: 0, events: [] };
  const on = (type, take, more = {}) => new PerformanceObserver((list) => list.getEntries().forEach(take)).observe({ type, buffered: true, ...more });
  on("largest-contentful-paint", ({ startTime }) => (window.vitals.painted = startTime));
  on("layout-shift", ({ value, hadRecentInput }) => (window.vitals.shift += hadRecentInput ? 0 : value));
  on("longtask", ({ duration }) => (window.vitals.held += Math.max(0, duration - 50)));
  // The browser tells durations in steps of 8 ms, and none below 16.
  on(
    "event",
    ({ interactionId, duration, name, target }) => {
      if (interactionId) {
        const known = window.vitals.events.find(({ id }) => id === interactionId);
        const told = { id: interactionId, ms: duration, name, on: (target?.ariaLabel || target?.textContent?.trim() || target?.nodeName || "?").slice(0, 20) };
        if (!known) {
          window.vitals.events.push(told);
        } else if (known.ms < duration) {
          Object.assign(known, told);
        }
      }
    },
    { durationThreshold: 16 },
  );
}
