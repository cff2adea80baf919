"""Counts of an analog input, and the scaling block that makes a process value of them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, overload

import numpy as np
from numpy.typing import NDArray

from trainer.calculations.elementary import clip
from trainer.calculations.ranges import Array, Number, within
from trainer.calculations.signals import span_between


def top_count(bits: int) -> int:
    """Largest number that an input of so many bits can give.

    Examples
    --------
    >>> top_count(12)
    4095
    """
    within("bits", bits, 1, 32)
    return (1 << bits) - 1


@overload
def counts(reading: float, full_scale: float, bits: int) -> int: ...
@overload
def counts(reading: Array, full_scale: float, bits: int) -> NDArray[np.int64]: ...
def counts(reading: Any, full_scale: float, bits: int) -> Any:
    """Counts that an input makes of a signal: it knows nothing of a live zero.

    Parameters
    ----------
    reading : float or ndarray
        Signal at the terminals [V or mA].
    full_scale : float
        Signal at the top count; the input starts from 0 [V or mA].
    bits : int
        Bits of the input.

    Returns
    -------
    int or ndarray of int
        Rounded to the nearest count, half a count upwards, and clipped at both ends; shape of `reading`.

    Examples
    --------
    >>> counts(2.872, 5.0, 12)
    2352
    """
    within("full scale", full_scale, math.ulp(0.0), math.inf)
    quotient = clip(reading / full_scale, 0.0, 1.0) * top_count(bits) + 0.5
    return np.floor(quotient).astype(np.int64) if isinstance(quotient, np.ndarray) else math.floor(quotient)


def resolution(span: float, low: float, high: float, full_scale: float, bits: int) -> float:
    """Change of the process value that one count stands for.

    Parameters
    ----------
    span : float
        Span of the range [unit of the range].
    low, high : float
        Signal at 0 % and at 100 %; only what lies between uses counts [V or mA].
    full_scale : float
        Signal at the top count [V or mA].
    bits : int
        Bits of the input.

    Returns
    -------
    float
        Process value for each count [unit of the range].

    Examples
    --------
    A span of 150 °C as 1-5 V on an input of 12 bits for 0-5 V:

    >>> resolution(150.0, 1.0, 5.0, 5.0, 12)
    0.0458
    """
    return span * full_scale / (span_between("signal", low, high) * top_count(bits))


@dataclass(frozen=True, slots=True)
class Scaling:
    """A scaling block: process value = slope × count + offset.

    Attributes
    ----------
    slope : float
        Process value for each count [unit of the range].
    offset : float
        Process value at no counts at all [unit of the range].
    """

    slope: float
    offset: float

    def value(self, count: Number) -> Number:
        """Process value at a count, or at an array of them [unit of the range]."""
        return self.slope * count + self.offset

    def count(self, value: Number) -> Number:
        """Count, not yet rounded, at a process value or an array of them."""
        return (value - self.offset) / self.slope


def scaling(raw_low: float, raw_high: float, lower: float, upper: float) -> Scaling:
    """Slope and offset of a scaling block for any raw limits and any range.

    Parameters
    ----------
    raw_low, raw_high : float
        Counts at 0 % and at 100 %, by the data sheet of the module.
    lower, upper : float
        Process values at 0 % and at 100 % [unit of the range].

    Returns
    -------
    Scaling
        Slope and offset.

    Raises
    ------
    NoSpan
        If the raw limits, or the ends of the range, are the same.

    Examples
    --------
    >>> block = scaling(819, 4095, -40.0, 40.0)
    >>> block.slope, block.offset, block.value(2050)
    (0.024420, -60.00, -9.94)
    """
    slope = span_between("range", lower, upper) / span_between("raw range", raw_low, raw_high)
    return Scaling(slope, lower - slope * raw_low)


def overflows(product: int, bits: int = 16, signed: bool = True) -> bool:
    """Whether a whole number is too large for a word, as on the way of a multiplication before a division.

    Parameters
    ----------
    product : int
        Result that the word has to hold.
    bits : int
        Bits of the word, 1 to 64.
    signed : bool
        Whether one of the bits is the sign.

    Returns
    -------
    bool

    Raises
    ------
    OutOfRange
        If no word has so many bits.

    Examples
    --------
    >>> overflows(2050 * 16), overflows(2050 * 15)
    (True, False)
    """
    within("bits", bits, 1, 64)
    lowest = -(2 ** (bits - 1)) if signed else 0
    return not lowest <= product <= lowest + 2**bits - 1


def whole_number_value(count: int, raw_low: int, raw_high: int, span: int, lower: int) -> int:
    """Process value by whole numbers that multiply before they divide, the rest cut off towards zero.

    Parameters
    ----------
    count, raw_low, raw_high : int
        Count, and the counts at 0 % and at 100 %.
    span, lower : int
        Span and lower range value, in whole steps of what is shown, such as tenths of a degree.

    Returns
    -------
    int
        Process value in the same steps.

    Examples
    --------
    >>> whole_number_value(2050, 819, 4095, 800, -400)
    -100
    """
    product = (count - raw_low) * span
    width = int(span_between("raw range", raw_low, raw_high))
    quotient = abs(product) // abs(width)
    return lower + (quotient if (product < 0) == (width < 0) else -quotient)
