// Measures the app in a browser: node measure.mjs ADDRESS CHROMIUM
//
// ADDRESS is where the built app is served as a host does it, compressed. Prints numbers and passes no
// judgment: a limit on a time would fail on a busy machine.
//
// A browser slows down only the page by its own switch. Where it does not slow down the worker too, the
// time that the worker took is counted as often more, and the output says so.
import puppeteer from "puppeteer-core";
import { App, TABLET } from "./app.mjs";
import { mistakes } from "./long.mjs";
import { keepMemories, memory } from "./memory.mjs";
import { costOfMoves, moving } from "./moving.mjs";
import { QUIET } from "./quiet.mjs";
import { interactions, visits } from "./vitals.mjs";

const [address, chromium] = process.argv.slice(2);
if (!chromium) {
  console.error("usage: node measure.mjs ADDRESS CHROMIUM");
  process.exit(2);
}

/** How much slower than this machine the processor is taken to be. */
const SLOWER = 4;

/** The network of the first visit: bytes a second, and milliseconds there and back. */
const NETWORK = { offline: false, latency: 150, downloadThroughput: 1_600_000 / 8, uploadThroughput: 750_000 / 8 };

/** The largest of the demonstration jobs without findings. */
const JOB = "Night loading lamps and bed electrics";

const open = (...more) => puppeteer.launch({
  executablePath: chromium,
  args: [
    ...more,
    ...QUIET,
    // With room for its own bars. What lies beyond the window is never painted, and an input that changes only that counts as
    // waiting until something else is.
    `--window-size=${TABLET.width + 80},${TABLET.height + 220}`,
  ],
});

const browser = await open();
try {
  console.log(`browser: ${await browser.version()}`);
  console.log(`profile: tablet of ${TABLET.width} by ${TABLET.height} pixels with touch, processor ${SLOWER} times slower`);
  await firstLoad();
  await firstVisits(5);
  console.log(`\nfirst and next visit of one profile, same network and processor:`);
  await visits(withPages, address, NETWORK, SLOWER);
  await working();
  await interactions(withPage, address, JOB, SLOWER);
  await moving(withPage, address);
  await unlimited();
  await mistakes(withPage, address, JOB, SLOWER);
  await memory(withPage, address, [JOB, "Driving lamps that stay dark on main beam", "Second battery, pump and lamps of the honey stall"]);
} finally {
  await browser.close();
}

/** What a first visit costs until the page is ready. */
async function firstLoad() {
  await withPage(async (page) => {
    const cdp = await page.createCDPSession();
    await cdp.send("Network.enable");
    const requests = new Map();
    let clock = null;
    cdp.on("Network.requestWillBeSent", ({ requestId, request, timestamp, wallTime }) => {
      clock ??= wallTime - timestamp;
      requests.set(requestId, { url: request.url });
    });
    cdp.on("Network.responseReceived", ({ requestId, response }) => {
      requests.get(requestId).encoding = response.headers["content-encoding"] ?? response.headers["Content-Encoding"] ?? "none";
    });
    cdp.on("Network.loadingFinished", ({ requestId, timestamp, encodedDataLength }) => {
      Object.assign(requests.get(requestId) ?? {}, { at: (timestamp + clock) * 1000, bytes: encodedDataLength });
    });
    const app = await App.open(page, address);
    await app.answered();
    const ready = await page.evaluate(() => performance.timeOrigin + performance.getEntriesByName("ready")[0].startTime);
    const [before, after] = [[], []];
    for (const request of requests.values()) {
      (request.at <= ready ? before : after).push(request);
    }
    console.log("\nfirst visit, every response until ready, heads of responses included:");
    for (const { url, bytes, encoding } of before) {
      console.log(`${String(bytes).padStart(10)}  ${url.slice(address.length) || "index.html"} (${encoding})`);
    }
    const total = before.reduce((sum, { bytes }) => sum + bytes, 0);
    console.log(`${String(total).padStart(10)}  bytes in ${before.length} responses`);
    const names = after.map(({ url }) => url.slice(address.length)).join(", ");
    console.log(`            afterwards, of the page itself: ${names || "nothing"}`);
  });
}

