"""Fault signalling by current: the bands of a 4-20 mA loop and the limits of a healthy output."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property
from typing import Any, overload

import numpy as np
from numpy.typing import NDArray

from trainer.calculations.elementary import clip
from trainer.calculations.ranges import Array, Number, within

# From the lowest current to the highest; between measuring and a fault level nothing is defined.
BANDS = ("fault low", "between", "under-range", "measuring", "over-range", "between", "fault high")


@dataclass(frozen=True)
class Levels:
    """Currents that bound measuring and faults [mA].

    A healthy output stays from `lowest` to `highest`; at `fault_low` and below, or `fault_high` and above,
    the transmitter says that its reading must not be used.
    """

    fault_low: float
    lowest: float
    zero: float
    full: float
    highest: float
    fault_high: float

    def __post_init__(self) -> None:
        edges = (self.fault_low, self.lowest, self.zero, self.full, self.highest, self.fault_high)
        if list(edges) != sorted(edges):
            raise ValueError(f"levels must rise from fault low to fault high, not {edges}")

    @cached_property
    def starts(self) -> list[float]:
        """First current of every band but the lowest [mA].

        Three bands own their upper end, so the next one starts at the next number that the machine knows.
        """
        after = [math.nextafter(end, math.inf) for end in (self.fault_low, self.full, self.highest)]
        return [after[0], self.lowest, self.zero, after[1], after[2], self.fault_high]


NE_43 = Levels(fault_low=3.6, lowest=3.8, zero=4.0, full=20.0, highest=20.5, fault_high=21.0)


@overload
def band(current: float, levels: Levels = NE_43) -> str: ...
@overload
def band(current: Array, levels: Levels = NE_43) -> NDArray[np.str_]: ...
def band(current: Any, levels: Levels = NE_43) -> Any:
    """Name the band that a current lies in.

    Parameters
    ----------
    current : float or ndarray
        Current in the loop [mA].
    levels : Levels
        Limits of measuring and fault levels [mA].

    Returns
    -------
    str or ndarray of str
        One of `BANDS`, shape of `current`.

    Raises
    ------
    OutOfRange
        If the current is not a number.

    References
    ----------
    NAMUR NE 43, edition of 2003: measuring from 3.8 to 20.5 mA, fault at 3.6 mA and below, or at 21.0 mA
    and above.

    Examples
    --------
    >>> band(20.3), band(3.5)
    ('over-range', 'fault low')
    """
    within("current", current, -math.inf, math.inf, "mA")
    if isinstance(current, np.ndarray):
        return np.array(BANDS)[np.searchsorted(levels.starts, current, side="right")]
    return BANDS[bisect_right(levels.starts, current)]


def limited(current: Number, levels: Levels = NE_43) -> Number:
    """Limit the current of a healthy output: beyond its range it runs on a little and then stands still.

    Parameters
    ----------
    current : float or ndarray
        Current that scaling alone would give [mA].
    levels : Levels
        Limits of measuring [mA].

    Returns
    -------
    float or ndarray
        Current in the loop, shape of `current` [mA].

    Examples
    --------
    >>> limited(23.0), limited(12.0), limited(1.0)
    (20.5, 12.0, 3.8)
    """
    return clip(current, levels.lowest, levels.highest)
