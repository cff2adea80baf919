"""First-order response: steps, ramps, ripple, averages, and a filter run over a sampled trace.

A time constant is the time to 63.2 % of a step. Damping in seconds on a data sheet may mean something else.
"""

from __future__ import annotations

import math

import numpy as np

from trainer.calculations.elementary import exp, log, sqrt
from trainer.calculations.ranges import Array, Number, within
from trainer.calculations.signals import fraction

TINY = math.ulp(0.0)


def after_step(time: Number, time_constant: float, start: float = 0.0, end: float = 1.0) -> Number:
    """Reading some time after a step.

    Parameters
    ----------
    time : float or ndarray
        Time since the step [s].
    time_constant : float
        Time to 63.2 % of the step [s].
    start, end : float
        Readings before the step and long after it [unit of the range].

    Returns
    -------
    float or ndarray
        Reading, shape of `time` [unit of the range].

    Examples
    --------
    >>> after_step(24.0, 24.0)
    0.632
    """
    within("time constant", time_constant, TINY, math.inf, "s")
    return end - (end - start) * exp(-time / time_constant)


def time_to_fraction(fraction: Number, time_constant: float) -> Number:
    """Time until a fraction of a step is shown.

    Parameters
    ----------
    fraction : float or ndarray
        Fraction of the step, below 1: the whole of it is never shown [-].
    time_constant : float
        Time to 63.2 % of the step [s].

    Returns
    -------
    float or ndarray
        Time since the step, shape of `fraction` [s].

    Raises
    ------
    OutOfRange
        For a fraction below 0, or 1 and above.

    Examples
    --------
    >>> time_to_fraction(0.8077, 24.0)
    39.6
    """
    within("fraction of the step", fraction, 0.0, math.nextafter(1.0, 0.0))
    return -time_constant * log(1.0 - fraction)


def time_to_value(target: Number, time_constant: float, start: float, end: float) -> Number:
    """Time until a reading is met on the way from one value to another.

    Parameters
    ----------
    target : float or ndarray
        Reading waited for, between the two [unit of the range].
    time_constant : float
        Time to 63.2 % of the step [s].
    start, end : float
        Readings before the step and long after it [unit of the range].

    Returns
    -------
    float or ndarray
        Time since the step, shape of `target` [s].

    Examples
    --------
    >>> time_to_value(60.0, 24.0, 18.0, 70.0)
    39.6
    """
    return time_to_fraction(fraction(target, start, end), time_constant)


def ramp_lag(rate: Number, *time_constants: float) -> Number:
    """How far a reading trails behind a ramp that has gone on for long.

    Parameters
    ----------
    rate : float or ndarray
        Slope of the ramp [unit of the range per second].
    *time_constants : float
        Of everything in series: pocket, sensor, filter [s].

    Returns
    -------
    float or ndarray
        True value less reading, shape of `rate` [unit of the range].

    Examples
    --------
    >>> ramp_lag(2.4 / 60.0, 35.0)
    1.4
    """
    return rate * sum(time_constants)


def after_step_two_lags(time: Number, first: float, second: float) -> Number:
    """Fraction of a step shown after two lags in series, such as a pocket and a filter.

    Parameters
    ----------
    time : float or ndarray
        Time since the step [s].
    first, second : float
        Time constants, in any order; they may be equal [s].

    Returns
    -------
    float or ndarray
        Fraction of the step, shape of `time` [-].

    Examples
    --------
    >>> after_step_two_lags(20.0, 20.0, 5.0)
    0.516
    """
    within("time constant", first, TINY, math.inf, "s")
    within("time constant", second, TINY, math.inf, "s")
    if math.isclose(first, second, rel_tol=1e-6):
        mean = 0.5 * (first + second)
        return 1.0 - (1.0 + time / mean) * exp(-time / mean)
    left = first * exp(-time / first) - second * exp(-time / second)
    return 1.0 - left / (first - second)


def attenuation(frequency: Number, time_constant: float) -> Number:
    """Share of the amplitude of a sine that a first-order filter lets through.

    Parameters
    ----------
    frequency : float or ndarray
        Frequency of the ripple [Hz].
    time_constant : float
        Of the filter [s].

    Returns
    -------
    float or ndarray
        Amplitude behind the filter over amplitude before it, shape of `frequency` [-].

    Examples
    --------
    >>> 1.6 * attenuation(0.5, 0.4)
    0.996
    """
    x = 2.0 * math.pi * frequency * time_constant
    return 1.0 / sqrt(1.0 + x * x)


def averaged(deviation: Number, count: int) -> Number:
    """Standard deviation of the average of independent readings.

    Parameters
    ----------
    deviation : float or ndarray
        Standard deviation of one reading [unit of the range].
    count : int
        Readings averaged.

    Returns
    -------
    float or ndarray
        Standard deviation of the average, shape of `deviation` [unit of the range].

    Examples
    --------
    >>> averaged(0.6, 9)
    0.2
    """
    within("number of readings", count, 1, math.inf)
    return deviation / math.sqrt(count)


def filtered(times: Array, values: Array, time_constant: float, start: float | None = None) -> Array:
    """Run a first-order filter over a sampled trace: exact at the samples for straight lines between them.

    Parameters
    ----------
    times : ndarray, shape (n,)
        Times of the samples, rising [s].
    values : ndarray, shape (n,)
        Trace before the filter [unit of the range].
    time_constant : float
        Of the filter; 0 for none [s].
    start : float, optional
        What the filter holds at the first sample; the first value if left out [unit of the range].

    Returns
    -------
    ndarray, shape (n,)
        Trace behind the filter [unit of the range].

    Examples
    --------
    >>> filtered(np.array([0.0, 5.0, 10.0]), np.array([0.0, 5.0, 10.0]), 5.0).tolist()
    [0.0, 1.84, 5.68]
    """
    within("time constant", time_constant, 0.0, math.inf, "s")
    if time_constant == 0.0:
        return values.astype(float)
    steps = np.diff(times)
    lags = np.diff(values) / steps * time_constant
    kept = np.exp(-steps / time_constant)
    # Along a straight line the filter tends to trail by `lag`; what differs from that dies away.
    shown = [float(values[0]) if start is None else start]
    for before, after, lag, share in zip(
        values[:-1].tolist(), values[1:].tolist(), lags.tolist(), kept.tolist(), strict=True
    ):
        shown.append(after - lag + (shown[-1] - before + lag) * share)
    return np.array(shown)
