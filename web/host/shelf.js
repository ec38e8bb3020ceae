// Everything that is kept on this device in one file, and such a file taken in again. Fetched when it is first wanted.
//
// `{ "format": "loomwright-shelf", "version": 1, "jobs": [{ "job": …, "versions": [{ "name", "kept", "job" }] }], "workshop": … }`,
// where each job is a job file, only versions with a name come along, and `workshop` is the file of the card and the parts.

import { save } from "./{{files.js}}";
import { newId } from "./{{keep.js}}";
import { addJob, everyJob, versions } from "./{{store-more.js}}";
import { keptText, take } from "./{{workshop-kept.js}}";

const FORMAT = "loomwright-shelf";
const VERSION = 1;
/** Larger files are not looked into, in bytes. */
const LARGEST = 64 * 1024 * 1024;

/** Longest name of a version, and the latest time that browsers tell (ECMA-262, 21.4.1.1), in milliseconds. */
const [LONGEST_NAME, LATEST] = [200, 8.64e15];

/** Of more bad entries than these only the number is told. */
const MOST_TOLD = 50;

/** Gives all jobs with their named versions, and the workshop, as one file; `keeper` may still have a change to write. */
export async function saveEverything(keeper) {
  await keeper.flush();
  const jobs = [];
  for (const { id, text } of await everyJob()) {
    const named = (await versions(id)).filter(({ name }) => name);
    jobs.push({ job: JSON.parse(text), versions: named.map(({ name, kept, text }) => ({ name, kept, job: JSON.parse(text) })) });
  }
  const card = await keptText();
  const workshop = card ? { workshop: JSON.parse(card) } : {};
  const day = new Date().toLocaleDateString("sv");
  await save(`loomwright-${day}.json`, JSON.stringify({ format: FORMAT, version: VERSION, jobs, ...workshop }, null, 1));
}

/**
 * What was picked as it is; of a file of many jobs `{ said }`, once they are added to those that are kept. `tell` asks the
 * worker, which reads them.
 */
export async function taken(picked, tell) {
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
  const said = [await addAll(name, file.jobs, tell), await withWorkshop(file.workshop)];
  return { said: said.filter(Boolean).join("\n") };
}

/** Takes the card and the parts of a workshop where none are kept yet; what is told of it. */
async function withWorkshop(workshop) {
  const kept = await keptText();
  if (!workshop || (kept && JSON.stringify(JSON.parse(kept)) === JSON.stringify(workshop))) {
    return "";
  }
  if (kept) {
    return "The workshop card and the parts in it were left out, because this device has its own.";
  }
  const why = await take(JSON.stringify(workshop));
  return why ? `The workshop card and the parts in it were left out:\n${why}` : "Its workshop card and parts are kept here now.";
}

/** Adds those that can be read; tells how many, and of each that cannot where it stands and what is wrong with it. */
async function addAll(name, entries, tell) {
  let added = 0;
  const bad = [];
  for (const [at, entry] of entries.entries()) {
    const title = titleOf(entry?.job);
    const place = `Job ${at + 1}${title ? `, “${title}”,` : ""}`;
    try {
      const wrong = await wrongWith(entry?.job, tell);
      if (wrong) {
        bad.push(`${place} was left out:\n${wrong}`);
      } else {
        bad.push(...(await addOne(entry, place, tell)));
        added += 1;
      }
    } catch (error) {
      bad.push(`${place} was left out: ${error.message ?? error}`);
    }
  }
  const more = bad.length > MOST_TOLD ? [`${bad.length - MOST_TOLD} more were left out.`] : [];
  return [`From ${name}, ${added === 1 ? "1 job was" : `${added} jobs were`} added.`, ...bad.slice(0, MOST_TOLD), ...more].join("\n");
}

/** Adds a job under a new id; which of its versions cannot be read, and why. */
async function addOne({ job, versions }, place, tell) {
  const id = newId();
  const [good, bad] = [[], []];
  for (const [at, one] of (Array.isArray(versions) ? versions : []).entries()) {
    const isVersion = typeof one?.name === "string" && one.name.length <= LONGEST_NAME && one.kept >= 0 && one.kept <= LATEST;
    const wrong = isVersion ? await wrongWith(one.job, tell) : "It lacks its name or when it was kept.";
    if (wrong) {
      bad.push(`Version ${at + 1} of ${place.replace(/^J/, "j").replace(/,$/, "")} was left out:\n${wrong}`);
    } else {
      good.push(one);
    }
  }
  // The job itself comes after all of its versions.
  const record = (job, revision) => ({ id, revision, title: titleOf(job), text: JSON.stringify(job) });
  // The clock of another device may be ahead.
  const kept = good.map(({ name, kept, job }, at) => ({ ...record(job, at + 1), name, kept: Math.min(kept, Date.now()) }));
  await addJob({ ...record(job, good.length + 1), updated: Date.now() }, kept);
  return bad;
}

/** What the reader of job files finds wrong, one line a place; empty where it reads the job. */
async function wrongWith(job, tell) {
  if (typeof job !== "object" || job === null) {
    return "There is no job in this place.";
  }
  const told = document.createElement("template");
  told.innerHTML = await tell(`shelf-wrong\njob=${JSON.stringify(job)}`);
  return told.content.textContent;
}

function titleOf(job) {
  const title = job?.card?.title;
  return typeof title === "string" ? title : "";
}
