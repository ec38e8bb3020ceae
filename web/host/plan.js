// The vehicle plan over the drawing: what is tapped, dragged and pressed on it. Fetched when it is first opened.
//
// The worker makes the picture and the form beside it, as reports; see `web/worker/src/report/plan/`. Here is only what
// is chosen on the picture, and which words to ask for after a tap.
import { Fingers } from "./{{plan-fingers.js}}";
import { Moving } from "./{{plan-moving.js}}";
import { free, nameOf, near, spotOf, spots } from "./{{plan-spots.js}}";
import { View } from "./{{plan-view.js}}";
import { styled } from "./{{styled.js}}";

/** Pixels around a place or route within which a tap means it: half of the 44 that a finger needs. */
const NEAR = 24;
/** Height of capitals in pixels. */
const CAPITALS = 9.5;
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

const PANE = document.createElement("template");
PANE.innerHTML = `<section class="plan" aria-label="Vehicle plan" hidden>
  <div class="plan-sheet" data-report="plan-picture 900"></div>
  <div class="plan-tools" role="group" aria-label="What a tap on the plan does">
    <button type="button" data-tool="place" aria-pressed="false">Add places</button>
    <button type="button" data-tool="route" aria-pressed="false">Add routes</button>
    <span class="plan-hint" role="status"></span>
  </div>
  <div class="plan-form report" data-report="plan-form"></div>
</section>`;

const HINTS = { place: "Tap where parts sit.", route: "Tap two places, one after the other.", from: "Now tap the other place." };

export class Plan {
  /** `opener` is the button that shows and hides it; `handOver` opens the printed set at a sheet. */
  constructor(reports, opener, handOver) {
    Object.assign(this, { reports, opener, handOver, selected: "", chosen: null, tool: null, from: null });
    this.styled = styled(new URL("./{{plan.css}}", import.meta.url));
    this.table = document.querySelector("main .table");
    this.table.append(PANE.content.cloneNode(true));
    this.pane = this.table.querySelector(".plan");
    [this.sheet, this.tools, this.form] = this.pane.children;
    this.view = new View(this.sheet);
    this.moving = new Moving(this.sheet, (words) => this.act(words));
    new Fingers(this);
    this.listen();
  }

  async toggle() {
    await this.styled;
    const open = this.pane.hidden;
    this.pane.hidden = !open;
    this.table.classList.toggle("with-plan", open);
    document.body.classList.toggle("plan-open", open);
    this.table.querySelector(".worktop").inert = open;
    this.opener.setAttribute("aria-pressed", String(open));
    if (open && !this.watched) {
      this.watched = true;
      this.reports.watch(this.pane);
    }
    if (open) {
      this.refresh();
    }
  }

  /** What is selected on the drawing: ids with blanks between. */
  select(ids) {
    this.selected = ids ? ids.split(" ").map((id) => ` +${id}`).join("") : "";
    this.refresh();
  }

  /** Asks for the picture and the form anew, where they are about something else than what is shown. */
  refresh() {
    if (!this.watched) {
      return;
    }
    const { scale } = this.view;
    // In steps of a half more, so that zooming seldom asks.
    const lettering = scale ? Math.round((CAPITALS * 100) / 2 ** (Math.round(2 * Math.log2(scale)) / 2)) : 900;
    this.show(this.sheet, `plan-picture ${lettering}${this.selected}`);
    this.show(this.form, `plan-form${this.chosen ? ` ${this.chosen}` : ""}${this.selected}`);
  }

  show(place, words) {
    if (place.dataset.report !== words) {
      place.dataset.report = words;
      delete place.dataset.told;
      this.reports.fill();
    }
  }

  /** Has the worker do something; what it changes comes back as a new picture and form. */
  act(words) {
    return this.reports.ask(words, null, this.pane);
  }

  listen() {
    new MutationObserver(() => this.drawn()).observe(this.sheet, { childList: true });
    new ResizeObserver(() => this.sized()).observe(this.sheet);
    this.pane.addEventListener("click", (event) => this.press(event));
    this.pane.addEventListener("change", ({ target }) => {
      const words = target.dataset.change;
      if (words) {
        const value = target.type === "checkbox" ? (target.checked ? "on" : "") : target.value;
        this.act(`${words}\nvalue=${value}`);
      }
    });
    this.pane.addEventListener("keydown", (event) => this.key(event));
    this.sheet.addEventListener("focusin", ({ target }) => this.rove(target.closest("[tabindex]")));
    this.sheet.addEventListener("focusout", () => this.moving.settle());
    // While the plan is shown, the buttons for the size of the drawing are for the plan.
    document.querySelector(".sizes")?.addEventListener("click", (event) => this.resize(event), true);
  }

  press({ target, detail }) {
    const tool = target.closest("[data-tool]");
    if (tool) {
      this.take(this.tool === tool.dataset.tool ? null : tool.dataset.tool);
    } else if (target.closest("[data-done]")) {
      this.choose(null);
    } else if (target.closest("[data-handover]")) {
      this.handOver(target.closest("[data-handover]").dataset.handover);
    } else if (target.closest("[data-middle]")) {
      const [width, height] = this.view.size;
      this.add(this.view.point([width / 2, height / 2]));
    } else if (detail === 0 && target.closest(".plan-sheet")) {
      // By a screen reader; fingers and mouse are followed by themselves.
      this.tapOn(spotOf(target));
    }
  }

