"""Tolerance classes of thermocouples: those of IEC 60584-1 and the limits of error of ASTM E230."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from trainer.calculations.ranges import Number, within


class Limit(NamedTuple):
    """The greater of `fixed` and `base` + `fraction` (|t| - `above`), from `lowest` to `highest` [all °C]."""

    lowest: float
    highest: float
    fixed: float
    fraction: float
    above: float = 0.0
    base: float = 0.0


# IEC 60584-1:2013 (formerly IEC 60584-2).
_IEC = {
    ("1", "T"): Limit(-40.0, 350.0, 0.5, 0.004),
    ("1", "E"): Limit(-40.0, 800.0, 1.5, 0.004),
    ("1", "J"): Limit(-40.0, 750.0, 1.5, 0.004),
    ("1", "K"): Limit(-40.0, 1000.0, 1.5, 0.004),
    ("1", "N"): Limit(-40.0, 1000.0, 1.5, 0.004),
    ("1", "R"): Limit(0.0, 1600.0, 1.0, 0.003, above=1100.0, base=1.0),
    ("1", "S"): Limit(0.0, 1600.0, 1.0, 0.003, above=1100.0, base=1.0),
    ("2", "T"): Limit(-40.0, 350.0, 1.0, 0.0075),
    ("2", "E"): Limit(-40.0, 900.0, 2.5, 0.0075),
    ("2", "J"): Limit(-40.0, 750.0, 2.5, 0.0075),
    ("2", "K"): Limit(-40.0, 1200.0, 2.5, 0.0075),
    ("2", "N"): Limit(-40.0, 1200.0, 2.5, 0.0075),
    ("2", "R"): Limit(0.0, 1600.0, 1.5, 0.0025),
    ("2", "S"): Limit(0.0, 1600.0, 1.5, 0.0025),
    ("2", "B"): Limit(600.0, 1700.0, 0.0, 0.0025),
    ("3", "T"): Limit(-200.0, 40.0, 1.0, 0.015),
    ("3", "E"): Limit(-200.0, 40.0, 2.5, 0.015),
    ("3", "K"): Limit(-200.0, 40.0, 2.5, 0.015),
    ("3", "N"): Limit(-200.0, 40.0, 2.5, 0.015),
    ("3", "B"): Limit(600.0, 1700.0, 4.0, 0.005),
}

# ASTM E230, limits of error of new wire. Below 0 °C wire must be selected for it; one print of the
# standard has 1 % for type K there, ANSI MC96.1 and others have 2 %.
_ASTM = {
    ("standard", "T"): Limit(0.0, 370.0, 1.0, 0.0075),
    ("standard", "J"): Limit(0.0, 760.0, 2.2, 0.0075),
    ("standard", "E"): Limit(0.0, 870.0, 1.7, 0.005),
    ("standard", "K"): Limit(0.0, 1260.0, 2.2, 0.0075),
    ("standard", "N"): Limit(0.0, 1260.0, 2.2, 0.0075),
    ("standard", "R"): Limit(0.0, 1480.0, 1.5, 0.0025),
    ("standard", "S"): Limit(0.0, 1480.0, 1.5, 0.0025),
    ("standard", "B"): Limit(870.0, 1700.0, 0.0, 0.005),
    ("special", "T"): Limit(0.0, 370.0, 0.5, 0.004),
    ("special", "J"): Limit(0.0, 760.0, 1.1, 0.004),
    ("special", "E"): Limit(0.0, 870.0, 1.0, 0.004),
    ("special", "K"): Limit(0.0, 1260.0, 1.1, 0.004),
    ("special", "N"): Limit(0.0, 1260.0, 1.1, 0.004),
    ("special", "R"): Limit(0.0, 1480.0, 0.6, 0.001),
    ("special", "S"): Limit(0.0, 1480.0, 0.6, 0.001),
    ("special", "B"): Limit(870.0, 1700.0, 0.0, 0.0025),
    ("standard below 0 °C", "T"): Limit(-200.0, 0.0, 1.0, 0.015),
    ("standard below 0 °C", "E"): Limit(-200.0, 0.0, 1.7, 0.01),
    ("standard below 0 °C", "K"): Limit(-200.0, 0.0, 2.2, 0.02),
}

LIMITS = _IEC | _ASTM


def tolerance(temperature: Number, kind: str, grade: str) -> Number:
    """Largest deviation allowed to a new thermocouple of a tolerance class.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature of the measuring junction [°C].
    kind : str
        Letter of the type.
    grade : str
        "1", "2" or "3" for the classes of IEC 60584-1; "standard", "special" or "standard below 0 °C" for
        the limits of ASTM E230.

    Returns
    -------
    float or ndarray
        Half-width of the band, a difference, shape of `temperature` [°C].

    Raises
    ------
    OutOfRange
        Where the class makes no promise.

    References
    ----------
    IEC 60584-1:2013, table of tolerance classes; ASTM E230/E230M, table of tolerances.

    Examples
    --------
    >>> tolerance(620.0, "K", "standard")
    4.65
    >>> tolerance(100.0, "K", "standard")
    2.2
    """
    if (grade, kind) not in LIMITS:
        raise ValueError(f"no tolerance class {grade!r} for thermocouple type {kind!r}")
    limit = LIMITS[grade, kind]
    within("temperature", temperature, limit.lowest, limit.highest, "°C")
    proportional = limit.base + limit.fraction * (abs(temperature) - limit.above)
    if isinstance(proportional, np.ndarray):
        return np.maximum(limit.fixed, proportional)
    return max(limit.fixed, proportional)