/** How long a first visit takes until ready, and until the first readings, over a slow network. */
async function firstVisits(n) {
  const visits = [];
  for (let i = 0; i < n; i += 1) {
    await withPage(async (page) => {
      const cdp = await page.createCDPSession();
      await cdp.send("Network.enable");
      await cdp.send("Network.setCacheDisabled", { cacheDisabled: true });
      await cdp.send("Network.emulateNetworkConditions", NETWORK);
      await cdp.send("Emulation.setCPUThrottlingRate", { rate: SLOWER });
      await page.goto(address);
      await page.waitForFunction(() => window.answers.length > 0, { timeout: 120_000 });
      const visit = await page.evaluate(() => ({
        ready: performance.getEntriesByName("ready")[0].startTime,
        readings: window.answers[0].at,
        compute: window.answers[0].ms,
      }));
      const [worker] = page.workers();
      visit.module = await worker.evaluate(() => {
        const entries = performance.getEntriesByType("resource");
        return entries.find(({ name }) => name.endsWith(".wasm")).duration;
      });
      visits.push(visit);
    });
  }
  const kilobits = (NETWORK.downloadThroughput * 8) / 1000;
  console.log(`\nfirst visit, cold cache, ${kilobits} kbit/s, ${NETWORK.latency} ms there and back, ${n} visits:`);
  console.log(`  ready            ${milliseconds(median(visits.map(({ ready }) => ready)))} (median; ${visits.map(({ ready }) => ready.toFixed(0)).join(", ")})`);
  console.log(`  first readings   ${milliseconds(median(visits.map(({ readings }) => readings)))} (median; the worker's module came by the same network in ${milliseconds(median(visits.map(({ module }) => module)))}, its processor is not slowed)`);
}

/** Edits, taps on a switch, and a drag, in one visit. */
async function working() {
  await withPage(async (page) => {
    const app = await App.open(page, address);
    await app.openListed(JOB);
    await app.keepAsItIs();
    const job = await app.job();
    const [worker] = page.workers();
    let more = 0;
    try {
      await worker.client.send("Emulation.setCPUThrottlingRate", { rate: SLOWER });
    } catch (error) {
      more = SLOWER - 1;
      console.log(`\nthe browser does not slow down a worker (${error.message}): ${more} times what it computed is added to each time`);
    }
    await app.cdp.send("Emulation.setCPUThrottlingRate", { rate: SLOWER });

    // The wire in the middle of the file, whatever it is, by the form of the drawer.
    await app.selectWire(job.wires[Math.floor(job.wires.length / 2)].id);
    await app.side("Selected");
    await app.answered();
    const lengths = Array.from({ length: 60 }, (_, i) => (1.013 + i / 10).toFixed(3));
    const edits = await page.evaluate(edit, lengths);
    console.log(`\n${JOB}, ${job.parts.length} parts, ${job.wires.length} wires:`);
    report("length of a wire to its readings", edits, more);

    await app.closeDrawer();
    await app.pressButton("Show all");
    await app.tool("Try");
    const knob = job.parts.find((part) => part.kind === "switch");
    const at = (await app.symbols()).find((symbol) => symbol.part === knob.id).middle;
    await page.evaluate(listenToTaps);
    for (let i = 0; i < 60; i += 1) {
      await app.tap(at);
      await page.waitForFunction((n) => window.taps.length === n, { polling: 50 }, i + 1);
    }
    report("tap on a switch to its readings", await page.evaluate(() => window.taps), more);

    // The part with the most wires.
    const wires = (id) => job.wires.filter(({ from, to }) => [from, to].some((end) => end.split(".")[0] === id)).length;
    const busiest = job.parts.toSorted((one, other) => wires(other.id) - wires(one.id))[0];
    await app.tool("Draw");
    const from = (await app.symbols()).find((symbol) => symbol.part === busiest.id).middle;
    await app.touch("touchStart", [from]);
    await page.evaluate(countFrames);
    for (let i = 1; i <= 200; i += 1) {
      const turn = (i / 200) * 6 * Math.PI;
      await app.touch("touchMove", [[from[0] + 90 * Math.sin(turn), from[1] + 60 * (1 - Math.cos(turn))]]);
    }
    const dragged = await page.$("#drawing.dragging");
    const frames = await page.evaluate(() => window.frames.stop());
    await app.touch("touchCancel", []);
    if (!dragged) {
      throw new Error("the part was not dragged");
    }
    console.log(`  drag of a ${busiest.kind} with ${wires(busiest.id)} wires, 200 moves, frame to frame: ${spread(frames)} in ${frames.length} frames`);
  });
}

