// Fingers, mouse and pen on the vehicle plan: a tap, a drag of a place or of the whole, a pinch, a turn of the wheel.
import { nameOf } from "./{{plan-spots.js}}";

/** Pixels that a finger may slip before a tap becomes a drag. */
const SLIP = 8;
const EVENTS = ["pointerdown", "pointermove", "pointerup", "pointercancel", "lostpointercapture"];

export class Fingers {
  /** Follows what happens on the sheet of this plan. */
  constructor(plan) {
    Object.assign(this, { plan, fingers: new Map(), gesture: null });
    for (const type of EVENTS) {
      plan.sheet.addEventListener(type, (event) => this[type](event));
    }
    plan.sheet.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
  }

  pointerdown(event) {
    if (!this.plan.view.at || (event.pointerType === "mouse" && event.button !== 0)) {
      return;
    }
    const at = this.plan.view.on(event);
    this.plan.sheet.setPointerCapture(event.pointerId);
    this.fingers.set(event.pointerId, { start: at, at });
    if (this.fingers.size === 1) {
      this.plan.moving.settle();
      const spot = this.plan.near(at);
      this.gesture = { sort: "tap", spot: spot?.dataset.place && this.plan.tool !== "route" ? spot : null };
    } else if (this.fingers.size === 2) {
      // A second finger takes back what the first began.
      this.plan.moving.back();
      this.gesture = { sort: "pinch" };
    }
  }

  pointermove(event) {
    const finger = this.fingers.get(event.pointerId);
    if (!finger || !this.gesture) {
      return;
    }
    const [at, before] = [this.plan.view.on(event), finger.at];
    if (this.gesture.sort === "pinch") {
      const other = [...this.fingers].find(([id]) => id !== event.pointerId)?.[1];
      if (other) {
        const [was, is] = [before, at].map((one) => Math.hypot(one[0] - other.at[0], one[1] - other.at[1]));
        const middle = (one) => [(one[0] + other.at[0]) / 2, (one[1] + other.at[1]) / 2];
        this.plan.view.pan([middle(at)[0] - middle(before)[0], middle(at)[1] - middle(before)[1]]);
        if (was > 20 && is > 20) {
          this.plan.zoom(is / was, middle(at));
        }
      }
    } else {
      if (this.gesture.sort === "tap" && Math.hypot(at[0] - finger.start[0], at[1] - finger.start[1]) > SLIP) {
        this.gesture.sort = this.gesture.spot ? "drag" : "pan";
      }
      if (this.gesture.sort === "pan") {
        this.plan.view.pan([at[0] - before[0], at[1] - before[1]]);
      } else if (this.gesture.sort === "drag") {
        // The place keeps the distance that the finger took hold of it at.
        const { x, y } = this.gesture.spot.dataset;
        const off = (n) => (at[n] - finger.start[n]) / this.plan.view.scale;
        this.plan.moving.move(this.gesture.spot, Number(x) + off(0), Number(y) + off(1));
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
      this.plan.tap(this.plan.view.on(event));
    } else if (sort === "drag") {
      const { spot } = this.plan.moving;
      this.plan.moving.settle();
      this.plan.choose(spot ? nameOf(spot) : this.plan.chosen);
    }
  }

  pointercancel(event) {
    if (this.fingers.delete(event.pointerId)) {
      this.plan.moving.back();
      this.gesture = this.fingers.size > 0 ? { sort: "pinch" } : null;
    }
  }

  lostpointercapture(event) {
    this.pointercancel(event);
  }

  wheel(event) {
    event.preventDefault();
    const { view } = this.plan;
    if (!view.at) {
      return;
    }
    if (event.ctrlKey) {
      this.plan.zoom(2 ** (-event.deltaY / 200), view.on(event));
    } else {
      view.pan([-event.deltaX, -event.deltaY]);
    }
  }
}
