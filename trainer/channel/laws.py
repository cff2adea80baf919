"""What a sensor makes of the process, and what an input takes a sensor for: value to electrical quantity and back.

Outside its limits a law gives not-a-number: the input then sees a sensor fault.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from trainer.calculations import rtd, thermocouples
from trainer.calculations.curves import CURVES, Curve
from trainer.calculations.ranges import Array
from trainer.calculations.signals import Signal, span_between
from trainer.calculations.thermistor import Beta
from trainer.errors import NotFound

BY_NAME = {curve.name: curve for curve in CURVES}
LOWEST_READABLE = {"B": 250.0}  # °C: below 42 °C one emf of type B means two temperatures
THERMISTOR_LIMITS = (-50.0, 150.0)  # °C: common practice for the usual glass and epoxy types


class Law(ABC):
    """Process value to the quantity at the sensor's terminals and back."""

    @property
    @abstractmethod
    def limits(self) -> tuple[float, float]:
        """Least and greatest value of the process that the law knows [unit of the process]."""

    @property
    def readable(self) -> tuple[float, float]:
        """Least and greatest value that an input can tell [unit of the process]."""
        return self.limits

    @abstractmethod
    def _quantity(self, value: Array) -> Array: ...

    @abstractmethod
    def _value(self, quantity: Array) -> Array: ...

    def quantity(self, value: Array) -> Array:
        """What a good sensor gives, shape of `value` [Ω, mV, V, mA or a ratio]; NaN beyond the limits."""
        return _inside(value, self.limits, self._quantity)

    def value(self, quantity: Array) -> Array:
        """What a good sensor would measure, shape of `quantity` [unit of the process]; NaN beyond the limits."""
        ends = self._quantity(np.array(self.readable))
        slack = 1e-9 * float(np.abs(ends).max())
        within = (float(ends.min()) - slack, float(ends.max()) + slack)
        return _inside(quantity, within, lambda inner: self._value(np.clip(inner, ends.min(), ends.max())))


def _inside(x: Array, limits: tuple[float, float], function: Callable[[Array], Array]) -> Array:
    """A function of what lies within limits, NaN elsewhere."""
    good = (limits[0] <= x) & (x <= limits[1])
    answer = np.full(x.shape, math.nan)
    answer[good] = function(x[good])
    return answer


@dataclass(frozen=True)
class ResistanceLaw(Law):
    """A resistance thermometer: the name of its curve, and its resistance in ice [Ω]."""

    r0: float = 100.0
    curve: str = "platinum 0.003851"

    @property
    def _curve(self) -> Curve:
        if self.curve not in BY_NAME:
            raise NotFound(f"curve {self.curve!r} is none of {', '.join(BY_NAME)}")
        return BY_NAME[self.curve]

    @property
    def limits(self) -> tuple[float, float]:
        """Range of the curve [°C]."""
        return self._curve.lowest, self._curve.highest

    def _quantity(self, value: Array) -> Array:
        return rtd.resistance(value, self.r0, self._curve)

    def _value(self, quantity: Array) -> Array:
        return rtd.temperature(quantity, self.r0, self._curve)


@dataclass(frozen=True)
class ThermistorLaw(Law):
    """A thermistor of falling resistance by its beta equation: resistance at 25 °C [Ω], beta [K]."""

    nominal: float = 10_000.0
    beta: float = 3950.0

    @property
    def limits(self) -> tuple[float, float]:
        """Range in which the equation is used [°C]."""
        return THERMISTOR_LIMITS

    def _quantity(self, value: Array) -> Array:
        return Beta(self.nominal, self.beta).resistance(value)

    def _value(self, quantity: Array) -> Array:
        return Beta(self.nominal, self.beta).temperature(quantity)


@dataclass(frozen=True)
class EmfLaw(Law):
    """A thermocouple of a letter type, reference junction at 0 °C [mV]."""

    letter: str = "K"

    @property
    def limits(self) -> tuple[float, float]:
        """Range of the reference function [°C]."""
        return thermocouples.reference_function(self.letter).domain

    @property
    def readable(self) -> tuple[float, float]:
        """Range in which one emf means one temperature [°C]."""
        lowest, highest = self.limits
        return (max(lowest, LOWEST_READABLE.get(self.letter, lowest)), highest)

    def _quantity(self, value: Array) -> Array:
        return thermocouples.emf(value, self.letter)

    def _value(self, quantity: Array) -> Array:
        return thermocouples.temperature(quantity, self.letter)


@dataclass(frozen=True)
class StraightLaw(Law):
    """A straight line between two ends: a potentiometer, a bridge, a transmitter.

    `lower` and `upper` are the ends of the range [unit of the process], `low` and `high` what it gives there; with
    `squared` the quantity follows the square of the value, as the pressure of a flow element does. Up to `beyond`
    of the span past either end is still measured.
    """

    lower: float
    upper: float
    low: float
    high: float
    squared: bool = False
    beyond: float = 0.05

    def __post_init__(self) -> None:
        span_between("range", self.lower, self.upper)
        Signal(self.low, self.high, "")

    @property
    def limits(self) -> tuple[float, float]:
        """Ends of the range, with what lies a little beyond [unit of the process]."""
        spare = self.beyond * abs(self.upper - self.lower)
        low, high = sorted((self.lower, self.upper))
        return (low if self.squared else low - spare), high + spare

    def _quantity(self, value: Array) -> Array:
        part = (value - self.lower) / (self.upper - self.lower)
        return self.low + (part * part if self.squared else part) * (self.high - self.low)

    def _value(self, quantity: Array) -> Array:
        part = (quantity - self.low) / (self.high - self.low)
        return self.lower + (np.sqrt(np.maximum(part, 0.0)) if self.squared else part) * (self.upper - self.lower)
