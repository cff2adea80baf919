"""Ratiometric bridges, load cells above all: load to millivolts and back."""

from __future__ import annotations

from trainer.calculations.ranges import Number, within

SAFE_OVERLOAD = 1.5  # of the rated load: common practice for load cells, the data sheet decides


def signal(load: Number, capacity: float, rated_output: float, excitation: float) -> Number:
    """Signal of a load cell.

    Parameters
    ----------
    load : float or ndarray
        Load on the cell, negative if it pulls the other way [unit of `capacity`].
    capacity : float
        Rated load.
    rated_output : float
        Signal at rated load for one volt of excitation [mV/V].
    excitation : float
        Voltage at the bridge itself, what the supply leads take not counted [V].

    Returns
    -------
    float or ndarray
        Signal, shape of `load` [mV].

    Raises
    ------
    OutOfRange
        For a load beyond one and a half times the rated load.

    Examples
    --------
    >>> signal(250.0, capacity=500.0, rated_output=2.0, excitation=10.0)
    10.0
    """
    within("load", load, -SAFE_OVERLOAD * capacity, SAFE_OVERLOAD * capacity)
    return load / capacity * rated_output * excitation


def load(signal: Number, capacity: float, rated_output: float, excitation: float) -> Number:
    """Load on a load cell that gives a signal.

    Parameters
    ----------
    signal : float or ndarray
        Signal, its value without load taken off [mV].
    capacity : float
        Rated load.
    rated_output : float
        Signal at rated load for one volt of excitation [mV/V].
    excitation : float
        Voltage at the bridge itself [V].

    Returns
    -------
    float or ndarray
        Load, shape of `signal` [unit of `capacity`].

    Raises
    ------
    OutOfRange
        For a signal beyond one and a half times that of the rated load.

    Examples
    --------
    >>> load(10.0, capacity=500.0, rated_output=2.0, excitation=10.0)
    250.0
    """
    full = rated_output * excitation
    within("signal", signal, -SAFE_OVERLOAD * full, SAFE_OVERLOAD * full, "mV")
    return signal / full * capacity
