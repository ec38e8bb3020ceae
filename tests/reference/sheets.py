"""The printed sets of the demonstration jobs, read by two PDF libraries that know nothing of how they were made.

`cargo xtask test` writes the sets to target/sheets before it runs this; by hand that is, for each job and paper,
`loomwright sheets JOB.json --paper PAPER -o target/sheets/JOB-PAPER.pdf --svg target/sheets/JOB-PAPER`. There is no output to store: with `--check` or
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

#: Sides of each paper in points, 72 to the inch, and how far its frame stands from its edges, in millimetres; at the
#: left, where sheets are filed, it is FILING.
PAPERS = {
    "a4": (595.28, 841.89, 10.0),
    "a3": (841.89, 1190.55, 10.0),
    "letter": (612.0, 792.0, 12.5),
    "tabloid": (792.0, 1224.0, 12.5),
}
FILING = 20.0

#: Width of the strip outside the frame in which zones are named, half the line of the frame, how far centring marks
#: reach into the frame, and the length of a zone, in millimetres.
STRIP, HALF_LINE, INWARDS, ZONE = 4.0, 0.35, 5.0, 50.0
POINTS_IN_MM = 72 / 25.4

#: How many things each of the checks below looked at, which must be some.
LOOKED_AT: dict[str, int] = {}

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


def zones(page: LTPage) -> list[str]:
    """The names of the zones of a page: above and at the right, on larger paper than A4 below and at the left too."""

    def along(length: float) -> int:
        return 2 * max(1, int((length / POINTS_IN_MM + ZONE) // (2 * ZONE)))

    names = [str(n + 1) for n in range(along(page.width))] + list("ABCDEFGHJKLMNPQRSTUVWXYZ"[: along(page.height)])
    is_a4 = abs(min(page.width, page.height) - PAPERS["a4"][0]) < 0.1
    return sorted(names * (1 if is_a4 else 2))


def height_of_capitals(mark: LTChar) -> float:
    """In millimetres. A character's box is as high as its size; what is drawn of it is lower."""
    a, b, c, d, _, _ = mark.matrix
    upright = abs(b) > abs(a)
    size = (abs(c) if upright else abs(d)) * getattr(mark, "fontsize", 1)
    return max(size, mark.width if upright else mark.height) * CAPITALS / POINTS_IN_MM


def box(mark: LTChar | LTCurve, page: LTPage) -> list[float]:
    """Left, top, right and bottom of the ink of a mark in millimetres from the upper left corner."""
    left, bottom, right, top = (side / POINTS_IN_MM for side in mark.bbox)
    height = page.height / POINTS_IN_MM
    if isinstance(mark, LTChar):
        # What a character's box has above its capitals and below its base line is not ink but for accents and tails.
        free = height_of_capitals(mark) * (1 / CAPITALS - 1) / 2
        return [left + free, height - top + free, right - free, height - bottom - free]
    half = (mark.linewidth or 0) / 2 / POINTS_IN_MM if mark.stroke else 0.0
    return [left - half, height - top - half, right + half, height - bottom + half]


def lies_in(inner: list[float], outer: list[float]) -> bool:
    slack = 0.02
    return (
        inner[0] >= outer[0] - slack
        and inner[1] >= outer[1] - slack
        and inner[2] <= outer[2] + slack
        and inner[3] <= outer[3] + slack
    )


def check_page(name: str, page: LTPage, sides: tuple[float, float], margin: float) -> list[str]:
    wrong = []
    found = sorted([page.width, page.height])
    if any(abs(one - other) > 0.1 for one, other in zip(found, sides)):
        wrong.append(f"{name}: the page is {found}, not {sides}")
    width, height = page.width / POINTS_IN_MM, page.height / POINTS_IN_MM
    frame = [FILING, margin, width - margin, height - margin]

    def grown(by: float) -> list[float]:
        return [frame[0] - by, frame[1] - by, frame[2] + by, frame[3] + by]

    named, n_framed = [], 0
    for mark in marks(page):
        ink = box(mark, page)
        if isinstance(mark, LTChar):
            if height_of_capitals(mark) < 2.5 - 0.01:
                wrong.append(f"{name}: {mark.get_text()!r} has capitals of {height_of_capitals(mark):.2f} mm")
            if lies_in(ink, frame) or not mark.get_text().strip():
                continue
            if lies_in(ink, grown(STRIP + HALF_LINE)):
                named.append(((round(ink[1]), round(ink[3])), ink[0], mark.get_text()))
                continue
        else:
            if all(abs(one - other) < 0.02 for one, other in zip(ink, grown(HALF_LINE))):
                n_framed += 1
                continue
            across, along = sorted([ink[2] - ink[0], ink[3] - ink[1]])
            is_short = across < 1.0 and along < STRIP + INWARDS + 1.0
            # Lines of fields lie on the line of the frame.
            if lies_in(ink, grown(HALF_LINE)) or (is_short and lies_in(ink, grown(STRIP + HALF_LINE))):
                continue
        wrong.append(f"{name}: {mark} is outside the frame")
    if n_framed != 1:
        wrong.append(f"{name}: {n_framed} frames")
    # Nothing but the names of zones is written outside. Figures of ten and more are put together again.
    outside: list[tuple] = []
    for level, left, text in sorted(named):
        if outside and outside[-1][0] == level and left - outside[-1][1] < 3.0:
            outside[-1] = (level, left, outside[-1][2] + text)
        else:
            outside.append((level, left, text))
    if sorted(text for _, _, text in outside) != zones(page):
        wrong.append(f"{name}: {[text for _, _, text in outside]} stands outside the frame")
    return wrong


