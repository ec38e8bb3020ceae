"""Makes the fonts of this folder, and the table of their widths, out of Arimo Regular and Arimo Bold.

    python3 -m venv fonttools && fonttools/bin/pip install fonttools==4.68.0
    fonttools/bin/python crates/sheets/font/subset.py FOLDER-OF-ARIMO

FOLDER-OF-ARIMO is usr/share/fonts/truetype/croscore of the Debian package fonts-croscore 20201225-1 (Arimo 1.33).
For each of the two it does what this does:

    pyftsubset Arimo-Regular.ttf --output-file=regular.ttf --unicodes=... --no-hinting --layout-features= \
        --drop-tables+=GDEF,GPOS,GSUB,kern,gasp,meta,STAT --notdef-outline --name-IDs=0,1,2,3,4,5,6,13,14

Outlines are changed in nothing. The widths go to crates/drawing/src/text/advances.rs, so that room is reckoned with the
letters that are printed.
"""

import io
import pathlib
import sys

from fontTools import subset
from fontTools.ttLib import TTFont

HERE = pathlib.Path(__file__).resolve().parent
ADVANCES = HERE.parent.parent / "drawing/src/text/advances.rs"

# Printable ASCII, Latin-1, Latin Extended-A.
RANGES = [(0x20, 0x7E), (0xA0, 0x17F)]
# Greek letters of units, Romanian letters with comma, quotes and dashes, and the signs of arithmetic and of tables.
EXTRAS = sorted({ord(c) for c in "ȘșȚțΔΩμπ–—‘’‚“”„•…‰€←→↔−√≈≠≤≥"})


def characters():
    return [c for first, last in RANGES for c in range(first, last + 1)] + EXTRAS


def made(source):
    options = subset.Options()
    options.hinting = False
    options.layout_features = []
    options.drop_tables += ["GDEF", "GPOS", "GSUB", "kern", "gasp", "meta", "STAT"]
    options.notdef_outline = True
    options.name_IDs = [0, 1, 2, 3, 4, 5, 6, 13, 14]
    font = TTFont(source, recalcTimestamp=False)
    subsetter = subset.Subsetter(options)
    subsetter.populate(unicodes=characters())
    subsetter.subset(font)
    out = io.BytesIO()
    font.save(out)
    return out.getvalue()


def thousandths(font):
    cmap, advances, em = font.getBestCmap(), font["hmtx"], font["head"].unitsPerEm
    missing = [hex(c) for c in characters() if c not in cmap]
    assert not missing, missing
    return [round(advances[cmap[c]][0] * 1000 / em) for c in characters()]


def rust(name, says, numbers):
    lines = [", ".join(str(n) for n in numbers[i : i + 16]) for i in range(0, len(numbers), 16)]
    body = "".join(f"    {line},\n" for line in lines)
    return f"/// {says}\n#[rustfmt::skip]\npub(super) static {name}: [u16; {len(numbers)}] = [\n{body}];\n"


def main(folder):
    widths = {}
    for style in ["Regular", "Bold"]:
        content = made(pathlib.Path(folder) / f"Arimo-{style}.ttf")
        (HERE / f"{style.lower()}.ttf").write_bytes(content)
        widths[style] = thousandths(TTFont(io.BytesIO(content)))
    text = "//! Advance widths of the letters that are printed. Made by `crates/sheets/font/subset.py`; do not edit.\n\n"
    text += "/// Runs of characters of which all are there, the first and the last of each.\n"
    runs = ", ".join(f"('\\u{{{a:x}}}', '\\u{{{b:x}}}')" for a, b in RANGES)
    text += f"pub(super) static RUNS: [(char, char); {len(RANGES)}] = [{runs}];\n\n"
    text += "/// The characters that are there beside those runs, in order; they come after them in the tables.\n"
    extras = "".join(f"\\u{{{c:x}}}" for c in EXTRAS)
    text += f'#[rustfmt::skip]\npub(super) static EXTRAS: &str =\n    "{extras}";\n\n'
    text += rust("REGULAR", "In thousandths of the font size, of Arimo Regular.", widths["Regular"])
    ADVANCES.write_text(text)


if __name__ == "__main__":
    main(sys.argv[1])
