"""Random installations, as job documents: what is fitted to vehicles, put together by chance.

Feeds and returns are points where wires meet; each becomes a splice.
Feeds hang on each other as a tree with chords, so that the circuit is not one of series and parallel alone.
"""

from typing import Any

from .chance import Chance
from .jobs import COPPER_OHM_MM2_PER_M, Json

#: Cross-sections wires are drawn from, in square millimetres.
SIZES = (0.75, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0)

#: Resistances of wires, in ohms.
WIRE_OHM = (0.0005, 0.05)

#: Lengths a wire may have to come to its resistance, in metres.
WIRE_M = (0.1, 12.0)


class Point:
    """A place where any number of wires meet."""

    def __init__(self, draft: "Draft") -> None:
        self.part = draft.part("splice")
        self.ways = 0

    def terminal(self) -> str:
        """A terminal that is still free."""
        self.ways += 1
        self.part["values"] = {"ways": max(self.ways, 2)}
        return f"{self.part['id']}.{self.ways}"


class Draft:
    """A job in the making."""

    def __init__(self, chance: Chance, nominal_v: int) -> None:
        self.chance = chance
        self.scale = nominal_v / 12
        self.parts: list[Json] = []
        self.wires: list[Json] = []
        self.running: dict[str, str] = {}
        self.nominal_v = nominal_v

    def part(self, kind: str, **values: Any) -> Json:
        """A new part."""
        number = len(self.parts) + 1
        part = {"id": f"p{number}", "kind": kind, "values": values}
        self.parts.append(part)
        return part

    def wire(self, start: str, end: str) -> None:
        """A new wire of a resistance within `WIRE_OHM`."""
        ohm = self.chance.decades(*WIRE_OHM)
        lengths = [(mm2, ohm * mm2 / COPPER_OHM_MM2_PER_M) for mm2 in SIZES]
        mm2, length = self.chance.one_of([pair for pair in lengths if WIRE_M[0] <= pair[1] <= WIRE_M[1]])
        number = len(self.wires) + 1
        self.wires.append(
            {"id": f"w{number}", "from": start, "to": end, "size": {"mm2": mm2}, "length_m": round(length, 3)}
        )

    def between(self, start: Point, part: Json, names: tuple[str, str], end: Point | None) -> None:
        """Wires `part` between two points; with no second point its second terminal stays open."""
        self.wire(start.terminal(), f"{part['id']}.{names[0]}")
        if end is not None:
            self.wire(f"{part['id']}.{names[1]}", end.terminal())

    def join(self, start: Point, end: Point) -> None:
        """A wire between two points."""
        self.wire(start.terminal(), end.terminal())

    def job(self, title: str) -> Json:
        """The finished document."""
        return {
            "format": "loomwright-job",
            "version": 1,
            "card": {"title": title},
            "settings": {"nominal_v": self.nominal_v},
            "parts": self.parts,
            "wires": self.wires,
            "situations": [{"name": "running", "set": self.running}],
        }


def job(seed: int) -> Json:
    """The job that belongs to `seed`."""
    chance = Chance(seed)
    draft = Draft(chance, 24 if chance.happens(0.2) else 12)
    feeds = [Point(draft)]
    returns = [Point(draft) for _ in range(chance.whole(1, 3))]
    for point in returns:
        earth = draft.part("earth", joint_ohm=chance.between(0.0005, 0.02, 4))
        draft.wire(point.terminal(), f"{earth['id']}.1")
    if len(returns) > 1:
        draft.join(returns[0], returns[-1])
    battery(draft, feeds[0], returns[0])
    for _ in range(chance.whole(2, 5)):
        feed(draft, feeds)
    for _ in range(chance.whole(1, 3)):
        chord(draft, chance.one_of(feeds), chance.one_of(feeds))
    if chance.happens(0.6):
        alternator(draft, chance.one_of(feeds))
    if chance.happens(0.3):
        battery(draft, chance.one_of(feeds), chance.one_of(returns))
    for _ in range(chance.whole(3, 6)):
        between_load(draft, chance.one_of(feeds), chance.one_of(returns))
    if chance.happens(0.4):
        between_load(draft, chance.one_of(feeds), chance.one_of(feeds))
    for _ in range(chance.whole(0, 2)):
        oddity(draft, chance.one_of(feeds), chance.one_of(returns))
    return draft.job(f"Random installation {seed}")


def battery(draft: Draft, feed: Point, back: Point) -> None:
    """A battery, its negative pole on the body by a strap or on a return by a wire."""
    chance = draft.chance
    part = draft.part(
        "battery",
        open_circuit_v=round(chance.between(12.0, 13.0, 2) * draft.scale, 2),
        internal_ohm=chance.between(0.004, 0.03, 4),
    )
    draft.wire(f"{part['id']}.+", feed.terminal())
    if chance.happens(0.2):
        part["values"]["to_chassis"] = False
        draft.wire(f"{part['id']}.-", back.terminal())
    else:
        part["values"]["strap_ohm"] = chance.between(0.0005, 0.005, 4)


