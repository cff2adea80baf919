"""Classical test theory from sums over learners, so that a database may do the adding up."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

_ROUNDING = 1e-12  # a variance below this part of the sum of squares is none


@dataclass(frozen=True, eq=False)
class Sums:
    """What the statistics of a set need, added up over the learners who completed it.

    Parameters
    ----------
    learners : int
        How many completed the set.
    marks : ndarray
        Sum of the marks of each item, shape (items,).
    squares : ndarray
        Sum of the squared marks of each item, shape (items,).
    products : ndarray
        Sum over learners of mark times total, for each item, shape (items,).
    total : float
        Sum of the learners' totals.
    total_squares : float
        Sum of their squares.

    Raises
    ------
    ValueError
        If the shapes do not agree.
    """

    learners: int
    marks: Array
    squares: Array
    products: Array
    total: float
    total_squares: float

    def __post_init__(self) -> None:
        if self.marks.ndim != 1 or not self.marks.shape == self.squares.shape == self.products.shape:
            raise ValueError("sums of marks, squares and products need one value an item each")

    @property
    def items(self) -> int:
        """How many items the set has."""
        return self.marks.size

    def __add__(self, other: Sums) -> Sums:
        """The sums of two groups of learners together."""
        if self.items != other.items:
            raise ValueError(f"sets of {self.items} and {other.items} items do not add up")
        return Sums(
            self.learners + other.learners,
            self.marks + other.marks,
            self.squares + other.squares,
            self.products + other.products,
            self.total + other.total,
            self.total_squares + other.total_squares,
        )


def sums(marks: ArrayLike) -> Sums:
    """Add up a table of marks.

    Parameters
    ----------
    marks : array_like
        Marks of first unaided entries, 0 to 1, shape (learners, items). A learner with a NaN has not completed the
        set and is left out.

    Raises
    ------
    ValueError
        If the table does not have two dimensions, or a mark is not within 0 to 1.

    Examples
    --------
    >>> added = sums([[1, 0], [1, 1], [0, float("nan")]])
    >>> added.learners, added.marks.tolist(), added.total_squares
    (2, [2.0, 1.0], 5.0)
    """
    table = np.asarray(marks, dtype=float)
    if table.ndim != 2:
        raise ValueError(f"a table of marks has learners and items, not {table.ndim} dimensions")
    whole = table[~np.isnan(table).any(axis=1)]
    if whole.size and not (whole.min() >= 0.0 and whole.max() <= 1.0):
        raise ValueError("marks lie within 0 to 1")
    totals = whole.sum(axis=1)
    squares = np.einsum("ij,ij->j", whole, whole)
    return Sums(len(whole), whole.sum(axis=0), squares, totals @ whole, float(totals.sum()), float(totals @ totals))


def difficulty(added: Sums) -> Array:
    """Mean mark p of each item, shape (items,); NaN without learners.

    Examples
    --------
    >>> difficulty(sums([[1, 0], [1, 1]])).tolist()
    [1.0, 0.5]
    """
    return added.marks / added.learners if added.learners else np.full(added.items, np.nan)


def item_rest_correlation(added: Sums) -> Array:
    """Correlation of each item with the rest of the set: the corrected item-total correlation r_ir.

    Returns
    -------
    ndarray
        Shape (items,) [-]; NaN where the item or the rest does not vary, as with a single item.

    References
    ----------
    Henrysson (1963), Psychometrika 28: the item must not be correlated with a total that holds it.

    Examples
    --------
    >>> item_rest_correlation(sums([[1, 1, 0], [1, 0, 1], [0, 0, 0], [1, 1, 1]])).tolist()
    [0.8165, 0.3015, 0.3015]
    """
    n = added.learners
    item = n * added.squares - added.marks * added.marks
    with_total = n * added.products - added.marks * added.total
    total = n * added.total_squares - added.total * added.total
    rest = total - 2.0 * with_total + item
    least = _ROUNDING * n * np.maximum(added.squares, added.total_squares)
    varies = (item > _ROUNDING * n * added.squares) & (rest > least)
    product = np.where(varies, item * rest, np.nan)
    return np.clip((with_total - item) / np.sqrt(product), -1.0, 1.0)


def alpha(added: Sums) -> float | None:
    """Cronbach's alpha of the set; with marks of 0 and 1 that is Kuder and Richardson's formula 20.

    Returns
    -------
    float or None
        Item and total variances with the same denominator [-]; None where the total does not vary or the set has fewer
        than two items.

    References
    ----------
    Kuder and Richardson (1937), Psychometrika 2, formula 20. Cronbach (1951), Psychometrika 16.

    Examples
    --------
    >>> alpha(sums([[1, 1, 0], [1, 0, 1], [0, 0, 0], [1, 1, 1]]))
    0.6316
    """
    n, k = added.learners, added.items
    total = n * added.total_squares - added.total**2
    if k < 2 or total <= _ROUNDING * n * added.total_squares:
        return None
    items = float((n * added.squares - added.marks * added.marks).sum())
    return k / (k - 1) * (1.0 - items / total)


def standard_error(added: Sums) -> float | None:
    """Standard error of measurement of a learner's total.

    Returns
    -------
    float or None
        Sample standard deviation of the totals times the root of 1 - alpha [marks]; None where alpha is.

    References
    ----------
    Lord and Novick (1968), Statistical Theories of Mental Test Scores, chapter 3.

    Examples
    --------
    >>> standard_error(sums([[1, 1, 0], [1, 0, 1], [0, 0, 0], [1, 1, 1]]))
    0.7638
    """
    agreement, n = alpha(added), added.learners
    if agreement is None:
        return None
    variance = (added.total_squares - added.total**2 / n) / (n - 1)
    return math.sqrt(variance * (1.0 - agreement))
