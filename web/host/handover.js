// The page that hands a job over: its sheets as they are printed, what goes on them, and the files they are saved as.
// Fetched when it is first opened.
//
// The worker puts the job on sheets and draws them; see `web/worker/src/report/handover.rs`. Here is only what is
// chosen, which sheets are seen, and where they go. What writes a PDF, with its fonts, is fetched when one is wanted.

import { styled } from "./{{styled.js}}";
import { cardOf, keptText } from "./{{workshop-kept.js}}";

const CHOICES = "loomwright.handover";

/** Where office paper is Letter; elsewhere it is A4 (Unicode CLDR, supplemental data, paperSize, told in UTS 35 part 6). */
const LETTER = ["BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE"];
const [, country] = navigator.language.match(/-([A-Z]{2})\b/) ?? [];
const AS_ALWAYS = {
  paper: LETTER.includes(country) ? "Letter" : "A4",
  ink: "color",
  marks: true,
  readings: false,
  inspection: false,
  proof: false,
  feet: document.documentElement.dataset.lengths === "feet",
  prices: false,
};
const TICKS = Object.keys(AS_ALWAYS).filter((one) => typeof AS_ALWAYS[one] === "boolean");

/** Hundredths of a millimetre in a pixel of the page. */
const PIXEL = 2540 / 96;

const radio = (name, value, caption) =>
  `<label><input type="radio" name="handover-${name}" value="${value}"> ${caption}</label>`;
const tick = (name, caption) => `<label><input type="checkbox" name="handover-${name}"> ${caption}</label>`;

const PAGE = document.createElement("template");
PAGE.innerHTML = `<dialog class="handover whole" aria-labelledby="handover-title">
  <header class="handover-head whole-edge">
    <h2 id="handover-title" tabindex="-1">Handover</h2>
    <button type="button" data-close>Close</button>
  </header>
  <div class="handover-body">
    <form class="handover-choices">
      <details class="handover-wanted"><summary>Paper</summary>
        <fieldset><legend>Paper</legend>${["A4", "A3", "Letter", "Tabloid"].map((one) => radio("paper", one, one)).join("")}</fieldset>
        <fieldset><legend>Ink</legend>${radio("ink", "color", "In colour")}${radio("ink", "black", "Black and white, as an office printer sees it")}</fieldset>
        <fieldset><legend>On the circuit</legend>${tick("marks", "Marks of findings")}${tick("readings", "Readings of the present positions")}</fieldset>
        <fieldset><legend>Also in the set</legend>${tick("inspection", "Inspection")}${tick("proof", "Proving sheet, to fill in")}${tick("feet", "Lengths to cut in feet and inches too")}${tick("prices", "Prices of my parts")}</fieldset>
        <p class="hint">Where nothing in the job is new, the inspection is always in the set.</p>
        <p class="hint">Print at 100 %, not “fit to page”, so that it stays to scale.</p>
      </details>
      <details class="handover-save"><summary>Tables (CSV)</summary><p class="hint">For a spreadsheet, each list by itself.</p></details>
    </form>
    <div class="handover-sheets" tabindex="0" role="group" aria-label="Sheets"></div>
  </div>
  <footer class="handover-do whole-edge">
    <p class="handover-said" role="status"></p>
    <button type="button" data-pdf>Save PDF</button>
    <button type="button" class="main" data-print>Print</button>
  </footer>
</dialog>`;

export class Handover {
  /** `reports` asks the worker, `files` gives a file to the user. */
  constructor(reports, files) {
    Object.assign(this, { reports, files, turn: 0, pictures: [] });
    this.styled = styled(new URL("./{{handover.css}}", import.meta.url));
    document.body.append(PAGE.content.cloneNode(true));
    this.dialog = document.querySelector("dialog.handover");
    [this.body, this.choices, this.wanted, this.tables, this.sheets, this.said] = ["body", "choices", "wanted", "save", "sheets", "said"].map((one) =>
      this.dialog.querySelector(`.handover-${one}`),
    );
    this.paper = document.getElementById("paper");
    this.listen();
  }

