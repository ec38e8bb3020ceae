"""The part laws, written down a second time from their description in the part kinds.

A law gives the current through a branch and its slope at the voltage across the branch, both counted from the first
end to the second.
Corners may be blurred, so that a general root finder can be led to the right side of each of them; the last solution
is always made with no blur at all.
"""

import math
from dataclasses import dataclass
from typing import Protocol

#: Exponent of filament current over voltage (lamp rerating practice).
FILAMENT_EXPONENT = 0.55

#: Forward voltage and slope of a load that conducts when reversed, volts and ohms (common practice, no source).
REVERSED_FORWARD_V = 0.8
REVERSED_SLOPE_OHM = 0.01


class Law(Protocol):
    """The relation between voltage and current of one branch."""

    def line(self, u: float, blur: float) -> tuple[float, float]:
        """Current in amperes and slope in siemens at `u` volts, with corners as wide as `blur` volts."""


def ramp(x: float, blur: float) -> tuple[float, float]:
    """The greater of `x` and nought, and its slope, with a corner as wide as `blur`."""
    if blur == 0.0:
        return (x, 1.0) if x > 0.0 else (0.0, 0.0)
    long = math.hypot(x, blur)
    # The sum loses its digits far on the left, the quotient far on the right.
    value = (x + long) / 2.0 if x > 0.0 else blur * blur / (2.0 * (long - x))
    return value, value / long


@dataclass(frozen=True)
class Resistance:
    """A wire, a joint or a resistor."""

    ohm: float

    def line(self, u: float, blur: float) -> tuple[float, float]:
        return u / self.ohm, 1.0 / self.ohm


@dataclass(frozen=True)
class Source:
    """A voltage behind a resistance, positive at the first end; perhaps limited, perhaps with rectifiers."""

    emf: float
    internal: float
    limit: float | None = None
    one_way: bool = False

    def line(self, u: float, blur: float) -> tuple[float, float]:
        given, slope = self.emf - u, 1.0
        if self.one_way:
            given, slope = ramp(given, blur)
        if self.limit is not None:
            room = self.limit * self.internal
            beyond, own = ramp(given - room, blur)
            given, slope = given - beyond, slope * (1.0 - own)
        return -given / self.internal, slope / self.internal


@dataclass(frozen=True)
class Filament:
    """Current follows voltage to the power 0.55, and a straight line where that would ask more than the cold
    resistance lets through."""

    rated_v: float
    rated_a: float
    cold: float

    def line(self, u: float, blur: float) -> tuple[float, float]:
        size = abs(u)
        warm = self.rated_a * (size / self.rated_v) ** FILAMENT_EXPONENT
        if warm * self.cold >= size:
            return u / self.cold, 1.0 / self.cold
        return math.copysign(warm, u), FILAMENT_EXPONENT * warm / size


@dataclass(frozen=True)
class Diode:
    """Open below its forward voltage, a straight slope above it."""

    forward: float
    slope: float

    def line(self, u: float, blur: float) -> tuple[float, float]:
        over, own = ramp(u - self.forward, blur)
        return over / self.slope, own / self.slope


@dataclass(frozen=True)
class Electronic:
    """Constant power while on, up to a current limit; while off, its leak; reversed, a diode or nothing."""

    power: float
    off_below: float
    on_above: float
    limit: float | None = None
    leak: float | None = None
    conducts_reversed: bool = False
    on: bool = True

    def line(self, u: float, blur: float) -> tuple[float, float]:
        if u < 0.0:
            if not self.conducts_reversed:
                return 0.0, 0.0
            over, own = ramp(-u - REVERSED_FORWARD_V, blur)
            return -over / REVERSED_SLOPE_OHM, own / REVERSED_SLOPE_OHM
        if not self.on:
            return (0.0, 0.0) if self.leak is None else (u / self.leak, 1.0 / self.leak)
        if u < self.off_below:
            # No load is on here; the way down only leads the root finder, and what it finds here is refused.
            conductance = self.line(self.off_below, 0.0)[0] / self.off_below
            return conductance * u, conductance
        current = self.power / u
        if self.limit is not None and current > self.limit:
            return self.limit, 0.0
        return current, -current / u