/** Runs in the page: enters one length after the other, and waits for the readings of each. */
async function edit(lengths) {
  const fields = [...document.querySelectorAll(".drawer .field")];
  const drawing = document.getElementById("drawing");
  const samples = [];
  for (const length of lengths) {
    const field = fields.find((one) => one.querySelector(".caption").textContent === "Length, one way");
    const input = field.querySelector("input");
    const n = window.answers.length;
    input.value = length;
    const start = performance.now();
    input.dispatchEvent(new Event("change", { bubbles: true }));
    const called = performance.now();
    // An answer to this edit has come, and the drawing is no longer stale.
    const shown = await painted(() => window.answers.length > n && !drawing.classList.contains("stale"));
    const told = window.answers[n];
    samples.push({ all: shown - start, page: called - start, compute: told.ms, arrived: told.at - start });
    await new Promise((resolve) => setTimeout(resolve, 300));
  }
  return samples;
}

/** Runs in the page: measures each tap from the release of the finger to the readings it leads to. */
function listenToTaps() {
  window.taps = [];
  const drawing = document.getElementById("drawing");
  addEventListener(
    "pointerup",
    async (event) => {
      const start = event.timeStamp;
      const n = window.answers.length;
      const shown = await painted(() => window.answers.length > n && !drawing.classList.contains("stale"));
      const told = window.answers[n];
      window.taps.push({ all: shown - start, compute: told.ms, arrived: told.at - start });
    },
    { capture: true },
  );
}

/** Runs in the page: notes the time from frame to frame until it is stopped. */
function countFrames() {
  const times = [];
  let last = null;
  let on = true;
  const next = (now) => {
    if (last !== null) {
      times.push(now - last);
    }
    last = now;
    if (on) {
      requestAnimationFrame(next);
    }
  };
  requestAnimationFrame(next);
  window.frames = {
    stop() {
      on = false;
      return times;
    },
  };
}

/** Runs in the page before anything else: notes when the worker answers, and how long it computed. */
function noteAnswers() {
  window.answers = [];
  // Resolves when a frame for which `holds` has been painted: a message that is posted from its callback arrives after
  // layout and paint of it.
  window.painted = (holds) =>
    new Promise((resolve) => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = () => {
        port1.close();
        resolve(performance.now());
      };
      const look = () => (holds() ? port2.postMessage(0) : requestAnimationFrame(look));
      requestAnimationFrame(look);
    });
  const Plain = window.Worker;
  window.Worker = class extends Plain {
    constructor(...all) {
      super(...all);
      this.addEventListener("message", ({ data }) => window.answers.push({ at: performance.now(), ms: data.ms ?? 0 }));
    }
  };
}

/** What a move costs when no screen waits for the next of its frames. */
async function unlimited() {
  const fast = await open("--disable-frame-rate-limit");
  console.log("\nwithout the rate of a screen:");
  await costOfMoves((work) => withPages(async (newPage) => work(await newPage()), fast), address);
  await fast.close();
}

async function withPage(work) {
  await withPages(async (newPage) => work(await newPage()));
}

/** Works with pages of one profile that is fresh. */
async function withPages(work, from = browser) {
  const context = await from.createBrowserContext();
  await work(async () => {
    const page = await context.newPage();
    await page.evaluateOnNewDocument(noteAnswers);
    await page.evaluateOnNewDocument(keepMemories);
    await page.setViewport(TABLET);
    return page;
  });
  await context.close();
}

/** Prints a row: the whole, and where the time went. */
function report(what, samples, more) {
  const all = samples.map(({ all, compute }) => all + more * compute);
  console.log(`  ${what}, ${samples.length} times: ${spread(all)}`);
  if (samples[0].page !== undefined) {
    console.log(`      of that in the page until the question is asked: ${spread(samples.map(({ page }) => page))}`);
  }
  console.log(`      in the worker, as counted: ${spread(samples.map(({ compute }) => compute * (more + 1)))}`);
  console.log(`      from the answer until a frame that shows it is painted: ${spread(samples.map(({ all, arrived }) => all - arrived))}`);
}

function median(values) {
  return quantile(values, 0.5);
}

/** The value below which this share of all lies; the nearest that occurred. */
function quantile(values, share) {
  const sorted = [...values].sort((one, other) => one - other);
  return sorted[Math.max(0, Math.ceil(share * sorted.length) - 1)];
}

function spread(values) {
  return `p50 ${milliseconds(quantile(values, 0.5))}, p95 ${milliseconds(quantile(values, 0.95))}`;
}

function milliseconds(ms) {
  return `${ms.toFixed(1)} ms`;
}
