"""Shortest ways over routes between places, found by a general graph library.

Five hundred random plans, and the plans of the demonstration jobs. Lengths are whole millimetres, so that nothing is
rounded. A wire that is led by places takes the shortest way from each to the next.

Run without arguments to store the output anew, with `--check` to compare it with what is on file.
"""

import json
import random
import sys
from pathlib import Path
from typing import Any

import networkx as nx

from common import stored

#: How many plans are made by chance.
N_PLANS = 500

#: The demonstration jobs.
JOBS = Path(__file__).parents[2] / "fixtures" / "jobs"


def graph_of(n_places: int, routes: list[tuple[int, int, int]]) -> nx.Graph:
    """Places as numbers, and each route as a node `r0`, `r1` ... between its two, so that routes side by side stay apart.

    A route counts twice its length, half on each of its sides.
    """
    graph = nx.Graph()
    graph.add_nodes_from(range(n_places))
    for number, (start, end, millimetres) in enumerate(routes):
        graph.add_edge(start, f"r{number}", weight=millimetres)
        graph.add_edge(f"r{number}", end, weight=millimetres)
    return graph


def way(graph: nx.Graph, stops: list[int]) -> dict[str, Any] | None:
    """Length of the shortest way by these places, and its routes when there is only one such way; `None` without any."""
    total = 0
    routes: list[int] = []
    is_only = True
    for start, end in zip(stops, stops[1:]):
        if start == end:
            continue
        try:
            found = list(nx.all_shortest_paths(graph, start, end, weight="weight"))
        except nx.NetworkXNoPath:
            return None
        total += nx.path_weight(graph, found[0], "weight") // 2
        routes += [int(node[1:]) for node in found[0] if isinstance(node, str)]
        is_only = is_only and len(found) == 1
    return {"mm": total, "routes": routes if is_only else None}


def random_plan(seed: int) -> dict[str, Any]:
    """A plan with wires, and the way of each."""
    chance = random.Random(seed)
    n_places = chance.randint(2, 14)
    n_routes = chance.randint(1, 2 * n_places)
    routes = []
    for _ in range(n_routes):
        start, end = chance.sample(range(n_places), 2)
        # Few lengths, so that ways often are equally long.
        longest = chance.choice([3, 40])
        routes.append((start, end, 100 * chance.randint(1, longest)))
    graph = graph_of(n_places, routes)
    wires = []
    for _ in range(chance.randint(1, 10)):
        stops = [chance.randrange(n_places) for _ in range(chance.choice([2, 2, 2, 3, 4]))]
        wires.append({"stops": stops, "way": way(graph, stops)})
    return {"places": n_places, "routes": routes, "wires": wires}


def of_job(path: Path) -> dict[str, Any] | None:
    """The ways of the wires of a job on file; `None` when it has no plan."""
    job = json.loads(path.read_text(encoding="utf-8"))
    places = [place["id"] for place in job.get("plan", {}).get("places", [])]
    if not places:
        return None
    routes = [
        (
            places.index(route["from"]),
            places.index(route["to"]),
            round(1000 * route["length_m"]) + round(1000 * route.get("slack_m", 0)),
        )
        for route in job["plan"]["routes"]
    ]
    graph = graph_of(len(places), routes)
    seats = {part["id"]: part.get("values", {}).get("seat", {}).get("box") for part in job["parts"]}
    own = {part["id"]: part.get("place") for part in job["parts"]}
    at = {part: own[part] or own.get(seats[part] or "") for part in own}
    ways = {}
    for wire in job["wires"]:
        stops = [at[wire["from"].split(".")[0]], *wire.get("via", []), at[wire["to"].split(".")[0]]]
        ways[wire["id"]] = None if None in stops else way(graph, [places.index(stop) for stop in stops])
    return {"job": path.stem, "ways": ways}


def compute() -> list[dict[str, Any]]:
    """Random plans, then jobs."""
    on_file = [entry for path in sorted(JOBS.glob("*.json")) if (entry := of_job(path))]
    return [random_plan(seed) for seed in range(N_PLANS)] + on_file


if __name__ == "__main__":
    sys.exit(stored.main(__file__, compute, depth=1))