  listen() {
    this.choose(remembered());
    // Beside the sheets there is room for all choices, but above them they would hide the first sheet.
    const beside = matchMedia("(min-width: 62.5rem)");
    const unfold = () => (this.wanted.open = beside.matches);
    beside.addEventListener("change", unfold);
    unfold();
    this.choices.addEventListener("change", () => {
      remember(this.chosen());
      this.sum();
      this.make();
    });
    this.choices.addEventListener("submit", (event) => event.preventDefault());
    this.dialog.addEventListener("click", ({ target }) => this.press(target.closest("button")));
    // Only what is near to what is seen stands in the page.
    this.seen = new IntersectionObserver((entries) => entries.forEach((entry) => this.show(entry)), {
      root: this.body,
      rootMargin: "100% 0%",
    });
    addEventListener("beforeprint", () => this.dialog.open && this.place());
    addEventListener("afterprint", () => this.clear());
  }

  /** Opens at the first sheet, or at the sheet of this name. */
  async open(sheet) {
    await this.styled;
    if (!this.dialog.open) {
      this.dialog.showModal();
      this.body.scrollTop = this.sheets.scrollTop = 0;
      this.first = sheet;
      await this.begin();
      this.make();
    }
  }

  /** Begins with the paper of the workshop card where none was ever chosen here. */
  async begin() {
    const { paper } = cardOf(await keptText().catch(() => ""));
    if (paper && !hasChosen()) {
      this.choose({ ...this.chosen(), paper });
    }
  }

  press(button) {
    const data = button?.dataset ?? {};
    if ("close" in data) {
      this.dialog.close();
    } else if ("print" in data) {
      this.print();
    } else if ("pdf" in data) {
      this.savePdf();
    } else if ("table" in data) {
      this.saveTable(data.table);
    } else if ("picture" in data) {
      this.savePicture(button.closest("figure"));
    } else if ("larger" in data) {
      const large = button.closest("figure").classList.toggle("large");
      button.textContent = large ? "Smaller" : "Larger";
      button.setAttribute("aria-label", `${button.textContent}: ${button.closest("figure").dataset.name}`);
    }
  }

  // Choices.

  field(name, value) {
    return this.choices.querySelector(`[name="handover-${name}"]${value ? `[value="${value}"]` : ""}`);
  }

  choose({ paper, ink, ...ticks }) {
    (this.field("paper", paper) ?? this.field("paper", "A4")).checked = true;
    (this.field("ink", ink) ?? this.field("ink", "color")).checked = true;
    TICKS.forEach((one) => (this.field(one).checked = ticks[one]));
    this.sum();
  }

  /** Says what is chosen while the choices are folded away. */
  sum() {
    const { paper, ink } = this.chosen();
    this.wanted.firstElementChild.textContent = `Paper: ${paper}, ${ink === "black" ? "black and white" : "in colour"}`;
  }

  chosen() {
    const radio = (name) => this.choices.querySelector(`[name="handover-${name}"]:checked`).value;
    const ticks = Object.fromEntries(TICKS.map((one) => [one, this.field(one).checked]));
    return { paper: radio("paper"), ink: radio("ink"), ...ticks };
  }

  // The set.

  /** What the worker tells on these words; nothing when it cannot. */
  tell(words) {
    return this.reports.tell(words);
  }

  /** Has the set made as it is chosen, and its sheets drawn one after the other. */
  async make() {
    this.turn += 1;
    const { turn } = this;
    const { paper, ink, ...more } = this.chosen();
    const words = ["handover", paper, ink, ...Object.keys(more).filter((one) => more[one])].join(" ");
    this.say("The sheets are being set…");
    this.dialog.classList.add("making");
    this.clear();
    let markup = "";
    try {
      const workshop = await keptText().catch(() => "");
      markup = await this.tell(`${words}\nworkshop=${workshop}`);
    } catch {
      // Said below.
    }
    if (turn !== this.turn) {
      return;
    }
    this.dialog.classList.remove("making");
    this.pictures = [];
    this.seen.disconnect();
    this.tables.querySelector(".handover-tables")?.remove();
    if (!markup) {
      this.sheets.replaceChildren();
      this.say("The sheets could not be set. Close this page and try again.");
      return;
    }
    this.sheets.innerHTML = markup;
    const tables = this.sheets.querySelector(".handover-tables");
    this.title = tables.dataset.title;
    this.tables.append(tables);
    this.figures = [...this.sheets.querySelectorAll("figure")];
    for (const figure of this.figures) {
      const { wide, high } = figure.dataset;
      figure.dataset.name = figure.querySelector("figcaption span").textContent.replace(/^.*?: /, "");
      const leaf = figure.querySelector(".handover-leaf");
      leaf.style.aspectRatio = `${wide} / ${high}`;
      leaf.style.setProperty("--true-width", `${wide / PIXEL}px`);
      this.seen.observe(figure);
    }
    this.say("");
    this.figures.find(({ dataset }) => dataset.name === this.first)?.scrollIntoView();
    this.first = null;
    for (let number = 0; number < this.figures.length && turn === this.turn; number += 1) {
      const picture = await this.tell(`handover-sheet ${number}`).catch(() => "");
      if (turn === this.turn) {
        this.pictures[number] = picture;
        this.fill(this.figures[number]);
      }
    }
    if (turn === this.turn) {
      this.dialog.dataset.made = turn;
    }
  }

