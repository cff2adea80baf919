"""Temperatures and temperature differences in °C, °F and K: two conversions never to be mixed up."""

from __future__ import annotations

import math
from typing import Literal

from trainer.calculations.ranges import Number, within

Unit = Literal["°C", "°F", "K"]

ABSOLUTE_ZERO: dict[Unit, float] = {"°C": -273.15, "°F": -459.67, "K": 0.0}
DEGREES_PER_KELVIN: dict[Unit, float] = {"°C": 1.0, "°F": 1.8, "K": 1.0}


def convert(temperature: Number, unit: Unit, to: Unit) -> Number:
    """Convert a temperature, a point on the scale.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature [unit].
    unit, to : str
        "°C", "°F" or "K".

    Returns
    -------
    float or ndarray
        The same temperature, shape kept [to].

    Raises
    ------
    OutOfRange
        Below absolute zero, in the unit it was given in.

    Examples
    --------
    >>> convert(25.0, "°C", to="°F")
    77.0
    >>> convert(-300.0, "°C", to="K")
    Traceback (most recent call last):
        ...
    trainer.errors.OutOfRange: temperature -300 °C is outside -273.15 to inf °C
    """
    within("temperature", temperature, ABSOLUTE_ZERO[unit], math.inf, unit)
    if unit == to:
        return temperature
    return _from_celsius(_to_celsius(temperature, unit), to)


def convert_difference(difference: Number, unit: Unit, to: Unit) -> Number:
    """Convert a difference of two temperatures: a deadband, an error, a tolerance, a span.

    Parameters
    ----------
    difference : float or ndarray
        Difference [unit].
    unit, to : str
        "°C", "°F" or "K".

    Returns
    -------
    float or ndarray
        The same difference, shape kept: a difference has no zero to move, so 32 has no part in it [to].

    Examples
    --------
    >>> convert_difference(2.5, "°C", to="°F")
    4.5
    >>> convert_difference(2.5, "°C", to="K")
    2.5
    """
    return difference * DEGREES_PER_KELVIN[to] / DEGREES_PER_KELVIN[unit]


def _to_celsius(temperature: Number, unit: Unit) -> Number:
    if unit == "°F":
        return (temperature - 32.0) / 1.8
    if unit == "K":
        return temperature - 273.15
    return temperature


def _from_celsius(temperature: Number, unit: Unit) -> Number:
    if unit == "°F":
        return 1.8 * temperature + 32.0
    if unit == "K":
        return temperature + 273.15
    return temperature
