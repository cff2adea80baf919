"""How far a typed value may be from the true one: always absolute, always printed in the problem."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

NEAREST = ((1, math.sqrt(2)), (2, math.sqrt(10)), (5, math.sqrt(50)), (10, math.inf))
Tolerance = Callable[[Mapping[str, Any], Any], float]


def absolute(amount: float) -> Tolerance:
    """The same amount whatever the numbers."""
    return lambda values, right: amount


EXACT = absolute(0.0)


def of_span(percent: float, lower: str = "lower", upper: str = "upper") -> Tolerance:
    """A percentage of the distance between two givens."""
    return lambda values, right: two_figures(abs(values[upper] - values[lower]) * percent / 100)


def share_of(name: str, share: float) -> Tolerance:
    """A share of a given, as 0.02 Ω on a 100 Ω sensor and 0.2 Ω on a 1000 Ω one."""
    return lambda values, right: two_figures(abs(values[name]) * share)


def relative(percent: float, at_least: float) -> Tolerance:
    """A percentage of the right value, but never less than an amount.

    It is printed beside the box, so it goes in steps of 1, 2 and 5: a finer figure would give the answer away.
    """
    return lambda values, right: max(at_least, stepped(abs(right) * percent / 100))


def two_figures(amount: float) -> float:
    """Round to two significant figures, so that the tolerance used is the one printed.

    Examples
    --------
    >>> two_figures(0.2437), two_figures(80 * 0.003), two_figures(0.0)
    (0.24, 0.24, 0.0)
    """
    if amount == 0:
        return 0.0
    return round(amount, 1 - math.floor(math.log10(abs(amount))))


def stepped(amount: float) -> float:
    """The nearest of 1, 2 and 5 times a power of ten, by ratio.

    Examples
    --------
    >>> stepped(0.074), stepped(2.1), stepped(0.13), stepped(8.0), stepped(0.0)
    (0.1, 2.0, 0.1, 10.0, 0.0)
    """
    if amount == 0:
        return 0.0
    power = math.floor(math.log10(abs(amount)))
    digit = next(step for step, end in NEAREST if abs(amount) < end * 10.0**power)
    return round(digit * 10.0**power, 1 - power)


def decimals_for(tolerance: float) -> int:
    """Decimals that a value needs so that its rounding stays inside the tolerance.

    Examples
    --------
    >>> [decimals_for(t) for t in (0.04, 0.001, 0.24, 2.0)]
    [2, 3, 1, 0]
    """
    return max(0, math.ceil(-math.log10(tolerance) - 1e-9)) if tolerance > 0 else 2
