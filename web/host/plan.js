// The vehicle plan over the drawing: what is tapped, dragged and pressed on it. Fetched when it is first opened.
//
// The worker makes the picture and the form beside it, as reports; see `web/worker/src/report/plan/`. Here is only what
// is seen of the picture, what is chosen on it, and which words to ask for after a tap.

/** Pixels around a place or route within which a tap means it: half of the 44 that a finger needs. */
const NEAR = 24;
/** Pixels that a finger may slip before a tap becomes a drag. */
const SLIP = 8;
/** Height of capitals in pixels. */
const CAPITALS = 9.5;
/** Room around the vehicle in pixels, for lettering. */
const MARGIN = [56, 44];
/** Centimetres that a place moves by a key, and with Shift. */
const STEP = [5, 50];
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
    Object.assign(this, { reports, opener, handOver, selected: "", chosen: null, tool: null, from: null, view: null, box: "", moved: null });
    this.fingers = new Map();
    const style = document.createElement("link");
    [style.rel, style.href] = ["stylesheet", new URL("./{{plan.css}}", import.meta.url)];
    document.head.append(style);
    this.table = document.querySelector("main .table");
    this.table.append(PANE.content.cloneNode(true));
    this.pane = this.table.querySelector(".plan");
    [this.sheet, this.tools, this.form] = this.pane.children;
    this.listen();
    this.styled = new Promise((resolve) => (style.onload = style.onerror = resolve));
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
    const scale = this.view?.scale;
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
    this.sheet.addEventListener("focusout", () => this.settle());
    for (const type of ["pointerdown", "pointermove", "pointerup", "pointercancel", "lostpointercapture"]) {
      this.sheet.addEventListener(type, (event) => this[type](event));
    }
    this.sheet.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
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
      const { width, height } = this.sheet.getBoundingClientRect();
      this.add(this.point([width / 2, height / 2]));
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

  get svg() {
    return this.sheet.querySelector("svg");
  }

  spots(sort) {
    return [...this.sheet.querySelectorAll(sort ? `[data-${sort}]` : "[data-place], [data-route]")];
  }

  /** A new picture has come. */
  drawn() {
    const box = this.svg?.dataset.box;
    if (!box) {
      return;
    }
    // The view stays, unless the plan was empty before or is another one.
    if (!this.view || (this.box !== box && !this.worked)) {
      this.fit();
    }
    this.box = box;
    this.place();
    this.mark();
    this.refresh();
  }

  sized() {
    if (this.svg && !this.worked) {
      this.fit();
    }
    this.place();
    this.refresh();
  }

  /** Shows the whole vehicle. */
  fit() {
    const [x, y, w, h] = this.svg.dataset.box.split(" ").map(Number);
    const { width, height } = this.sheet.getBoundingClientRect();
    if (width > 0 && height > 0) {
      const scale = Math.min((width - 2 * MARGIN[0]) / w, (height - 2 * MARGIN[1]) / h);
      this.look(Math.max(scale, 0.05), [x + w / 2, y + h / 2], [width / 2, height / 2]);
    }
  }

  /** Shows a point of the vehicle at this place of the sheet. */
  look(scale, [x, y], [left, top]) {
    this.view = { scale, x: x - left / scale, y: y - top / scale };
    this.place();
  }

  place() {
    const { width, height } = this.sheet.getBoundingClientRect();
    if (this.svg && this.view && width > 0 && height > 0) {
      const { scale, x, y } = this.view;
      this.svg.setAttribute("viewBox", [x, y, width / scale, height / scale].join(" "));
    }
  }

  zoom(by, at) {
    const point = this.point(at);
    this.worked = true;
    this.look(Math.min(Math.max(this.view.scale * by, 0.1), 20), point, at);
    this.refresh();
  }

  pan([dx, dy]) {
    this.worked = true;
    this.view.x -= dx / this.view.scale;
    this.view.y -= dy / this.view.scale;
    this.place();
  }

  resize(event) {
    const button = event.target.closest("button");
    if (this.pane.hidden || !button || !this.view) {
      return;
    }
    event.stopPropagation();
    const { width, height } = this.sheet.getBoundingClientRect();
    const way = [...button.parentElement.children].indexOf(button) - 1;
    if (way === 0) {
      this.worked = false;
      this.fit();
      this.refresh();
    } else {
      this.zoom(1.4 ** way, [width / 2, height / 2]);
    }
  }

  wheel(event) {
    event.preventDefault();
    if (!this.view) {
      return;
    }
    if (event.ctrlKey) {
      this.zoom(2 ** (-event.deltaY / 200), this.on(event));
    } else {
      this.pan([-event.deltaX, -event.deltaY]);
    }
  }

  /** Where on the sheet something happened. */
  on({ clientX, clientY }) {
    const { left, top } = this.sheet.getBoundingClientRect();
    return [clientX - left, clientY - top];
  }

  /** The point of the vehicle that is seen there, in centimetres. */
  point([left, top]) {
    return [this.view.x + left / this.view.scale, this.view.y + top / this.view.scale];
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
    const [x, y] = this.point(at);
    const within = NEAR / this.view.scale;
    const nearest = (spots, far) => {
      const all = spots.map((spot) => [far(spot), spot]).filter(([far]) => far <= within);
      return all.sort(([a], [b]) => a - b)[0]?.[1];
    };
    const places = new Map(this.spots("place").map((spot) => [spot.dataset.place, spot]));
    const toPlace = ({ dataset }) => Math.hypot(dataset.x - x, dataset.y - y);
    const toRoute = ({ dataset: { from, to } }) => {
      const [a, b] = [from, to].map((id) => places.get(id).dataset).map(({ x, y }) => [Number(x), Number(y)]);
      const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
      const along = Math.min(Math.max(((x - a[0]) * dx + (y - a[1]) * dy) / (dx * dx + dy * dy || 1), 0), 1);
      return Math.hypot(a[0] + along * dx - x, a[1] + along * dy - y);
    };
    return nearest(this.spots("place"), toPlace) ?? (this.tool === "route" ? undefined : nearest(this.spots("route"), toRoute));
  }

  tap(at) {
    const spot = this.near(at);
    if (this.tool === "place" && !spot?.dataset.place) {
      this.add(this.point(at));
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

  // Moving a place.

  /** Shows a place at another point, in whole steps, and the routes that end there with it. */
  move(spot, x, y) {
    [x, y] = [x, y].map((cm) => Math.round(cm / STEP[0]) * STEP[0]);
    const { place, x: fromX, y: fromY } = spot.dataset;
    this.moved = { spot, x, y };
    spot.setAttribute("transform", `translate(${x - fromX} ${y - fromY})`);
    const at = (id) => (id === place ? `${x} ${y}` : this.at(id));
    for (const route of this.spots("route").filter(({ dataset }) => [dataset.from, dataset.to].includes(place))) {
      route.classList.add("moves");
      const path = `M${at(route.dataset.from)}L${at(route.dataset.to)}`;
      route.querySelectorAll("path").forEach((line) => line.setAttribute("d", path));
    }
  }

  at(id) {
    const { x, y } = this.spots("place").find(({ dataset }) => dataset.place === id).dataset;
    return `${x} ${y}`;
  }

  /** Takes back what was shown, as a second finger or Escape does. */
  back() {
    if (this.moved) {
      const { spot } = this.moved;
      this.move(spot, Number(spot.dataset.x), Number(spot.dataset.y));
      spot.removeAttribute("transform");
      this.spots("route").forEach((route) => route.classList.remove("moves"));
      this.moved = null;
      clearTimeout(this.later);
    }
  }

  /** Keeps what was shown, as one step. */
  settle() {
    clearTimeout(this.later);
    if (this.moved) {
      const { spot, x, y } = this.moved;
      this.moved = null;
      this.act(`plan-move ${spot.dataset.place} ${x} ${y}`);
    }
  }

  // Fingers, mouse and pen.

  pointerdown(event) {
    if (!this.view || (event.pointerType === "mouse" && event.button !== 0)) {
      return;
    }
    const at = this.on(event);
    this.sheet.setPointerCapture(event.pointerId);
    this.fingers.set(event.pointerId, { start: at, at });
    if (this.fingers.size === 1) {
      this.settle();
      const spot = this.near(at);
      this.gesture = { sort: "tap", spot: spot?.dataset.place && this.tool !== "route" ? spot : null };
    } else if (this.fingers.size === 2) {
      // A second finger takes back what the first began.
      this.back();
      this.gesture = { sort: "pinch" };
    }
  }

  pointermove(event) {
    const finger = this.fingers.get(event.pointerId);
    if (!finger || !this.gesture) {
      return;
    }
    const [at, before] = [this.on(event), finger.at];
    if (this.gesture.sort === "pinch") {
      const other = [...this.fingers].find(([id]) => id !== event.pointerId)?.[1];
      if (other) {
        const [was, is] = [before, at].map((one) => Math.hypot(one[0] - other.at[0], one[1] - other.at[1]));
        const middle = (one) => [(one[0] + other.at[0]) / 2, (one[1] + other.at[1]) / 2];
        this.pan([middle(at)[0] - middle(before)[0], middle(at)[1] - middle(before)[1]]);
        if (was > 20 && is > 20) {
          this.zoom(is / was, middle(at));
        }
      }
    } else {
      if (this.gesture.sort === "tap" && Math.hypot(at[0] - finger.start[0], at[1] - finger.start[1]) > SLIP) {
        this.gesture.sort = this.gesture.spot ? "drag" : "pan";
      }
      if (this.gesture.sort === "pan") {
        this.pan([at[0] - before[0], at[1] - before[1]]);
      } else if (this.gesture.sort === "drag") {
        // The place keeps the distance that the finger took hold of it at.
        const { x, y } = this.gesture.spot.dataset;
        const off = (n) => (at[n] - finger.start[n]) / this.view.scale;
        this.move(this.gesture.spot, Number(x) + off(0), Number(y) + off(1));
      }
    }
    finger.at = at;
  }

  pointerup(event) {
    const finger = this.fingers.get(event.pointerId);
    this.fingers.delete(event.pointerId);
    const sort = this.gesture?.sort;
    if (this.fingers.size === 0) {
      this.gesture = null;
    }
    if (!finger) {
      return;
    }
    if (sort === "tap") {
      this.tap(this.on(event));
    } else if (sort === "drag") {
      this.chosen = this.moved ? nameOf(this.moved.spot) : this.chosen;
      this.settle();
      this.choose(this.chosen);
    }
  }

  pointercancel(event) {
    if (this.fingers.delete(event.pointerId)) {
      this.back();
      this.gesture = this.fingers.size > 0 ? { sort: "pinch" } : null;
    }
  }

  lostpointercapture(event) {
    this.pointercancel(event);
  }

  // Keys.

  key(event) {
    const spot = event.target.closest?.(".plan-sheet [tabindex]");
    if ((event.ctrlKey || event.metaKey) && !event.altKey && ["z", "y"].includes(event.key.toLowerCase()) && !event.target.matches("input")) {
      const again = event.shiftKey || event.key.toLowerCase() === "y";
      document.querySelectorAll(".tools .steps button")[again ? 1 : 0]?.click();
    } else if (event.key === "Escape") {
      if (this.moved) {
        this.back();
      } else if (this.tool) {
        this.take(null);
      } else {
        this.choose(null);
      }
    } else if (!spot) {
      return;
    } else if (event.key === "Enter" || event.key === " ") {
      this.settle();
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
      const by = STEP[far ? 1 : 0];
      const now = this.moved ?? { x: Number(spot.dataset.x), y: Number(spot.dataset.y) };
      this.move(spot, now.x + right * by, now.y + down * by);
      // What is pressed again and again is one step.
      clearTimeout(this.later);
      this.later = setTimeout(() => this.settle(), 600);
      return;
    }
    const spots = this.spots("place").concat(this.spots("route"));
    const next = (spots.indexOf(spot) + right + down + spots.length) % spots.length;
    spots[next].focus();
  }
}

/** The place or route that an element of the picture belongs to. */
function spotOf(element) {
  return element.closest("[data-place], [data-route]");
}

function nameOf({ dataset: { place, route } }) {
  return place ? `place ${place}` : route ? `route ${route}` : null;
}

/** The first of `l1`, `l2`, … that is not taken. */
function free(letter, taken) {
  let n = 1;
  while (taken.includes(`${letter}${n}`)) {
    n += 1;
  }
  return `${letter}${n}`;
}
