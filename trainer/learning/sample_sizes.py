"""How many learners it takes to tell two things apart."""

from __future__ import annotations

import math

from trainer.errors import OutOfRange
from trainer.learning.intervals import one_sided, two_sided


def learners_needed(first: float, second: float, power: float = 0.80, level: float = 0.95) -> int:
    """How many learners each of two variants needs for a difference between their shares of right answers to show.

    Parameters
    ----------
    first, second : float
        Shares of right answers that should be told apart, within 0 to 1 [-].
    power : float
        Chance that a difference of this size is found [-].
    level : float
        Two-sided level of the comparison [-].

    Returns
    -------
    int
        Learners a variant, without a correction for continuity.

    Raises
    ------
    OutOfRange
        If a share is not within 0 to 1, or power or level are not between.
    ValueError
        If the shares are equal: no number of learners tells them apart.

    References
    ----------
    Fleiss, Levin and Paik (2003), Statistical Methods for Rates and Proportions, 3rd ed., section 4.2.

    Examples
    --------
    >>> learners_needed(0.8, 0.7)
    294
    """
    for share in (first, second):
        if not 0.0 <= share <= 1.0:
            raise OutOfRange("share of right answers", share, 0.0, 1.0)
    if first == second:
        raise ValueError("equal shares cannot be told apart")
    middle = (first + second) / 2.0
    apart = first * (1.0 - first) + second * (1.0 - second)
    reach = two_sided(level) * math.sqrt(2.0 * middle * (1.0 - middle)) + one_sided(power) * math.sqrt(apart)
    return math.ceil((reach / (first - second)) ** 2)
