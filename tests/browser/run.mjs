// Runs the browser journeys: node run.mjs ADDRESS BROWSER DRAWINGS [JOURNEY...]
//
// BROWSER is the program of Chromium or Firefox; what only Chromium's own protocol can do is left out in Firefox.
// ADDRESS is where the built app is served, with a slash at the end. DRAWINGS is a folder with each
// demonstration job and its native drawing, NAME.json and NAME.svg. Each journey gets a fresh page of
// a fresh profile with a folder for its downloads, and fails on anything the browser complains about and on any request that leaves
// the address, or the `addresses` to which a journey adds a server of its own. Named journeys (`touch`) run alone.
import { mkdtemp, readdir, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import puppeteer from "puppeteer-core";
import { QUIET } from "./quiet.mjs";

const [address, program, drawings, ...wanted] = process.argv.slice(2);
if (!drawings) {
  console.error("usage: node run.mjs ADDRESS BROWSER DRAWINGS [JOURNEY...]");
  process.exit(2);
}

/**
 * A journey that takes longer than this, in milliseconds, hangs, unless it says itself how long it takes: a browser that
 * never replies must not stop all others.
 */
const LONGEST = 240_000;

const isFirefox = basename(program).startsWith("firefox");
const browser = isFirefox ? await openFirefox(program) : await openChromium(program);

let failed = 0;
let left = 0;
const folder = new URL("journeys/", import.meta.url);
const files = (await readdir(folder))
  .filter((name) => name.endsWith(".mjs"))
  .filter((name) => wanted.length === 0 || wanted.includes(name.replace(/\.mjs$/, "")))
  .sort();
try {
  for (const file of files) {
    const journey = await import(new URL(file, folder));
    if (isFirefox && journey.onlyChromium) {
      left += 1;
      console.log(`left out  ${journey.name}: ${journey.onlyChromium}`);
      continue;
    }
    const complaints = await runInFreshPage(journey);
    failed += complaints.length > 0 ? 1 : 0;
    console.log(`${complaints.length > 0 ? "FAILED" : "ok"}  ${journey.name}`);
    for (const complaint of complaints) {
      console.log(`        ${complaint}`);
    }
  }
} finally {
  await browser.close();
}
const run = files.length - left;
console.log(`${run - failed} of ${run} journeys went well`);
process.exit(failed > 0 || files.length === 0 ? 1 : 0);

function openChromium(executablePath) {
  return puppeteer.launch({
    executablePath,
    // Where office paper is A4.
    args: [...QUIET, "--accept-lang=en-GB"],
  });
}

function openFirefox(executablePath) {
  // A saved PDF is not to be opened in a tab of its own: the page would be hidden behind it, and wait for ever for a frame.
  const extraPrefsFirefox = {
    "pdfjs.disabled": true,
    "browser.helperApps.neverAsk.saveToDisk": "application/pdf",
    "intl.accept_languages": "en-GB, en",
  };
  return puppeteer.launch({ browser: "firefox", executablePath, extraPrefsFirefox });
}

async function runInFreshPage(journey) {
  const downloads = await mkdtemp(join(tmpdir(), "journey-"));
  const downloadBehavior = { policy: "allow", downloadPath: downloads };
  const context = await browser.createBrowserContext({ downloadBehavior });
  const complaints = [];
  const addresses = [address];
  // A journey that needs another window on the same profile opens it by `newPage`.
  const newPage = async () => {
    const page = await context.newPage();
    // What the service worker answers is seen by no journey that holds requests up; those about it use it.
    if (!isFirefox) {
      await page.setBypassServiceWorker(!journey.usesServiceWorker);
    }
    listen(page, journey, addresses, complaints);
    return page;
  };
  try {
    const given = { page: await newPage(), newPage, address, addresses, drawings, downloads };
    await inTime(journey.run(given), journey.longest ?? LONGEST, "the journey does not come to an end");
  } catch (error) {
    complaints.push(error.stack ?? String(error));
  }
  await inTime(context.close(), LONGEST, "").catch(() => {});
  await rm(downloads, { recursive: true, force: true, maxRetries: 5 });
  return complaints;
}

/** What comes of `work`, unless that takes longer than so many milliseconds. */
async function inTime(work, longest, why) {
  let timer;
  const late = new Promise((_, reject) => (timer = setTimeout(() => reject(new Error(why)), longest)));
  return Promise.race([work, late]).finally(() => clearTimeout(timer));
}

/** Collects everything that is wrong with what a page does. */
function listen(page, journey, addresses, complaints) {
  // A journey that provokes complaints names what they may contain; all others remain complaints.
  const complain = (text) => {
    if (!(journey.expected ?? []).some((part) => text.includes(part))) {
      complaints.push(text);
    }
  };
  page.on("console", (message) => {
    if (["error", "warn", "assert"].includes(message.type())) {
      complain(`console: ${message.text()} ${message.location()?.url ?? ""}`);
    }
  });
  page.on("pageerror", (error) => complain(`page: ${error?.message ?? error}`));
  page.on("requestfailed", (request) => complain(`request: ${request.url()} ${request.failure()?.errorText}`));
  page.on("response", (response) => {
    if (response.status() >= 400) {
      complain(`response: ${response.status()} ${response.url()}`);
    }
  });
  page.on("request", (request) => {
    const url = request.url();
    if (!addresses.some((address) => url.startsWith(address)) && !url.startsWith("data:") && !url.startsWith("blob:")) {
      complaints.push(`left the address: ${url}`);
    }
  });
}
