"""The Beta distribution: the share of it below a value, its quantiles, the interval in the middle."""

from __future__ import annotations

import math

from trainer.errors import OutOfRange
from trainer.learning.intervals import Interval

_TINY = 1e-300
_CLOSE = 1e-15
_TERMS = 100_000


def beta_share(x: float, a: float, b: float) -> float:
    """Share of a Beta distribution below a value: the regularized incomplete beta function.

    Parameters
    ----------
    x : float
        Value, 0 to 1 [-].
    a, b : float
        Parameters, above 0 [-].

    Raises
    ------
    OutOfRange
        If an argument is outside its range.

    References
    ----------
    NIST Digital Library of Mathematical Functions, 8.17.22 (continued fraction), 8.17.4 (symmetry); summed after
    Thompson and Barnett (1986), J. Comput. Phys. 64.

    Examples
    --------
    >>> beta_share(0.3, 1.0, 2.0)
    0.51
    """
    _parameters(a, b)
    if not 0.0 <= x <= 1.0:
        raise OutOfRange("value", x, 0.0, 1.0)
    if x in (0.0, 1.0):
        return x
    if x > (a + 1.0) / (a + b + 2.0):  # beyond, the fraction converges for the other tail
        return 1.0 - _lower_tail(1.0 - x, b, a)
    return _lower_tail(x, a, b)


def _parameters(a: float, b: float) -> None:
    for name, value in (("a", a), ("b", b)):
        if not 0.0 < value < math.inf:
            raise OutOfRange(f"Beta parameter {name}", value, 0.0, math.inf)


def _log_beta(a: float, b: float) -> float:
    return math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)


def _lower_tail(x: float, a: float, b: float) -> float:
    front = math.exp(a * math.log(x) + b * math.log1p(-x) - _log_beta(a, b)) / a
    return front * _fraction(x, a, b)


def _fraction(x: float, a: float, b: float) -> float:
    """Sum 1/(1 + d1/(1 + d2/(1 + ...))) forwards, each factor a step of the ratio of two neighbors."""
    value, upper, lower = 1.0, 1.0, 0.0
    for term in range(_TERMS):
        step = 1.0 if term == 0 else _coefficient(term, x, a, b)
        lower = 1.0 / (1.0 + step * lower if term else 1.0)
        upper = 1.0 + step / upper if term else math.inf
        factor = lower * upper if term else 1.0
        value *= factor
        if term and abs(factor - 1.0) < _CLOSE:
            return 1.0 / value
    raise ArithmeticError(f"incomplete beta function of {x}, {a}, {b} has not converged")


def _coefficient(term: int, x: float, a: float, b: float) -> float:
    m = term // 2
    if term % 2:
        return -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
    return m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
