"""The Beta distribution: the share of it below a value, its quantiles, the interval in the middle."""

from __future__ import annotations

import math

from trainer.errors import OutOfRange
from trainer.learning.intervals import Interval

_TINY = 1e-300
_CLOSE = 1e-15
_SAME = 1e-13  # the share itself is not known more closely
_TERMS = 100_000
_HALVINGS = 200
_STEEP = 600.0  # exponents beyond this give no step worth taking


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
    return front / _fraction(x, a, b)


def _fraction(x: float, a: float, b: float) -> float:
    """The continued fraction 1 + d1/(1 + d2/(1 + ...)), from the front."""
    value, upper, lower = 1.0, 1.0, 0.0
    for term in range(1, _TERMS):
        coefficient = _coefficient(term, x, a, b)
        lower = 1.0 / ((1.0 + coefficient * lower) or _TINY)
        upper = (1.0 + coefficient / upper) or _TINY
        value *= upper * lower
        if abs(upper * lower - 1.0) < _CLOSE:
            return value
    raise ArithmeticError(f"incomplete beta function of {x}, {a}, {b} has not converged")


def _coefficient(term: int, x: float, a: float, b: float) -> float:
    m = term // 2
    if term % 2:
        return -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
    return m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))


def beta_quantile(share: float, a: float, b: float) -> float:
    """Value below which a share of a Beta distribution lies.

    Newton's method between two ends that close in on the value; where a step would leave them, they are halved.

    Parameters
    ----------
    share : float
        Share below the value, 0 to 1 [-].
    a, b : float
        Parameters, above 0 [-].

    Raises
    ------
    OutOfRange
        If an argument is outside its range.

    Examples
    --------
    >>> beta_quantile(0.51, 1.0, 2.0)
    0.3
    """
    _parameters(a, b)
    if not 0.0 <= share <= 1.0:
        raise OutOfRange("share", share, 0.0, 1.0)
    if share in (0.0, 1.0):
        return share
    low, high, x = 0.0, 1.0, a / (a + b)
    for _ in range(_HALVINGS):
        excess = beta_share(x, a, b) - share
        low, high = (low, x) if excess > 0.0 else (x, high)
        aim = _newton(x, excess, a, b)
        following = aim if low < aim < high else (low + high) / 2.0
        if abs(following - x) <= _SAME * x:
            return following
        x = following
    return x


def _newton(x: float, excess: float, a: float, b: float) -> float:
    """Where Newton's step ends in ln(x/(1 - x)), in which the share is nearly a straight line over much of its rise."""
    odds = math.log(x) - math.log1p(-x)
    log_slope = a * math.log(x) + b * math.log1p(-x) - _log_beta(a, b)
    aim = odds - excess * math.exp(min(-log_slope, _STEEP))
    return 1.0 / (1.0 + math.exp(-aim)) if abs(aim) < _STEEP else math.nan


def beta_interval(a: float, b: float, level: float = 0.95) -> Interval:
    """Interval that holds a share `level` of a Beta distribution, the rest half below it and half above.

    Parameters
    ----------
    a, b : float
        Parameters, above 0 [-].
    level : float
        Share inside [-].

    Raises
    ------
    OutOfRange
        If an argument is outside its range.

    Examples
    --------
    >>> beta_interval(1.0, 1.0, 0.90)
    Interval(low=0.05, high=0.95)
    """
    if not 0.0 < level < 1.0:
        raise OutOfRange("level", level, 0.0, 1.0)
    beyond = (1.0 - level) / 2.0
    return Interval(beta_quantile(beyond, a, b), 1.0 - beta_quantile(beyond, b, a))
