// The Wire list: the drawing without the picture, for those who do not see it or do not want it. Fetched when it is first
// opened.
//
// The worker makes its tables and forms and carries out what is done here; see `web/worker/src/report/wires/`. A change
// comes back to the app as one step, so undo, keeping and the drawing know nothing of this page.

import { styled } from "./{{styled.js}}";

const PAGE = document.createElement("template");
PAGE.innerHTML = `<dialog class="wires whole" aria-labelledby="wires-title">
  <header class="wires-head whole-edge">
    <h2 id="wires-title" tabindex="-1">Wire list</h2>
    <div class="wires-steps" role="group" aria-label="Steps">
      <button type="button" data-step="Undo">Undo</button>
      <button type="button" data-step="Redo">Redo</button>
    </div>
    <button type="button" data-close>Close</button>
  </header>
  <div class="wires-body">
    <div class="wires-list"></div>
    <div class="wires-form" hidden></div>
  </div>
  <footer class="whole-edge"><p class="wires-said" role="status" dir="auto"></p></footer>
</dialog>`;

/** Fields in which keys mean what they mean in a text. */
const TEXTS = "input, textarea";

export class WireList {
  /** `reports` asks the worker. */
  constructor(reports) {
    Object.assign(this, { reports, formOf: null, news: "", queue: Promise.resolve(), waiting: 0 });
    this.styled = styled(new URL("./{{wire-list.css}}", import.meta.url));
    document.body.append(PAGE.content.cloneNode(true));
    this.dialog = document.querySelector("dialog.wires");
    [this.body, this.list, this.form, this.said] = ["body", "list", "form", "said"].map((one) => this.dialog.querySelector(`.wires-${one}`));
    this.listen();
  }

  listen() {
    this.dialog.addEventListener("click", ({ target }) => this.press(target.closest("button")));
    this.dialog.addEventListener("change", ({ target }) => "field" in target.dataset && this.enter(target));
    this.dialog.addEventListener("keydown", (event) => this.key(event));
    // Escape leaves the form first, and then the list.
    this.dialog.addEventListener("cancel", (event) => {
      if (this.formOf) {
        event.preventDefault();
        this.back();
      }
    });
  }

  async open() {
    await this.styled;
    if (!this.dialog.open) {
      this.showForm(null);
      this.say("");
      this.found = undefined;
      this.dialog.showModal();
      document.getElementById("wires-title").focus();
      await this.then(() => this.renew());
      this.body.scrollTop = 0;
    }
  }

  // What is pressed.

  press(button) {
    const { act, form, step, ...data } = button?.dataset ?? {};
    if ("close" in data) {
      this.dialog.close();
    } else if ("back" in data) {
      this.back();
    } else if (step) {
      this.step(step);
    } else if (form) {
      this.change(form);
    } else if (act) {
      this.act(act, button);
    }
  }

  key(event) {
    const { key, target } = event;
    const stroke = key.toLowerCase();
    if (key === "Enter" && "field" in target.dataset && target.matches(TEXTS)) {
      // Leaving the field is what enters it.
      target.blur();
      target.focus();
    } else if ((event.ctrlKey || event.metaKey) && (stroke === "z" || stroke === "y") && !target.matches(TEXTS)) {
      event.preventDefault();
      this.step(stroke === "y" || event.shiftKey ? "Redo" : "Undo");
    }
  }

  /** Opens the form of a part or wire. */
  change(id) {
    return this.then(async () => {
      this.showForm(id);
      await this.renew();
      this.form.querySelector("h3")?.focus();
      this.body.scrollTop = 0;
    });
  }

  /** Back from a form to the row of what it is about. */
  back() {
    return this.then(async () => {
      const id = this.formOf;
      this.showForm(null);
      await this.renew();
      const row = this.list.querySelector(`[data-form="${id}"]`) ?? this.list.querySelector("h3");
      row?.focus();
      row?.scrollIntoView({ block: "center" });
    });
  }

  /** Does what a button asks for, with the fields beside it. */
  act(words, button) {
    return this.then(async () => {
      const fields = [...button.parentElement.querySelectorAll("[name]")].map(({ name, value }) => `${name}=${value}`);
      const next = this.after(button);
      await this.tell([words, ...fields].join("\n"));
      // What was put into a wire has cut it: the next part stands by itself again.
      [...button.parentElement.querySelectorAll('[name="into"]')].forEach((one) => (one.value = ""));
      const isGone = words.startsWith("wires-delete");
      if (isGone) {
        this.showForm(null);
      }
      await this.renew();
      if (isGone) {
        next().focus();
      }
    });
  }

  /** What has the focus when the thing of this button is gone: the next row, or the one before, or the heading. */
  after(button) {
    const row = button.closest("tr");
    const near = [row?.nextElementSibling, row?.previousElementSibling].find(Boolean);
    const id = near?.querySelector("[data-form]")?.dataset.form;
    // A button that waited its turn may no longer be in the page: the list was made anew before it.
    const heading = row?.closest("section")?.getAttribute("aria-labelledby") ?? "wires-title";
    return () => this.list.querySelector(`[data-form="${id}"]`) ?? document.getElementById(heading);
  }

  /** Enters a field of the form. */
  enter(field) {
    const { field: name, unit = "" } = field.dataset;
    const words = field.closest("[data-set]").dataset.set;
    const fields = [`field=${name}`, `text=${field.value}`, `unit=${unit}`];
    return this.then(async () => {
      const why = document.getElementById(field.getAttribute("aria-describedby"));
      const refused = await this.tell([words, ...fields].join("\n"));
      const answer = document.createElement("template");
      answer.innerHTML = refused;
      why.textContent = answer.content.textContent;
      if (refused) {
        // It is told at the field.
        field.setAttribute("aria-invalid", "true");
        this.news = "";
        this.say("");
      } else {
        field.removeAttribute("aria-invalid");
        field.dataset.entered = field.value;
        await this.renew();
      }
    });
  }

