"""Current paths of the loads of the random installations, found by a general graph library.

A current path goes from the positive to the negative pole of a source that delivers current, through the load and no
other load, over wires, joints, straps and diodes that carry current, and meets no net twice.
A load without current has none. Which sources deliver and what carries current is taken from `nonlinear.json`.

Run without arguments to store the output anew, with `--check` to compare it with what is on file.
"""

import json
import sys
from pathlib import Path
from typing import Any

import networkx as nx

from common import jobs, stored
from common.laws import Diode, Electronic, Source

#: Kinds that use energy.
LOADS = ("lamp", "led-lamp", "resistor")

#: What carries less current than this carries none, in amperes.
LEAST_AMPS = 1e-6


def paths(circuit: jobs.Circuit, amps: dict[str, float], loads: set[str], load: str) -> list[str]:
    """Each current path of `load` as the ids of its wires, in the order of the current."""
    if abs(amps.get(load, 0.0)) <= LEAST_AMPS:
        return []
    graph = nx.MultiDiGraph()
    graph.add_nodes_from(range(len(circuit.nets)))
    poles: list[tuple[int, int]] = []
    for branch in circuit.branches:
        works = abs(amps.get(branch.owner, 0.0)) > LEAST_AMPS
        match branch.law:
            case Source():
                if amps.get(branch.owner, 0.0) < -LEAST_AMPS:
                    poles.append((branch.start, branch.end))
                continue
            case Diode() if not works:
                continue
        if branch.owner in loads and branch.owner != load:
            continue
        graph.add_edge(branch.start, branch.end, owner=branch.owner)
        match branch.law:
            case Diode() | Electronic(conducts_reversed=False):
                pass
            case _:
                graph.add_edge(branch.end, branch.start, owner=branch.owner)
    found: list[str] = []
    for plus, minus in poles:
        for way in nx.all_simple_edge_paths(graph, plus, minus):
            owners = [graph.edges[edge]["owner"] for edge in way]
            if load in owners:
                found.append(" ".join(owner for owner in owners if owner.startswith("w")))
    return sorted(found)


def compute() -> list[dict[str, Any]]:
    """The paths of every load, by installation, in the order of `nonlinear.json`."""
    entries: list[dict[str, Any]] = []
    for entry in json.loads(Path(__file__).with_name("nonlinear.json").read_text(encoding="utf-8")):
        job = entry["job"]
        circuit = jobs.circuit(job, job["situations"][0]["set"])
        loads = [part["id"] for part in job["parts"] if part["kind"] in LOADS]
        entries.append({load: paths(circuit, entry["amps"], set(loads), load) for load in loads})
    return entries


if __name__ == "__main__":
    sys.exit(stored.main(__file__, compute, depth=3))