  take(tool) {
    this.tool = tool;
    this.from = null;
    this.tools.querySelectorAll("[data-tool]").forEach((one) => one.setAttribute("aria-pressed", String(one.dataset.tool === tool)));
    this.mark();
  }

  hint(words) {
    this.tools.querySelector(".plan-hint").textContent = words ?? "";
  }

  // What is seen.

  spots(sort) {
    return spots(this.sheet, sort);
  }

  /** A new picture has come. */
  drawn() {
    if (this.view.drawn()) {
      this.mark();
      this.refresh();
    }
  }

  sized() {
    this.view.sized();
    this.refresh();
  }

  zoom(by, at) {
    this.view.zoom(by, at);
    this.refresh();
  }

  resize(event) {
    const button = event.target.closest("button");
    if (this.pane.hidden || !button || !this.view.at) {
      return;
    }
    event.stopPropagation();
    const [width, height] = this.view.size;
    const way = [...button.parentElement.children].indexOf(button) - 1;
    if (way === 0) {
      this.view.showAll();
      this.refresh();
    } else {
      this.zoom(1.4 ** way, [width / 2, height / 2]);
    }
  }

  // What is chosen.

  /** Marks what is chosen and what stands ready in the picture. */
  mark() {
    for (const spot of this.spots()) {
      const name = nameOf(spot);
      spot.classList.toggle("chosen", name === this.chosen);
      spot.classList.toggle("from", name === this.from);
      spot.setAttribute("aria-pressed", String(name === this.chosen));
    }
    this.rove(this.sheet.contains(document.activeElement) ? document.activeElement.closest("[tabindex]") : null);
    this.hint(this.from ? HINTS.from : HINTS[this.tool]);
  }

  choose(name) {
    this.chosen = name;
    this.mark();
    this.refresh();
    this.form.scrollTop = 0;
  }

  /** One of the places and routes is reached by Tab; the others by arrows from there. */
  rove(spot) {
    const spots = this.spots();
    const own = (spot && nameOf(spot) && spot) || spots.find((one) => nameOf(one) === this.chosen) || spots[0];
    spots.forEach((one) => one.setAttribute("tabindex", one === own ? "0" : "-1"));
  }

  /** The place near a point of the sheet, else the route. */
  near(at) {
    return near(this.sheet, this.view.point(at), NEAR / this.view.scale, this.tool !== "route");
  }

  tap(at) {
    const spot = this.near(at);
    if (this.tool === "place" && !spot?.dataset.place) {
      this.add(this.view.point(at));
    } else {
      this.tapOn(spot);
    }
  }

  tapOn(spot) {
    const name = spot && nameOf(spot);
    if (this.tool === "route" && spot?.dataset.place) {
      this.join(name);
    } else if (this.tool !== "route" || !name) {
      this.choose(name ?? null);
    }
  }

  add([x, y]) {
    // The worker gives the first id that is free.
    this.chosen = `place ${free("l", this.spots("place").map(({ dataset }) => dataset.place))}`;
    this.act(`plan-add ${x.toFixed(1)} ${y.toFixed(1)}`).then(() => this.choose(this.chosen));
  }

  join(name) {
    if (!this.from || this.from === name) {
      this.from = this.from ? null : name;
      this.mark();
      return;
    }
    const id = (name) => name.split(" ")[1];
    this.chosen = `route ${free("r", this.spots("route").map(({ dataset }) => dataset.route))}`;
    const words = `plan-join ${id(this.from)} ${id(name)}`;
    this.from = null;
    this.act(words).then(() => this.choose(this.chosen));
  }

  // Keys.

  key(event) {
    const spot = event.target.closest?.(".plan-sheet [tabindex]");
    if ((event.ctrlKey || event.metaKey) && !event.altKey && ["z", "y"].includes(event.key.toLowerCase()) && !event.target.matches("input")) {
      const again = event.shiftKey || event.key.toLowerCase() === "y";
      document.querySelectorAll(".tools .steps button")[again ? 1 : 0]?.click();
    } else if (event.key === "Escape") {
      if (this.moving.spot) {
        this.moving.back();
      } else if (this.tool) {
        this.take(null);
      } else {
        this.choose(null);
      }
    } else if (!spot) {
      return;
    } else if (event.key === "Enter" || event.key === " ") {
      this.moving.settle();
      this.tapOn(spot);
    } else if (event.key === "Delete" || event.key === "Backspace") {
      this.act(`plan-delete ${nameOf(spot)}`);
    } else if (ARROWS[event.key]) {
      this.arrow(spot, ARROWS[event.key], event.shiftKey);
    } else {
      return;
    }
    event.preventDefault();
  }

  arrow(spot, [right, down], far) {
    if (spot.dataset.place && nameOf(spot) === this.chosen) {
      this.moving.step(spot, [right, down], far);
      return;
    }
    const spots = this.spots("place").concat(this.spots("route"));
    const next = (spots.indexOf(spot) + right + down + spots.length) % spots.length;
    spots[next].focus();
  }
}
