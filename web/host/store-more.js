// What is stored beside the jobs that are worked on: their versions. Fetched when it is first wanted, unlike `store.js`.

import { JOBS, PICTURES, VERSIONS, database, done, put } from "./{{store.js}}";

/** Deletes a job with everything that is kept of it. */
export async function remove(id) {
  const transaction = (await database()).transaction([JOBS, VERSIONS, PICTURES], "readwrite");
  transaction.objectStore(JOBS).delete(id);
  transaction.objectStore(VERSIONS).delete(ofJob(id));
  return done(transaction.objectStore(PICTURES).delete(id));
}

/** What the page “Jobs” tells of every job, the latest change first; `words` are those by which it is found. */
export async function allCards() {
  const all = await everyJob();
  return all.map(asCard).sort((a, b) => b.updated - a.updated);
}

function asCard({ id, revision, title, text, updated }) {
  const { customer = "", vehicle = "", ...rest } = cardIn(text);
  const named = title.trim() || "Job without a title";
  const words = [named, vehicle, customer, ...Object.values(rest)].join(" ");
  return { id, revision, title: named, vehicle, customer, words, updated };
}

/** The job card in the text of a job; nothing is in it where the text cannot be read. */
function cardIn(text) {
  try {
    return JSON.parse(text).card ?? {};
  } catch {
    return {};
  }
}

/** Every job with its text. */
export async function everyJob() {
  return done((await database()).transaction(JOBS).objectStore(JOBS).getAll());
}

/** The versions of a job, the latest first. */
export async function versions(id) {
  const all = await done((await database()).transaction(VERSIONS).objectStore(VERSIONS).getAll(ofJob(id)));
  return all.sort((a, b) => b.kept - a.kept || b.revision - a.revision);
}

/** How many versions of a job have names. */
export async function namedVersions(id) {
  return (await versions(id)).filter(({ name }) => name).length;
}

/** The picture of a job, `{ id, revision, svg }`; undefined when there is none. */
export async function picture(id) {
  return done((await database()).transaction(PICTURES).objectStore(PICTURES).get(id));
}

/** Keeps the picture of a job. */
export async function keepPicture(picture) {
  return put((await database()).transaction(PICTURES, "readwrite").objectStore(PICTURES), picture);
}

/** Keeps a version, and deletes `gone` of the same job, all or nothing. */
export async function keepVersion(version, gone = []) {
  const store = (await database()).transaction(VERSIONS, "readwrite").objectStore(VERSIONS);
  for (const { id, revision } of gone) {
    store.delete([id, revision]);
  }
  return put(store, version);
}

/** Adds a job and its versions, all or nothing. */
export async function addJob(job, itsVersions = []) {
  const transaction = (await database()).transaction([JOBS, VERSIONS], "readwrite");
  for (const version of itsVersions) {
    transaction.objectStore(VERSIONS).put(version);
  }
  return put(transaction.objectStore(JOBS), job);
}

/** The keys of all versions of a job. */
function ofJob(id) {
  return IDBKeyRange.bound([id], [id, []]);
}
