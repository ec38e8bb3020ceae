"""Wires that lie together, packed into a small circle by a general method of constrained optimization.

The container is what is made least, under the conditions that no two circles overlap and none stands out; overlaps are
not allowed at a price, as the engine does. Each set of wires is packed from many random starts, then wires of the best
packing are exchanged in pairs as long as that helps.
That a smaller packing exists is always possible: the output is what was found, with the centers to prove it.

Run without arguments to store the output anew, which takes some minutes; with `--check` to see that the sets on file are
those of their seeds, that the packings on file hold, and that none becomes smaller when it is optimized once more.
"""

import sys

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from common import stored
from common.chance import Chance
from common.jobs import Json

Vector = NDArray[np.float64]

#: Sets of wires: two of each number from 2 to 14.
N_SETS = 26

#: Greatest outer diameters in millimetres of thick-wall cable of 1 to 70 mm2, as reproduced under the heading DIN ISO
#: 6722 part 3.
OUTER_MM = (2.7, 3.0, 3.6, 4.4, 5.0, 6.5, 8.3, 10.4, 11.6, 13.5, 15.5)

#: Random starts of each set, and exchanges that are tried on the best of them.
N_STARTS = 1000
N_EXCHANGES = 500

#: How far circles on file may overlap or stand out, and how much smaller a packing on file may become, in millimetres:
#: what rounding and the end of the search leave.
TOLERANCE_MM = 1e-6


def draw(seed: int) -> list[float]:
    """The diameters of one set. Every other set is of thin wires only, as most looms are."""
    chance = Chance(seed)
    sizes = OUTER_MM if seed % 2 else OUTER_MM[:6]
    return [chance.one_of(sizes) for _ in range(2 + (seed - 1) // 2)]


class Problem:
    """Circles of some diameters; the variables are all x, all y, then the radius of the container."""

    def __init__(self, outer_mm: list[float]) -> None:
        self.radii = np.array(outer_mm) / 2.0
        self.n = len(outer_mm)
        self.one, self.other = np.triu_indices(self.n, 1)
        self.apart = (self.radii[self.one] + self.radii[self.other]) ** 2

    def room(self, values: Vector) -> Vector:
        """What must not be negative: squares of distances beyond those needed, and of room left in the container."""
        x, y, container = values[: self.n], values[self.n : -1], values[-1]
        between = (x[self.one] - x[self.other]) ** 2 + (y[self.one] - y[self.other]) ** 2 - self.apart
        inside = (container - self.radii) ** 2 - x**2 - y**2
        return np.concatenate([between, inside])

    def room_slopes(self, values: Vector) -> Vector:
        """How the room changes with each variable."""
        x, y, container = values[: self.n], values[self.n : -1], values[-1]
        pairs, wires = np.arange(len(self.apart)), np.arange(self.n)
        slopes = np.zeros((len(pairs) + self.n, 2 * self.n + 1))
        for offset, at in ((0, x), (self.n, y)):
            difference = 2.0 * (at[self.one] - at[self.other])
            slopes[pairs, offset + self.one] = difference
            slopes[pairs, offset + self.other] = -difference
            slopes[len(pairs) + wires, offset + wires] = -2.0 * at
        slopes[len(pairs) :, -1] = 2.0 * (container - self.radii)
        return slopes

    def optimized(self, centers: Vector) -> tuple[float, Vector]:
        """A packing near these centers, as a diameter that really holds it and the centers."""
        reach = np.hypot(*centers.T) + self.radii
        start = np.concatenate([centers[:, 0], centers[:, 1], [reach.max()]])
        slope = np.zeros(2 * self.n + 1)
        slope[-1] = 1.0
        found = minimize(
            lambda values: values[-1],
            start,
            jac=lambda _: slope,
            method="SLSQP",
            bounds=[(None, None)] * (2 * self.n) + [(self.radii.max(), None)],
            constraints={"type": "ineq", "fun": self.room, "jac": self.room_slopes},
            options={"maxiter": 300, "ftol": 1e-12},
        )
        return self.parted(found.x[:-1].reshape(2, self.n).T)

    def parted(self, centers: Vector) -> tuple[float, Vector]:
        """The centers moved apart until no circles overlap, and the diameter around the origin that holds them."""
        square = ((centers[self.one] - centers[self.other]) ** 2).sum(axis=1)
        if square.min() <= 0.0:
            return np.inf, centers
        centers = centers * max(1.0, np.sqrt((self.apart / square).max()))
        return 2.0 * float((np.hypot(*centers.T) + self.radii).max()), centers

    def best(self, seed: int) -> tuple[float, Vector]:
        """The smallest packing of many starts and exchanges."""
        chance = Chance(seed)
        spread = float(np.sqrt((self.radii**2).sum()))
        best: tuple[float, Vector] = (np.inf, np.zeros((self.n, 2)))
        for _ in range(N_STARTS):
            start = [[chance.between(-spread, spread, 9) for _ in range(2)] for _ in range(self.n)]
            best = min(best, self.optimized(np.array(start)), key=lambda packing: packing[0])
        for _ in range(N_EXCHANGES):
            one, other = chance.below(self.n), chance.below(self.n)
            if self.radii[one] != self.radii[other]:
                centers = best[1].copy()
                centers[[one, other]] = centers[[other, one]]
                best = min(best, self.optimized(centers), key=lambda packing: packing[0])
        return best


def entry(seed: int) -> Json:
    """The diameters of one set, the diameter of its packing and the centers."""
    outer_mm = draw(seed)
    diameter, centers = Problem(outer_mm).best(seed)
    return {
        "outer_mm": outer_mm,
        "diameter_mm": stored.number(diameter),
        "centers": [[stored.number(float(at)) for at in center] for center in centers],
    }


def compute() -> list[Json]:
    """All entries, in the order of their seeds."""
    return [entry(seed) for seed in range(1, N_SETS + 1)]


def check(on_file: list[Json]) -> list[str]:
    """What is wrong with the packings on file, one line each."""
    found: list[str] = []
    if [packing["outer_mm"] for packing in on_file] != [draw(seed) for seed in range(1, N_SETS + 1)]:
        found.append("the sets on file are not those of their seeds")
    for index, packing in enumerate(on_file):
        problem = Problem(packing["outer_mm"])
        centers = np.array(packing["centers"])
        holds, _ = problem.parted(centers)
        if abs(holds - packing["diameter_mm"]) > TOLERANCE_MM:
            found.append(f"[{index}]: {packing['diameter_mm']} mm on file, its centers need {holds} mm")
        again, _ = problem.optimized(centers)
        if again < packing["diameter_mm"] - TOLERANCE_MM:
            found.append(f"[{index}]: {packing['diameter_mm']} mm on file, {again} mm close by")
    return found


if __name__ == "__main__":
    sys.exit(stored.main(__file__, compute, depth=2, check=check))
