// What is seen of the picture of the vehicle plan: how large, and which part of it.

/** Room around the vehicle in pixels, for lettering. */
const MARGIN = [56, 44];
/** The most and the least pixels to a centimetre. */
const SCALES = [0.1, 20];

export class View {
  /** `sheet` is what the picture stands in. */
  constructor(sheet) {
    // `at` is what is seen: the scale, and the point of the vehicle in the upper left corner.
    Object.assign(this, { sheet, at: null, box: "", worked: false });
  }

  get svg() {
    return this.sheet.querySelector("svg");
  }

  get scale() {
    return this.at?.scale;
  }

  get size() {
    const { width, height } = this.sheet.getBoundingClientRect();
    return [width, height];
  }

  /** A new picture has come; whether there is one. */
  drawn() {
    const box = this.svg?.dataset.box;
    if (!box) {
      return false;
    }
    // The view stays, unless the plan was empty before or is another one.
    if (!this.at || (this.box !== box && !this.worked)) {
      this.fit();
    }
    this.box = box;
    this.place();
    return true;
  }

  /** The sheet has another size. */
  sized() {
    if (this.svg && !this.worked) {
      this.fit();
    }
    this.place();
  }

  /** Shows the whole vehicle. */
  fit() {
    const [x, y, w, h] = this.svg.dataset.box.split(" ").map(Number);
    const [width, height] = this.size;
    if (width > 0 && height > 0) {
      const scale = Math.min((width - 2 * MARGIN[0]) / w, (height - 2 * MARGIN[1]) / h);
      this.look(Math.max(scale, 0.05), [x + w / 2, y + h / 2], [width / 2, height / 2]);
    }
  }

  /** Shows the whole vehicle, also when the sheet or the plan changes. */
  showAll() {
    this.worked = false;
    this.fit();
  }

  /** Shows a point of the vehicle at this place of the sheet. */
  look(scale, [x, y], [left, top]) {
    this.at = { scale, x: x - left / scale, y: y - top / scale };
    this.place();
  }

  place() {
    const [width, height] = this.size;
    if (this.svg && this.at && width > 0 && height > 0) {
      const { scale, x, y } = this.at;
      this.svg.setAttribute("viewBox", [x, y, width / scale, height / scale].join(" "));
    }
  }

  zoom(by, at) {
    const point = this.point(at);
    this.worked = true;
    this.look(Math.min(Math.max(this.scale * by, SCALES[0]), SCALES[1]), point, at);
  }

  pan([dx, dy]) {
    this.worked = true;
    this.at.x -= dx / this.scale;
    this.at.y -= dy / this.scale;
    this.place();
  }

  /** Where on the sheet something happened. */
  on({ clientX, clientY }) {
    const { left, top } = this.sheet.getBoundingClientRect();
    return [clientX - left, clientY - top];
  }

  /** The point of the vehicle that is seen there, in centimetres. */
  point([left, top]) {
    return [this.at.x + left / this.scale, this.at.y + top / this.scale];
  }
}
