// Keeps jobs in the browser as they are changed.
//
// A job is written at once after each change; of the changes that come while one is being written only the last follows.
// A page that goes may be gone before the store has replied, or the store may refuse a change; it then also lies in
// `localStorage`, and the next visit writes it. Where the job has gone on without it, it becomes a job of its own.
//
// A job is changed in one window at a time; see `windows.js`, which comes later. Until then, and where a browser has no
// locks, the revision of the record is compared and raised in the same transaction that writes the text, so that a second
// window is noticed instead of losing one of the two.

import { JOBS, database, done, load, makeRoom, put } from "./{{store.js}}";

const LAST = "loomwright.last-job";
const OPENING = "loomwright.opening";
const UNWRITTEN = "loomwright.unwritten";
const STOPPED = "loomwright.stopped";
const TRAP = "loomwright.trap";

/** What the store's refusal is called when there is no room. */
const FULL = "QuotaExceededError";

/** How soon after one stop another is taken for the same, in milliseconds. */
const SAME_STOP = 60_000;

/** Uses what outlasts a visit beside the jobs; null where there is none, or the browser lets nothing be stored. */
function marks(use) {
  try {
    return use(localStorage);
  } catch {
    // The jobs themselves are kept elsewhere; without marks the next visit begins with an empty one.
    return null;
  }
}

/** The job that was open last, or null. */
export const lastJob = () => marks((all) => all.getItem(LAST));

export const rememberLast = (id) => marks((all) => all.setItem(LAST, id));

const stops = () => marks((all) => JSON.parse(all.getItem(STOPPED))) ?? [];

/** The job that is being opened, or null. */
const opening = () => marks((all) => all.getItem(OPENING));

/** Notes that the app stopped over the open job, or the one that was being opened. */
export function stopped() {
  const now = Date.now();
  const recent = stops().filter(({ at }) => now - at < SAME_STOP);
  marks((all) => all.setItem(STOPPED, JSON.stringify([...recent, { at: now, id: opening() ?? lastJob() }])));
}

/**
 * The job that the page never got over opening, or over which it stopped twice within a minute; undefined where there is
 * none. It is asked for once: a visit does not begin with that job any more.
 */
export function stoppedOver() {
  const recent = stops().filter(({ at }) => Date.now() - at < SAME_STOP);
  const n = (id) => recent.filter((stop) => stop.id === id).length;
  const isTrapped = (id) => id && (n(id) > 1 || (id === opening() && (id === lastJob() || n(id) > 0)));
  const id = [lastJob(), opening()].find(isTrapped);
  if (id) {
    const isLast = id === lastJob();
    marks((all) => {
      all.removeItem(STOPPED);
      all.removeItem(OPENING);
      all.setItem(TRAP, JSON.stringify([...traps().filter((one) => one !== id), id]));
      if (isLast) {
        all.removeItem(LAST);
      }
    });
  }
  return id ?? undefined;
}

/** The jobs over which the page stopped and that were not opened since. */
const traps = () => marks((all) => JSON.parse(all.getItem(TRAP))) ?? [];

/** Whether the page stopped over a job that was not opened since. */
export const isTrap = (id) => traps().includes(id);

/** Takes the mark away that a job is being opened, which it is by now. */
export function opened() {
  const id = opening();
  if (id) {
    marks((all) => all.removeItem(OPENING));
    noTrap(id);
  }
}

function noTrap(id) {
  if (isTrap(id)) {
    marks((all) => all.setItem(TRAP, JSON.stringify(traps().filter((one) => one !== id))));
  }
}

/** Where changes were left whose names begin like this. */
const leftKeys = (start) => marks((all) => Object.keys(all).filter((key) => key.startsWith(start))) ?? [];

/** One job that is kept as it changes. */
export class Keeper {
  /** `tell(state, detail)` hears "keeping", "kept", "forgotten", "refused", "elsewhere" and "behind". */
  constructor(tell) {
    this.tell = tell;
    this.job = null;
    this.waiting = null;
    this.isBusy = false;
    this.writing = Promise.resolve();
    // Every window leaves its changes at a place of its own.
    this.window = newId();
    // What an earlier window left of a job, as long as the store refuses it.
    this.left = {};
    addEventListener("pagehide", () => this.leave());
    document.addEventListener("visibilitychange", () => document.visibilityState === "hidden" && this.leave());
    for (const key of leftKeys(UNWRITTEN)) {
      this.writing = this.writing
        .then(() => import("./{{left.js}}"))
        .then(({ writeLeft }) => writeLeft(this, key, lockOf))
        .catch(() => {});
    }
  }

  /** Writes what is not written yet, so that it outlasts a page that is gone before the store has replied. */
  leave() {
    const { job } = this;
    const change = job?.newest;
    if (change && !change.settled) {
      const { title, text } = change;
      const { id, revision } = job;
      job.key ??= `${UNWRITTEN}.${id}.${this.window}`;
      marks((all) => all.setItem(job.key, JSON.stringify({ id, revision, title, text })));
    }
    this.flush();
  }

  /** The record of a job that is to be opened, or what was left of it and follows that; undefined when there is none. */
  async open(id) {
    // It may be the very job that a change waits for.
    await this.flush();
    marks((all) => all.setItem(OPENING, id));
    const left = this.left[id];
    const there = await load(id).catch((error) => {
      if (!left) {
        throw error;
      }
    });
    return left && (!there || there.revision === left.job.revision) ? { ...left.job, text: left.text } : there;
  }