  /** Puts a sheet into the page when it is near to what is seen, and takes it out when it is not. */
  show({ target, isIntersecting }) {
    target.classList.toggle("near", isIntersecting);
    this.fill(target);
  }

  fill(figure) {
    const leaf = figure.querySelector(".handover-leaf");
    const picture = figure.classList.contains("near") ? (this.pictures[figure.dataset.sheet] ?? "") : "";
    if (Boolean(picture) !== leaf.childElementCount > 0) {
      leaf.innerHTML = picture;
    }
  }

  /** Resolves when every sheet is drawn. */
  async drawn() {
    while (this.figures && this.pictures.filter(Boolean).length < this.figures.length) {
      await new Promise((resolve) => setTimeout(resolve, 30));
    }
  }

  // Where it goes.

  /** Puts all sheets where the style for paper looks for them. */
  place() {
    const { figures = [] } = this;
    this.paper.innerHTML = figures.map(({ dataset }) => `<div class="leaf ${dataset.leaf}">${this.pictures[dataset.sheet] ?? ""}</div>`).join("");
  }

  clear() {
    this.paper.replaceChildren();
  }

  async print() {
    await this.drawn();
    await document.fonts.ready;
    print();
  }

  async savePdf() {
    this.say("The PDF is being written…");
    try {
      await this.drawn();
      this.write ??= import("./{{paper-glue.js}}").then(async ({ default: init, pdf }) => {
        await init({ module_or_path: new URL("./{{paper.wasm}}", import.meta.url) });
        return pdf;
      });
      // What could not be fetched may be there at the next attempt.
      this.write.catch(() => (this.write = null));
      const write = await this.write;
      // Each byte of the set comes as the character of its number.
      const set = Uint8Array.from(await this.tell("handover-set"), (one) => one.charCodeAt(0));
      await this.save(`${this.name()}.pdf`, write(set));
    } catch (error) {
      this.say(`The PDF could not be written: ${error.message ?? error}`);
    }
  }

  async savePicture({ dataset }) {
    const picture = this.pictures[dataset.sheet];
    if (picture) {
      await this.save(`${this.name()}-${fileName(dataset.name)}.svg`, picture);
    }
  }

  async saveTable(number) {
    const told = await this.tell(`handover-table ${number}`);
    const end = told.indexOf("\n");
    await this.save(`${this.name()}-${told.slice(0, end)}`, told.slice(end + 1));
  }

  async save(name, content) {
    const how = await this.files.save(name, content).catch((error) => `Not saved: ${error.message ?? error}`);
    const said = { saved: `Saved ${name}`, shared: `Shared ${name}`, downloaded: `${name} is with your downloads`, cancelled: "Not saved" };
    this.say(said[how] ?? how);
  }

  name() {
    return fileName(this.title) || "job";
  }

  say(text) {
    this.said.textContent = text;
  }
}

/** A text as the name of a file: letters and digits of any script, joined by hyphens. */
function fileName(text) {
  return text.toLowerCase().replace(/[^\p{L}\p{N}]+/gu, "-").slice(0, 60).replace(/^-|-$/g, "");
}

function hasChosen() {
  try {
    return localStorage.getItem(CHOICES) !== null;
  } catch {
    return false;
  }
}

function remembered() {
  try {
    return { ...AS_ALWAYS, ...JSON.parse(localStorage.getItem(CHOICES)) };
  } catch {
    // What cannot be read is chosen anew.
    return AS_ALWAYS;
  }
}

function remember(choices) {
  try {
    localStorage.setItem(CHOICES, JSON.stringify(choices));
  } catch {
    // It holds for this visit then.
  }
}
