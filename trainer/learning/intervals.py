"""Intervals for a share of right answers and for a correlation."""

from __future__ import annotations

import math
from statistics import NormalDist
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from trainer.errors import OutOfRange

Array = NDArray[np.float64]

_ALMOST_ONE = 1.0 - 1e-15  # a perfect correlation has no finite transform


class Interval(NamedTuple):
    """The two ends of an interval."""

    low: float
    high: float


def two_sided(level: float) -> float:
    """How many standard deviations hold a share `level` of a normal distribution between them.

    Examples
    --------
    >>> two_sided(0.95)
    1.959964
    """
    return one_sided((1.0 + _level(level)) / 2.0)


def one_sided(level: float) -> float:
    """The standard normal quantile."""
    return NormalDist().inv_cdf(_level(level))


def _level(level: float) -> float:
    if not 0.0 < level < 1.0:
        raise OutOfRange("level", level, 0.0, 1.0)
    return level


def wilson(right: float, n: float, level: float = 0.95) -> Interval:
    """Wilson's score interval for a share, without a correction for continuity.

    Parameters
    ----------
    right : float
        Right answers; half marks may count half [-].
    n : float
        Answers; with none the interval is 0 to 1 [-].
    level : float
        Two-sided level [-].

    Raises
    ------
    OutOfRange
        If `right` is not within 0 to `n`, `n` is negative, or the level is not between 0 and 1.

    References
    ----------
    Wilson (1927), J. Am. Stat. Assoc. 22, 209-212. Newcombe (1998), Statistics in Medicine 17, 857-872, method 3.

    Examples
    --------
    >>> wilson(8, 10)
    Interval(low=0.4902, high=0.9433)
    """
    _counts(right, n)
    if n == 0:
        return Interval(0.0, 1.0)
    low, high = wilson_ends(right / n, n, two_sided(level))
    return Interval(float(low), float(high))


def wilson_lower(right: float, n: float, level: float = 0.90) -> float:
    """One-sided lower bound of a share after Wilson: it lies above this with the level.

    Examples
    --------
    >>> wilson_lower(7, 7)
    0.80996
    >>> wilson_lower(6, 6)
    0.78510
    """
    _counts(right, n)
    return float(wilson_ends(right / n, n, one_sided(level))[0]) if n else 0.0


def _counts(right: float, n: float) -> None:
    if not 0.0 <= n < math.inf:
        raise OutOfRange("number of answers", n, 0.0, math.inf)
    if not 0.0 <= right <= n:
        raise OutOfRange("right answers", right, 0.0, n)


def wilson_ends(share: ArrayLike, n: float, z: float) -> tuple[Array, Array]:
    """Both ends of Wilson's interval for shares of any shape, at `z` standard deviations; `n` above 0."""
    p = np.asarray(share, dtype=float)
    middle, half = 2.0 * n * p + z * z, z * np.sqrt(z * z + 4.0 * n * p * (1.0 - p))
    low, high = (middle - half) / (2.0 * (n + z * z)), (middle + half) / (2.0 * (n + z * z))
    return np.clip(np.minimum(low, p), 0.0, 1.0), np.clip(np.maximum(high, p), 0.0, 1.0)


def correlation_ends(r: ArrayLike, n: int, level: float = 0.95) -> tuple[Array, Array]:
    """Both ends of an interval for a correlation, by Fisher's transformation.

    Parameters
    ----------
    r : array_like
        Correlations, any shape; NaN stays NaN [-].
    n : int
        Pairs behind each; up to 3 say nothing, the ends are then -1 and 1 [-].
    level : float
        Two-sided level [-].

    References
    ----------
    Fisher (1921), Metron 1: artanh r is nearly normal with standard deviation 1/sqrt(n - 3).

    Examples
    --------
    >>> low, high = correlation_ends(0.5, 28)
    >>> float(low), float(high)
    (0.1560, 0.7358)
    """
    values: NDArray[Any] = np.asarray(r, dtype=float)
    half = two_sided(level) / math.sqrt(n - 3) if n > 3 else math.inf
    middle = np.arctanh(np.clip(values, -_ALMOST_ONE, _ALMOST_ONE))
    return np.tanh(middle - half), np.tanh(middle + half)
