"""Output on file: written in one fixed form, compared with tolerance for the last digit."""

import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

#: Digits after the point of stored numbers.
DIGITS = 9

#: How far a number may be from the stored one: its last digit, which rounds differently from machine to machine.
TOLERANCE = 2e-9


def number(value: float | None) -> float | None:
    """`value` with the digits that are kept, and no negative nought."""
    return None if value is None else round(value, DIGITS) + 0.0


def text(value: Any, depth: int, indent: str = "") -> str:
    """`value` as JSON, the outer `depth` levels one entry a line."""
    if depth == 0 or not isinstance(value, dict | list) or not value:
        return json.dumps(value, separators=(",", ":"))
    inner = indent + " "
    if isinstance(value, dict):
        entries = [f"{json.dumps(key)}: {text(entry, depth - 1, inner)}" for key, entry in value.items()]
        start, end = "{", "}"
    else:
        entries = [text(entry, depth - 1, inner) for entry in value]
        start, end = "[", "]"
    return f"{start}\n" + ",\n".join(inner + entry for entry in entries) + f"\n{indent}{end}"


def differences(wanted: Any, found: Any, place: str = "") -> list[str]:
    """Where `found` is not `wanted`, one line each."""
    if isinstance(wanted, dict) and isinstance(found, dict) and wanted.keys() == found.keys():
        return [line for key in wanted for line in differences(wanted[key], found[key], f"{place}.{key}")]
    if isinstance(wanted, list) and isinstance(found, list) and len(wanted) == len(found):
        pairs = enumerate(zip(wanted, found, strict=True))
        return [line for i, (one, other) in pairs for line in differences(one, other, f"{place}[{i}]")]
    if isinstance(wanted, float) and isinstance(found, float):
        return [] if abs(wanted - found) <= TOLERANCE else [f"{place}: {wanted} on file, {found} computed"]
    return [] if wanted == found else [f"{place}: {wanted!r:.80} on file, {found!r:.80} computed"]


def as_read(value: Any) -> Any:
    """`value` as it comes back from a file."""
    return json.loads(json.dumps(value))


def main(
    program: str,
    compute: Callable[[], Any],
    depth: int,
    check: Callable[[Any], list[str]] | None = None,
) -> int:
    """Stores what `compute` gives anew, or with `--check` compares it with the stored output.

    `check` is for output that is not to be compared as a whole: it gets what is on file and tells the differences.
    """
    path = Path(program).with_suffix(".json")
    match sys.argv[1:]:
        case ["--check"]:
            on_file = json.loads(path.read_text(encoding="utf-8"))
            found = check(on_file) if check else differences(on_file, as_read(compute()))
            for line in found[:20]:
                print(line, file=sys.stderr)
            return 1 if found else 0
        case []:
            path.write_text(text(as_read(compute()), depth) + "\n", encoding="utf-8")
            return 0
        case _:
            print(f"usage: {Path(program).name} [--check]", file=sys.stderr)
            return 2
