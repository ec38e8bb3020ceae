// Has a job changed in one window at a time: the one that holds its lock. Any other shows it, and gets the lock when that
// window is closed or asked for it. Fetched behind the page.

import { lockOf, newId, rememberLast } from "./{{keep.js}}";
import { load } from "./{{store.js}}";
import { addJob } from "./{{store-more.js}}";

/** The job that a window takes along when it begins anew. */
const TAKING = "loomwright.taking";

/** How long a job may be open without its lock before that is told: the lock of a closed tab goes a moment later. */
const PATIENCE = 1000;

/** How long another window gets to write what waits there and to let go of a job. */
const GRACE = 2000;

const ROW = document.createElement("template");
ROW.innerHTML = `<div id="two-windows" role="group" aria-label="Two windows">
  <button type="button">Take over here</button>
  <button type="button">Go on with a copy</button>
  <p role="status"></p>
</div>`;

/** The job that the window took along when it began anew; null where there is none, or nothing can be stored. */
function taken() {
  try {
    const id = sessionStorage.getItem(TAKING);
    sessionStorage.removeItem(TAKING);
    return id;
  } catch {
    return null;
  }
}

export class Windows {
  /** `keeper` keeps the job; `tell(state)` hears "behind" and "kept". */
  constructor(keeper, tell) {
    Object.assign(this, { keeper, tell });
    this.others = globalThis.BroadcastChannel && new BroadcastChannel("loomwright.jobs");
    this.others?.addEventListener("message", ({ data }) => this.giveUp(data));
    this.row = ROW.content.cloneNode(true).firstChild;
    const [take, copy, refused] = this.row.children;
    this.refused = refused;
    take.addEventListener("click", () => this.takeOver());
    copy.addEventListener("click", () => this.copy());
    keeper.windows = this;
    if (keeper.job) {
      this.hold(keeper.job);
    }
  }

  /** Whether a window has the job open to change it. */
  isOpen(id) {
    return navigator.locks?.request(lockOf(id), { ifAvailable: true }, (lock) => !lock);
  }

  /** Gets the lock of a job, now or when another window lets go of it, and keeps it until another job is begun. */
  hold(job, isForced = taken() === job.id) {
    this.letGo?.();
    this.row.remove();
    if (!navigator.locks) {
      return;
    }
    const leaving = new AbortController();
    let letGo;
    const held = new Promise((resolve) => (letGo = resolve));
    this.letGo = () => {
      leaving.abort();
      letGo();
    };
    // One that is taken by force is not waited for.
    const options = isForced ? { steal: true } : { signal: leaving.signal };
    navigator.locks
      .request(lockOf(job.id), options, async () => {
        job.isHeld = true;
        clearTimeout(this.taking);
        await this.comeBack(job);
        await held;
      })
      .catch(({ name }) => {
        if (name !== "AbortError") {
          // The browser allows no locks here: the revision alone tells of a second window.
          job.isFree = true;
        } else if (!leaving.signal.aborted) {
          this.fallBehind(job, true);
        }
      })
      .finally(() => (job.isHeld = false));
    setTimeout(() => job.isHeld || job.isFree || this.fallBehind(job), PATIENCE);
  }

  /** Another window has the job: it is only shown here until it comes back. What had it before asks for it again. */
  fallBehind(job, again = false) {
    if (job !== this.keeper.job || job.isBehind) {
      return;
    }
    job.isBehind = true;
    if (again) {
      this.hold(job, false);
    }
    this.tell("behind");
    document.querySelector(".edge").append(this.row);
  }

  /** The job may be changed here again. */
  async comeBack(job) {
    if (!job.isBehind) {
      return;
    }
    const there = await load(job.id).catch(() => null);
    if (there && there.revision !== job.revision) {
      // It was changed meanwhile: the window begins anew with that, and takes the lock along.
      rememberLast(job.id);
      sessionStorage.setItem(TAKING, job.id);
      location.reload();
      return;
    }
    job.isBehind = false;
    this.row.remove();
    if (job.newest && !job.newest.settled) {
      // Writing it tells what came of it.
      this.keeper.flush();
    } else {
      this.tell("kept");
    }
  }

  /** Another window asks for a job. */
  async giveUp(id) {
    const { job } = this.keeper;
    if (job?.id === id && job.isHeld) {
      await this.keeper.flush();
      this.letGo();
      job.isHeld = false;
      this.fallBehind(job, true);
    }
  }

  /** Has the open job changed here from now on, and no longer in the window that has it. */
  takeOver() {
    const { job } = this.keeper;
    this.others?.postMessage(job.id);
    clearTimeout(this.taking);
    this.taking = setTimeout(() => job === this.keeper.job && !job.isHeld && this.hold(job, true), GRACE);
  }

  /** Goes on with a copy of the open job, as it is kept. */
  async copy() {
    const id = newId();
    try {
      const { title, text } = await load(this.keeper.job.id);
      await addJob({ id, revision: 1, title, text, updated: Date.now() });
    } catch (error) {
      this.refused.textContent = `The copy cannot be kept on this device: ${error.message}.`;
      return;
    }
    rememberLast(id);
    location.reload();
  }
}
