// A number pad of large keys for who works with fingers. It stands below the page, never over the field that it fills,
// and the keyboard of the system stays down. Fetched when a finger first meets a number field.
//
// A field is one with `inputmode="decimal"`. What the keys write is entered as what is typed is: by a change of the
// field, when it is done or left.

import { styled } from "./{{styled.js}}";

const USED = "loomwright.used";
const MOST_USED = 4;

const key = (name, shown = name, label = "") =>
  `<button type="button" data-key="${name}"${label ? ` aria-label="${label}"` : ""}>${shown}</button>`;

const PAD = document.createElement("template");
PAD.innerHTML = `<section class="pad" aria-label="Number pad">
  <div class="pad-top">
    <div class="pad-units" role="group" aria-label="Unit"></div>
    <div class="pad-used" role="group" aria-label="Used last"></div>
  </div>
  <div class="pad-keys">
    ${[..."789456123"].map((digit) => key(digit)).join("")}${key(".", ".", "Decimal point")}${key("0")}${key("back", "⌫", "Delete the last digit")}
  </div>
  <div class="pad-side">
    ${key(" to ", "to", "to, for a range")}${key("-", "−", "Minus")}
    <button type="button" data-do="keyboard">Keyboard</button>
    <button type="button" data-do="done" class="main">Done</button>
  </div>
</section>`;

class Pad {
  constructor() {
    this.styled = styled(new URL("./{{pad.css}}", import.meta.url));
    this.place = PAD.content.cloneNode(true).firstChild;
    // The field keeps the focus, and a keyboard of its own goes on typing into it.
    this.place.addEventListener("pointerdown", (event) => event.preventDefault());
    this.place.addEventListener("click", ({ target }) => this.press(target.closest("button")));
    this.leave = ({ relatedTarget }) => this.place.contains(relatedTarget) || this.close();
    this.entered = () => (this.said = this.field.value);
    // A form that is made anew takes its fields away, and not every browser says that the focus went with one.
    this.gone = new MutationObserver(() => this.field?.isConnected === false && this.close());
    addEventListener("pointerdown", () => (this.isHeld = true), { capture: true });
    for (const end of ["pointerup", "pointercancel"]) {
      addEventListener(end, () => (this.isHeld = false), { capture: true });
    }
  }

  /** Opens below the page, or the dialog, in which the field stands. */
  async open(field) {
    await this.styled;
    if (document.activeElement !== field || this.field === field) {
      return;
    }
    Object.assign(this, { field, said: field.value, units: unitsOf(field) });
    field.addEventListener("blur", this.leave);
    field.addEventListener("change", this.entered);
    this.gone.observe(document.body, { childList: true, subtree: true });
    this.place.setAttribute("aria-label", `Number pad: ${nameOf(field)}`);
    this.offer();
    (field.closest("dialog") ?? document.getElementById("app")).append(this.place);
    document.body.classList.add("with-pad");
    // The page gives way first.
    requestAnimationFrame(() => field.scrollIntoView({ block: "center" }));
  }

  /** Offers what was used last in such fields, and the units of this one. */
  offer() {
    const [used, units] = [".pad-used", ".pad-units"].map((one) => this.place.querySelector(one));
    used.replaceChildren(...usedIn(this.field).map((text) => chip(text, { use: text })));
    const { select, shown } = this.units;
    units.replaceChildren(
      ...(select ? [...select.options].map((option) => chip(option.text, { unit: option.value })) : shown ? [unit(shown)] : []),
    );
    this.tellUnit();
  }

  /** Tells which unit is chosen. */
  tellUnit() {
    for (const one of this.place.querySelectorAll("[data-unit]")) {
      one.setAttribute("aria-pressed", String(one.dataset.unit === this.units.select.value));
    }
  }

  press(button) {
    const data = button?.dataset ?? {};
    this.takeFocus();
    if ("key" in data) {
      this.type(data.key);
    } else if ("use" in data) {
      this.write(data.use, 0, this.field.value.length);
    } else if ("unit" in data) {
      this.units.select.value = data.unit;
      this.units.select.dispatchEvent(new Event("change", { bubbles: true }));
      this.tellUnit();
    } else if (data.do === "done") {
      this.field.blur();
    } else if (data.do === "keyboard") {
      const { field } = this;
      field.blur();
      field.focus();
    }
  }

  /** Who presses the keys from a keyboard has left the field for them. */
  takeFocus() {
    if (document.activeElement !== this.field) {
      this.field.focus();
      this.field.setSelectionRange(this.field.value.length, this.field.value.length);
    }
  }

  type(what) {
    const { selectionStart: start, selectionEnd: end } = this.field;
    if (what === "back") {
      this.write("", start === end ? Math.max(start - 1, 0) : start, end);
    } else {
      this.write(what, start, end);
    }
  }

  write(text, start, end) {
    this.field.setRangeText(text, start, end, "end");
    this.field.dispatchEvent(new Event("input", { bubbles: true }));
  }

  /** Enters what was written, and goes. */
  close() {
    const { field } = this;
    this.gone.disconnect();
    field.removeEventListener("blur", this.leave);
    // What a script has written is no change to the browser.
    if (field.value !== this.said) {
      field.dispatchEvent(new Event("change", { bubbles: true }));
    }
    field.removeEventListener("change", this.entered);
    remember(field);
    field.inputMode = "decimal";
    this.field = null;
    this.goAway();
  }

  /** Goes once the finger that left the field has done what it came for: the page must not move under it. */
  goAway() {
    if (this.isHeld) {
      setTimeout(() => this.goAway(), 20);
      return;
    }
    setTimeout(() => {
      if (!this.field) {
        this.place.remove();
        document.body.classList.remove("with-pad");
      }
    });
  }
}

const pad = new Pad();

/** Opens the pad for a field that a finger has met. */
export const open = (field) => pad.open(field);

/** The list of units beside a field, or the one unit it has. */
function unitsOf(field) {
  const entry = field.closest(".entry");
  return { select: entry?.querySelector("select.unit"), shown: entry?.querySelector("span.unit")?.textContent.trim() };
}

function nameOf(field) {
  return field.labels[0]?.textContent.trim() || field.getAttribute("aria-label") || "";
}

function chip(text, data) {
  const button = Object.assign(document.createElement("button"), { type: "button", textContent: text });
  Object.assign(button.dataset, data);
  return button;
}

/** The only unit of a field; there is nothing to press. */
const unit = (text) => Object.assign(document.createElement("p"), { textContent: text });

// What was used last, by what a field asks for.

const keptUsed = () => {
  try {
    return JSON.parse(localStorage[USED] ?? "{}");
  } catch {
    return {};
  }
};

const kindOf = (field) => field.id || field.name || nameOf(field);

const usedIn = (field) => keptUsed()[kindOf(field)] ?? [];

function remember(field) {
  const value = field.value.trim();
  if (!value || field.getAttribute("aria-invalid") === "true") {
    return;
  }
  const used = keptUsed();
  used[kindOf(field)] = [value, ...usedIn(field).filter((one) => one !== value)].slice(0, MOST_USED);
  try {
    localStorage[USED] = JSON.stringify(used);
  } catch {
    // Then nothing is offered the next time.
  }
}
