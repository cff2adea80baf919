"""How well "how sure are you" agrees with how often it was right."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from trainer.learning.intervals import Interval, wilson

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Stated:
    """One stated confidence: how often it was stated, how often the entry was then right, as a share with interval."""

    confidence: float
    entries: int
    right: int
    share: float
    interval: Interval


@dataclass(frozen=True)
class Brier:
    """A Brier score and its parts: score = reliability - resolution + uncertainty.

    The score is the mean squared difference of confidence and outcome: 0 at best, 1 at worst, 0.25 for who always
    says one half. Reliability is how far the stated confidences lie from the shares that were right (0 is best),
    resolution how well they tell right from wrong (more is better), uncertainty depends on the share right alone.
    ``overconfidence`` is mean confidence less share right: above 0 is too sure.
    """

    entries: int
    score: float
    reliability: float
    resolution: float
    uncertainty: float
    overconfidence: float


def brier(confidence: ArrayLike, right: ArrayLike) -> Brier | None:
    """The Brier score of stated confidences with its parts.

    Parameters
    ----------
    confidence : array_like
        Stated confidences, 0 to 1, shape (entries,) [-]. Entries with the same number form a group.
    right : array_like
        Whether each entry was right, 0 or 1, shape (entries,).

    Returns
    -------
    Brier or None
        None without entries.

    Raises
    ------
    ValueError
        If the shapes differ, a confidence is not within 0 to 1, or an outcome is not 0 or 1.

    References
    ----------
    Brier (1950), Monthly Weather Review 78, 1-3 (there summed over both outcomes, hence twice this score).
    Murphy (1973), J. Appl. Meteorology 12, 595-600.

    Examples
    --------
    >>> parts = brier([0.9, 0.9, 0.6, 0.6], [1, 1, 1, 0])
    >>> parts.score, parts.reliability, parts.resolution, parts.uncertainty
    (0.135, 0.01, 0.0625, 0.1875)
    """
    said, outcome = _checked(confidence, right)
    if not said.size:
        return None
    values, counts, shares = _groups(said, outcome)
    overall = float(outcome.mean())
    return Brier(
        entries=said.size,
        score=float(((said - outcome) ** 2).mean()),
        reliability=float(counts @ (values - shares) ** 2 / said.size),
        resolution=float(counts @ (shares - overall) ** 2 / said.size),
        uncertainty=overall * (1.0 - overall),
        overconfidence=float(said.mean()) - overall,
    )


def by_confidence(confidence: ArrayLike, right: ArrayLike, level: float = 0.95) -> list[Stated]:
    """Each stated confidence with the share that was right, from the least sure to the surest.

    Examples
    --------
    >>> [(row.confidence, row.right, row.entries) for row in by_confidence([0.9, 0.6, 0.9], [1, 0, 1])]
    [(0.6, 0, 1), (0.9, 2, 2)]
    """
    groups = _groups(*_checked(confidence, right))
    rows = zip(*(column.tolist() for column in groups), strict=True)
    return [
        Stated(value, int(n), round(n * share), share, wilson(round(n * share), n, level)) for value, n, share in rows
    ]


def _checked(confidence: ArrayLike, right: ArrayLike) -> tuple[Array, Array]:
    said, outcome = np.asarray(confidence, dtype=float), np.asarray(right, dtype=float)
    if said.ndim != 1 or said.shape != outcome.shape:
        raise ValueError("confidences and outcomes need one value an entry each")
    if not ((said >= 0.0) & (said <= 1.0)).all():
        raise ValueError("confidences lie within 0 to 1")
    if not np.isin(outcome, (0.0, 1.0)).all():
        raise ValueError("outcomes are 0 or 1")
    return said, outcome


def _groups(said: Array, outcome: Array) -> tuple[Array, Array, Array]:
    """Each confidence stated, how often, and the share that was right."""
    values, group, counts = np.unique(said, return_inverse=True, return_counts=True)
    return values, counts.astype(float), np.bincount(group, weights=outcome, minlength=values.size) / counts
