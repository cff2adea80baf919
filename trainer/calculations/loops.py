"""Electrics of a current loop: what the supply can drive, what falls where, and what leaks away.

Currents are in milliamperes, voltages in volts, resistances in ohms.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from trainer.calculations.ranges import Number, within
from trainer.calculations.signals import MA_4_20, Signal, value_from_signal

MILLI = 1e-3


def highest_resistance(supply: Number, lift_off: float, current: float = 22.0) -> Number:
    """Greatest resistance through which a loop-powered transmitter can drive a current.

    Parameters
    ----------
    supply : float or ndarray
        Supply voltage at its lowest [V].
    lift_off : float
        Voltage that the transmitter needs across itself; 0 for the limit of an active output [V].
    current : float
        Greatest current that has to get through; a fault signal asks for some 22 mA [mA].

    Returns
    -------
    float or ndarray
        Burden and wires together, shape of `supply`; negative if the supply is below lift-off [Ω].

    Examples
    --------
    >>> highest_resistance(21.6, 10.5)
    504.5
    """
    within("current", current, math.ulp(0.0), math.inf, "mA")
    return (supply - lift_off) / (current * MILLI)


def longest_cable(highest_resistance: Number, burden: float, per_kilometer: float) -> Number:
    """Longest run of a pair of wires: the current goes out and back.

    Parameters
    ----------
    highest_resistance : float or ndarray
        Greatest resistance of the whole loop [Ω].
    burden : float
        All that is not cable: burden, indicators, barriers [Ω].
    per_kilometer : float
        Resistance of one conductor [Ω/km].

    Returns
    -------
    float or ndarray
        Length of the run, shape of `highest_resistance`; negative if the burden alone is too much [m].

    Examples
    --------
    >>> longest_cable(highest_resistance(21.6, 10.5), 250.0, 33.29)
    3823.2
    """
    within("resistance of a conductor", per_kilometer, math.ulp(0.0), math.inf, "Ω/km")
    return (highest_resistance - burden) / (2.0 * per_kilometer) * 1000.0


class Voltages(NamedTuple):
    """Voltages round a loop; with the second wire they add up to the supply [V]."""

    transmitter: float
    burden: float
    wire: float


def voltages(supply: float, current: float, burden: float, wire: float) -> Voltages:
    """Voltages that a meter should show round a healthy loop.

    Parameters
    ----------
    supply : float
        Supply voltage [V].
    current : float
        Current in the loop [mA].
    burden : float
        Burden resistor [Ω].
    wire : float
        Resistance of each of the two wires [Ω].

    Returns
    -------
    Voltages
        Across the transmitter, the burden and each wire [V].

    Examples
    --------
    >>> voltages(24.5, 13.6, 250.0, 12.0)
    Voltages(transmitter=20.774, burden=3.4, wire=0.163)
    """
    amperes = current * MILLI
    return Voltages(supply - amperes * (burden + 2.0 * wire), amperes * burden, amperes * wire)


def saturation_current(supply: Number, lift_off: float, resistance: float) -> Number:
    """Current beyond which the supply cannot drive the loop: the trend goes flat there.

    Parameters
    ----------
    supply : float or ndarray
        Supply voltage [V].
    lift_off : float
        Voltage that the transmitter needs across itself; 0 for an active output [V].
    resistance : float
        Burden and wires together [Ω].

    Returns
    -------
    float or ndarray
        Current, shape of `supply` [mA].

    Examples
    --------
    >>> saturation_current(21.6, 10.0, 760.0)
    15.26
    """
    within("loop resistance", resistance, math.ulp(0.0), math.inf, "Ω")
    return (supply - lift_off) / resistance / MILLI


def highest_value(
    supply: float, lift_off: float, resistance: float, lower: float, upper: float, signal: Signal = MA_4_20
) -> float:
    """Process value at which the trend goes flat.

    Parameters
    ----------
    supply, lift_off : float
        Supply voltage, and the voltage that the transmitter needs [V].
    resistance : float
        Burden and wires together [Ω].
    lower, upper : float
        Values at 0 % and at 100 %; with a reverse acting range it is the lowest value [unit of the range].
    signal : Signal
        What the loop is set to [mA].

    Returns
    -------
    float
        Process value; beyond the range if the whole signal gets through [unit of the range].

    Examples
    --------
    >>> highest_value(21.6, 10.0, 760.0, -20.0, 100.0)
    64.5
    """
    return value_from_signal(saturation_current(supply, lift_off, resistance), lower, upper, signal)


def leak_across_burden(current: Number, burden: float, leak: float) -> Number:
    """Current that is left for the burden when some of it leaks past: reads low.

    Parameters
    ----------
    current : float or ndarray
        Current that the transmitter drives [mA].
    burden, leak : float
        Burden resistor, and resistance of the path beside it [Ω].

    Returns
    -------
    float or ndarray
        Current through the burden, shape of `current` [mA].

    Examples
    --------
    >>> leak_across_burden(12.5, 250.0, 2000.0)
    11.111
    """
    within("leak", leak, math.ulp(0.0), math.inf, "Ω")
    return current / (1.0 + burden / leak)


def leak_across_transmitter(current: Number, supply: float, resistance: float, leak: float) -> Number:
    """Current in the burden when a path beside a loop-powered transmitter carries some too: reads high.

    The leak sees the voltage across the transmitter, which falls by what the leak itself adds.

    Parameters
    ----------
    current : float or ndarray
        Current that the transmitter drives [mA].
    supply : float
        Supply voltage [V].
    resistance : float
        Burden and wires together [Ω].
    leak : float
        Resistance of the path beside the transmitter [Ω].

    Returns
    -------
    float or ndarray
        Current through the burden, shape of `current` [mA].

    Examples
    --------
    >>> leak_across_transmitter(11.733, 24.0, 286.0, 10_000.0)
    13.740
    """
    within("leak", leak, math.ulp(0.0), math.inf, "Ω")
    transmitter = (supply - current * MILLI * resistance) / (1.0 + resistance / leak)
    return current + transmitter / leak / MILLI


def loaded_voltage(voltage: Number, source: float, load: float) -> Number:
    """Voltage that is left of a signal at an input that draws current through its source and wires.

    Parameters
    ----------
    voltage : float or ndarray
        Signal without load [V].
    source : float
        Resistance of source and wires together [Ω].
    load : float
        Resistance of the input [Ω].

    Returns
    -------
    float or ndarray
        Voltage at the input, shape of `voltage` [V].

    Examples
    --------
    >>> loaded_voltage(5.0, 100.0, 10_000.0)
    4.950
    """
    within("input resistance", load, math.ulp(0.0), math.inf, "Ω")
    return voltage / (1.0 + source / load)


def earth_difference_error(difference: Number, span: float, signal: Signal) -> Number:
    """Error from a voltage between two earths in series with a signal that is not isolated.

    Parameters
    ----------
    difference : float or ndarray
        Voltage between the earths, in the sense that raises the signal [V].
    span : float
        Span of the range [unit of the range].
    signal : Signal
        Voltage signal [V].

    Returns
    -------
    float or ndarray
        Error of the process value, shape of `difference` [unit of the range].

    Examples
    --------
    >>> from trainer.calculations.signals import V_1_5
    >>> earth_difference_error(0.2, 100.0, V_1_5)
    5.0
    """
    return difference / signal.span * span
