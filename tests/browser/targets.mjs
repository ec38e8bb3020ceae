// Measures what can be pressed on a page: how large it is, and how far from its neighbours.

/** What is left out, and why. */
const EXCEPT = [
  // A link in a line of text is as high as the line; where it leads can be reached otherwise.
  "p a, li a, td a",
  // It is seen only by who goes to it by the Tab key.
  ".skip",
  // On the drawing a tap means what is nearest to it, by pixels on the screen; the shapes have no say. `gestures` and the
  // tests of the session measure that.
  "#drawing, #drawing *",
];

/** Everything on the page that is too small, or too near to something else, in words; lengths in pixels. */
export function tooTight(page, { least, apart = 8 }) {
  return page.evaluate(measure, { least, apart, except: EXCEPT.join(", ") });
}

/** Runs in the page. */
function measure({ least, apart, except }) {
  // Rounding of the browser.
  const HAIR = 0.02;
  const top = [...document.querySelectorAll("dialog[open]")].at(-1) ?? document.body;
  const name = (one) => `<${one.tagName.toLowerCase()} ${one.className?.baseVal ?? one.className}> “${(one.getAttribute("aria-label") ?? one.innerText ?? "").trim().replace(/\s+/g, " ").slice(0, 24) || one.name || one.id}”`;
  const round = (length) => Math.round(length * 10) / 10;

  // What belongs to a label is pressed by it.
  const pressed = (one) => (["checkbox", "radio"].includes(one.type) ? (one.closest("label") ?? one) : one);
  const all = [...top.querySelectorAll("button, a[href], input, select, textarea, summary, [role=button], svg [tabindex]")]
    .filter((one) => !one.matches(except) && !one.disabled && !one.closest("[inert]"))
    .filter((one) => one.checkVisibility({ visibilityProperty: true }))
    .map(pressed);
  const boxes = [...new Set(all)].map((one) => ({ one, box: one.getBoundingClientRect() })).filter(({ box }) => box.width > 0);

  const small = boxes
    .filter(({ box }) => box.width < least - HAIR || box.height < least - HAIR)
    .map(({ one, box }) => `${name(one)} is ${round(box.width)} × ${round(box.height)}`);

  // What lies below something else has no neighbours there.
  const isSeen = ({ one, box }) => {
    const met = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
    return met !== null && (met === one || one.contains(met) || met.closest("label") === one);
  };
  // How near what is scrolled comes to what stands still hangs on how far it was scrolled.
  const scrolls = (one) => {
    for (let around = one.parentElement; around; around = around.parentElement) {
      if (around.scrollHeight > around.clientHeight + 1 && getComputedStyle(around).overflowY === "auto") {
        return around;
      }
    }
    return null;
  };
  const isBeside = (a, b) => scrolls(a.one) === scrolls(b.one) && ((isSeen(a) && isSeen(b)) || scrolls(a.one) !== null);
  const near = [];
  for (const [n, a] of boxes.entries()) {
    for (const b of boxes.slice(n + 1)) {
      const [x, y] = [
        Math.max(a.box.left - b.box.right, b.box.left - a.box.right),
        Math.max(a.box.top - b.box.bottom, b.box.top - a.box.bottom),
      ];
      const gap = x > 0 && y > 0 ? Math.hypot(x, y) : Math.max(x, y);
      const isTight = gap < apart - HAIR && !a.one.contains(b.one) && !b.one.contains(a.one);
      if (isTight && isBeside(a, b)) {
        near.push(`${name(a.one)} and ${name(b.one)} are ${round(gap)} apart`);
      }
    }
  }
  return [...small, ...near];
}
