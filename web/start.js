// Starts the app, and hands it what the browser can do: keep jobs, open and save files, and compute
// in a worker. The glue is told where its module is, because that name changes with every build.
import init from "./{{web-glue.js}}";
import { Answers } from "./{{answers.js}}";
import * as files from "./{{files.js}}";
import * as keep from "./{{keep.js}}";

const WORKER = new URL("./{{worker.js}}", import.meta.url);

const page = { answered() {}, failed() {}, kept() {} };
const answers = new Answers(
  WORKER,
  (bytes) => page.answered(bytes),
  (why) => page.failed(why),
);
// The app hands over a change while it is still busy with it, so it hears what became of that afterwards.
const keeper = new keep.Keeper((state, detail) => queueMicrotask(() => page.kept(state, detail)));

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
  beginJob: (id, revision) => keeper.begin(id, revision),
  keepJob: (title, text) => keeper.change(title, text),
  listJobs: async () => {
    await keeper.flush();
    return keep.list();
  },
  loadJob: async (id) => {
    // It may be the very job that a change waits for.
    await keeper.flush();
    return keep.load(id);
  },
  forgetJob: (id) => keeper.forget(id),
  lastJob: () => keep.lastJob() ?? undefined,
  newJobId: () => crypto.randomUUID?.() ?? `${Date.now()}-${Math.random()}`,
  pickFile: files.pick,
  saveFile: files.save,
  shelf: () => JSON.parse(document.getElementById("shelf").textContent),
  fetchText: async (path) => {
    const response = await fetch(path);
    if (!response.ok) {
      throw new Error(`the file could not be fetched (${response.status})`);
    }
    return response.text();
  },
  ready() {
    // The first job counts, not those that are opened later.
    if (!performance.getEntriesByName("ready").length) {
      performance.mark("ready");
    }
  },
  printPage: () => document.fonts.ready.then(() => print()),
};

// When the app itself has stopped, what was handed over last can still be saved, without it.
document.getElementById("stopped-save").addEventListener("click", () => {
  const last = keeper.lastText();
  if (last) {
    files.save("job.json", last.text);
  }
});

try {
  await init({ module_or_path: new URL("./{{web.wasm}}", import.meta.url) });
  keepFocus(document.querySelector(".drawer"));
} catch (error) {
  // A stop inside the app has already said so; what arrives here is mostly a page that could not be
  // fetched whole, or a browser without WebAssembly.
  const notice = document.getElementById("stopped");
  if (notice.hidden) {
    document.getElementById("stopped-why").textContent = String(error);
    notice.hidden = false;
  }
  throw error;
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
