// Keeps jobs in the browser, in IndexedDB: one record a job, `{ id, revision, title, text, updated }`.
//
// A job is written a moment after each change and at once when the page is hidden. The revision of the
// record is compared and raised in the same transaction that writes the text, so that a second window
// on the same job is noticed instead of silently losing one of the two.

const DATABASE = "loomwright";
const JOBS = "jobs";
const LAST = "loomwright.last-job";
const DELAY_MS = 250;

let opening = null;

function database() {
  opening ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(DATABASE, 1);
    request.onupgradeneeded = () => request.result.createObjectStore(JOBS, { keyPath: "id" });
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
    request.onblocked = () => reject(new Error("another window holds the store of an older version"));
  });
  // A refusal is not kept: the next attempt may be allowed.
  opening.catch(() => (opening = null));
  return opening;
}

function done(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/** What is kept of every job but its text, the latest change first. */
export async function list() {
  const store = (await database()).transaction(JOBS).objectStore(JOBS);
  const all = await done(store.getAll());
  return all
    .map(({ id, title, updated }) => ({ id, title, updated }))
    .sort((a, b) => b.updated - a.updated);
}

/** The record of a job; undefined when there is none. */
export async function load(id) {
  return done((await database()).transaction(JOBS).objectStore(JOBS).get(id));
}

/** The job that was open last, or null. Where nothing may be stored there is none. */
export function lastJob() {
  try {
    return localStorage.getItem(LAST);
  } catch {
    return null;
  }
}

function rememberLast(id) {
  try {
    localStorage.setItem(LAST, id);
  } catch {
    // The job itself is kept elsewhere; without this mark the next visit begins with the list of jobs.
  }
}

/** One job that is kept as it changes. */
export class Keeper {
  /** `tell(state, detail)` hears "keeping", "kept", "forgotten", "refused" and "elsewhere". */
  constructor(tell) {
    this.tell = tell;
    this.job = null;
    this.waiting = null;
    this.timer = 0;
    this.writing = Promise.resolve();
    const flush = () => this.flush();
    addEventListener("pagehide", flush);
    document.addEventListener("visibilitychange", () => document.visibilityState === "hidden" && flush());
  }

  /** From now on changes belong to this job, whose record has this revision (0 when there is none yet). */
  begin(id, revision) {
    this.flush();
    this.job = { id, revision };
    this.last = null;
    // What is only looked at has no record to come back to.
    if (revision > 0) {
      rememberLast(id);
    }
  }

  /** Forgets a job. The open one is then without a record, as before its first change. */
  forget(id) {
    this.flush();
    const forgotten = this.writing.then(async () => {
      await done((await database()).transaction(JOBS, "readwrite").objectStore(JOBS).delete(id));
      if (lastJob() === id) {
        localStorage.removeItem(LAST);
      }
      if (this.job?.id === id) {
        this.begin(id, 0);
        this.tell("forgotten", "");
      }
    });
    this.writing = forgotten.catch(() => {});
    return forgotten;
  }

  /** The text of the job as it was handed over last; also for when the app itself has stopped. */
  lastText() {
    return this.last;
  }

  /** Hands over a change. */
  change(title, text) {
    this.last = { title, text };
    this.waiting = { job: this.job, title, text };
    if (this.job) {
      rememberLast(this.job.id);
    }
    this.tell("keeping", "");
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.flush(), DELAY_MS);
  }

  /** Writes what waits. Resolves when it is written or refused. */
  flush() {
    clearTimeout(this.timer);
    const change = this.waiting;
    this.waiting = null;
    if (change?.job) {
      this.writing = this.writing.then(() => this.write(change)).catch((error) => this.tell("refused", String(error)));
    }
    return this.writing;
  }

  async write({ job, title, text }) {
    const store = (await database()).transaction(JOBS, "readwrite").objectStore(JOBS);
    const there = await done(store.get(job.id));
    if ((there?.revision ?? 0) !== job.revision) {
      this.tell("elsewhere", "");
      return;
    }
    const revision = job.revision + 1;
    await new Promise((resolve, reject) => {
      const { transaction } = store;
      transaction.oncomplete = resolve;
      transaction.onabort = () => reject(transaction.error ?? new Error("the browser refused to store it"));
      transaction.onerror = () => reject(transaction.error);
      store.put({ id: job.id, revision, title, text, updated: Date.now() });
    });
    job.revision = revision;
    this.tell("kept", "");
  }
}
