"""Networks of conductances as installations have them, from a published stream of pseudo-random numbers.

The same networks are made in `tests/src/networks.rs`, to the last bit: both use whole numbers of 64 bits and the
same few operations on doubles in the same order.
"""

from dataclasses import dataclass

ALL = (1 << 64) - 1


class SplitMix:
    """The SplitMix64 generator of Steele, Lea and Flood (2014)."""

    def __init__(self, seed: int) -> None:
        self._state = seed

    def bits(self) -> int:
        """The next 64 bits."""
        self._state = (self._state + 0x9E37_79B9_7F4A_7C15) & ALL
        mixed = self._state
        mixed = ((mixed ^ (mixed >> 30)) * 0xBF58_476D_1CE4_E5B9) & ALL
        mixed = ((mixed ^ (mixed >> 27)) * 0x94D0_49BB_1331_11EB) & ALL
        return mixed ^ (mixed >> 31)

    def whole(self, low: int, high: int) -> int:
        """A whole number from `low` to `high`, both included."""
        return low + self.bits() % (high - low + 1)

    def between(self, low: float, high: float) -> float:
        """A number between `low` and `high`."""
        return low + (high - low) * (float(self.bits() >> 11) / float((1 << 53) - 1))


@dataclass
class Network:
    """Nodes joined by conductances in siemens, each node with a conductance to the reference and a current into it."""

    edges: list[tuple[int, int, float]]
    ground: list[float]
    amps: list[float]


def near_tree(n_nodes: int, n_chords: int, seed: int) -> Network:
    """A tree of `n_nodes` nodes with a few chords, one stiff source of 12.6 V at the root and loads to the reference at
    a third of the nodes."""
    chance = SplitMix(seed)
    network = Network([], [0.0] * n_nodes, [0.0] * n_nodes)
    for node in range(1, n_nodes):
        earlier = node - 1 - chance.whole(0, min(7, node - 1))
        network.edges.append((node, earlier, chance.between(1.0, 1000.0)))
        if chance.bits() % 3 == 0:
            network.ground[node] = chance.between(0.01, 1.0)
    for _ in range(n_chords):
        start, end = chance.whole(0, n_nodes - 1), chance.whole(0, n_nodes - 1)
        network.edges.append((start, end, chance.between(1.0, 1000.0)))
    network.ground[0] += 100.0
    network.amps[0] = 1260.0
    return network
