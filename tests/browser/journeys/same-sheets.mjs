import assert from "node:assert/strict";
import { readFile, readdir } from "node:fs/promises";
import { join } from "node:path";
import { Resvg } from "../second.mjs";

export const name = "a second renderer shows every sheet of every job as the browser does";

/** Why it is not tried in Firefox. */
export const onlyChromium = "how two renderers differ at edges was measured with it";

/** Pixels in a millimetre: so many that the thinnest line is more than one wide, below which renderers differ. */
const SCALE = 6;

/** Pixels of the side of a square whose ink is compared: edges are smoothed otherwise by each renderer. */
const SQUARE = 9;

/** By how much the ink of a square may differ, of a square that is all ink, and that of a whole sheet. */
const INK = 0.2;
const INK_IN_ALL = 0.015;

export async function run({ page, drawings }) {
  const fonts = await Promise.all(["regular", "bold"].map((one) => readFile(new URL(`../../../crates/sheets/font/${one}.ttf`, import.meta.url))));
  const folders = (await readdir(drawings, { withFileTypes: true })).filter((entry) => entry.isDirectory()).map(({ name }) => name).sort();
  assert.ok(folders.length >= 5, "the sheets of the demonstration jobs are there to be compared");
  await page.goto("about:blank");
  await page.setContent(`<style>${fonts.map(face).join("")} body { margin: 0; background: white } svg { display: block }</style>`);
  let first = null;
  let n = 0;
  for (const folder of folders) {
    for (const file of (await readdir(join(drawings, folder))).filter((file) => file.endsWith(".svg")).sort()) {
      const svg = await readFile(join(drawings, folder, file), "utf8");
      const other = render(svg, fonts);
      const shot = await screenshot(page, svg);
      const { differing, worst, ink } = await compare(page, shot, other);
      const told = `${folder}/${file}: ${differing} of 10,000 squares differ, the worst by ${worst}; ink ${ink}`;
      assert.ok(differing === 0, told);
      assert.ok(Math.abs(ink - 1) < INK_IN_ALL, told);
      // Another sheet must not pass for this one.
      if (first) {
        assert.ok((await compare(page, first, other)).differing > 10, `${folder}/${file} cannot be told from another sheet`);
      }
      first ??= shot;
      n += 1;
    }
  }
  assert.ok(n >= 25, `only ${n} sheets were compared`);
}

function face(font, bold) {
  const url = `data:font/ttf;base64,${font.toString("base64")}`;
  // The first family that the sheets ask for, whatever is installed here.
  return `@font-face { font-family: "Liberation Sans"; font-weight: ${bold ? 700 : 400}; src: url(${url}) }`;
}

function render(svg, fonts) {
  const options = { fitTo: { mode: "zoom", value: (SCALE * 25.4) / 96 }, font: { fontBuffers: fonts, defaultFontFamily: "Arimo", sansSerifFamily: "Arimo" } };
  const picture = new Resvg(svg, options);
  return Buffer.from(picture.render().asPng()).toString("base64");
}

async function screenshot(page, svg) {
  const [width, height] = ["width", "height"].map((one) => Number(new RegExp(`<svg[^>]* ${one}="([0-9.]+)mm"`).exec(svg)[1]));
  await page.setViewport({ width: Math.ceil((width * 96) / 25.4), height: Math.ceil((height * 96) / 25.4), deviceScaleFactor: (SCALE * 25.4) / 96 });
  await page.evaluate((svg) => {
    document.body.innerHTML = svg;
    return document.fonts.ready;
  }, svg);
  return page.screenshot({ encoding: "base64" });
}

/** How two pictures differ, in squares of their ink. */
function compare(page, one, other) {
  return page.evaluate(
    async (one, other, side, most) => {
      const read = async (picture) => {
        const bytes = Uint8Array.from(atob(picture), (c) => c.charCodeAt(0));
        const bitmap = await createImageBitmap(new Blob([bytes], { type: "image/png" }));
        const canvas = new OffscreenCanvas(bitmap.width, bitmap.height);
        const context = canvas.getContext("2d");
        context.fillStyle = "white";
        context.fillRect(0, 0, canvas.width, canvas.height);
        context.drawImage(bitmap, 0, 0);
        return context.getImageData(0, 0, canvas.width, canvas.height);
      };
      const [a, b] = [await read(one), await read(other)];
      const [columns, rows] = [Math.min(a.width, b.width), Math.min(a.height, b.height)].map((size) => Math.floor(size / side));
      const ink = ({ data, width }, column, row) => {
        let sum = 0;
        for (let y = row * side; y < (row + 1) * side; y += 1) {
          for (let x = column * side; x < (column + 1) * side; x += 1) {
            const at = (y * width + x) * 4;
            sum += 255 - (data[at] + data[at + 1] + data[at + 2]) / 3;
          }
        }
        return sum / (255 * side * side);
      };
      let [differing, worst, ofOne, ofOther] = [0, 0, 0, 0];
      for (let row = 0; row < rows; row += 1) {
        for (let column = 0; column < columns; column += 1) {
          const [x, y] = [ink(a, column, row), ink(b, column, row)];
          ofOne += x;
          ofOther += y;
          const apart = Math.abs(x - y);
          worst = Math.max(worst, apart);
          differing += apart > most;
        }
      }
      return { differing: Math.round((differing * 1e5) / (columns * rows)) / 10, worst: worst.toFixed(3), ink: ofOther / ofOne };
    },
    one,
    other,
    SQUARE,
    INK,
  );
}
