"""Resistance curves of resistance thermometers: how R/R0 runs with temperature."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType

import numpy as np

from trainer.calculations.elementary import sqrt
from trainer.calculations.piecewise import Piecewise, through
from trainer.calculations.ranges import Number

NEWTON_STEPS = 3  # from the quadratic start: nothing is left to better even at -200 °C


@dataclass(frozen=True, kw_only=True)
class Curve(ABC):
    """A sensor material: name, usual R0 [Ω], range [°C] and where the numbers come from."""

    name: str
    nominal: float
    lowest: float
    highest: float
    source: str

    @abstractmethod
    def ratio(self, temperature: Number) -> Number:
        """R/R0 at a temperature [°C]."""

    @abstractmethod
    def slope(self, temperature: Number) -> Number:
        """Rise of R/R0 for one degree at a temperature [1/°C]."""

    @abstractmethod
    def temperature(self, ratio: Number) -> Number:
        """Temperature at R/R0 [°C]."""

    @cached_property
    def alpha(self) -> float:
        """Mean rise of R/R0 for one degree from 0 to 100 °C [1/°C]."""
        return (self.ratio(100.0) - self.ratio(0.0)) / 100.0

    @cached_property
    def ends(self) -> tuple[float, float]:
        """R/R0 at both ends of the range."""
        return self.ratio(self.lowest), self.ratio(self.highest)


@dataclass(frozen=True, kw_only=True)
class Polynomial(Curve):
    """R/R0 = 1 + A t + B t² above 0 °C, and C (t - 100) t³ added below (Callendar and Van Dusen)."""

    a: float
    b: float = 0.0
    c: float = 0.0

    def ratio(self, temperature: Number) -> Number:
        """R/R0 at a temperature [°C]."""
        t = temperature
        return 1.0 + t * (self.a + t * (self.b + (t < 0.0) * self.c * (t - 100.0) * t))

    def slope(self, temperature: Number) -> Number:
        """Rise of R/R0 for one degree at a temperature [1/°C]."""
        t = temperature
        return self.a + t * (2.0 * self.b + (t < 0.0) * self.c * (4.0 * t - 300.0) * t)

    def temperature(self, ratio: Number) -> Number:
        """Temperature at R/R0 [°C]: the root of the quadratic, below 0 °C bettered by Newton's method."""
        rise = ratio - 1.0
        # Written so that nothing cancels near 0 °C, and a straight line (B = 0) needs no case of its own.
        t = 2.0 * rise / (self.a + sqrt(self.a * self.a + 4.0 * self.b * rise))
        if isinstance(ratio, np.ndarray) or ratio < 1.0:
            for _ in range(NEWTON_STEPS):
                t = t - (ratio < 1.0) * (self.ratio(t) - ratio) / self.slope(t)
        return t


@dataclass(frozen=True, kw_only=True)
class Table(Curve):
    """A printed table of (temperature [°C], resistance [Ω]) for the usual R0, joined smoothly."""

    points: tuple[tuple[float, float], ...]

    @cached_property
    def _function(self) -> Piecewise:
        return through([(t, resistance / self.nominal) for t, resistance in self.points])

    def ratio(self, temperature: Number) -> Number:
        """R/R0 at a temperature [°C]."""
        return self._function.value(temperature)

    def slope(self, temperature: Number) -> Number:
        """Rise of R/R0 for one degree at a temperature [1/°C]."""
        return self._function.slope(temperature)

    def temperature(self, ratio: Number) -> Number:
        """Temperature at R/R0 [°C]."""
        return self._function.inverse(ratio)


IEC_60751 = Polynomial(
    name="platinum 0.003851",
    nominal=100.0,
    lowest=-200.0,
    highest=850.0,
    source="IEC 60751:2022 (the numbers of 60751:2008), ITS-90",
    a=3.9083e-3,
    b=-5.775e-7,
    c=-4.183e-12,
)
PLATINUM_3911 = Polynomial(
    name="platinum 0.003911",
    nominal=100.0,
    lowest=-200.0,
    highest=650.0,
    source="older American industrial curve, as listed in open thermometry software; range from memory",
    a=3.9692e-3,
    b=-5.8495e-7,
    c=-4.2325e-12,
)
PLATINUM_3916 = Polynomial(
    name="platinum 0.003916",
    nominal=100.0,
    lowest=-200.0,
    highest=650.0,
    source="JIS C 1604:1981, from memory; the coefficients give 0.003915 (JIS C 1604:1997 uses IEC 60751)",
    a=3.9739e-3,
    b=-5.870e-7,
    c=-4.4e-12,
)
PLATINUM_3920 = Polynomial(
    name="platinum 0.003920",
    nominal=100.0,
    lowest=-200.0,
    highest=650.0,
    source="SAMA, older American curve, as listed in open thermometry software; range from memory",
    a=3.97869e-3,
    b=-5.86863e-7,
    c=-4.16696e-12,
)
NICKEL_120 = Table(
    name="nickel 0.00672",
    nominal=120.0,
    lowest=-80.0,
    highest=260.0,
    source="a sensor maker's table of the 120 Ω nickel curve; DIN 43760 nickel (0.00618) is another curve",
    points=(
        (-80.0, 66.60), (-60.0, 79.62), (-40.0, 92.76), (-20.0, 106.15), (0.0, 120.00),
        (10.0, 127.17), (20.0, 134.52), (30.0, 142.06), (40.0, 149.80), (50.0, 157.75),
        (60.0, 165.90), (80.0, 182.85), (100.0, 200.64), (120.0, 219.29), (150.0, 248.95),
        (180.0, 280.77), (200.0, 303.45), (220.0, 327.54), (240.0, 353.14), (260.0, 380.31),
    ),
)  # fmt: skip
COPPER_10 = Polynomial(
    name="copper 0.00427",
    nominal=10.0 / (1.0 + 25.0 * 0.00427),  # the 10 Ω of the name are at 25 °C
    lowest=-100.0,
    highest=260.0,
    source="10 Ω at 25 °C and 0.00427 (a sensor maker's comparison), taken as a straight line",
    a=0.00427,
)

CURVES = (IEC_60751, PLATINUM_3911, PLATINUM_3916, PLATINUM_3920, COPPER_10, NICKEL_120)
BY_NAME: Mapping[str, Curve] = MappingProxyType({curve.name: curve for curve in CURVES})
