// What is stored beside the jobs that are worked on: their versions. Fetched when it is first wanted, unlike `store.js`.

import { JOBS, PICTURES, VERSIONS, database, done, put } from "./{{store.js}}";

/** Deletes a job with everything that is kept of it. */
export async function remove(id) {
  const transaction = (await database()).transaction([JOBS, VERSIONS, PICTURES], "readwrite");
  transaction.objectStore(JOBS).delete(id);
  transaction.objectStore(VERSIONS).delete(ofJob(id));
  return done(transaction.objectStore(PICTURES).delete(id));
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
