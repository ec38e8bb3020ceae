// The page “Workshop”: what is set once, for this device and for whoever works with it. Fetched when it is first opened.
//
// A section has a title, and makes what stands below it, in its own time.

import { deviceSettings } from "./{{settings.js}}";

const SECTIONS = [
  { title: "This device", make: deviceSettings },
  { title: "Workshop card", make: async () => (await import("./{{card.js}}")).workshopCard() },
  { title: "My parts", make: async () => (await import("./{{my-parts.js}}")).myParts() },
  { title: "Card and parts as a file", make: async () => (await import("./{{card.js}}")).cardFile() },
];

const PAGE = document.createElement("template");
PAGE.innerHTML = `<dialog class="workshop" aria-labelledby="workshop-title">
  <div class="dialog-head"><h2 id="workshop-title" tabindex="-1">Workshop</h2><button type="button">Close</button></div>
</dialog>`;

let dialog;

/** Opens the page. */
export function openWorkshop() {
  const page = (dialog ??= made());
  if (!page.open) {
    page.showModal();
    page.querySelector("h2").focus();
  }
}

function made() {
  const dialog = PAGE.content.cloneNode(true).firstChild;
  dialog.querySelector("button").addEventListener("click", () => dialog.close());
  for (const { title, make } of SECTIONS) {
    const section = document.createElement("section");
    section.append(Object.assign(document.createElement("h3"), { textContent: title }));
    dialog.append(section);
    // What one of them waits for, or cannot have, keeps the others from nothing.
    make().then(
      (made) => section.append(made),
      (error) => section.append(`Not possible: ${error.message ?? error}`),
    );
  }
  document.body.append(dialog);
  return dialog;
}