def alternator(draft: Draft, feed: Point) -> None:
    """A running alternator; now and then its limit is reached, or the battery stands above it."""
    chance = draft.chance
    part = draft.part(
        "alternator",
        set_v=round(chance.one_of([11.5, 13.8, 14.2, 14.4]) * draft.scale, 2),
        internal_ohm=chance.between(0.01, 0.05, 3),
        strap_ohm=chance.between(0.0005, 0.005, 4),
    )
    if chance.happens(0.8):
        part["values"]["limit_a"] = chance.between(3.0, 70.0, 1)
    draft.running[part["id"]] = "running"
    draft.wire(f"{part['id']}.B+", feed.terminal())


def feed(draft: Draft, feeds: list[Point]) -> None:
    """One more feed behind an earlier one: by wire, through a diode or through a resistor."""
    chance = draft.chance
    before, after = chance.one_of(feeds), Point(draft)
    kind = chance.below(10)
    if kind < 6:
        draft.join(before, after)
    elif kind < 9:
        draft.between(before, diode(draft), ("A", "K"), after)
    else:
        ohm = chance.between(0.02, 0.3, 3)
        draft.between(before, draft.part("resistor", ohm=ohm), ("1", "2"), after)
    feeds.append(after)


def chord(draft: Draft, start: Point, end: Point) -> None:
    """A second way between two feeds."""
    if start is end:
        return
    if draft.chance.happens(0.5):
        draft.join(start, end)
    else:
        draft.between(start, diode(draft), ("A", "K"), end)


def between_load(draft: Draft, start: Point, end: Point) -> None:
    """One load between two points, or two in series."""
    if start is end:
        return
    part, names = load(draft)
    if draft.chance.happens(0.15) and part["kind"] != "led-lamp":
        middle = Point(draft)
        draft.between(start, part, names, middle)
        draft.between(middle, lamp(draft), ("1", "2"), end)
    else:
        draft.between(start, part, names, end)


def load(draft: Draft) -> tuple[Json, tuple[str, str]]:
    """A load of any kind and the names of its terminals."""
    kind = draft.chance.below(10)
    if kind < 5:
        return lamp(draft), ("1", "2")
    if kind < 8:
        return electronic(draft), ("+", "-")
    ohm = round(draft.chance.decades(0.3, 100.0) * draft.scale, 3)
    return draft.part("resistor", ohm=ohm), ("1", "2")


def lamp(draft: Draft) -> Json:
    """A filament lamp of a common rating."""
    watts = draft.chance.one_of([2.0, 5.0, 10.0, 21.0, 35.0, 55.0, 60.0, 100.0])
    values = {"watts": watts, "at_v": round(draft.chance.one_of([12.0, 13.2, 13.5]) * draft.scale, 2)}
    if draft.chance.happens(0.3):
        values["cold_ratio"] = draft.chance.between(10.0, 15.0, 1)
    return draft.part("lamp", **values)


def electronic(draft: Draft) -> Json:
    """An electronic lamp; now and then one that limits its current, or leaks while off."""
    chance = draft.chance
    values: dict[str, Any] = {
        "watts": chance.between(3.0, 90.0, 1),
        "off_below_v": round(chance.between(6.0, 8.0, 1) * draft.scale, 2),
        "on_above_v": round(chance.between(8.5, 10.0, 1) * draft.scale, 2),
    }
    if chance.happens(0.3):
        values["limit_a"] = chance.between(0.5, 6.0, 2)
    if chance.happens(0.3):
        values["leak_ohm"] = float(chance.whole(1, 10) * 1000)
    return draft.part("led-lamp", **values)


def diode(draft: Draft) -> Json:
    """A diode as they are fitted to keep supplies apart."""
    forward, slope = draft.chance.between(0.3, 1.0, 2), draft.chance.between(0.002, 0.03, 3)
    return draft.part("diode", forward_v=forward, slope_ohm=slope)


def oddity(draft: Draft, feed: Point, back: Point) -> None:
    """Something that is not as it should be: open ends, reversed loads, parts that hang in the air."""
    end = Point(draft)
    match draft.chance.below(8):
        case 0:
            draft.between(feed, lamp(draft), ("1", "2"), end)
        case 1:
            draft.between(feed, diode(draft), ("A", "K"), end)
        case 2:
            draft.between(feed, diode(draft), ("K", "A"), end)
        case 3:
            draft.between(feed, electronic(draft), ("+", "-"), end)
        case 4:
            draft.join(feed, end)
            draft.between(end, electronic(draft), ("-", "+"), back)
        case 5:
            reversed_load = electronic(draft)
            reversed_load["values"]["reverse"] = "conducts"
            draft.between(feed, lamp(draft), ("1", "2"), end)
            draft.between(end, reversed_load, ("-", "+"), back)
        case 6:
            draft.between(feed, diode(draft), ("A", "K"), end)
            draft.between(end, lamp(draft), ("1", "2"), Point(draft))
        case _:
            draft.between(end, lamp(draft), ("1", "2"), Point(draft))
