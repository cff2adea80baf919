"""Flow from differential pressure: square-root extraction with its cut-off, and the way back."""

from __future__ import annotations

import math

from trainer.calculations.elementary import clip, sqrt
from trainer.calculations.ranges import Number, within


def flow_fraction(pressure_fraction: Number, cut_off: float = 0.0) -> Number:
    """Fraction of full flow at a fraction of full differential pressure.

    Below nothing there is no root to take: a slightly negative pressure counts as no flow.

    Parameters
    ----------
    pressure_fraction : float or ndarray
        Differential pressure as a fraction of its span [-].
    cut_off : float
        Flow below this fraction of full flow is shown as none [-].

    Returns
    -------
    float or ndarray
        Flow as a fraction of full flow, shape of `pressure_fraction` [-].

    Raises
    ------
    OutOfRange
        If the cut-off is not a fraction.

    Examples
    --------
    >>> flow_fraction(0.25)
    0.5
    >>> flow_fraction(0.002, cut_off=0.05)
    0.0
    """
    within("cut-off", cut_off, 0.0, 1.0)
    flow = sqrt(clip(pressure_fraction, 0.0, math.inf))
    return flow * (flow >= cut_off)


def pressure_fraction(flow_fraction: Number) -> Number:
    """Fraction of full differential pressure at a fraction of full flow: the way back.

    Parameters
    ----------
    flow_fraction : float or ndarray
        Flow as a fraction of full flow [-].

    Returns
    -------
    float or ndarray
        Differential pressure as a fraction of its span, shape of `flow_fraction` [-].

    Examples
    --------
    >>> pressure_fraction(0.5)
    0.25
    """
    return flow_fraction * flow_fraction
