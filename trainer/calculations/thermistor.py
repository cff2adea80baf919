"""Thermistors of falling resistance (NTC): the beta equation and that of Steinhart and Hart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np

from trainer.calculations.elementary import exp, log
from trainer.calculations.ranges import Number, within

KELVIN = 273.15
NEWTON_STEPS = 8  # on ln R, from above: exact to the last digits over the whole range


def _check_temperature(temperature: Number) -> None:
    within("temperature", temperature, -80.0, 300.0, "°C")


def _check_resistance(resistance: Number) -> None:
    within("resistance", resistance, 0.1, 1e9, "Ω")


@dataclass(frozen=True)
class Beta:
    """R = R_ref exp(beta (1/T - 1/T_ref)), T in kelvin: two points of the curve and nothing between.

    `nominal` is R_ref [Ω] at `reference` [°C], `beta` the constant [K].

    Examples
    --------
    >>> sensor = Beta(nominal=10_000.0, beta=3977.0)
    >>> sensor.resistance(85.0)
    1070.
    >>> sensor.temperature(10_000.0)
    25.0
    """

    nominal: float
    beta: float
    reference: float = 25.0

    @classmethod
    def between(cls, first: tuple[float, float], second: tuple[float, float]) -> Self:
        """Draw the curve through two points, each a temperature [°C] and a resistance [Ω].

        Examples
        --------
        >>> Beta.between((25.0, 10_000.0), (50.0, 3601.0)).beta
        3936.
        """
        (t1, r1), (t2, r2) = first, second
        for temperature, resistance in first, second:
            _check_temperature(temperature)
            _check_resistance(resistance)
        if t1 == t2:
            raise ValueError("the two points need two temperatures")
        return cls(r1, log(r1 / r2) / (1.0 / (t1 + KELVIN) - 1.0 / (t2 + KELVIN)), t1)

    def resistance(self, temperature: Number) -> Number:
        """Resistance [Ω] at a temperature [°C]."""
        _check_temperature(temperature)
        difference = 1.0 / (temperature + KELVIN) - 1.0 / (self.reference + KELVIN)
        return self.nominal * exp(self.beta * difference)

    def temperature(self, resistance: Number) -> Number:
        """Temperature [°C] at a resistance [Ω]."""
        _check_resistance(resistance)
        return 1.0 / (1.0 / (self.reference + KELVIN) + log(resistance / self.nominal) / self.beta) - KELVIN


@dataclass(frozen=True)
class SteinhartHart:
    """1/T = A + B ln R + C (ln R)³, T in kelvin and R in ohms.

    References
    ----------
    J. S. Steinhart and S. R. Hart, Deep-Sea Research 15 (1968), pages 497-503.

    Examples
    --------
    >>> sensor = SteinhartHart(1.129148e-3, 2.34125e-4, 8.76741e-8)
    >>> sensor.temperature(10_000.0)
    24.9997
    """

    a: float
    b: float
    c: float

    @classmethod
    def through(cls, points: Sequence[tuple[float, float]]) -> Self:
        """Fit the three coefficients to three points, each a temperature [°C] and a resistance [Ω].

        Examples
        --------
        >>> SteinhartHart.through([(0.0, 32_128.0), (20.0, 12_262.0), (50.0, 3_542.0)]).temperature(9_814.0)
        25.00
        """
        if len(points) != 3 or len({t for t, _ in points}) != 3 or len({r for _, r in points}) != 3:
            raise ValueError("three points of three temperatures and three resistances are needed")
        for temperature, resistance in points:
            _check_temperature(temperature)
            _check_resistance(resistance)
        logs = [log(resistance) for _, resistance in points]
        a, b, c = np.linalg.solve(
            [[1.0, x, x**3] for x in logs], [1.0 / (temperature + KELVIN) for temperature, _ in points]
        ).tolist()
        return cls(a, b, c)

    def temperature(self, resistance: Number) -> Number:
        """Temperature [°C] at a resistance [Ω]."""
        _check_resistance(resistance)
        x = log(resistance)
        return 1.0 / (self.a + x * (self.b + self.c * x * x)) - KELVIN

    def resistance(self, temperature: Number) -> Number:
        """Resistance [Ω] at a temperature [°C]: the root of the cubic in ln R by Newton's method."""
        _check_temperature(temperature)
        inverse = 1.0 / (temperature + KELVIN)
        x = (inverse - self.a) / self.b
        for _ in range(NEWTON_STEPS):
            x = x - (self.a + x * (self.b + self.c * x * x) - inverse) / (self.b + 3.0 * self.c * x * x)
        return exp(x)
