"""The range in which a calculation is defined, for one value and for arrays."""

from __future__ import annotations

from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from trainer.errors import OutOfRange

Array = NDArray[np.float64]
Number = TypeVar("Number", float, Array)


def within(
    quantity: str,
    value: float | NDArray[Any],
    lowest: float,
    highest: float,
    unit: str = "",
    slack: float = 0.0,
) -> None:
    """Refuse a value outside its range, both ends included; not-a-number is outside every range.

    Parameters
    ----------
    quantity : str
        What the value is, as the message names it.
    value : float or ndarray
        One value or an array of any shape [unit].
    lowest, highest : float
        Ends of the range, both allowed [unit].
    unit : str
        Unit of the value and of the range.
    slack : float
        How far beyond the ends a rounded value is still taken; the message keeps to the ends [unit].

    Raises
    ------
    OutOfRange
        With the value, or for an array with the first value found outside.

    Examples
    --------
    >>> within("temperature", 850.0, -200.0, 850.0, "°C")
    >>> within("temperature", np.array([20.0, 900.0]), -200.0, 850.0, "°C")
    Traceback (most recent call last):
        ...
    trainer.errors.OutOfRange: temperature 900 °C is outside -200 to 850 °C
    """
    if isinstance(value, np.ndarray):
        outside = value[~((lowest - slack <= value) & (value <= highest + slack))]
        if outside.size:
            raise OutOfRange(quantity, float(outside[0]), lowest, highest, unit)
    elif not lowest - slack <= value <= highest + slack:
        raise OutOfRange(quantity, float(value), lowest, highest, unit)


def checked(quantity: str, value: float, lowest: float, highest: float, unit: str = "") -> float:
    """The value itself, if it lies in its range: a result that may have run away, in the middle of an expression.

    Parameters
    ----------
    quantity, value, lowest, highest, unit
        As `within` takes them, one value only.

    Returns
    -------
    float
        The value [unit].

    Raises
    ------
    OutOfRange
        If it lies outside.

    Examples
    --------
    >>> checked("resistance", 4700.0, 0.1, 1e9, "Ω")
    4700.0
    """
    within(quantity, value, lowest, highest, unit)
    return value
