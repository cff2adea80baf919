"""The functions that an expression may call besides the calculations: on numbers, rows and tables of settings."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

CELLS_AT_MOST = 2000  # of a row, those of the rows in it included


def each(row: Sequence[float]) -> NDArray[np.float64]:
    """A row to work with cell by cell: arithmetic and calculations take all of its cells at once.

    Examples
    --------
    >>> row(each((4.0, 8.01)) / 16 * 100, 1)
    (25.0, 50.1)
    """
    if len(row) > CELLS_AT_MOST or not all(isinstance(cell, int | float) for cell in row):
        raise TypeError(f"each takes a row of at most {CELLS_AT_MOST} numbers")
    return np.array(row, dtype=float)


def row(cells: NDArray[Any], decimals: float | None = None) -> tuple[float, ...]:
    """What was worked cell by cell as a row again, rounded where decimals are given.

    Examples
    --------
    >>> row(each((4.03, 8.01)) - 4.0, 1)
    (0.0, 4.0)
    """
    values = (float(cell) for cell in cells)
    return tuple(values) if decimals is None else tuple(round(value, int(decimals)) for value in values)


def last_up_to(settings: Mapping[str, float], limit: float, otherwise: str | None = None) -> str | None:
    """The last of the settings of a rising table that is not above a limit.

    Examples
    --------
    >>> last_up_to({"10 s": 10.0, "30 s": 30.0}, 29.0), last_up_to({"10 s": 10.0, "30 s": 30.0}, 9.0, "none")
    ('10 s', 'none')
    """
    return next((name for name, setting in reversed(list(settings.items())) if setting <= limit), otherwise)


def first_from(settings: Mapping[str, float], limit: float, otherwise: str | None = None) -> str | None:
    """The first of the settings of a rising table that is not below a limit.

    Examples
    --------
    >>> first_from({"10 s": 10.0, "30 s": 30.0}, 11.0), first_from({"10 s": 10.0, "30 s": 30.0}, 31.0, "none")
    ('30 s', 'none')
    """
    return next((name for name, setting in settings.items() if setting >= limit), otherwise)


def _defined(function: Callable[[float], float]) -> Callable[[float], float]:
    """A function whose value is asked where it has none: an error of arithmetic, as a division by zero is."""

    def work(x: float) -> float:
        try:
            return function(x)
        except ValueError as fault:
            raise ArithmeticError(f"{function.__name__} of {x:g} is not defined") from fault

    return work


def _rounded(x: float, decimals: float = 0.0) -> float:
    """Rounded as a float: a whole number would be rounded by a power of ten of any size."""
    return round(float(x), int(decimals))


FUNCTIONS: Mapping[str, Callable[..., Any]] = {
    "abs": abs,
    "min": min,
    "max": max,
    "sqrt": _defined(math.sqrt),
    "exp": math.exp,
    "log": _defined(math.log),
    "log10": _defined(math.log10),
    "sin": math.sin,
    "floor": math.floor,
    "ceil": math.ceil,
    "each": each,
    "first_from": first_from,
    "last_up_to": last_up_to,
    "row": row,
    "round": _rounded,
}
