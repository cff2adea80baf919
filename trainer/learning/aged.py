"""An estimate of how a skill stands, in which old evidence weighs less."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from trainer.errors import OutOfRange
from trainer.learning.beta import beta_interval
from trainer.learning.evidence import Evidence, utc
from trainer.learning.intervals import Interval

HALF_LIFE = timedelta(days=198)
FEWEST = 5
NOT_ENOUGH = "not enough evidence"


@dataclass(frozen=True)
class AgedEstimate:
    """A Beta estimate with the number of entries behind it and the age of the newest.

    ``mean`` and ``interval`` are None where there are fewer than five entries: then the words are
    "not enough evidence", and no percentage is shown.
    """

    entries: int
    newest: timedelta | None
    a: float
    b: float
    mean: float | None = None
    interval: Interval | None = None


def weight(age: timedelta) -> float:
    """Weight of evidence of an age: 1 when new, half after 198 days; what is not yet past counts as new.

    Examples
    --------
    >>> weight(timedelta(days=198)), weight(timedelta(days=-1))
    (0.5, 1.0)
    """
    return float(2.0 ** (-max(age, timedelta()) / HALF_LIFE))


def aged_estimate(evidence: Sequence[Evidence], now: datetime, level: float = 0.95) -> AgedEstimate:
    """The aged Beta estimate of one skill, for the instructor.

    Parameters
    ----------
    evidence : sequence of Evidence
        All of one person for one skill, in any order.
    now : datetime
        The moment to judge at.
    level : float
        Share of the Beta distribution inside the interval [-].

    Returns
    -------
    AgedEstimate
        a = 1 + sum of w x, b = 1 + sum of w (1 - x), with x the value of each entry and w its weight. Ageing pulls
        both to 1, and with them the mean to 0.5 and the interval to 0..1: to "unknown", not to "bad".

    Raises
    ------
    OutOfRange
        If a value is not within 0 to 1.
    ValueError
        If a moment does not say its time zone.

    References
    ----------
    Tatel and Ackerman (2025), Psychological Bulletin: half of a gain in accuracy is gone after about 6.5 months.

    Examples
    --------
    >>> from datetime import UTC
    >>> days = [datetime(2026, 3, day, tzinfo=UTC) for day in (2, 3, 4, 5, 6)]
    >>> estimate = aged_estimate([Evidence(day, 1.0) for day in days], days[-1])
    >>> estimate.entries, estimate.mean
    (5, 0.8564)
    >>> aged_estimate([Evidence(days[0], 1.0)], days[-1]).interval is None
    True
    """
    a = b = 1.0
    for each in evidence:
        if not 0.0 <= each.value <= 1.0:
            raise OutOfRange("value of evidence", each.value, 0.0, 1.0)
        heavy = weight(utc(now) - utc(each.made))
        a, b = a + heavy * each.value, b + heavy * (1.0 - each.value)
    newest = min((utc(now) - utc(each.made) for each in evidence), default=None)
    if len(evidence) < FEWEST:
        return AgedEstimate(len(evidence), newest, a, b)
    return AgedEstimate(len(evidence), newest, a, b, a / (a + b), beta_interval(a, b, level))


def aged_course(evidence: Sequence[Evidence], moments: Sequence[datetime], level: float = 0.95) -> list[AgedEstimate]:
    """The estimate as it was at each of some moments, from what had been shown by then.

    Examples
    --------
    >>> from datetime import UTC
    >>> days = [datetime(2026, 3, day, tzinfo=UTC) for day in (2, 3, 4, 5, 6)]
    >>> [found.entries for found in aged_course([Evidence(day, 1.0) for day in days], [days[1], days[4]])]
    [2, 5]
    """
    return [aged_estimate([each for each in evidence if utc(each.made) <= utc(at)], at, level) for at in moments]
