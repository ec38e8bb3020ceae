// Measures how fluently large drawings are moved and zoomed by two fingers: by itself node moving.mjs ADDRESS CHROMIUM,
// and as a part of measure.mjs. Prints numbers and passes no judgment.
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { App } from "./app.mjs";
import { largeJob } from "./large.mjs";
import { QUIET } from "./quiet.mjs";

/** The job that large ones are made of. */
const JOB = new URL("../../fixtures/jobs/apiary-flatbed.json", import.meta.url);
const SIZES = [300, 1000];
const SLOWER = [1, 4];

/** Measures with pages that `withPage` opens, at `address`. */
export async function moving(withPage, address) {
  await large(withPage, address, async (app) => {
    for (const rate of SLOWER) {
      await app.cdp.send("Emulation.setCPUThrottlingRate", { rate });
      await app.pressButton("Show all");
      await app.frames(10);
      await row(app, `all seen, moved, processor ${rate} times slower`, pan);
      await app.pressButton("Show all");
      await app.frames(10);
      await row(app, `zoomed in and out, processor ${rate} times slower`, zoom);
      for (let i = 0; i < 6; i += 1) {
        await app.pressButton("+");
      }
      await app.frames(10);
      await row(app, `seen closely, moved, processor ${rate} times slower`, pan);
      const part = await middle(app);
      await row(app, `a part dragged, processor ${rate} times slower`, (turn) => drag(part, turn), 200);
    }
  });
}

/**
 * How long a frame takes in which a part was moved, from its beginning to that of the next, whatever the screen shows:
 * `withPage` opens pages of a browser that makes as many frames as it can.
 */
export async function costOfMoves(withPage, address) {
  await large(withPage, address, async (app) => {
    // Something that always moves: a browser rests between frames in which nothing does.
    await app.page.evaluate(() => {
      const style = new CSSStyleSheet();
      style.replaceSync("@keyframes on { to { transform: translateX(5px) } } #on { position: fixed; inset: 0 auto auto 0; width: 2px; height: 2px; animation: on 1s infinite; }");
      document.adoptedStyleSheets = [...document.adoptedStyleSheets, style];
      document.body.append(Object.assign(document.createElement("div"), { id: "on" }));
    });
    for (let i = 0; i < 6; i += 1) {
      await app.pressButton("+");
    }
    for (const rate of SLOWER) {
      await app.cdp.send("Emulation.setCPUThrottlingRate", { rate });
      await app.frames(10);
      const part = await middle(app);
      await row(app, `frames in which a part was dragged, processor ${rate} times slower`, (turn) => drag(part, turn), 200, true);
    }
  });
}

/** Opens large jobs one after the other, and has something done with each. */
async function large(withPage, address, work) {
  const job = JSON.parse(await readFile(JOB, "utf8"));
  const folder = await mkdtemp(join(tmpdir(), "moving-"));
  for (const n of SIZES) {
    const path = join(folder, "job.json");
    await writeFile(path, largeJob(job, n));
    await withPage(async (page) => {
      const app = await App.open(page, address);
      const start = performance.now();
      await app.openFile(path);
      await page.waitForFunction(() => document.querySelectorAll("#drawing .scene > .symbol").length > 100, { timeout: 300_000 });
      await app.noDialog();
      await app.frames();
      const shown = performance.now() - start;
      await page.waitForFunction(() => document.querySelectorAll("#drawing .marks > g").length > 0, { timeout: 300_000 });
      const [parts, nodes] = await page.evaluate(() => {
        const symbols = [...document.querySelectorAll("#drawing .scene > .symbol")];
        return [new Set(symbols.map((one) => one.dataset.id.split(".")[1])).size, document.querySelectorAll("#drawing *").length];
      });
      console.log(`\n${parts} parts, ${nodes} elements in the drawing; shown after ${(shown / 1000).toFixed(1)} s:`);
      await work(app);
    });
  }
  await rm(folder, { recursive: true });
}

/** Two fingers side by side, to and fro. */
function pan(turn) {
  const by = 120 * Math.sin(turn * 4 * Math.PI);
  return [
    [300 + by, 500 + by],
    [420 + by, 500 + by],
  ];
}

