// Changes that earlier windows could not write and left in `localStorage`. Fetched only where there are some.

import { addJob } from "./{{store-more.js}}";

/** Has `keeper` write what a window left under `key`, unless that window still has the lock of the job and can do it. */
export async function writeLeft(keeper, key, lockOf) {
  const { id, revision, title, text } = JSON.parse(localStorage.getItem(key));
  const left = { job: { id, revision, newest: null, key }, title, text };
  const write = (lock) => lock && keeper.write(left);
  try {
    await (navigator.locks ? navigator.locks.request(lockOf(id), { ifAvailable: true }, write) : write(true));
  } catch {
    // It is there to be gone on with, and written with the next change that is.
    keeper.left[id] = left;
  }
}

/** Keeps a change whose job has gone on without it as a job of its own, by the name `id`. */
export function keepApart({ title, text }, id) {
  return addJob({ id, revision: 1, title: `${title} (from a second window)`, text, updated: Date.now() });
}