  /** One step back or forth, by the buttons of the app, which know of every step. */
  step(name) {
    return this.then(async () => {
      [...document.querySelectorAll(".steps button")].find((one) => one.textContent === name).click();
      await this.told();
      await this.renew();
    });
  }

  // What is shown.

  /** One thing after the other: each is about what the one before has left. */
  then(act) {
    this.waiting += 1;
    this.body.ariaBusy = "true";
    this.queue = this.queue
      .then(act)
      .catch((error) => this.say(`This could not be done: ${error.message ?? error}`))
      .finally(() => {
        this.waiting -= 1;
        this.body.ariaBusy = String(this.waiting > 0);
      });
    return this.queue;
  }

  /** Asks the worker to do what the words say; what it has to say of them, and what the app says then. */
  async tell(words) {
    const markup = await this.reports.tell(words);
    await this.told();
    return markup;
  }

  /** What the app says of what was done; it is told with what has come of it. */
  async told() {
    await new Promise((resolve) => setTimeout(resolve));
    this.news = document.querySelector(".status").textContent;
  }

  /** Tells in one line what was done and, where that has changed, how much is found now. */
  tellNews() {
    const [found] = [...this.dialog.querySelectorAll(".wires-found")].filter((one) => one.checkVisibility()).map((one) => one.textContent.replace(/^.*: /, ""));
    const isNew = this.found !== undefined && found !== this.found;
    const news = this.news && isNew ? `${this.news.replace(/[.]$/, "")}. Found: ${found}` : this.news;
    [this.found, this.news] = [found, ""];
    if (news) {
      this.say(news);
    }
  }

  /** Shows whether there is anything to take back, or to do again. */
  showSteps() {
    for (const own of this.dialog.querySelectorAll("[data-step]")) {
      const same = [...document.querySelectorAll(".steps button")].find((one) => one.textContent === own.dataset.step);
      own.setAttribute("aria-disabled", same.getAttribute("aria-disabled"));
    }
  }

  say(text) {
    // What is said twice is heard twice only when it was gone between.
    this.said.textContent = "";
    this.said.textContent = text;
  }

  showForm(id) {
    this.formOf = id;
    this.form.hidden = !id;
    this.list.hidden = Boolean(id);
    if (!id) {
      this.form.replaceChildren();
    }
  }

  /** Shows the job as it is now; what is in focus or chosen stays so. */
  async renew() {
    const markup = this.formOf ? await this.reports.tell(`wires-form ${this.formOf}`) : "";
    if (markup) {
      fillForm(this.form, markup);
    } else {
      // What the form was about is gone.
      const wasForm = Boolean(this.formOf);
      this.showForm(null);
      fill(this.list, await this.reports.tell("wires"));
      if (wasForm && !this.dialog.contains(document.activeElement)) {
        document.getElementById("wires-title").focus();
      }
    }
    this.showSteps();
    this.tellNews();
    this.dialog.dataset.shown = Number(this.dialog.dataset.shown ?? 0) + 1;
  }
}

/** Puts markup in a place; what was chosen there, and in focus, is so again. */
function fill(place, markup) {
  const chosen = [...place.querySelectorAll("select")].map(({ name, value }) => [name, value]);
  const active = place.contains(document.activeElement) ? document.activeElement : null;
  place.innerHTML = markup;
  for (const [name, value] of chosen) {
    const same = place.querySelector(`select[name="${name}"]`);
    if ([...(same?.options ?? [])].some((option) => option.value === value)) {
      same.value = value;
    }
  }
  if (active) {
    same(place, active)?.focus({ preventScroll: true });
  }
}

/** What stands in a place for an element that was there before. */
function same(place, active) {
  const is = (one) => one.name === active.name && ["act", "form", "field", "back"].every((key) => one.dataset[key] === active.dataset[key]);
  return active.matches("h3") ? place.querySelector("h3") : [...place.querySelectorAll(active.tagName)].find(is);
}

/** Shows a form anew. While it asks for the same, its fields stay, and with them what is being typed. */
function fillForm(place, markup) {
  const made = document.createElement("template");
  made.innerHTML = markup;
  const names = (form) => [...form.querySelectorAll("[data-set], [data-field]")].map(({ dataset, tagName }) => `${tagName} ${dataset.set ?? dataset.field}`).join();
  if (names(made.content) !== names(place)) {
    const { activeElement: active } = document;
    const typed = place.contains(active) && active.matches(TEXTS) ? active.value : null;
    fill(place, markup);
    if (typed !== null && document.activeElement !== document.body) {
      document.activeElement.value = typed;
    }
    return;
  }
  for (const field of made.content.querySelectorAll("[data-field]")) {
    const now = document.getElementById(field.id);
    if (now.matches("select")) {
      // Somebody may still be typing what to choose.
      if (now === document.activeElement) {
        continue;
      }
      const { value } = field;
      now.replaceChildren(...field.childNodes);
      now.value = value;
    } else if (now !== document.activeElement || now.value === now.dataset.entered) {
      now.value = field.value;
    }
  }
  const [told, was] = [made.content, place].map((one) => one.querySelector(".wires-told"));
  if (told.innerHTML !== was.innerHTML) {
    const isTitled = was.contains(document.activeElement);
    was.replaceWith(told);
    if (isTitled) {
      place.querySelector("h3").focus();
    }
  }
}
