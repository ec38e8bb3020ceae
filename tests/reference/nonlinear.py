"""Random installations with lamps, electronic loads, diodes and alternators, solved by a general root finder.

The output holds the jobs themselves, so that the solution of the engine can be compared with it.
Nothing the engine computed is read here: the laws are written down a second time in `common/laws.py`.

Run without arguments to store the output anew, with `--check` to compare it with what is on file.
"""

import sys
from typing import Any

import numpy as np

from common import draft, jobs, solution, stored

#: Installations kept. Those without one clear solution are passed over.
N_CIRCUITS = 60

#: Installations kept besides, in each of which an alternator gives all it can: by chance few do.
N_AT_LIMIT = 10

#: How near its limit a current counts as being at it, in amperes.
AT_LIMIT_A = 1e-6

#: Starts of the search for each installation.
N_STARTS = 3

#: Installations on file whose search may come to no clear solution where it is checked: rounding differs from processor
#: to processor, and so does where a search comes to a stand. That says nothing against the solution on file; so many
#: that something else must be wrong do.
MOST_UNDECIDED = 3


def starts(circuit: jobs.Circuit, nominal_v: float) -> list[solution.Vector]:
    """Where the search begins: everything at the supply, everything dark, and voltages at random."""
    n_nets = len(circuit.nets)
    random = np.random.RandomState(n_nets).uniform(0.0, 1.2 * nominal_v, (N_STARTS - 2, n_nets))
    all_starts = [np.full(n_nets, nominal_v), np.zeros(n_nets), *random]
    for start in all_starts:
        start[jobs.CHASSIS] = 0.0
    return all_starts


def entry(job: jobs.Json) -> dict[str, Any]:
    """The job with voltages by the first terminal of each net and currents by part."""
    circuit = jobs.circuit(job, job["situations"][0]["set"])
    solved = solution.solve(circuit, starts(circuit, job["settings"]["nominal_v"]))
    names = [terminals[0] if terminals else "" for terminals in circuit.nets]
    amps: dict[str, float | None] = {}
    for branch, current in zip(circuit.branches, solved.amps, strict=True):
        if branch.owner.startswith("p"):
            # The first branch of a part is the one its readings speak of.
            amps.setdefault(branch.owner, stored.number(current))
    return {
        "job": job,
        "volts": {names[net]: stored.number(volts) for net, volts in enumerate(solved.volts) if net != jobs.CHASSIS},
        "open_ends": sorted(names[net] for net in solved.open_ends),
        "amps": amps,
    }


def at_limit(found: dict[str, Any]) -> bool:
    """Whether an alternator gives all it can."""
    alternators = (part for part in found["job"]["parts"] if part["kind"] == "alternator")
    limits = {part["id"]: part["values"].get("limit_a") for part in alternators}
    given = ((limits[part], -amps) for part, amps in found["amps"].items() if part in limits and amps is not None)
    return any(limit is not None and amps > 0.0 and abs(amps - limit) < AT_LIMIT_A for limit, amps in given)


def compute() -> list[dict[str, Any]]:
    """All entries, in the order of their seeds."""
    entries: list[dict[str, Any]] = []
    seed = 0
    while len(entries) < N_CIRCUITS + N_AT_LIMIT:
        seed += 1
        try:
            found = entry(draft.job(seed))
        except solution.Unsuitable:
            continue
        if len(entries) < N_CIRCUITS or at_limit(found):
            entries.append(found)
    return entries


def check(on_file: list[dict[str, Any]]) -> list[str]:
    """Where the installations on file are solved otherwise here, one line each."""
    differences: list[str] = []
    undecided: list[int] = []
    for index, wanted in enumerate(on_file):
        seed = int(wanted["job"]["card"]["title"].rsplit(" ", 1)[1])
        try:
            found = stored.as_read(entry(draft.job(seed)))
        except solution.Unsuitable:
            undecided.append(seed)
            continue
        differences += stored.differences(wanted, found, f"[{index}]")
    if len(undecided) > MOST_UNDECIDED or len(on_file) != N_CIRCUITS + N_AT_LIMIT:
        differences.append(f"of {len(on_file)} installations on file {undecided} came to no clear solution here")
    return differences


if __name__ == "__main__":
    sys.exit(stored.main(__file__, compute, depth=4, check=check))
