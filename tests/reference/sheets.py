"""The printed sets of the demonstration jobs, read by two PDF libraries that know nothing of how they were made.

`cargo xtask test` writes the sets to target/sheets before it runs this; by hand that is, for each job and paper,
`loomwright sheets JOB.json --paper PAPER -o target/sheets/JOB-PAPER.pdf`. There is no output to store: with `--check` or
without, it fails and says why when something does not hold.
"""

import json
import os
import re
import sys
from pathlib import Path

from pdfminer.high_level import extract_pages
from pdfminer.layout import LAParams, LTChar, LTContainer, LTCurve, LTPage
from pypdf import PdfReader

ROOT = Path(__file__).parents[2]
JOBS = ROOT / "fixtures" / "jobs"
SETS = ROOT / os.environ.get("CARGO_TARGET_DIR", "target") / "sheets"

#: Sides of each paper in points, 72 to the inch, and how far from its edges printers leave ink, in millimetres.
PAPERS = {
    "a4": (595.28, 841.89, 5.0),
    "a3": (841.89, 1190.55, 5.0),
    "letter": (612.0, 792.0, 8.0),
    "tabloid": (792.0, 1224.0, 8.0),
}
POINTS_IN_MM = 72 / 25.4

#: Height of the capitals of Arimo over its size, from its own table of metrics.
CAPITALS = 1409 / 2048


def without_spaces(text: str) -> str:
    return re.sub(r"\s+", "", text)


def names_of(job: dict) -> list[str]:
    """Every designation of a job, without spaces, because long ones are broken over lines."""
    things = job["parts"] + job["wires"]
    return [without_spaces(thing.get("label") or thing["id"]) for thing in things]


def marks(container: LTContainer):
    for one in container:
        if isinstance(one, (LTChar, LTCurve)):
            yield one
        elif isinstance(one, LTContainer):
            yield from marks(one)


def check_page(name: str, page: LTPage, sides: tuple[float, float], edge_mm: float) -> list[str]:
    wrong = []
    found = sorted([page.width, page.height])
    if any(abs(one - other) > 0.1 for one, other in zip(found, sides)):
        wrong.append(f"{name}: the page is {found}, not {sides}")
    edge = edge_mm * POINTS_IN_MM
    for mark in marks(page):
        left, bottom, right, top = mark.bbox
        if isinstance(mark, LTChar):
            # A character's box is as high as its size; what is drawn of it is lower.
            a, b, c, d, _, _ = mark.matrix
            upright = abs(b) > abs(a)
            size = abs(c) if upright else abs(d)
            size *= mark.fontsize if hasattr(mark, "fontsize") else 1
            size = max(size, mark.width if upright else mark.height)
            if size * CAPITALS < 2.5 * POINTS_IN_MM - 0.01:
                wrong.append(f"{name}: {mark.get_text()!r} has capitals of {size * CAPITALS / POINTS_IN_MM:.2f} mm")
            slack = size * (1 - CAPITALS)
        else:
            slack = 0.0
        inside = (
            left >= edge - slack
            and bottom >= edge - slack
            and right <= page.width - edge + slack
            and top <= page.height - edge + slack
        )
        if not inside:
            wrong.append(f"{name}: {mark} is outside")
    return wrong


def check_set(path: Path, job: dict, paper: str) -> list[str]:
    name = path.name
    wrong: list[str] = []
    reader = PdfReader(path)
    short, long, edge = PAPERS[paper]
    one = [page.extract_text() for page in reader.pages]
    layout = LAParams(all_texts=True)
    pages = list(extract_pages(path, laparams=layout))
    other = ["".join(mark.get_text() for mark in marks(page) if isinstance(mark, LTChar)) for page in pages]
    if len(one) != len(other):
        wrong.append(f"{name}: {len(one)} pages by one reader, {len(other)} by the other")
    for number, texts in enumerate(zip(one, other), start=1):
        footer = without_spaces(f"sheet {number}/{len(one)} · page")
        for text in texts:
            if footer not in without_spaces(text):
                wrong.append(f"{name}: page {number} does not say that it is sheet {number}/{len(one)}")
    for whole in ("".join(one), "".join(other)):
        seen = without_spaces(whole)
        wrong += [f"{name}: `{missing}` is nowhere" for missing in names_of(job) if missing not in seen]
    fonts = {}
    for page in reader.pages:
        for key, font in page["/Resources"]["/Font"].items():
            fonts[key] = font.get_object()
    for key, font in fonts.items():
        descendant = font["/DescendantFonts"][0].get_object()
        if "/FontFile2" not in descendant["/FontDescriptor"].get_object() or "/ToUnicode" not in font:
            wrong.append(f"{name}: font {key} is not inside, or has no table back to characters")
    if len(fonts) != 2:
        wrong.append(f"{name}: {len(fonts)} fonts instead of two")
    title = job.get("card", {}).get("title", "")
    if (reader.metadata.title or "") != title:
        wrong.append(f"{name}: it is called {reader.metadata.title!r}, not {title!r}")
    for number, page in enumerate(pages, start=1):
        wrong += check_page(f"{name}, page {number}", page, (short, long), edge)
    return wrong


def main() -> None:
    wrong, n_sets, n_pages = [], 0, 0
    for path in sorted(JOBS.glob("*.json")):
        job = json.loads(path.read_text(encoding="utf-8"))
        for paper in PAPERS:
            made = SETS / f"{path.stem}-{paper}.pdf"
            if not made.exists():
                sys.exit(f"{made} is missing: `cargo xtask test` writes it, or `loomwright sheets`")
            wrong += check_set(made, job, paper)
            n_sets += 1
            n_pages += len(PdfReader(made).pages)
    if wrong:
        sys.exit("\n".join(wrong[:50]))
    print(f"{n_sets} sets of {n_pages} pages hold what they must")


if __name__ == "__main__":
    main()
