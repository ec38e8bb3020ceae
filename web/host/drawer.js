// Follows a finger that draws the details below the drawing up or down by their tabs, and tells them at which of their
// three heights they stay. A tap goes to what it meets, as ever.

/** How far a finger strays that means to draw, in pixels. */
const STRAY = 10;

/** How high the details stand at each stop, in parts of the window; the style of the page says the same. */
const HEIGHTS = [0, 0.42, 0.74];

/** Begins to follow. */
export function followFingers(drawer) {
  const [tabs, content] = [".tabs", ".drawer-content"].map((one) => drawer.querySelector(one));
  const least = () => tabs.offsetHeight + 2;
  const heights = () => HEIGHTS.map((part) => Math.max(part * innerHeight, least()));
  let held = null;

  const letGo = () => {
    drawer.style.height = content.style.display = "";
    held = null;
  };
  tabs.addEventListener("pointerdown", ({ pointerId, clientY, isPrimary }) => {
    // Beside the drawing they are always open.
    const isBelow = drawer.offsetWidth === drawer.parentElement.offsetWidth;
    held = isPrimary && isBelow ? { pointerId, from: clientY, height: drawer.offsetHeight, moves: false } : null;
  });
  tabs.addEventListener("pointermove", ({ pointerId, clientY, buttons }) => {
    if (pointerId !== held?.pointerId) {
      return;
    }
    if (!buttons) {
      letGo();
      return;
    }
    const up = held.from - clientY;
    if (!held.moves && Math.abs(up) > STRAY) {
      held.moves = true;
      tabs.setPointerCapture(pointerId);
      content.style.display = "block";
    }
    if (held.moves) {
      const [low, , high] = heights();
      drawer.style.height = `${Math.min(Math.max(held.height + up, low), high)}px`;
    }
  });
  tabs.addEventListener("pointerup", ({ pointerId }) => {
    if (pointerId === held?.pointerId && held.moves) {
      const stop = nearest(heights(), drawer.offsetHeight);
      // What the finger is lifted from is not pressed by that.
      addEventListener("click", swallow, { capture: true });
      setTimeout(() => removeEventListener("click", swallow, { capture: true }));
      drawer.dispatchEvent(new CustomEvent("drawn", { detail: stop }));
    }
    letGo();
  });
  tabs.addEventListener("pointercancel", letGo);
}

const swallow = (event) => event.stopPropagation();

/** The number of the height that comes nearest to this one. */
function nearest(heights, height) {
  const far = heights.map((one) => Math.abs(one - height));
  return far.indexOf(Math.min(...far));
}
