// Everything that is kept on this device in one file, and such a file taken in again. Fetched when it is first wanted.
//
// `{ "format": "loomwright-shelf", "version": 1, "jobs": [{ "job": …, "versions": [{ "name", "kept", "job" }] }] }`,
// where each job is a job file, and only versions with a name come along.

import { addJob, everyJob, versions } from "./{{store-more.js}}";

const FORMAT = "loomwright-shelf";
const VERSION = 1;
/** Larger files are not looked into, in bytes. */
const LARGEST = 64 * 1024 * 1024;

/** Gives all jobs with their named versions as one file. */
export async function saveEverything() {
  await host.listJobs();
  const jobs = [];
  for (const { id, text } of await everyJob()) {
    const named = (await versions(id)).filter(({ name }) => name);
    jobs.push({ job: JSON.parse(text), versions: named.map(({ name, kept, text }) => ({ name, kept, job: JSON.parse(text) })) });
  }
  const day = new Date().toLocaleDateString("sv");
  await host.saveFile(`loomwright-${day}.json`, JSON.stringify({ format: FORMAT, version: VERSION, jobs }, null, 1));
}

/** What was picked as it is; of a file of many jobs `{ said }`, once they are added to those that are kept. */
export async function taken(picked) {
  const { name, bytes } = picked;
  const beginning = new TextDecoder().decode(bytes.subarray(0, 200));
  if (!new RegExp(`^\\s*\\{\\s*"format"\\s*:\\s*"${FORMAT}"`).test(beginning)) {
    return picked;
  }
  const refused = (why) => ({ said: `${name} is not opened, and nothing was changed.\n${why}` });
  if (bytes.length > LARGEST) {
    return refused("It is larger than 64 MB.");
  }
  let file;
  try {
    file = JSON.parse(new TextDecoder("utf-8", { fatal: true }).decode(bytes));
  } catch (error) {
    return refused(`It cannot be read: ${error.message}`);
  }
  if (file.version !== VERSION) {
    return refused("It was written by another version of this program.");
  }
  if (!Array.isArray(file.jobs)) {
    return refused("It holds no list of jobs.");
  }
  return { said: await addAll(name, file.jobs) };
}

/** Adds those that can be read; tells how many, and which cannot. */
async function addAll(name, entries) {
  let [added, lost] = [0, 0];
  const bad = [];
  for (const [at, entry] of entries.entries()) {
    const title = titleOf(entry?.job) || `Job ${at + 1}`;
    try {
      if (!(await isReadable(entry?.job))) {
        throw new Error("it is no job that this program can read");
      }
      lost += await addOne(entry);
      added += 1;
    } catch (error) {
      bad.push(`“${title}” was left out: ${error.message}.`);
    }
  }
  const versionsLost = lost ? [`Versions that could not be read: ${lost}.`] : [];
  return [`From ${name}, ${added === 1 ? "1 job was" : `${added} jobs were`} added.`, ...bad, ...versionsLost].join("\n");
}

/** Adds a job under a new id; how many of its versions cannot be read. */
async function addOne({ job, versions }) {
  const id = host.newJobId();
  const all = Array.isArray(versions) ? versions : [];
  const good = [];
  for (const one of all) {
    if (typeof one?.name === "string" && Number.isFinite(one.kept) && (await isReadable(one.job))) {
      good.push(one);
    }
  }
  // The job itself comes after all of its versions.
  const record = (job, revision) => ({ id, revision, title: titleOf(job), text: JSON.stringify(job) });
  const kept = good.map(({ name, kept, job }, at) => ({ ...record(job, at + 1), name, kept }));
  await addJob({ ...record(job, good.length + 1), updated: Date.now() }, kept);
  return all.length - good.length;
}

/** Whether the worker reads it as a job: then it can be compared with itself. */
async function isReadable(job) {
  if (typeof job !== "object" || job === null) {
    return false;
  }
  const text = JSON.stringify(job);
  const markup = await host.tellReport(`changes\nbefore=${text}\nafter=${text}`);
  return markup !== "" && !markup.includes('role="alert"');
}

function titleOf(job) {
  const title = job?.card?.title;
  return typeof title === "string" ? title : "";
}
