// Starts the app, and hands it what the browser can do: keep jobs, open and save files, and compute
// in a worker. The glue is told where its module is, because that name changes with every build.
import init from "./{{web-glue.js}}";
import { Answers } from "./{{answers.js}}";
import * as keep from "./{{keep.js}}";
import { Reports } from "./{{reports.js}}";

// What opens and saves files is fetched behind the page.
const files = () => import("./{{files.js}}");

const WORKER = new URL("./{{worker.js}}", import.meta.url);

const page = { answered() {}, failed() {}, kept() {}, begin: () => "" };
const stopped = document.getElementById("stopped");
const answers = new Answers(
  WORKER,
  (bytes) => {
    page.answered(bytes);
    setTimeout(afterwards);
  },
  (why) => {
    page.failed(why);
    setTimeout(afterwards);
  },
);
let isFirst = true;
let plan;
let shelf;
let selected = "";
const reports = new Reports(answers, new Answers(WORKER));
// The app hands over a change while it is still busy with it, so it hears what became of that afterwards.
const tell = (state, detail = "") => queueMicrotask(() => page.kept(state, detail));
const keeper = new keep.Keeper(tell);

addEventListener("pagehide", opened);
document.addEventListener("visibilitychange", opened);

// What the app calls; `web/src/host.rs` declares the same on its side.
globalThis.host = {
  ask: (bytes) => answers.ask(bytes),
  readJob: (bytes) => answers.read(bytes),
  onAnswer(answered, failed) {
    page.answered = answered;
    page.failed = failed;
  },
  onKept(kept) {
    page.kept = kept;
  },
  onBegin(begin) {
    page.begin = begin;
  },
  onReport: (wanted, taken) => reports.begin(wanted, taken),
  selected(ids) {
    selected = ids;
    plan?.select(ids);
  },
  renewReports: (ofJob) => reports.renew(ofJob),
  beginJob(id, revision) {
    reports.forget();
    keeper.begin(id, revision);
  },
  keepJob: (title, text) => keeper.change(title, text),
  openJob: async () => {
    await keeper.flush();
    return keeper.job;
  },
  loadJob: (id) => keeper.open(id),
  lastJob: () => keep.lastJob() ?? undefined,
  stoppedOver: keep.stoppedOver,
  newJobId: keep.newId,
  saveFile: async (name, content) => (await files()).save(name, content),
  tellStopped: (id) => showJobs("jobs", id),
  ready() {
    // The first job counts, not those that are opened later.
    if (!performance.getEntriesByName("ready").length) {
      performance.mark("ready");
    }
  },
  tellReport: (words) => reports.tell(words),
  askReport: (words) => reports.ask(words, null, document.body),
};

// When the app itself has stopped, the job can still be saved, without it.
document.getElementById("stopped-save").addEventListener("click", async ({ target }) => {
  const text = await keeper.text().catch(() => undefined);
  if (text) {
    (await files()).save("job.json", text);
  } else {
    target.replaceWith("No kept copy of this job was found on this device.");
  }
});

// It begins with the job as it was handed over last; what waits to be written is, before.
document.getElementById("stopped-on").addEventListener("click", async () => {
  await Promise.race([keeper.flush(), new Promise((resolve) => setTimeout(resolve, 3000))]);
  location.reload();
});
new MutationObserver(() => stopped.hidden || keep.stopped()).observe(stopped, { attributeFilter: ["hidden"] });

try {
  await init({ module_or_path: new URL("./{{web.wasm}}", import.meta.url) });
  keepFocus(document.querySelector(".drawer"));
  reports.watch(document.querySelector(".drawer"));
} catch (error) {
  // A stop inside the app has already said so; what arrives here is mostly a page that could not be
  // fetched whole, or a browser without WebAssembly.
  if (stopped.hidden) {
    document.getElementById("stopped-why").textContent = String(error);
    stopped.hidden = false;
  }
  throw error;
}

import("./{{touch.js}}");
// Without the network nothing else could save a job once the app has stopped.
files();

// The vehicle plan is fetched when it is first opened.
document.getElementById("plan").addEventListener("click", async ({ currentTarget }) => {
  if (!plan) {
    const { Plan } = await import("./{{plan.js}}");
    plan ??= new Plan(reports, currentTarget, handOver);
    plan.select(selected);
  }
  plan.toggle();
});

// So is what hands a job over, which also stands in for the browser's way to print.
let handover;
async function handOver(sheet) {
  const { Handover } = await import("./{{handover.js}}");
  handover ??= new Handover(reports, await files());
  handover.open(sheet);
}
document.getElementById("handover").addEventListener("click", () => handOver());

// So is the list of jobs, to which two buttons lead.
async function showJobs(place, stopped) {
  const { Shelf } = await import("./{{shelf-page.js}}");
  const begin = (...job) => page.begin(...job);
  shelf ??= new Shelf({ reports, answers, drawer: new Answers(WORKER), keeper, begin });
  shelf.open(place, stopped);
}
document.addEventListener("click", ({ target }) => {
  const place = target.closest("[data-jobs]")?.dataset.jobs;
  if (place) {
    showJobs(place);
  }
});

let list;
async function listWires() {
  const { WireList } = await import("./{{wire-list.js}}");
  list ??= new WireList(reports);
  list.open();
}
document.getElementById("wires").addEventListener("click", listWires);
addEventListener("keydown", (event) => {
  const isFree = !document.querySelector("dialog[open]");
  if (event.key === "F2" && isFree) {
    event.preventDefault();
    listWires();
  }
  if ((event.ctrlKey || event.metaKey) && !event.shiftKey && !event.altKey && event.key.toLowerCase() === "p" && isFree) {
    event.preventDefault();
    handOver();
  }
});

/** Everything that the page waits for has come, so that nothing is in the way of what else it does. */
async function afterwards() {
  opened();
  if (isFirst) {
    isFirst = false;
    try {
      const [{ Windows }, { worksWithoutSignal }] = await Promise.all([import("./{{windows.js}}"), import("./{{signal.js}}")]);
      new Windows(keeper, tell);
      worksWithoutSignal(keeper);
    } catch {
      // What could not be fetched may be there with the next answer.
      isFirst = true;
    }
  }
}

/** What is open does not stop the page: its readings have come, or the page is left without a stop. */
function opened() {
  if (stopped.hidden) {
    keep.opened();
  }
}

/**
 * Keeps the focus in the details: a button may go with what it belonged to, as “Land here” does once the wire is there.
 * The title of what stands in its place then gets the focus, instead of the beginning of the page.
 */
function keepFocus(details) {
  let inside = false;
  addEventListener("focusin", ({ target }) => (inside = details.contains(target)));
  new MutationObserver(() => {
    if (inside && document.activeElement === document.body) {
      document.getElementById("drawer-title")?.focus();
    }
  }).observe(details, { childList: true, subtree: true });
}
