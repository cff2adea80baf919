"""Burden resistors: a current made into a voltage, and what a wrong resistor does to the reading."""

from __future__ import annotations

import math

from trainer.calculations.ranges import Number, within
from trainer.calculations.signals import MA_4_20, Signal

MILLI = 1e-3


def burden_voltage(current: Number, resistance: float = 250.0) -> Number:
    """Voltage across a burden resistor.

    Parameters
    ----------
    current : float or ndarray
        Current in the loop [mA].
    resistance : float
        Resistance of the burden [Ω].

    Returns
    -------
    float or ndarray
        Voltage, shape of `current` [V].

    Examples
    --------
    >>> burden_voltage(12.0)
    3.0
    """
    within("burden", resistance, 0.0, math.inf, "Ω")
    return current * MILLI * resistance


def burden_error(
    current: Number, span: float, resistance: float, nominal: float = 250.0, signal: Signal = MA_4_20
) -> Number:
    """Error of the process value shown when the burden is not what the receiver takes it for.

    The whole current goes through the resistor, its live zero too: the error is greatest at the top of the
    range, and the bottom has its share.

    Parameters
    ----------
    current : float or ndarray
        Current in the loop [mA].
    span : float
        Span of the range, negative if reverse acting [unit of the range].
    resistance, nominal : float
        Resistance fitted, and the one that scaling is made for [Ω].
    signal : Signal
        What the receiver is set to [mA].

    Returns
    -------
    float or ndarray
        Shown less true, shape of `current` [unit of the range].

    Examples
    --------
    >>> burden_error(14.2, 150.0, 252.5)
    1.33125
    """
    within("nominal burden", nominal, math.ulp(0.0), math.inf, "Ω")
    return (resistance - nominal) / nominal * current / signal.span * span


def parallel(*resistances: float) -> float:
    """Resistance of resistors in parallel.

    Parameters
    ----------
    *resistances : float
        The resistors, none of them 0 Ω; infinite where one is open [Ω].

    Returns
    -------
    float
        Resistance of all of them together [Ω].

    Examples
    --------
    >>> parallel(250.0, 250.0)
    125.0
    """
    for resistance in resistances:
        within("resistance", resistance, math.ulp(0.0), math.inf, "Ω")
    conductance = sum(1.0 / resistance for resistance in resistances)
    return 1.0 / conductance if conductance else math.inf
