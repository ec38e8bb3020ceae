// The store of this device, in IndexedDB.
//
// - `jobs`: one record a job, `{ id, revision, title, text, updated }`.
// - `versions`: states of jobs that stay, `{ id, revision, title, text, kept, name }`, by id and revision.
// - `pictures`: what a job looks like, `{ id, revision, svg }`, made anew when it is missing or of another revision.
// - `workshop`: what belongs to no job, by a name.

const DATABASE = "loomwright";
const VERSION = 2;
export const [JOBS, VERSIONS, PICTURES, WORKSHOP] = ["jobs", "versions", "pictures", "workshop"];

let opening = null;

/** The database; it is opened at the first use, and anew when the browser took it away. */
export function database() {
  opening ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(DATABASE, VERSION);
    request.onupgradeneeded = () => {
      const { result } = request;
      const keys = { [JOBS]: "id", [VERSIONS]: ["id", "revision"], [PICTURES]: "id", [WORKSHOP]: undefined };
      for (const [name, keyPath] of Object.entries(keys)) {
        // What an earlier version of the page has kept stays as it is.
        if (!result.objectStoreNames.contains(name)) {
          result.createObjectStore(name, { keyPath });
        }
      }
    };
    request.onsuccess = () => {
      const store = request.result;
      // The browser may take the store away, and a later version of the page may want it: the next use opens it anew.
      store.onclose = () => (opening = null);
      store.onversionchange = () => {
        store.close();
        opening = null;
      };
      resolve(store);
    };
    request.onerror = () =>
      reject(
        request.error?.name === "VersionError"
          ? new Error("a newer version of Loomwright has kept jobs on this device; reload to get it")
          : request.error,
      );
    request.onblocked = () => reject(new Error("another window has an older version of Loomwright open; close it"));
  });
  // A refusal is not kept: the next attempt may be allowed.
  opening.catch(() => (opening = null));
  return opening;
}

/** What a request of the store results in. */
export function done(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/** Stores a record; resolves when it is there to stay. */
export function put(store, record) {
  return new Promise((resolve, reject) => {
    const { transaction } = store;
    transaction.oncomplete = resolve;
    transaction.onabort = () => reject(transaction.error ?? new Error("the browser refused to store it"));
    transaction.onerror = () => reject(transaction.error);
    store.put(record);
  });
}

/** The record of a job; undefined when there is none. */
export async function load(id) {
  return done((await database()).transaction(JOBS).objectStore(JOBS).get(id));
}

/** Gives up what can be made anew or was kept without being asked for, so that a job finds room. */
export async function makeRoom() {
  const transaction = (await database()).transaction([VERSIONS, PICTURES], "readwrite");
  transaction.objectStore(PICTURES).clear();
  const versions = transaction.objectStore(VERSIONS);
  versions.openCursor().onsuccess = ({ target: { result } }) => {
    if (result && !result.value.name) {
      result.delete();
    }
    result?.continue();
  };
  await new Promise((resolve, reject) => {
    transaction.oncomplete = resolve;
    transaction.onabort = transaction.onerror = () => reject(transaction.error);
  });
}
