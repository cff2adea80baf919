"""Elementary functions that take one value by plain Python and an array by numpy.

Numpy on a single value is some thirty times slower than plain Python; the calculations serve both.
"""

from __future__ import annotations

import math

import numpy as np

from trainer.calculations.ranges import Number


def exp(x: Number) -> Number:
    """e to the power x, element by element."""
    if isinstance(x, np.ndarray):
        return np.exp(x)
    return math.exp(x)


def log(x: Number) -> Number:
    """Natural logarithm, element by element."""
    if isinstance(x, np.ndarray):
        return np.log(x)
    return math.log(x)


def sqrt(x: Number) -> Number:
    """Square root, element by element."""
    if isinstance(x, np.ndarray):
        return np.sqrt(x)
    return math.sqrt(x)


def clip(x: Number, lowest: float, highest: float) -> Number:
    """Put the nearer end in place of what lies beyond it, element by element."""
    if isinstance(x, np.ndarray):
        return np.clip(x, lowest, highest)
    return min(max(x, lowest), highest)
