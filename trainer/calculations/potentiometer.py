"""Position as a part of a resistance: the potentiometer, its leads and what is connected to its wiper."""

from __future__ import annotations

import math

from trainer.calculations.elementary import clip, sqrt
from trainer.calculations.ranges import Number, within


def wiper_ratio(position: Number, track: float, load: float = math.inf, lead: float = 0.0) -> Number:
    """Part of the supply voltage found between the wiper and the low end of the supply.

    Parameters
    ----------
    position : float or ndarray
        Position of the wiper along the track, 0 to 1.
    track : float
        Resistance of the whole track [Ω].
    load : float
        Resistance of the input between the wiper and the low end, the lead to the wiper included [Ω].
    lead : float
        Resistance of each of the two supply leads [Ω].

    Returns
    -------
    float or ndarray
        Voltage ratio, shape of `position`.

    Raises
    ------
    OutOfRange
        For a position off the track.

    Examples
    --------
    Half way, free, and with an input of ten times the track:

    >>> wiper_ratio(0.5, track=1000.0)
    0.5
    >>> wiper_ratio(0.5, track=1000.0, load=10_000.0)
    0.4878
    """
    within("position", position, 0.0, 1.0)
    total = track + 2.0 * lead
    below = lead + position * track
    return below / (total + below * (total - below) / load)


def wiper_position(ratio: Number, track: float, load: float = math.inf, lead: float = 0.0) -> Number:
    """Position of the wiper that gives a voltage ratio.

    Parameters
    ----------
    ratio : float or ndarray
        Part of the supply voltage between the wiper and the low end of the supply.
    track : float
        Resistance of the whole track [Ω].
    load : float
        Resistance of the input between the wiper and the low end [Ω].
    lead : float
        Resistance of each of the two supply leads [Ω].

    Returns
    -------
    float or ndarray
        Position along the track, 0 to 1, shape of `ratio`.

    Raises
    ------
    OutOfRange
        For a ratio that no position gives.

    Examples
    --------
    >>> wiper_position(0.4878, track=1000.0, load=10_000.0)
    0.500
    """
    lowest, highest = wiper_ratio(0.0, track, load, lead), wiper_ratio(1.0, track, load, lead)
    within("voltage ratio", ratio, lowest, highest)
    total = track + 2.0 * lead
    # Root of ratio/load x² + (1 - ratio total/load) x - ratio total = 0, also for an infinite load.
    linear = 1.0 - ratio * total / load
    below = 2.0 * ratio * total / (linear + sqrt(linear * linear + 4.0 * ratio * ratio * total / load))
    return clip((below - lead) / track, 0.0, 1.0)


def resistance_fraction(resistance: Number, at_zero: float, at_full: float, leads: float = 0.0) -> Number:
    """Part of its travel that a two-wire resistance sender stands at.

    Parameters
    ----------
    resistance : float or ndarray
        Resistance at the input [Ω].
    at_zero, at_full : float
        Resistance of the sender at the ends of its travel; a sender may fall as well as rise [Ω].
    leads : float
        Resistance of both leads together [Ω].

    Returns
    -------
    float or ndarray
        Fraction of travel, below 0 or above 1 beyond its ends, shape of `resistance`.

    Raises
    ------
    OutOfRange
        For less resistance than the leads have.

    Examples
    --------
    A tank sender of 240 Ω empty and 33 Ω full, and 1.5 Ω of leads:

    >>> resistance_fraction(138.0, at_zero=240.0, at_full=33.0, leads=1.5)
    0.5
    """
    within("resistance", resistance, leads, math.inf, "Ω")
    return (resistance - leads - at_zero) / (at_full - at_zero)
