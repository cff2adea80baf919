"""The kinds of value a step can have, and when two values of a kind are the same."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from graphlib import TopologicalSorter
from itertools import pairwise
from typing import Any, Literal

Kind = Literal["number", "row", "choice", "several", "order", "states"]
Value = float | str | tuple[float, ...] | tuple[str, ...] | tuple[tuple[str, ...], ...]


def near(a: float, b: float, tolerance: float) -> bool:
    """Whether two numbers agree within a tolerance, with a hair's breadth for floating point.

    Examples
    --------
    >>> (11.2 - 4) / 16 * 250
    112.49999999999999
    >>> near((11.2 - 4) / 16 * 250, 112.5, 0.0)
    True
    """
    return abs(a - b) <= tolerance + 1e-9 * max(1.0, abs(b))


def same(kind: Kind, typed: Any, value: Any, tolerance: float) -> bool:
    """Whether a typed value agrees with a right one or a slip's.

    Numbers agree within the tolerance, words exactly, some of several in any order. The value of an order is a
    tuple of chains; an order agrees when it keeps every chain, so that what may be swapped is left free.

    Examples
    --------
    >>> same("row", (4.0, 8.01), (4.0, 8.0), 0.02), same("several", ("b", "a"), ("a", "b"), 0)
    (True, True)
    >>> same("order", ("tell", "lock", "try", "work"), (("lock", "try", "work"), ("tell", "work")), 0)
    True
    """
    if kind == "number":
        return near(typed, value, tolerance)
    if kind == "row":
        return len(typed) == len(value) and all(near(x, y, tolerance) for x, y in zip(typed, value, strict=True))
    if kind == "several":
        return set(typed) == set(value)
    if kind == "order":
        return all(keeps(typed, chain) for chain in value)
    return bool(typed == value)


def alike(kind: Kind, a: Any, b: Any, tolerance: float) -> bool:
    """Whether two values of a step, none of them typed, agree; orders agree when they have the same chains."""
    return bool(a == b) if kind == "order" else same(kind, a, b, tolerance)


def one_order(options: Iterable[str], chains: Iterable[Sequence[str]]) -> tuple[str, ...]:
    """An order of all options that keeps every chain; there may be others.

    Examples
    --------
    >>> one_order(("work", "try", "lock"), (("lock", "try", "work"),))
    ('lock', 'try', 'work')
    """
    before: dict[str, list[str]] = {option: [] for option in options}
    for chain in chains:
        for first, second in pairwise(chain):
            before.setdefault(second, []).append(first)
    return tuple(TopologicalSorter(before).static_order())


def keeps(order: Sequence[str], chain: Sequence[str]) -> bool:
    """Whether an order has the links of a chain in the chain's order."""
    places = [order.index(link) for link in chain]
    return places == sorted(places)


def differing(kind: Kind, a: Sequence[Any], b: Sequence[Any], tolerance: float) -> list[int]:
    """Positions at which two rows or sequences of equal length differ."""
    cell: Kind = "number" if kind == "row" else "choice"
    return [i for i, (x, y) in enumerate(zip(a, b, strict=True)) if not same(cell, x, y, tolerance)]


def frozen(value: Any) -> Any:
    """Lists, as JSON gives them back, as the tuples they were."""
    return tuple(map(frozen, value)) if isinstance(value, list) else value


def is_plain(value: Any) -> bool:
    """Whether a value can stand in a box: no complex, infinite or undefined number."""
    if isinstance(value, tuple):
        return all(map(is_plain, value))
    return isinstance(value, str) or (isinstance(value, int | float) and math.isfinite(value))
