"""Every page of the printed sets against the picture of the same sheet, each drawn by a renderer that knows nothing of the
other: PDFium the PDF, resvg the SVG.

`cargo xtask test` writes the sets to target/sheets before it runs this; by hand that is, for each job and paper,
`loomwright sheets JOB.json --paper PAPER -o target/sheets/JOB-PAPER.pdf --svg target/sheets/JOB-PAPER`. Pages are drawn
by lot, the same ones every time; `--all` draws all of them. There is no output to store: with `--check` or without, it
fails and says why when a page is not what its picture is.
"""

import io
import os
import random
import sys
from pathlib import Path

import numpy as np
import pypdfium2
import resvg_py
from PIL import Image

ROOT = Path(__file__).parents[2]
SETS = ROOT / os.environ.get("CARGO_TARGET_DIR", "target") / "sheets"
FONTS = [str(ROOT / "crates" / "sheets" / "font" / name) for name in ("regular.ttf", "bold.ttf")]

#: Pixels in a millimetre, and of the side of a square whose ink is compared: edges are smoothed otherwise by each.
SCALE, SQUARE = 8, 12

#: By how much the ink of a square may differ, of a square that is all ink, and that of a whole sheet: PDFium smooths
#: letters so that they come out a little bolder, by less the more pixels there are.
INK, INK_IN_ALL = 0.15, 0.05

#: What is lighter than this is paper, of 255.
PAPER = 3

#: How many squares of a sheet differ at least from another sheet.
ANOTHER = 50

#: Which share of the pages is drawn.
SHARE = 0.1


def ink_of(picture: Image.Image) -> np.ndarray:
    """The ink of every square, 1 for one that is all ink."""
    pixels = 255 - np.asarray(picture.convert("RGB"), dtype=np.float64).mean(axis=2)
    # The paper of pictures is a little warmer than white; that of a page is whatever lies in the printer.
    pixels[pixels < PAPER] = 0
    rows, columns = (size // SQUARE for size in pixels.shape)
    squares = pixels[: rows * SQUARE, : columns * SQUARE].reshape(rows, SQUARE, columns, SQUARE)
    return squares.mean(axis=(1, 3)) / 255


def of_pdf(page: pypdfium2.PdfPage) -> np.ndarray:
    return ink_of(page.render(scale=SCALE * 25.4 / 72).to_pil())


def of_svg(path: Path) -> np.ndarray:
    png = resvg_py.svg_to_bytes(
        svg_string=path.read_text(encoding="utf-8"),
        background="#ffffff",
        skip_system_fonts=True,
        dpi=96,
        zoom=SCALE * 25.4 / 96,
        font_files=FONTS,
        font_family="Arimo",
        sans_serif_family="Arimo",
    )
    return ink_of(Image.open(io.BytesIO(bytes(png))))


def apart(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    rows, columns = (min(sizes) for sizes in zip(one.shape, other.shape))
    return np.abs(one[:rows, :columns] - other[:rows, :columns])


def main() -> None:
    chance = random.Random(1)
    wrong, worst, n_pages, n_sets = [], 0.0, 0, 0
    first: np.ndarray | None = None
    for path in sorted(SETS.glob("*.pdf")):
        document = pypdfium2.PdfDocument(path)
        pictures = sorted(path.with_suffix("").glob("*.svg"))
        n_sets += 1
        if len(pictures) != len(document):
            wrong.append(f"{path.name}: {len(document)} pages, and {len(pictures)} pictures")
            continue
        for index, picture in enumerate(pictures):
            if chance.random() >= SHARE and "--all" not in sys.argv:
                continue
            page, drawn = of_pdf(document[index]), of_svg(picture)
            name = f"{path.name}, page {index + 1}"
            differing = apart(page, drawn)
            worst = max(worst, float(differing.max()))
            n_pages += 1
            if (differing > INK).any():
                row, column = np.unravel_index(differing.argmax(), differing.shape)
                at = [float(one) * SQUARE / SCALE for one in (column, row)]
                n_differing = int((differing > INK).sum())
                wrong.append(f"{name}: {n_differing} squares differ, the worst by {differing.max():.2f} at {at} mm")
            if abs(page.sum() / drawn.sum() - 1) > INK_IN_ALL:
                wrong.append(f"{name}: {page.sum() / drawn.sum():.3f} times the ink of its picture")
            # Another sheet must not pass for this one.
            if first is not None and (apart(first, drawn) > INK).sum() < ANOTHER:
                wrong.append(f"{name}: cannot be told from another sheet")
            if first is None:
                first = page
    if n_sets == 0 or n_pages < n_sets // 2:
        sys.exit(f"{n_pages} pages of {n_sets} sets in {SETS}: `cargo xtask test` writes them, or `loomwright sheets`")
    if wrong:
        sys.exit("\n".join(wrong[:50]))
    print(f"{n_pages} pages of {n_sets} sets are what their pictures are; the worst square differs by {worst:.3f}")


if __name__ == "__main__":
    main()