  /** From now on changes belong to this job, whose record has this revision (0 when there is none yet). */
  begin(id, revision) {
    this.leave();
    const left = this.left[id];
    if (left?.job.revision === revision) {
      // What could not be written at once is tried with everything that is written from now on.
      delete this.left[id];
      this.job = left.job;
      this.waiting = this.job.newest = left;
      this.flush();
    } else {
      this.job = { id, revision, newest: null };
    }
    // What is only looked at has no record to come back to.
    if (revision > 0) {
      rememberLast(id);
    }
    this.windows?.hold(this.job);
  }

  /** Whether another window has this job open. */
  async isElsewhere(id) {
    return this.job?.id !== id && Boolean(await this.windows?.isOpen(id));
  }

  /** Forgets a job. The open one is then without a record, as before its first change. */
  forget(id) {
    this.flush();
    const forgotten = this.writing.then(async () => {
      if (await this.isElsewhere(id)) {
        throw new Error("It is open in another window.");
      }
      await (await import("./{{store-more.js}}")).remove(id);
      if (lastJob() === id) {
        marks((all) => all.removeItem(LAST));
      }
      if (this.waiting?.job.id === id) {
        this.waiting = null;
      }
      leftKeys(`${UNWRITTEN}.${id}`).forEach((key) => marks((all) => all.removeItem(key)));
      delete this.left[id];
      noTrap(id);
      if (this.job?.id === id) {
        this.job.newest = null;
        this.begin(id, 0);
        this.tell("forgotten", "");
      }
    });
    this.writing = forgotten.catch(() => {});
    return forgotten;
  }

  /** The text of the open job, as it was handed over last or is kept: also for when the app itself has stopped. */
  async text() {
    return (this.job?.newest ?? (await load(this.job?.id ?? lastJob() ?? "")))?.text;
  }

  /** Whether the open job is kept as it was handed over last; what waits is written before. */
  async isSafe() {
    await this.flush();
    const newest = this.job?.newest;
    return !newest || (await load(newest.job.id).catch(() => null))?.text === newest.text;
  }

  /** Hands over a change. */
  change(title, text) {
    const { job } = this;
    if (!job) {
      return;
    }
    if (this.waiting?.job !== job) {
      // What was refused of another job gets its last attempt.
      this.flush();
    }
    this.waiting = job.newest = { job, title, text };
    if (lastJob() !== job.id) {
      rememberLast(job.id);
    }
    this.tell("keeping", "");
    if (!this.isBusy) {
      this.flush();
    }
  }

  /** Writes what waits. Resolves when it is written or refused. */
  flush() {
    const change = this.waiting;
    this.waiting = null;
    if (change) {
      this.isBusy = true;
      this.writing = this.writing
        .then(() => this.write(change))
        .catch((error) => {
          // It is tried again with the next change, or when the page is hidden; never over a newer one of its job.
          if (change.job.newest === change) {
            this.waiting ??= change;
          }
          this.tellOf(change, "refused", why(error));
        })
        .then(() => {
          this.isBusy = false;
          if (this.waiting && this.waiting !== change) {
            this.flush();
          }
        });
    }
    return this.writing;
  }

  /** Tells what became of a change, unless a newer one follows it or another job is open by now. */
  tellOf(change, state, detail) {
    if (change.job === this.job && change.job.newest === change) {
      this.tell(state, detail);
    }
  }

  async write(change) {
    try {
      await this.writeOnce(change);
    } catch (error) {
      if (error?.name !== FULL) {
        throw error;
      }
      // The job comes before what was kept beside it.
      await makeRoom();
      await this.writeOnce(change);
    }
  }

  async writeOnce(change) {
    const { job, title, text } = change;
    const store = (await database()).transaction(JOBS, "readwrite").objectStore(JOBS);
    const there = await done(store.get(job.id));
    const elsewhere = (there?.revision ?? 0) !== job.revision;
    if (!elsewhere) {
      await put(store, { id: job.id, revision: job.revision + 1, title, text, updated: Date.now() });
      job.revision += 1;
      if (there) {
        const isFirst = !job.isChanged;
        // What was there may be wanted again. That it cannot be kept is no reason to refuse the change.
        import("./{{versions.js}}").then(({ keepState }) => keepState(there, isFirst)).catch(() => {});
      }
      if (!job.isChanged) {
        import("./{{stay.js}}").catch(() => {});
      }
      job.isChanged = true;
    } else if (job.newest) {
      // It stays with this window, which may be asked for a copy, and is left when the window goes.
      this.tellOf(change, "elsewhere", "");
      return;
    } else if (there?.text !== text) {
      await (await import("./{{left.js}}")).keepApart(change, newId());
    }
    change.settled = true;
    // A later change may have been left there since.
    if (job.key && (job.newest ?? change) === change) {
      marks((all) => all.removeItem(job.key));
    }
    this.tellOf(change, "kept", "");
  }
}

/** Why the store refuses something, in words. */
function why(error) {
  return error?.name === FULL ? "this device has no room left" : String(error?.message ?? error);
}

/** The lock of a job: whoever has it may change the job. */
export const lockOf = (id) => `loomwright.job.${id}`;

/** A name for a new job that no other job has. */
export const newId = () => crypto.randomUUID?.() ?? `${Date.now()}-${Math.random()}`;
