"""Measurement uncertainty after the Guide: from what is stated to standard uncertainties, and back to limits.

References
----------
JCGM 100:2008, Evaluation of measurement data, Guide to the expression of uncertainty in measurement (GUM).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from trainer.calculations.ranges import Array, Number, within

TINY = math.ulp(0.0)


def from_expanded(expanded: Number, coverage: float = 2.0) -> Number:
    """Standard uncertainty of a certificate that states an expanded one.

    Parameters
    ----------
    expanded : float or ndarray
        Expanded uncertainty [any unit].
    coverage : float
        Coverage factor k that the certificate states [-].

    Returns
    -------
    float or ndarray
        Standard uncertainty, shape of `expanded` [same unit].

    Examples
    --------
    >>> from_expanded(0.30)
    0.15
    """
    within("coverage factor", coverage, TINY, math.inf)
    return expanded / coverage


def from_limits(half_width: Number) -> Number:
    """Standard uncertainty of a value that may lie anywhere between two limits (rectangular distribution).

    Parameters
    ----------
    half_width : float or ndarray
        Half the distance of the limits [any unit].

    Returns
    -------
    float or ndarray
        Standard uncertainty, shape of `half_width` [same unit].

    References
    ----------
    JCGM 100:2008, 4.3.7.

    Examples
    --------
    >>> from_limits(0.24)
    0.1386
    """
    return half_width / math.sqrt(3.0)


def from_resolution(step: Number) -> Number:
    """Standard uncertainty of a display: its rounding hides up to half a step on either side.

    Parameters
    ----------
    step : float or ndarray
        Smallest step of the display [any unit].

    Returns
    -------
    float or ndarray
        Standard uncertainty, shape of `step` [same unit].

    References
    ----------
    JCGM 100:2008, F.2.2.1.

    Examples
    --------
    >>> from_resolution(0.1)
    0.0289
    """
    return step / math.sqrt(12.0)


def deviation(readings: Array) -> float:
    """Experimental standard deviation of repeated independent readings.

    Parameters
    ----------
    readings : ndarray, shape (n,)
        At least two readings [any unit].

    Returns
    -------
    float
        Spread of single readings about their mean [same unit].

    References
    ----------
    JCGM 100:2008, 4.2.2.

    Examples
    --------
    >>> deviation(np.array([5.007, 4.994, 5.005, 4.990, 4.999]))
    0.00718
    """
    within("number of readings", readings.size, 2, math.inf)
    return float(readings.std(ddof=1))


class Mean(NamedTuple):
    """Mean of repeated readings and its standard uncertainty [unit of the readings]."""

    value: float
    uncertainty: float


def from_readings(readings: Array) -> Mean:
    """Mean of repeated independent readings with its standard uncertainty (type A).

    Parameters
    ----------
    readings : ndarray, shape (n,)
        At least two readings [any unit].

    Returns
    -------
    Mean

    References
    ----------
    JCGM 100:2008, 4.2.1 to 4.2.3.

    Examples
    --------
    >>> from_readings(np.array([5.007, 4.994, 5.005, 4.990, 4.999]))
    Mean(value=4.999, uncertainty=0.0032)
    """
    return Mean(float(readings.mean()), deviation(readings) / math.sqrt(readings.size))


def combined(
    uncertainties: Sequence[float], sensitivities: Sequence[float] | None = None, correlation: Array | None = None
) -> float:
    """Combined standard uncertainty.

    Parameters
    ----------
    uncertainties : sequence of n floats
        Standard uncertainties of the inputs [unit of each input].
    sensitivities : sequence of n floats, optional
        Change of the result for one unit of each input; all 1 if left out.
    correlation : ndarray, shape (n, n), optional
        Correlation coefficients of the inputs; none if left out [-].

    Returns
    -------
    float
        Combined standard uncertainty of the result [unit of the result].

    References
    ----------
    JCGM 100:2008, 5.1.2 (root sum of squares) and 5.2.2 (correlated inputs).

    Examples
    --------
    >>> combined([0.1500, 0.1386, 0.0289])
    0.2062
    """
    if sensitivities is None:
        sensitivities = [1.0] * len(uncertainties)
    terms = [c * u for c, u in zip(sensitivities, uncertainties, strict=True)]
    if correlation is None:
        return math.hypot(*terms)
    return math.sqrt(float(np.array(terms) @ correlation @ np.array(terms)))


def degrees_of_freedom(terms: Sequence[float], freedoms: Sequence[float]) -> float:
    """Effective degrees of freedom of a combined standard uncertainty (Welch and Satterthwaite).

    Parameters
    ----------
    terms : sequence of n floats
        Contributions to the result, sensitivity times standard uncertainty [unit of the result].
    freedoms : sequence of n floats
        Degrees of freedom of each, infinite for limits that are sure [-].

    Returns
    -------
    float
        Effective degrees of freedom, to be cut off to a whole number [-].

    References
    ----------
    JCGM 100:2008, G.4.1, equation G.2b.

    Examples
    --------
    >>> degrees_of_freedom([3.0, 4.0], [9.0, 16.0])
    25.0
    """
    share = sum(term**4 / freedom for term, freedom in zip(terms, freedoms, strict=True))
    return math.hypot(*terms) ** 4 / share if share else math.inf


def expanded(combined: Number, coverage: float = 2.0) -> Number:
    """Expanded uncertainty; with k = 2 about 95 % of values lie within it.

    Parameters
    ----------
    combined : float or ndarray
        Combined standard uncertainty [any unit].
    coverage : float
        Coverage factor k [-].

    Returns
    -------
    float or ndarray
        Expanded uncertainty, shape of `combined` [same unit].

    Examples
    --------
    >>> expanded(0.2062)
    0.4124
    """
    return coverage * combined


def uncertainty_ratio(tolerance: Number, expanded: float) -> Number:
    """How many times the tolerance of what is tested holds the uncertainty of the test.

    Parameters
    ----------
    tolerance : float or ndarray
        Error allowed on either side [any unit].
    expanded : float
        Expanded uncertainty of the test [same unit].

    Returns
    -------
    float or ndarray
        Ratio, shape of `tolerance`; 4 or more is common practice [-].

    Examples
    --------
    >>> uncertainty_ratio(1.5, 0.4124)
    3.6
    """
    within("expanded uncertainty", expanded, TINY, math.inf)
    return tolerance / expanded


def acceptance_limit(tolerance: float, expanded: float, decimals: int | None = None) -> float:
    """Limit to judge by when the uncertainty is kept clear of the tolerance: a guard band of its full width.

    Parameters
    ----------
    tolerance : float
        Error allowed on either side [any unit].
    expanded : float
        Expanded uncertainty of the test [same unit].
    decimals : int, optional
        Decimals that the limit is rounded down to; exact if left out.

    Returns
    -------
    float
        Greatest error that is accepted; negative if the test can accept nothing [same unit].

    Examples
    --------
    >>> acceptance_limit(1.5, 0.4124, decimals=2)
    1.08
    """
    limit = tolerance - expanded
    if decimals is None:
        return limit
    scale = 10.0**decimals
    # A limit of 0.3 less 0.1 is 0.2 to the person who reads it, and not to be rounded down to 0.1.
    return math.floor(round(limit * scale, 6)) / scale
