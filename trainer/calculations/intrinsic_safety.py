"""Comparison of entity values of an intrinsically safe loop: training arithmetic.

A real loop is judged by its descriptive system document, the certificates and the standard in force, by a
competent person and under the local code.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

from trainer.calculations.ranges import within

# IEC 60079-14 and 60079-25, from memory: where the apparatus brings more than this share of both the permitted
# capacitance and the permitted inductance, both are halved before the cable is added.
LUMPED_SHARE = 0.01

DECIMALS = 9  # what lies beyond is the machine's own rounding


@dataclass(frozen=True, slots=True)
class Source:
    """What a barrier or isolator can let out, and what may be connected to it.

    Attributes
    ----------
    voltage, current, power : float
        Uo [V], Io [mA], Po [W].
    capacitance, inductance : float
        Co [nF], Lo [mH].
    """

    voltage: float
    current: float
    power: float
    capacitance: float
    inductance: float


@dataclass(frozen=True, slots=True)
class Apparatus:
    """What a field instrument withstands, and what it stores.

    Attributes
    ----------
    voltage, current, power : float
        Ui [V], Ii [mA], Pi [W].
    capacitance, inductance : float
        Ci [nF], Li [mH].
    """

    voltage: float
    current: float
    power: float
    capacitance: float = 0.0
    inductance: float = 0.0


@dataclass(frozen=True, slots=True)
class Cable:
    """What a kilometer of cable stores: Cc [nF/km] and Lc [mH/km]."""

    capacitance: float
    inductance: float


class Permitted(NamedTuple):
    """Capacitance [nF] and inductance [mH] that apparatus and cable may have together."""

    capacitance: float
    inductance: float


class Comparison(NamedTuple):
    """One line of the comparison: what there is, what is allowed, in one unit."""

    name: str
    actual: float
    allowed: float
    unit: str

    @property
    def holds(self) -> bool:
        """Whether it is allowed."""
        return round(self.actual - self.allowed, DECIMALS) <= 0.0


def permitted(source: Source, apparatus: Apparatus) -> Permitted:
    """Capacitance and inductance that a source permits, halved where the apparatus lumps both.

    Parameters
    ----------
    source : Source
        Barrier or isolator.
    apparatus : Apparatus
        Field instrument.

    Returns
    -------
    Permitted

    Examples
    --------
    >>> barrier = Source(28.0, 93.0, 0.65, 83.0, 4.2)
    >>> permitted(barrier, Apparatus(30.0, 120.0, 1.0, capacitance=5.0, inductance=0.01))
    Permitted(capacitance=83.0, inductance=4.2)
    >>> permitted(barrier, Apparatus(30.0, 120.0, 1.0, capacitance=5.0, inductance=0.1))
    Permitted(capacitance=41.5, inductance=2.1)
    """
    lumped = (
        apparatus.capacitance > LUMPED_SHARE * source.capacitance
        and apparatus.inductance > LUMPED_SHARE * source.inductance
    )
    share = 0.5 if lumped else 1.0
    return Permitted(share * source.capacitance, share * source.inductance)


def comparisons(source: Source, apparatus: Apparatus, cable: Cable, length: float) -> tuple[Comparison, ...]:
    """Compare a loop line by line; the loop is allowed if every line holds.

    Parameters
    ----------
    source, apparatus, cable
        Parts of the loop.
    length : float
        Length of the run [m].

    Returns
    -------
    tuple of five Comparison
        Voltage, current, power, capacitance, inductance.

    Examples
    --------
    >>> barrier, probe = Source(28.0, 93.0, 0.65, 83.0, 4.2), Apparatus(30.0, 100.0, 0.75, 5.0, 0.01)
    >>> lines = comparisons(barrier, probe, Cable(200.0, 1.0), 400.0)
    >>> [(line.name, line.actual, line.allowed) for line in lines if not line.holds]
    [('Ci + Cc ≤ Co', 85.0, 83.0)]
    """
    within("length", length, 0.0, math.inf, "m")
    allowed = permitted(source, apparatus)
    capacitance = apparatus.capacitance + cable.capacitance * length / 1000.0
    inductance = apparatus.inductance + cable.inductance * length / 1000.0
    return (
        Comparison("Uo ≤ Ui", source.voltage, apparatus.voltage, "V"),
        Comparison("Io ≤ Ii", source.current, apparatus.current, "mA"),
        Comparison("Po ≤ Pi", source.power, apparatus.power, "W"),
        Comparison("Ci + Cc ≤ Co", capacitance, allowed.capacitance, "nF"),
        Comparison("Li + Lc ≤ Lo", inductance, allowed.inductance, "mH"),
    )


def longest_cable(source: Source, apparatus: Apparatus, cable: Cable) -> int:
    """Longest run that capacitance and inductance allow, rounded down.

    Parameters
    ----------
    source, apparatus, cable
        Parts of the loop.

    Returns
    -------
    int
        Length of the run, 0 if the apparatus alone is too much [m].

    Examples
    --------
    >>> barrier, probe = Source(28.0, 93.0, 0.65, 83.0, 4.2), Apparatus(30.0, 100.0, 0.75, 5.0, 0.01)
    >>> longest_cable(barrier, probe, Cable(200.0, 1.0))
    390
    """
    allowed = permitted(source, apparatus)
    lengths = (
        _run(allowed.capacitance - apparatus.capacitance, cable.capacitance),
        _run(allowed.inductance - apparatus.inductance, cable.inductance),
    )
    return max(0, math.floor(min(lengths)))


def _run(left: float, per_kilometer: float) -> float:
    """Length of cable that uses up what is left [m]."""
    within("cable value", per_kilometer, math.ulp(0.0), math.inf)
    return round(left / per_kilometer * 1000.0, DECIMALS)