def is_called(page: str, name: str) -> bool:
    """Whether the title block of a page, whose text has no spaces, gives it this name."""
    return f"Document{name}" in page


def check_circuit(name: str, job: dict, pages: list[str]) -> tuple[list[str], int]:
    """Follows every cut wire from sheet to sheet, and looks for its size and colour letters on each of them.

    Returns what is wrong, and how many cuts there are.
    """
    labels = {part["id"]: part.get("label") or part["id"] for part in job["parts"]}
    wrong, n_cuts = [], 0
    for wire in job["wires"]:
        label = without_spaces(wire.get("label") or wire["id"])
        size = f"{wire['size']['mm2']:g}" if "mm2" in wire.get("size", {}) else ""
        colour = wire.get("colour", {})
        what = size + "-".join(filter(None, [colour.get("base"), colour.get("stripe")]))
        ends = []
        for end in (wire["from"], wire["to"]):
            part, terminal = end.split(".", 1)
            # Paper has a minus sign where the job has a hyphen.
            ends.append(re.escape(without_spaces(f"{labels[part]}:{terminal}")).replace("\\-", "[-−]"))
        # Lines follow each other without a gap, so nothing may be asked of what stands before or behind.
        cut = re.compile(f"{re.escape(label)}(?:{re.escape(what)})?to(?:{'|'.join(ends)})([0-9]+)/[A-Z][0-9]+")
        leads = {
            number: {int(sheet) for sheet in cut.findall(page)}
            for number, page in enumerate(pages, start=1)
            if is_called(page, "Circuitdiagram")
        }
        for number, others in leads.items():
            if others and label + what not in pages[number - 1]:
                wrong.append(f"{name}: sheet {number} does not say that {label} is {what}")
            for other in others:
                n_cuts += 1
                if number not in leads.get(other, set()):
                    wrong.append(f"{name}: {label} goes on from sheet {number} to {other}, but not back")
    return wrong, n_cuts


def check_plan(name: str, job: dict, pages: list[str]) -> tuple[list[str], int]:
    """Looks for every place and what sits there; returns what is wrong, and how many places there are."""
    plans = [page for page in pages if is_called(page, "Planofthevehicle")]
    places = job.get("plan", {}).get("places", [])
    if not places:
        return [], 0
    if len(plans) != 1:
        return [f"{name}: {len(plans)} plans"], 0
    wrong = []
    for place in places:
        sits = [part.get("label") or part["id"] for part in job["parts"] if part.get("place") == place["id"]]
        words = [place.get("name", ""), *sits]
        wrong += [f"{name}: `{word}` is not on the plan" for word in words if without_spaces(word) not in plans[0]]
    return wrong, len(places)


def check_set(path: Path, job: dict, paper: str) -> list[str]:
    name = path.name
    wrong: list[str] = []
    reader = PdfReader(path)
    short, long, margin = PAPERS[paper]
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
    dense = [without_spaces(text) for text in one]
    for check in (check_circuit, check_plan):
        found, n_looked_at = check(name, job, dense)
        wrong += found
        LOOKED_AT[check.__name__] = LOOKED_AT.get(check.__name__, 0) + n_looked_at
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
        wrong += check_page(f"{name}, page {number}", page, (short, long), margin)
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
    wrong += [f"{check} looked at nothing" for check, n_looked_at in LOOKED_AT.items() if n_looked_at == 0]
    if wrong:
        sys.exit("\n".join(wrong[:50]))
    print(f"{n_sets} sets of {n_pages} pages hold what they must")


if __name__ == "__main__":
    main()
