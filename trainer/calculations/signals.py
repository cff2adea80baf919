"""Analog signals and scaling: process value to signal and back, for any range.

Every value and signal may be one number or an array; the answer has the same shape. A range is given by its
values at 0 % and at 100 %; a reverse acting range simply has the greater of the two at 0 %. Nothing is
limited: a value beyond the range gives a signal beyond its ends, as in a scaling block without limits.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

from trainer.calculations.ranges import Number
from trainer.errors import TrainerError


class NoSpan(TrainerError, ValueError):
    """A range whose two ends are one value, or no numbers: nothing can be scaled by it.

    Examples
    --------
    >>> print(NoSpan("range", 20.0, 20.0))
    range 20 to 20 has no span: its two ends must be different numbers
    """

    def __init__(self, quantity: str, lower: float, upper: float) -> None:
        super().__init__(f"{quantity} {lower:.10g} to {upper:.10g} has no span: its two ends must be different numbers")


def span_between(quantity: str, lower: float, upper: float) -> float:
    """Difference of the two ends of a range; negative for a reverse acting one.

    Raises
    ------
    NoSpan
        If the ends are equal, or one of them is no number.

    Examples
    --------
    >>> span_between("range", -30.0, 50.0)
    80.0
    """
    span = upper - lower
    if not 0.0 < abs(span) < math.inf:
        raise NoSpan(quantity, lower, upper)
    return span


@dataclass(frozen=True, slots=True)
class Signal:
    """An analog signal: what the wire carries at 0 % and at 100 % [unit].

    Examples
    --------
    >>> Signal(4.0, 20.0, "mA").name
    '4-20 mA'
    """

    low: float
    high: float
    unit: str

    def __post_init__(self) -> None:
        span_between("signal", self.low, self.high)

    @property
    def name(self) -> str:
        """What the trade calls it."""
        return f"{self.low:g}-{self.high:g} {self.unit}"

    @property
    def span(self) -> float:
        """The moving part of the signal [unit]."""
        return self.high - self.low

    @property
    def has_live_zero(self) -> bool:
        """Whether a dead wire can be told from a reading of 0 %."""
        return self.low != 0.0


MA_4_20 = Signal(4.0, 20.0, "mA")
MA_0_20 = Signal(0.0, 20.0, "mA")
V_1_5 = Signal(1.0, 5.0, "V")
V_0_5 = Signal(0.0, 5.0, "V")
V_0_10 = Signal(0.0, 10.0, "V")
V_2_10 = Signal(2.0, 10.0, "V")

SIGNALS = (MA_4_20, MA_0_20, V_1_5, V_0_5, V_0_10, V_2_10)


def fraction(value: Number, lower: float, upper: float) -> Number:
    """Fraction of span at a value of a range.

    Parameters
    ----------
    value : float or ndarray
        Value, inside the range or beyond it [unit of the range].
    lower, upper : float
        Values at 0 % and at 100 % [unit of the range].

    Returns
    -------
    float or ndarray
        0 at `lower` and 1 at `upper`, shape of `value` [-].

    Raises
    ------
    NoSpan
        If the range has no span.

    Examples
    --------
    >>> fraction(11.2, -30.0, 50.0)
    0.515
    >>> fraction(30.0, 100.0, 0.0)
    0.7
    """
    return (value - lower) / span_between("range", lower, upper)


def value_at(fraction: Number, lower: float, upper: float) -> Number:
    """Value of a range at a fraction of its span.

    Parameters
    ----------
    fraction : float or ndarray
        Fraction of span [-].
    lower, upper : float
        Values at 0 % and at 100 % [unit of the range].

    Returns
    -------
    float or ndarray
        Value, shape of `fraction` [unit of the range].

    Examples
    --------
    >>> value_at(0.25, -50.0, 50.0)
    -25.0
    """
    return lower + fraction * span_between("range", lower, upper)


def signal_from_value(value: Number, lower: float, upper: float, signal: Signal = MA_4_20) -> Number:
    """Signal that a healthy transmitter gives for a process value.

    Parameters
    ----------
    value : float or ndarray
        Process value [unit of the range].
    lower, upper : float
        Lower and upper range value, exchanged for a reverse acting transmitter [unit of the range].
    signal : Signal
        What the output is set to.

    Returns
    -------
    float or ndarray
        Signal without limits, shape of `value` [unit of the signal].

    Raises
    ------
    NoSpan
        If the range has no span.

    References
    ----------
    IEC 60381-1:1982 (direct current signals), IEC 60381-2:1978 (direct voltage signals).

    Examples
    --------
    >>> signal_from_value(11.2, -30.0, 50.0)
    12.24
    >>> signal_from_value(30.0, 100.0, 0.0, V_2_10)
    7.6
    """
    return signal.low + fraction(value, lower, upper) * signal.span


def value_from_signal(reading: Number, lower: float, upper: float, signal: Signal = MA_4_20) -> Number:
    """Process value that a receiver without limits shows for a signal, a fault current included.

    Parameters
    ----------
    reading : float or ndarray
        Measured signal [unit of the signal].
    lower, upper : float
        Lower and upper range value, exchanged for a reverse acting receiver [unit of the range].
    signal : Signal
        What the receiver is set to.

    Returns
    -------
    float or ndarray
        Process value, shape of `reading` [unit of the range].

    Raises
    ------
    NoSpan
        If the range has no span.

    Examples
    --------
    >>> value_from_signal(9.36, -20.0, 140.0)
    33.6

    A sensor fault drives the output to 21.5 mA, and the trend runs on past its range:

    >>> value_from_signal(21.5, -40.0, 40.0)
    47.5
    """
    return lower + (reading - signal.low) / signal.span * span_between("range", lower, upper)


class Range(NamedTuple):
    """Values at 0 % and at 100 % [unit of the range]."""

    lower: float
    upper: float


def range_from_pairs(readings: tuple[float, float], values: tuple[float, float], signal: Signal = MA_4_20) -> Range:
    """Recover a lost range from two good pairs of signal and process value.

    Parameters
    ----------
    readings : tuple of two floats
        Signals measured at two steady states, well apart [unit of the signal].
    values : tuple of two floats
        Process values known to be true at the same times [unit of the range].
    signal : Signal
        What the output is set to.

    Returns
    -------
    Range
        Lower and upper range value [unit of the range].

    Raises
    ------
    NoSpan
        If the two readings, or the two values, are the same.

    Examples
    --------
    >>> range_from_pairs((6.4, 15.2), (-20.5, 34.5))
    Range(lower=-35.5, upper=64.5)
    """
    slope = span_between("pair of values", *values) / span_between("pair of readings", *readings)
    lower = values[0] - slope * (readings[0] - signal.low)
    return Range(lower, lower + slope * signal.span)
