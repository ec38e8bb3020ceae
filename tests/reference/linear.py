"""Voltages of networks of conductances, found by general linear algebra: sparse LU of scipy, and dense LU of numpy where
a dense matrix is not too large.

The networks are made anew from their seeds, see `common/networks.py`.

Run without arguments to store the output anew, with `--check` to compare it with what is on file, with `--time` to
print how long the libraries take.
"""

import json
import sys
import time
from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix, csc_matrix
from scipy.sparse.linalg import splu, spsolve

from common import networks, stored

Vector = NDArray[np.float64]

#: Nodes, chords and seeds of the networks.
NETWORKS = (
    *((20, 1, seed) for seed in range(1, 11)),
    *((150, 8, seed) for seed in range(1, 11)),
    (1_000, 50, 7),
    (10_000, 500, 7),
)

#: Digits after the point: the engine is compared to a nanovolt.
DIGITS = 12

#: The largest network solved by a dense matrix too.
MOST_DENSE = 1_000

#: How far apart the two libraries may be, in volts.
BETWEEN_LIBRARIES = 1e-10

#: Rounds timed for each size; the least time counts.
ROUNDS = {20: 2_000, 150: 1_000, 1_000: 100, 10_000: 10}


def equations(network: networks.Network) -> tuple[csc_matrix, Vector]:
    """The matrix of conductances and the currents into the nodes."""
    n_nodes = len(network.ground)
    rows, columns, values = list(range(n_nodes)), list(range(n_nodes)), list(network.ground)
    for start, end, conductance in network.edges:
        # An edge from a node to itself carries nothing.
        if start != end:
            rows += [start, end, start, end]
            columns += [start, end, end, start]
            values += [conductance, conductance, -conductance, -conductance]
    return coo_matrix((values, (rows, columns)), shape=(n_nodes, n_nodes)).tocsc(), np.array(network.amps)


def compute() -> list[dict[str, Any]]:
    """The voltages of every network."""
    entries: list[dict[str, Any]] = []
    for n_nodes, n_chords, seed in NETWORKS:
        matrix, amps = equations(networks.near_tree(n_nodes, n_chords, seed))
        volts = spsolve(matrix, amps)
        if n_nodes <= MOST_DENSE:
            apart = np.max(np.abs(np.linalg.solve(matrix.toarray(), amps) - volts))
            assert apart < BETWEEN_LIBRARIES, f"{n_nodes} nodes, seed {seed}: the libraries differ by {apart} V"
        numbers = [round(float(one), DIGITS) for one in volts]
        entries.append({"nodes": n_nodes, "chords": n_chords, "seed": seed, "volts": numbers})
    return entries


def least(rounds: int, work: Callable[[], Any]) -> float:
    """Microseconds that `work` takes at the least."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times) * 1e6


def timings() -> list[dict[str, Any]]:
    """How long each library takes, in microseconds: all at once, and parts of it."""
    entries: list[dict[str, Any]] = []
    for n_nodes, n_chords in ((20, 1), (150, 8), (1_000, 50), (10_000, 500)):
        matrix, amps = equations(networks.near_tree(n_nodes, n_chords, 7))
        rounds = ROUNDS[n_nodes]

        def symmetric(matrix: csc_matrix = matrix) -> Any:
            # The options SuperLU's manual gives for a symmetric positive definite matrix.
            options = {"SymmetricMode": True}
            return splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options=options)

        factor = symmetric()
        entry = {
            "nodes": n_nodes,
            "spsolve": least(rounds, lambda matrix=matrix, amps=amps: spsolve(matrix, amps)),
            "superlu": least(rounds, lambda amps=amps, symmetric=symmetric: symmetric().solve(amps)),
            "solve": least(rounds, lambda factor=factor, amps=amps: factor.solve(amps)),
        }
        if n_nodes <= MOST_DENSE:
            dense = matrix.toarray()
            entry["dense"] = least(min(rounds, 200), lambda dense=dense, amps=amps: np.linalg.solve(dense, amps))
        entries.append(entry)
    return entries


if __name__ == "__main__":
    if sys.argv[1:] == ["--time"]:
        print(json.dumps(timings()))
        sys.exit(0)
    sys.exit(stored.main(__file__, compute, depth=2))
