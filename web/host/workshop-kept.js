// The card and the parts of the workshop, as they are kept on this device: the text of their file, on one line. The
// worker reads and changes it (`web/worker/src/report/workshop/`); nothing is taken here that it has not read.

import { WORKSHOP, database, done } from "./{{store.js}}";

const KEY = "card-and-parts";
const changed = new Set();

/** The text that is kept; empty when there is none. */
export async function keptText() {
  return (await done((await database()).transaction(WORKSHOP).objectStore(WORKSHOP).get(KEY))) ?? "";
}

/** The card in such a text. */
export function cardOf(text) {
  return text ? (JSON.parse(text).card ?? {}) : {};
}

/** Calls `hear` whenever something else is kept. */
export function onChange(hear) {
  changed.add(hear);
}

/** What the worker tells on these words, and these fields, about what is kept. */
export async function tell(words, fields = {}) {
  const lines = Object.entries({ workshop: await keptText(), ...fields }).map(([name, value]) => `${name}=${value.replaceAll("\n", " ")}`);
  return host.tellReport([words, ...lines].join("\n"));
}

/** Has the worker change what is kept; why not, or nothing when it is kept. */
export async function change(words, fields) {
  const told = await tell(words, fields);
  const end = told.indexOf("\n");
  if (told.slice(0, end) !== "ok") {
    return told.slice(end + 1) || "This could not be done.";
  }
  await keep(told.slice(end + 1));
  return "";
}

/** Has the text of a file stand in place of what is kept; why not, or nothing when it does. */
export function take(text) {
  // A field ends with its line.
  return change("workshop-open", { text: text.replaceAll("%", "%25").replaceAll("\r\n", "\n").replaceAll("\n", "%0A") });
}

async function keep(text) {
  const transaction = (await database()).transaction(WORKSHOP, "readwrite");
  transaction.objectStore(WORKSHOP).put(text, KEY);
  await new Promise((resolve, reject) => {
    transaction.oncomplete = resolve;
    transaction.onabort = transaction.onerror = () => reject(transaction.error ?? new Error("the browser refused to store it"));
  });
  changed.forEach((hear) => hear());
}

/** Gives the job that was just begun, from nothing or from a ready circuit, what the card has for it, and counts its number. */
export async function beginJob(from = "") {
  const text = await keptText();
  if (!text || (await tell(`workshop-begin ${from}`.trim())) !== "used") {
    return;
  }
  const kept = JSON.parse(text);
  kept.card.next_number = after(kept.card.next_number);
  await keep(JSON.stringify(kept));
}

/** The number after this one: its last digits count on, as many as they are. */
function after(number) {
  return number.replace(/\d+(?=\D*$)/, (digits) => String(BigInt(digits) + 1n).padStart(digits.length, "0"));
}
