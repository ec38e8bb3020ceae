// Touches a page as fingers do, by the input that the browser itself takes for real.

/** How long a finger touches at least, in milliseconds: what is shorter is taken for a drop of water. */
const TOUCHES = 45;

export class Fingers {
  /** `cdp` is the protocol of Chromium; in Firefox there is none. */
  constructor(page, cdp) {
    this.page = page;
    this.cdp = cdp;
    this.down = [];
  }

  /** Waits until the page has been painted with everything that happened so far. */
  async frames(n = 2) {
    await this.page.evaluate(async (n) => {
      // What the details show comes piece by piece.
      for (let i = 0; i < n || (i < 100 && document.querySelector(".soon")); i += 1) {
        await new Promise((resolve) => requestAnimationFrame(resolve));
      }
    }, n);
  }

  // Touches: `points` are places in the window, in CSS pixels, one for each finger.

  async touch(type, points) {
    if (!this.cdp) {
      return this.touchOneByOne(type, points);
    }
    const touchPoints = points.map(([x, y], id) => ({ x, y, id, radiusX: 8, radiusY: 8, force: 1 }));
    await this.cdp.send("Input.dispatchTouchEvent", { type, touchPoints });
  }

  /** The same where the browser is told of each finger by itself. */
  async touchOneByOne(type, points) {
    const { touchscreen } = this.page;
    if (type === "touchMove") {
      for (const [i, [x, y]] of points.entries()) {
        await this.down[i].move(x, y);
      }
    } else if (type === "touchStart") {
      for (const [x, y] of points.slice(this.down.length)) {
        this.down.push(await touchscreen.touchStart(x, y));
      }
    } else {
      for (const finger of this.down.splice(points.length)) {
        await finger.end();
      }
    }
  }

  async tap([x, y]) {
    await this.hold([[x, y]]);
    await this.frames();
  }

  /** Puts fingers down, one after the other, and lifts them all after a while. */
  async hold(points, time = TOUCHES) {
    for (let n = 1; n <= points.length; n += 1) {
      await this.touch("touchStart", points.slice(0, n));
    }
    await this.rest(time);
    await this.touch("touchEnd", []);
  }

  /** Leaves the fingers where they are for so many milliseconds. */
  async rest(time = TOUCHES) {
    await new Promise((resolve) => setTimeout(resolve, time));
  }

  /** One finger from one place to another; it is lifted only when `release` says so. */
  async drag(from, to, { moves = 12, release = true } = {}) {
    await this.touch("touchStart", [from]);
    await this.rest();
    for (let i = 1; i <= moves; i += 1) {
      await this.touch("touchMove", [between(from, to, i / moves)]);
    }
    if (release) {
      // One that is lifted while it moves throws what it drags, and the browser takes the next tap for catching that.
      await this.rest(2 * TOUCHES);
      await this.touch("touchEnd", []);
    }
    await this.frames();
  }

  /** Two fingers, each along its own way. */
  async pinch([from1, to1], [from2, to2], { moves = 12, release = true } = {}) {
    await this.touch("touchStart", [from1]);
    await this.touch("touchStart", [from1, from2]);
    for (let i = 1; i <= moves; i += 1) {
      await this.touch("touchMove", [between(from1, to1, i / moves), between(from2, to2, i / moves)]);
    }
    if (release) {
      await this.touch("touchEnd", []);
    }
    await this.frames();
  }
}

/** The point that divides the way from one point to another. */
export function between(from, to, part) {
  return [from[0] + (to[0] - from[0]) * part, from[1] + (to[1] - from[1]) * part];
}