/** Two fingers from and to one another. */
function zoom(turn) {
  const by = 40 + 130 * (1 - Math.cos(turn * 4 * Math.PI));
  return [
    [400 - by, 500],
    [400 + by, 500],
  ];
}

/** One finger from a part around it and back. */
function drag([x, y], turn) {
  return [[x + 90 * Math.sin(turn * 6 * Math.PI), y + 60 * (1 - Math.cos(turn * 6 * Math.PI))]];
}

/** Where the symbol is that is seen nearest to the middle of the drawing. */
async function middle(app) {
  const [x, y] = await app.spot([0.5, 0.45]);
  const far = ({ middle: [left, top] }) => Math.hypot(left - x, top - y);
  return (await app.symbols()).sort((one, other) => far(one) - far(other))[0].middle;
}

/** Moves fingers so many times; tells of all frames, or of those alone in which something was dragged. */
async function row(app, what, fingers, MOVES = 150, isMovedAlone = false) {
  await app.touch("touchStart", fingers(0).slice(0, 1));
  const isDrag = fingers(0).length === 1;
  if (!isDrag) {
    await app.touch("touchStart", fingers(0));
  }
  await app.page.evaluate(countMoves);
  const start = performance.now();
  const told = [];
  for (let i = 1; i <= MOVES; i += 1) {
    // Fingers do not wait until the page has followed, and are told no more often than a screen shows.
    told.push(app.touch("touchMove", fingers(i / MOVES)));
    await new Promise((resolve) => setTimeout(resolve, Math.max(0, start + (i * 1000) / 60 - performance.now())));
  }
  await Promise.all(told);
  const { all, dragged, seconds, moved } = await app.page.evaluate(() => window.moves.stop());
  const frames = isMovedAlone ? dragged : all;
  if (isDrag && !(await app.page.$("#drawing.dragging"))) {
    throw new Error("the part was not dragged");
  }
  // What was dragged stays where it was.
  await app.touch(isDrag ? "touchCancel" : "touchEnd", []);
  await app.frames();
  frames.sort((one, other) => one - other);
  const at = (share) => frames[Math.ceil(share * frames.length) - 1].toFixed(1);
  console.log(
    `  ${what}: ${(frames.length / seconds).toFixed(0)} frames a second${isDrag ? "" : `, ${(moved / seconds).toFixed(0)} of them moved`}; ` +
      `frame to frame p50 ${at(0.5)} ms, p95 ${at(0.95)} ms, longest ${at(1)} ms`,
  );
}

/** Runs in the page: counts frames, and those in which the drawing has moved, until it is stopped. */
function countMoves() {
  const group = document.getElementById("layer-view");
  const place = () => {
    const { a, e, f } = group.getScreenCTM();
    return `${a} ${e} ${f}`;
  };
  const held = document.getElementById("layer-lift");
  const [all, dragged, start] = [[], [], performance.now()];
  let [last, before, moved, on, hold, isDragged] = [null, place(), 0, true, "", false];
  const next = (now) => {
    if (last !== null) {
      all.push(now - last);
      if (isDragged) {
        // It was moved in this frame or in the one before, as the app was asked after this or before: the longer counts.
        dragged.push(Math.max(...all.slice(-2)));
      }
    }
    last = now;
    // After everything that this frame does, so that asking costs no layout of its own.
    queueMicrotask(() => {
      const here = place();
      moved += here === before ? 0 : 1;
      before = here;
      isDragged = held.style.transform !== hold;
      hold = held.style.transform;
    });
    if (on) {
      requestAnimationFrame(next);
    }
  };
  requestAnimationFrame(next);
  window.moves = {
    stop() {
      on = false;
      return { all, dragged, moved, seconds: (performance.now() - start) / 1000 };
    },
  };
}

if (import.meta.url === pathToFileURL(process.argv[1]).href) {
  const { default: puppeteer } = await import("puppeteer-core");
  const [address, chromium] = process.argv.slice(2);
  const browser = await puppeteer.launch({ executablePath: chromium, args: [...QUIET, "--window-size=900,1400"] });
  await moving(async (work) => {
    const page = await browser.newPage();
    await work(page);
    await page.close();
  }, address);
  await browser.close();
}
