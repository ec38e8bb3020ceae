// A place of the vehicle plan on the move: it is shown where a finger or a key has it, and kept as one step.
import { spots } from "./{{plan-spots.js}}";

/** Centimetres that a place moves by a key, and with Shift. */
const STEP = [5, 50];
/** How long no key may be pressed until the moves so far are kept, in milliseconds: what is pressed again and again is one step. */
const REST = 600;

export class Moving {
  /** `keep(words)` has the worker move a place. */
  constructor(sheet, keep) {
    Object.assign(this, { sheet, keep, moved: null });
  }

  /** The place that is on the move. */
  get spot() {
    return this.moved?.spot;
  }

  /** Shows a place at another point, in whole steps, and the routes that end there with it. */
  move(spot, x, y) {
    [x, y] = [x, y].map((cm) => Math.round(cm / STEP[0]) * STEP[0]);
    const { place, x: fromX, y: fromY } = spot.dataset;
    this.moved = { spot, x, y };
    spot.setAttribute("transform", `translate(${x - fromX} ${y - fromY})`);
    const at = (id) => (id === place ? `${x} ${y}` : this.at(id));
    for (const route of spots(this.sheet, "route").filter(({ dataset }) => [dataset.from, dataset.to].includes(place))) {
      route.classList.add("moves");
      const path = `M${at(route.dataset.from)}L${at(route.dataset.to)}`;
      route.querySelectorAll("path").forEach((line) => line.setAttribute("d", path));
    }
  }

  /** Moves a place by a key, which may be pressed again. */
  step(spot, [right, down], far) {
    const by = STEP[far ? 1 : 0];
    const now = this.moved ?? { x: Number(spot.dataset.x), y: Number(spot.dataset.y) };
    this.move(spot, now.x + right * by, now.y + down * by);
    clearTimeout(this.later);
    this.later = setTimeout(() => this.settle(), REST);
  }

  at(id) {
    const { x, y } = spots(this.sheet, "place").find(({ dataset }) => dataset.place === id).dataset;
    return `${x} ${y}`;
  }

  /** Takes back what was shown, as a second finger or Escape does. */
  back() {
    if (this.moved) {
      const { spot } = this.moved;
      this.move(spot, Number(spot.dataset.x), Number(spot.dataset.y));
      spot.removeAttribute("transform");
      spots(this.sheet, "route").forEach((route) => route.classList.remove("moves"));
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
      this.keep(`plan-move ${spot.dataset.place} ${x} ${y}`);
    }
  }
}
