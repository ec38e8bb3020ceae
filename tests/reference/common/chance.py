"""Pseudo-random choices from a seed, the same with every version of Python."""

import math
import random
from collections.abc import Sequence
from typing import TypeVar

T = TypeVar("T")


class Chance:
    """Draws made from `random.Random.random` alone, the one method whose numbers Python promises to keep."""

    def __init__(self, seed: int) -> None:
        self._stream = random.Random(seed)

    def below(self, end: int) -> int:
        """A whole number from 0 up to but not `end`."""
        return int(self._stream.random() * end)

    def whole(self, low: int, high: int) -> int:
        """A whole number from `low` to `high`, both included."""
        return low + self.below(high - low + 1)

    def happens(self, share: float) -> bool:
        """True in that share of the cases."""
        return self._stream.random() < share

    def between(self, low: float, high: float, digits: int) -> float:
        """A number from `low` to `high`, all equally likely, with so many digits after the point."""
        return round(low + (high - low) * self._stream.random(), digits)

    def decades(self, low: float, high: float) -> float:
        """A number from `low` to `high`, every decade equally likely."""
        return low * math.exp(math.log(high / low) * self._stream.random())

    def one_of(self, choices: Sequence[T]) -> T:
        """One of `choices`."""
        return choices[self.below(len(choices))]
