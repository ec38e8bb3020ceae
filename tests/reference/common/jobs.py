"""From a job document to nets and branches."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from .laws import Diode, Electronic, Filament, Law, Resistance, Source

Json = dict[str, Any]

#: Resistivity of copper at 20 degC in ohm mm2/m (IEC 60028, from memory).
COPPER_OHM_MM2_PER_M = 0.01724

#: The net of the vehicle body.
CHASSIS = 0


@dataclass(frozen=True)
class Branch:
    """A law between two nets, and the id of the part or wire it belongs to."""

    start: int
    end: int
    law: Law
    owner: str


@dataclass
class Circuit:
    """The nets of a job, each as the terminals that are one, and its branches.

    Net `CHASSIS` has no terminals.
    """

    nets: list[list[str]]
    branches: list[Branch]


def terminals(part: Json) -> list[str]:
    """The names of the terminals of a part, in the order of its kind."""
    match part["kind"]:
        case "splice" | "bar" as kind:
            ways = part["values"].get("ways", {"splice": 3, "bar": 4}[kind])
            return [str(way) for way in range(1, ways + 1)]
        case "battery":
            return ["+", "-"]
        case "alternator":
            return ["B+", "B-"]
        case "led-lamp":
            return ["+", "-"]
        case "diode":
            return ["A", "K"]
        case "earth":
            return ["1"]
        case "lamp" | "resistor":
            return ["1", "2"]
        case kind:
            raise ValueError(f"no kind {kind}")


def circuit(job: Json, set_to: dict[str, str]) -> Circuit:
    """The circuit of `job` with parts in the positions `set_to`, by id; the others are at rest."""
    nets: list[list[str]] = [[]]
    net_of: dict[str, int] = {}
    for part in job["parts"]:
        names = [f"{part['id']}.{name}" for name in terminals(part)]
        # Joints are one net; the terminals of every other part are apart.
        groups = [names] if part["kind"] in ("splice", "bar") else [[name] for name in names]
        for group in groups:
            net_of.update((name, len(nets)) for name in group)
            nets.append(group)
    branches = [
        Branch(net_of[wire["from"]], net_of[wire["to"]], Resistance(wire_ohm(wire)), wire["id"])
        for wire in job["wires"]
    ]
    for part in job["parts"]:
        own = [net_of[f"{part['id']}.{name}"] for name in terminals(part)]
        position = set_to.get(part["id"])
        for start, end, law in part_branches(part, own, position, job["settings"]["nominal_v"]):
            branches.append(Branch(start, end, law, part["id"]))
    return Circuit(nets, branches)


def wire_ohm(wire: Json) -> float:
    """Resistance of a wire of exactly its nominal cross-section."""
    return COPPER_OHM_MM2_PER_M * wire["length_m"] / wire["size"]["mm2"]


def part_branches(part: Json, own: list[int], position: str | None, nominal_v: float) -> Iterator[tuple[int, int, Law]]:
    """The branches of a part between its own nets and the vehicle body; the first is the one that names it."""
    values = part["values"]
    match part["kind"]:
        case "battery":
            yield *own, Source(values["open_circuit_v"], values["internal_ohm"])
        case "alternator":
            if position == "running":
                law = Source(values["set_v"], values["internal_ohm"], values.get("limit_a"), one_way=True)
                yield *own, law
        case "lamp":
            at_v, watts = values.get("at_v", nominal_v), values["watts"]
            cold = at_v * at_v / watts / values.get("cold_ratio", 12.0)
            yield *own, Filament(at_v, watts / at_v, cold)
        case "led-lamp":
            yield (
                *own,
                Electronic(
                    values["watts"],
                    values["off_below_v"],
                    values["on_above_v"],
                    values.get("limit_a"),
                    values.get("leak_ohm"),
                    values.get("reverse") == "conducts",
                ),
            )
        case "resistor":
            yield *own, Resistance(values["ohm"])
        case "diode":
            yield *own, Diode(values["forward_v"], values["slope_ohm"])
        case "earth":
            yield own[0], CHASSIS, Resistance(values["joint_ohm"])
    if part["kind"] in ("battery", "alternator") and values.get("to_chassis", True):
        yield own[1], CHASSIS, Resistance(values["strap_ohm"])
