"""Fuses as a network of flows, by a general graph library: what current they let into each zone, what cuts a zone off,
and which wires are the only way.

A zone is what wires and joints hold together without a fuse; the vehicle body belongs to none.
The current let in is the greatest flow from the positive poles with the ratings as capacities, an alternator giving no
more than its limit. A zone with a battery in it has none, nor has one that is not fed; what an alternator in the zone
itself gives meets no fuse and is not counted.

Run without arguments to store the output anew, with `--check` to compare it with what is on file.
"""

import sys
from typing import Any

import networkx as nx

from common import fused, jobs, stored
from common.jobs import Json

#: Installations.
N_JOBS = 60

#: The node that feeds every positive pole.
SUPPLY = "supply"


def nets(job: Json) -> dict[str, str]:
    """The net of each terminal, named by the first terminal of it; joints are one net."""
    found: dict[str, str] = {}
    for part in job["parts"]:
        names = [f"{part['id']}.{name}" for name in terminals(part)]
        found.update((name, names[0] if part["kind"] == "splice" else name) for name in names)
    return found


def terminals(part: Json) -> list[str]:
    """The names of the terminals of a part."""
    return ["1", "2"] if part["kind"] == "fuse" else jobs.terminals(part)


def entry(job: Json) -> Json:
    """The job, the current let into each zone by a terminal of it, the fuses that cut it off, and the bridges."""
    net_of = nets(job)
    joined = nx.Graph()
    joined.add_nodes_from(net_of.values())
    joined.add_edges_from((net_of[wire["from"]], net_of[wire["to"]]) for wire in job["wires"])
    zone_of = {net: number for number, zone in enumerate(nx.connected_components(joined)) for net in zone}

    def zone(terminal: str) -> int:
        return zone_of[net_of[terminal]]

    let_in: dict[str, Any] = {}
    batteries = {zone(f"{part['id']}.+") for part in job["parts"] if part["kind"] == "battery"}
    for number in sorted(set(zone_of.values())):
        name = min((net for net in zone_of if zone_of[net] == number), key=lambda net: list(net_of).index(net))
        let_in[name] = None if number in batteries else flow_into(job, zone, number)
    return {"job": job, "let_in": let_in, "bridges": bridges(job, net_of)}


def flow_into(job: Json, zone: Any, number: int) -> Json | None:
    """The greatest flow into a zone, and the fuses of a cut of that size."""
    graph = nx.DiGraph()
    graph.add_nodes_from([SUPPLY, number])
    fuses: dict[tuple[int, int], list[str]] = {}
    for part in job["parts"]:
        values = part["values"]
        match part["kind"]:
            case "battery":
                # Without a capacity an edge lets anything pass.
                graph.add_edge(SUPPLY, zone(f"{part['id']}.+"))
            case "alternator" if zone(f"{part['id']}.B+") != number:
                at = zone(f"{part['id']}.B+")
                if "limit_a" not in values:
                    graph.add_edge(SUPPLY, at)
                elif not graph.has_edge(SUPPLY, at) or "capacity" in graph.edges[SUPPLY, at]:
                    graph.add_edge(SUPPLY, at, capacity=values["limit_a"])
            case "fuse":
                ends = zone(f"{part['id']}.1"), zone(f"{part['id']}.2")
                for start, end in (ends, ends[::-1]):
                    if start != end:
                        before = graph.get_edge_data(start, end, {"capacity": 0.0})["capacity"]
                        graph.add_edge(start, end, capacity=before + values["rating_a"])
                        fuses.setdefault((start, end), []).append(part["id"])
    value, (near, _) = nx.minimum_cut(graph, SUPPLY, number)
    assert value == nx.maximum_flow_value(graph, SUPPLY, number)
    if value == 0:
        return None
    cut = [edge for edge in graph.edges if edge[0] in near and edge[1] not in near]
    return {
        "amps": float(value),
        "cut": sorted(fuse for edge in cut for fuse in fuses.get(edge, [])),
        "limits": float(sum(graph.edges[edge]["capacity"] for edge in cut if edge[0] == SUPPLY)),
    }


def bridges(job: Json, net_of: dict[str, str]) -> list[str]:
    """The wires without which something is no longer joined with the body."""
    graph = nx.MultiGraph()
    graph.add_edges_from((net_of[wire["from"]], net_of[wire["to"]], wire["id"]) for wire in job["wires"])
    for part in job["parts"]:
        own = [net_of[f"{part['id']}.{name}"] for name in terminals(part)]
        match part["kind"]:
            case "battery" | "fuse" | "lamp":
                graph.add_edge(*own, part["id"])
            case "alternator":
                # Stopped, it joins nothing but its case with the body.
                graph.add_edge(own[1], "body", part["id"])
        if part["kind"] in ("battery", "earth"):
            graph.add_edge(own[-1], "body", part["id"])
    # Two wires between the same nets are no bridges; the simple graph does not know of them.
    found = []
    for start, end in nx.bridges(nx.Graph(graph)):
        between = graph.get_edge_data(start, end)
        if len(between) == 1:
            found += [wire for wire in between if wire.startswith("w")]
    return sorted(found)


def compute() -> list[Json]:
    """All entries, in the order of their seeds."""
    return [entry(fused.job(seed)) for seed in range(1, N_JOBS + 1)]


if __name__ == "__main__":
    sys.exit(stored.main(__file__, compute, depth=4))
