"""Node equations of a circuit, solved by a general root finder from several starts."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import networkx as nx
import numpy as np
from numpy.typing import NDArray
from scipy.optimize import root

from .jobs import CHASSIS, Branch, Circuit
from .laws import Diode, Electronic, Source

Vector = NDArray[np.float64]

#: Widths of the corners of diodes and limited sources, in volts, at first and while it is found out what is connected.
FIRST_BLUR, BLUR = 3.0, 3e-4

#: Widths from there on to the sharp laws.
FINER_BLURS = (1e-4, 1e-5, 0.0)

#: How much narrower corners get in one step, at first and at the least before the search is given up.
FIRST_STEP, LEAST_STEP = 0.3, 0.95

#: Conductance from every net to the body while it is not yet known what is connected, in siemens.
LEAK = 1e-7

#: A valve with less current than this in the blurred solution joins nothing, in amperes: open ends draw a hundredth
#: of it through the leak, loads ten times as much.
LEAST_AMPS = 1e-4

#: What may be left of the current into a net, in amperes.
LEFT_OVER = 1e-9

#: What may be left of it while corners are blurred.
ROUGHLY = 1e-6

#: How often the search goes on from where it came to a stand.
MOST_SEARCHES = 5

#: How near a corner a solution may lie before the circuit is refused, in volts; how near a load may be to the
#: voltage at which it turns on.
CLEAR_OF_CORNER = 1e-6
CLEAR_OF_TURNING_ON = 0.01


class Unsuitable(Exception):
    """The circuit has no solution, or one that depends on what was done before or on the last digit."""


@dataclass(frozen=True)
class Solution:
    """Volts of each net against the vehicle body, `None` where there is no potential; amperes of each branch.

    `open_ends` are nets that hang on a valve which carries nothing: behind a forward diode they follow the supply less
    its forward voltage, behind the leak of a load that is off they follow it, and an alternator holds them at its set
    voltage.
    """

    volts: list[float | None]
    amps: list[float]
    open_ends: set[int]


def solve(circuit: Circuit, starts: Iterable[Vector]) -> Solution:
    """The one solution of `circuit`, with every electronic load in the only state it can be in."""
    starts = list(starts)
    loads = [i for i, branch in enumerate(circuit.branches) if isinstance(branch.law, Electronic)]
    branches = list(circuit.branches)
    for _ in range(len(loads) + 1):
        volts = from_all_starts(branches, starts)
        live = connected(branches, volts)
        low = [
            i
            for i in loads
            if branches[i].law.on
            and not (both(branches[i], live) and across(branches[i], volts) >= branches[i].law.off_below)
        ]
        if not low:
            break
        for i in low:
            branches[i] = replace(branches[i], law=replace(branches[i].law, on=False))
    for i in loads:
        branch = branches[i]
        margin = across(branch, volts) - branch.law.on_above if both(branch, live) else -1.0
        if (margin if branch.law.on else -margin) < CLEAR_OF_TURNING_ON:
            raise Unsuitable("a load could be on or off")
    return finish(branches, volts, live)


def from_all_starts(branches: list[Branch], starts: list[Vector]) -> Vector:
    """Voltages of all nets with a leak from each to the body; the same from wherever the search begins."""
    nets = list(range(1, len(starts[0])))
    found: list[Vector] = []
    for start in starts:
        volts = narrowed(branches, nets, start)
        if volts is not None:
            found.append(volts)
    if not found:
        raise Unsuitable("no solution from any start")
    if any(np.max(np.abs(other - found[0])) > 1e-5 for other in found):
        raise Unsuitable("the solution depends on the start")
    return found[0]


def narrowed(branches: list[Branch], nets: list[int], start: Vector) -> Vector | None:
    """The solution with corners of width `BLUR`, come to by way of wider ones; `None` when the search fails."""
    volts, left_over = improved(branches, nets, start, FIRST_BLUR, LEAK)
    if left_over > ROUGHLY:
        return None
    blur, step = FIRST_BLUR, FIRST_STEP
    while blur > BLUR:
        narrower = max(blur * step, BLUR)
        moved, left_over = improved(branches, nets, volts, narrower, LEAK)
        if left_over <= ROUGHLY:
            volts, blur, step = moved, narrower, max(step * step, FIRST_STEP)
        elif step > LEAST_STEP:
            return None
        else:
            step = step**0.5
    return volts


def improved(branches: list[Branch], nets: list[int], volts: Vector, blur: float, leak: float) -> tuple[Vector, float]:
    """`volts` with those of `nets` moved to where currents add up to nought, and the largest sum left."""
    row = {net: i for i, net in enumerate(nets)}

    def equations(x: Vector) -> tuple[Vector, NDArray[np.float64]]:
        full = volts.copy()
        full[nets] = x
        sums, slopes = leak * x, leak * np.eye(len(nets))
        for branch in branches:
            current, slope = branch.law.line(float(full[branch.start] - full[branch.end]), blur)
            for net, sign in ((branch.start, 1.0), (branch.end, -1.0)):
                if net not in row:
                    continue
                sums[row[net]] += sign * current
                for other, way in ((branch.start, sign), (branch.end, -sign)):
                    if other in row:
                        slopes[row[net], row[other]] += way * slope
        return sums, slopes

    x = volts[nets]
    left_over = np.inf
    for _ in range(MOST_SEARCHES):
        # Sums of current differ by six decades in stiffness; as voltages they are all of one size.
        to_volts = np.linalg.pinv(equations(x)[1], rcond=1e-15)
        x = root(
            lambda x, to_volts=to_volts: to_volts @ equations(x)[0],
            x,
            jac=lambda x, to_volts=to_volts: to_volts @ equations(x)[1],
            method="hybr",
            options={"xtol": 1e-14, "maxfev": 200},
        ).x
        left_over = float(np.max(np.abs(equations(x)[0]), initial=0.0))
        if left_over <= LEFT_OVER:
            break
    moved = volts.copy()
    moved[nets] = x
    return moved, left_over


def finish(branches: list[Branch], volts: Vector, live: set[int]) -> Solution:
    """The solution without any leak: of the nets that have a potential by themselves, then of open ends."""
    exact = volts
    while True:
        inside = [branch for branch in branches if both(branch, live)]
        exact = np.where([net in live for net in range(len(volts))], exact, 0.0)
        for blur in FINER_BLURS:
            exact, left_over = improved(inside, sorted(live - {CHASSIS}), exact, blur, 0.0)
        if left_over > LEFT_OVER:
            raise Unsuitable("no solution without a leak")
        still = connected(inside, exact, blur=0.0)
        if still == live:
            break
        # What seemed connected by the foot of a blurred corner is not.
        live = still
    for branch in inside:
        if distance_from_corner(branch, exact) < CLEAR_OF_CORNER:
            raise Unsuitable("a solution on a corner")
    follow = open_ends(branches, exact, live)
    shown = [float(exact[net]) if net in live else follow.get(net) for net in range(len(volts))]
    amps = [branch.law.line(across(branch, exact), 0.0)[0] if both(branch, live) else 0.0 for branch in branches]
    return Solution(shown, amps, set(follow))


def open_ends(branches: list[Branch], volts: Vector, live: set[int]) -> dict[int, float]:
    """Nets without a potential of their own that hang on a valve, and what they come to."""
    known = {net: float(volts[net]) for net in live}
    joined = nx.Graph()
    joined.add_nodes_from(range(len(volts)))
    joined.add_edges_from(
        (branch.start, branch.end)
        for branch in branches
        if not isinstance(branch.law, Electronic) and feeds(branch) is None
    )
    islands = [island for island in nx.connected_components(joined) if not island & live]
    # The longest chain of diodes has no more links than there are islands.
    for _ in islands:
        for island in islands:
            given = [
                known[feed[0]] + feed[2]
                for feed in map(feeds, branches)
                if feed is not None and feed[1] in island and feed[0] in known.keys() - island
            ]
            known.update((net, max(given)) for net in island if given)
    for branch in branches:
        if isinstance(branch.law, Diode) and branch.start in known and branch.end in known and not both(branch, live):
            if known[branch.start] - known[branch.end] > branch.law.forward + CLEAR_OF_CORNER:
                raise Unsuitable("an open end is not one")
    return {net: value for net, value in known.items() if net not in live}


def feeds(branch: Branch) -> tuple[int, int, float] | None:
    """For a valve: the net it feeds from, the net it feeds, and by how much the second stands above the first when
    nothing is drawn."""
    match branch.law:
        case Diode(forward=forward):
            return branch.start, branch.end, -forward
        case Source(emf=emf, one_way=True):
            return branch.end, branch.start, emf
        case Electronic(leak=float()):
            return branch.start, branch.end, 0.0
        case _:
            return None


def distance_from_corner(branch: Branch, volts: Vector) -> float:
    """How far, in volts, a branch is from where its law has a corner that decides what is connected."""
    u = across(branch, volts)
    match branch.law:
        case Diode(forward=forward):
            return abs(u - forward)
        case Source(emf=emf, one_way=True):
            return abs(u - emf)
        case _:
            return 1.0


def joins(branch: Branch, volts: Vector, blur: float) -> bool:
    """Whether `branch` connects its nets in the solution with so much blur."""
    match branch.law:
        case Electronic(on=False) | Diode() | Source(one_way=True):
            return abs(branch.law.line(across(branch, volts), blur)[0]) > LEAST_AMPS
        case Electronic():
            return across(branch, volts) >= 0.0 or joins(off(branch), volts, blur)
        case _:
            return True


def off(branch: Branch) -> Branch:
    """The electronic load at `branch`, while it is off."""
    return replace(branch, law=replace(branch.law, on=False))


def connected(branches: list[Branch], volts: Vector, blur: float = BLUR) -> set[int]:
    """The nets connected with the vehicle body."""
    graph = nx.Graph()
    graph.add_nodes_from(range(len(volts)))
    graph.add_edges_from((branch.start, branch.end) for branch in branches if joins(branch, volts, blur))
    return set(nx.node_connected_component(graph, CHASSIS))


def across(branch: Branch, volts: Vector) -> float:
    """Volts across `branch`."""
    return float(volts[branch.start] - volts[branch.end])


def both(branch: Branch, nets: set[int]) -> bool:
    """Whether both ends of `branch` are among `nets`."""
    return branch.start in nets and branch.end in nets
