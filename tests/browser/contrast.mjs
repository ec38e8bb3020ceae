// Computes how well the letters of a page stand out from what is behind them.

/** Letters that stand out less than WCAG 2.2 AA asks for (4.5, and 3 for large ones), in words. */
export function tooFaint(page) {
  return page.evaluate(measure);
}

/** Runs in the page. */
function measure() {
  const top = [...document.querySelectorAll("dialog[open]")].at(-1) ?? document.body;
  const pen = document.createElement("canvas").getContext("2d", { willReadFrequently: true });
  /** Red, green and blue from 0 to 255, and how opaque from 0 to 1, of a color as the style computes it. */
  const read = (color) => {
    pen.clearRect(0, 0, 1, 1);
    pen.fillStyle = color;
    pen.fillRect(0, 0, 1, 1);
    const [r, g, b, a] = pen.getImageData(0, 0, 1, 1).data;
    return [r, g, b, a / 255];
  };
  const over = ([r, g, b, a], below) => [r, g, b].map((one, n) => one * a + below[n] * (1 - a));
  // Relative luminance and contrast as WCAG 2.2 defines them.
  const light = (rgb) => {
    const [r, g, b] = rgb.map((one) => one / 255).map((one) => (one <= 0.04045 ? one / 12.92 : ((one + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const contrast = (a, b) => (Math.max(light(a), light(b)) + 0.05) / (Math.min(light(a), light(b)) + 0.05);

  /** What is behind the letters of an element, out to the page. */
  const ground = (element) => {
    const layers = [];
    for (let one = element; one; one = one.parentElement) {
      const color = read(getComputedStyle(one).backgroundColor);
      layers.push(color);
      if (color[3] === 1) {
        break;
      }
    }
    return layers.reduceRight((below, color) => over(color, below), [255, 255, 255]);
  };
  /** How much of an element and all around it is left by their opacity. */
  const opacity = (element) => (element ? Number(getComputedStyle(element).opacity) * opacity(element.parentElement) : 1);

  const found = [];
  const letters = document.createTreeWalker(top, NodeFilter.SHOW_TEXT);
  let n = 0;
  while (letters.nextNode()) {
    const { parentElement: element, data } = letters.currentNode;
    // What is pressed to no effect may be faint. Letters of the drawing stand on paper in colors that are data; tests of
    // the drawing look at those.
    if (!data.trim() || !element.checkVisibility({ visibilityProperty: true }) || element.closest("svg, [aria-disabled=true], option")) {
      continue;
    }
    const style = getComputedStyle(element);
    const behind = ground(element);
    const [r, g, b, a] = read(style.color);
    const seen = over([r, g, b, a * opacity(element)], behind);
    const isLarge = parseFloat(style.fontSize) >= 24 || (parseFloat(style.fontSize) >= 18.66 && Number(style.fontWeight) >= 700);
    const is = contrast(seen, behind);
    n += 1;
    if (is < (isLarge ? 3 : 4.5)) {
      found.push(`“${data.trim().slice(0, 30)}” ${is.toFixed(2)}`);
    }
  }
  return { found, n };
}
