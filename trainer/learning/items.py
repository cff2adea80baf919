"""What may be said of the items of a set with so many learners, and what should be looked at."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trainer.learning.intervals import Interval, correlation_ends, two_sided, wilson_ends
from trainer.learning.statistics import Array, Sums, alpha, difficulty, item_rest_correlation, standard_error

SHARES_FROM, CORRELATIONS_FROM, FLAGS_FROM = 20, 30, 50
LEAST_CORRELATION, LEAST_SHARE = 0.10, 0.30

LOOK_AT_THE_KEY, TOO_HARD, EVERYONE_RIGHT = "look at the key", "too hard", "everyone right"


@dataclass(frozen=True)
class Item:
    """One item: its sum of marks and, where there are learners enough, p and r_ir with their intervals.

    None stands for "-". "Everyone right" among the flags is information, not a fault.
    """

    marks: float
    p: float | None = None
    p_interval: Interval | None = None
    r_ir: float | None = None
    r_ir_interval: Interval | None = None
    flags: tuple[str, ...] = ()


@dataclass(frozen=True)
class ItemReport:
    """A set: its items in order, alpha and the standard error of a total; ``provisional`` holds for r_ir and alpha."""

    learners: int
    items: tuple[Item, ...]
    alpha: float | None = None
    standard_error: float | None = None
    provisional: bool = False


def item_report(added: Sums, level: float = 0.95) -> ItemReport:
    """Judge a set by as much as its number of learners carries.

    Parameters
    ----------
    added : Sums
        Sums over the learners who completed the set, first unaided entries only.
    level : float
        Two-sided level of all intervals [-].

    Returns
    -------
    ItemReport
        Below 20 learners counts only; from 20 p with its interval; from 30 r_ir and alpha as well, provisional below
        50; from 50 flags. An item is flagged only if the whole interval lies outside the good range: "look at
        the key" if r_ir lies below 0.10, "too hard" if p lies below 0.30.

    Examples
    --------
    >>> from trainer.learning.statistics import sums
    >>> report = item_report(sums([[1, 1], [1, 0]] * 30))
    >>> report.items[0].flags, report.items[1].p, report.alpha
    (('everyone right',), 0.5, 0.0)
    """
    n = added.learners
    if n < SHARES_FROM:
        return ItemReport(n, tuple(Item(float(marks)) for marks in added.marks))
    enough = n >= CORRELATIONS_FROM
    p = difficulty(added)
    r = item_rest_correlation(added) if enough else np.full(added.items, np.nan)
    p_ends = wilson_ends(p, n, two_sided(level))
    r_ends = correlation_ends(r, n, level)
    rows = zip(added.marks, p, _pairs(p_ends), r, _pairs(r_ends), strict=True)
    items = tuple(_item(n, float(marks), float(p), p_pair, float(r), r_pair) for marks, p, p_pair, r, r_pair in rows)
    if not enough:
        return ItemReport(n, items)
    return ItemReport(n, items, alpha(added), standard_error(added), n < FLAGS_FROM)


def _pairs(ends: tuple[Array, Array]) -> list[Interval]:
    return [Interval(low, high) for low, high in zip(ends[0].tolist(), ends[1].tolist(), strict=True)]


def _item(n: int, marks: float, p: float, p_pair: Interval, r: float, r_pair: Interval) -> Item:
    known = not np.isnan(r)
    flags = _flags(p, p_pair, r_pair if known else None) if n >= FLAGS_FROM else ()
    return Item(marks, p, p_pair, r if known else None, r_pair if known else None, flags)


def _flags(p: float, p_pair: Interval, r_pair: Interval | None) -> tuple[str, ...]:
    found = {
        LOOK_AT_THE_KEY: r_pair is not None and r_pair.high < LEAST_CORRELATION,
        TOO_HARD: p_pair.high < LEAST_SHARE,
        EVERYONE_RIGHT: p == 1.0,
    }
    return tuple(flag for flag, raised in found.items() if raised)
