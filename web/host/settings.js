// The settings of this device: how the app looks, whether gloves are worn, and which hand works. They are attributes of
// the page, `data-theme` and so on, which style and drawing read, and apply at once. `device.js` applies them at start.

import { styled } from "./{{styled.js}}";

const KEPT = "loomwright.device";

/**
 * What is asked, the attribute that says the answer, and the answers: what is stored, and what is shown. What is
 * only read at start has the page begin anew. */
const SETTINGS = [
  { caption: "Day or night", name: "theme", answers: [["", "As the device says"], ["day", "Daylight"], ["night", "Night"]] },
  { caption: "Gloves", name: "gloves", answers: [["", "No gloves"], ["on", "Gloves: larger buttons, and touches may be less exact"]] },
  { caption: "Language", name: "language", answers: [["", "As the device says"], ["en", "English"], ["de", "Deutsch"]], isAtStart: true },
  {
    caption: "Numbers",
    name: "numbers",
    answers: [["", "As the language writes them"], ["point", "12.5"], ["comma", "12,5"]],
    isAtStart: true,
  },
  {
    caption: "Lengths",
    name: "lengths",
    answers: [["", "In metres"], ["feet", "In metres, with feet and inches in brackets"]],
    isAtStart: true,
  },
  { caption: "Hand", name: "hand", answers: [["", "Right hand"], ["left", "Left hand: tools and details on the left"]] },
];

/** What does not follow the language. */
const PAPER = `<p class="hint">Saved PDF files, tables (CSV) and drawings stay in English, with points in numbers.</p>`;

const { dataset } = document.documentElement;

/** A form in which they are chosen, once its style is here. */
export async function deviceSettings() {
  // The style for gloves and the left hand, which a page without them does not wait for.
  await styled(new URL("./{{device.css}}", import.meta.url));
  const form = document.createElement("form");
  form.className = "settings";
  form.innerHTML = `${SETTINGS.map(group).join("")}<p class="hint" role="status"></p>${document.documentElement.lang === "en" ? "" : PAPER}`;
  form.addEventListener("change", ({ target }) => {
    choose(target.name, target.value);
    const isKept = keep();
    form.querySelector("[role=status]").textContent = isKept
      ? "Kept on this device."
      : "This device keeps no settings. They hold until the page is left.";
    if (isKept && SETTINGS.find(({ name }) => name === target.name).isAtStart) {
      // A change of the job that is still to be written is, when the page goes.
      location.reload();
    }
  });
  form.addEventListener("submit", (event) => event.preventDefault());
  return form;
}

function group({ caption, name, answers }) {
  const is = ([value]) => value === (dataset[name] ?? "");
  const answer = (one) =>
    `<label class="tick"><input type="radio" name="${name}" value="${one[0]}"${is(one) ? " checked" : ""}> ${one[1]}</label>`;
  return `<fieldset><legend>${caption}</legend>${answers.map(answer).join("")}</fieldset>`;
}

/** Sets one of them; what is as on any other device is not said at all. */
function choose(name, value) {
  if (value) {
    dataset[name] = value;
  } else {
    delete dataset[name];
  }
}

/** Keeps what differs from other devices; `false` when the browser lets nothing be kept. */
function keep() {
  try {
    localStorage[KEPT] = JSON.stringify(Object.fromEntries(SETTINGS.map(({ name }) => [name, dataset[name]])));
    return true;
  } catch {
    return false;
  }
}
