// Which versions of a job stay. It needs nothing of the page, so that it can be tested without one.
//
// A state is kept when a job is changed for the first time after it was opened, and then once an hour while it is
// changed. What has a name stays for good. Of the others there stay all of the last day, the latest of each day for
// a month, and never more than 60 of a job.

const HOUR = 3_600_000;
const DAY = 24 * HOUR;
const DAYS = 30;
export const MOST = 60;

/** Whether a state of this time, in milliseconds, is worth a version beside `versions`; `isFirst` after opening. */
export function isWorthKeeping(state, versions, isFirst) {
  if (versions.some(({ text }) => text === state.text)) {
    return false;
  }
  return isFirst || isDue(state, latestOf(versions));
}

/** Whether the latest version, kept at this time, is long enough ago. */
export const isDue = (state, latest) => state.updated - latest >= HOUR;

/** When the latest of these was kept. */
export const latestOf = (versions) => Math.max(...versions.map(({ kept }) => kept), -Infinity);

/** Those of `versions` that go at the time `now`. */
export function gone(versions, now) {
  const days = new Set();
  const stays = ({ kept }) => {
    const day = Math.floor(kept / DAY);
    const isLatest = !days.has(day);
    days.add(day);
    return now - kept < DAY || (isLatest && now - kept < DAYS * DAY);
  };
  const unnamed = versions.filter(({ name }) => !name).sort((a, b) => b.kept - a.kept);
  const staying = new Set(unnamed.filter(stays).slice(0, MOST));
  return unnamed.filter((one) => !staying.has(one));
}
