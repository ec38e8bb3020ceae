// The cards of the page “Jobs”: what is told of a job, and what can be done with it.

import { namedVersions, versions } from "./{{store-more.js}}";
import { when } from "./{{when.js}}";

const CARD = document.createElement("template");
CARD.innerHTML = `<li class="job">
  <div class="shelf-picture" data-do="open"></div>
  <div class="shelf-told">
    <h4 dir="auto"></h4>
    <p class="shelf-vehicle" dir="auto"></p>
    <p class="shelf-customer" dir="auto"></p>
    <p class="hint shelf-when"></p>
    <p class="hint shelf-named"></p>
  </div>
  <div class="shelf-do">
    <button type="button" class="open" data-do="open">Open</button>
    <button type="button" data-do="copy">Make a copy</button>
    <button type="button" data-do="delete">Delete</button>
  </div>
</li>`;

const TRAP = document.createElement("template");
TRAP.innerHTML = `<div class="shelf-trap">
  <p></p>
  <ul class="plain"></ul>
</div>`;

/** How many versions without a name are offered of a job over which the program stopped. */
const LATEST = 5;

/** The card of a job; `open` is the id of the job that is on the desk. */
export function cardOf({ id, title, vehicle, customer, updated }, open) {
  const row = CARD.content.cloneNode(true).firstElementChild;
  row.dataset.id = id;
  row.querySelector("h4").textContent = title;
  row.querySelector(".shelf-vehicle").textContent = vehicle;
  row.querySelector(".shelf-customer").textContent = customer;
  row.querySelector(".shelf-when").textContent = `${id === open ? "Open now. " : ""}Changed ${when(updated)}`;
  for (const button of row.querySelectorAll("button")) {
    button.ariaLabel = `${button.textContent}: ${title}`;
  }
  return row;
}

/** Tells on a card how many versions of the job have names. */
export async function showNamed(row, id) {
  const n = await namedVersions(id);
  if (n > 0) {
    row.querySelector(".shelf-named").textContent = n === 1 ? "1 version has a name" : `${n} versions have names`;
  }
}

/** Offers on the card of a job over which the program stopped to go on from its versions. */
export async function showVersions(row, { id, title }) {
  const trap = TRAP.content.cloneNode(true).firstElementChild;
  const all = await versions(id);
  const offered = all.filter(({ name }, at) => name || at < LATEST);
  trap.querySelector("p").textContent = `The program stopped over this job, and it does not open by itself. ${
    offered.length > 0 ? "Each of these makes a job of its own:" : "No version of it is kept."
  }`;
  trap.querySelector("ul").append(...offered.map((version) => versionOf(version, title)));
  row.append(trap);
}

function versionOf({ name, kept, revision }, title) {
  const item = document.createElement("li");
  const caption = name ? `Go on from “${name}”, ${when(kept)}` : `Go on from ${when(kept)}`;
  const button = Object.assign(document.createElement("button"), { type: "button", textContent: caption, ariaLabel: `${caption}: ${title}` });
  Object.assign(button.dataset, { do: "version", revision });
  item.append(button);
  return item;
}

/** How many jobs are found, of how many. */
export function countOf(n, all) {
  const jobs = all === 1 ? "1 job" : `${all} jobs`;
  return n === all ? jobs : `${n} of ${jobs}`;
}
