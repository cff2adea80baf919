"""When a skill that is ready has to be shown again, and in which order what is due comes up."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import count

from trainer.errors import OutOfRange

WITHOUT_DATE = (1, 7, 30)
LONGEST = 180  # days between two reviews
EARLY = 3  # reviews that follow one another by one gap

NEAR, NEAR_SHARE = 21, 0.20
FAR, FAR_SHARE = 365, 0.05


@dataclass(frozen=True)
class Review:
    """A review of one skill: the safety weight of the skill, the day it was last shown, the day the review falls due.

    Raises
    ------
    ValueError
        If it falls due before or on the day the skill was last shown.
    """

    skill: str
    weight: float
    renewed: date
    due: date

    def __post_init__(self) -> None:
        if self.due <= self.renewed:
            raise ValueError(f"review of {self.skill} on {self.due} is not after {self.renewed}")

    def overdue_ratio(self, today: date) -> float:
        """Days since the skill was last shown, by the days that were planned: 1 on the day the review falls due."""
        return (today - self.renewed) / (self.due - self.renewed)


def gap_days(days_off: int) -> int:
    """Days between the first reviews of a skill that is wanted on a date.

    Parameters
    ----------
    days_off : int
        Days from the day the skill became ready to the start-up date, at least 1 [d].

    Returns
    -------
    int
        The share of `days_off` that keeps most: 0.20 up to 21 days, 0.05 from 365 days, between them falling in
        proportion to the logarithm of the days; whole days, 1 to 180 [d].

    Raises
    ------
    OutOfRange
        If the date is not ahead.

    References
    ----------
    Cepeda et al. (2008), Psychological Science 19: the best gap is about 20 % of the time to the test for a few
    weeks, about 5 % for a year.

    Examples
    --------
    >>> [gap_days(days_off) for days_off in (7, 30, 90, 365)]
    [1, 5, 11, 18]
    """
    if days_off < 1:
        raise OutOfRange("time to the start-up date", days_off, 1, math.inf, "d")
    far = math.log(days_off / NEAR) / math.log(FAR / NEAR)
    share = NEAR_SHARE + (FAR_SHARE - NEAR_SHARE) * min(1.0, max(0.0, far))
    return min(LONGEST, max(1, math.floor(days_off * share + 0.5)))


def review_days(days_off: int | None = None) -> Iterator[int]:
    """Days after a skill became ready on which it is reviewed.

    Parameters
    ----------
    days_off : int, optional
        Days from ready to the start-up date [d]; without one, or with one that is not ahead, the plan has no end.

    Yields
    ------
    int
        With a date: one, two and three gaps, then at most 180 days apart, one within the last gap before the date,
        all before the date itself. Without: 1, 7, 30, then every 180 days [d].

    Examples
    --------
    >>> list(review_days(30)), list(review_days(365))
    ([5, 10, 15, 25], [18, 36, 54, 234, 347])
    """
    return _until(days_off) if days_off is not None and days_off > 0 else _without_date()


def _without_date() -> Iterator[int]:
    yield from WITHOUT_DATE
    yield from count(WITHOUT_DATE[-1] + LONGEST, LONGEST)


def _until(days_off: int) -> Iterator[int]:
    gap = gap_days(days_off)
    day, last = 0, days_off - gap
    for _ in range(EARLY):
        if day + gap < days_off:
            day += gap
            yield day
    while day < last:
        day = min(day + LONGEST, last)
        yield day


def review_dates(ready: date, start_up: date | None = None) -> Iterator[date]:
    """The days on which a skill is reviewed that became ready on a day, towards a start-up date if there is one.

    Days are those of the calendar at the plant, so a change of the clocks moves none of them.

    Examples
    --------
    >>> [day.isoformat() for day in review_dates(date(2026, 3, 20), date(2026, 4, 3))]
    ['2026-03-23', '2026-03-26', '2026-03-29', '2026-03-31']
    """
    days_off = None if start_up is None else (start_up - ready).days
    return (ready + timedelta(days=day) for day in review_days(days_off))


def next_review(ready: date, renewed: date, start_up: date | None = None) -> date | None:
    """The first review that nothing has settled yet.

    Parameters
    ----------
    ready : date
        Day the skill became ready.
    renewed : date
        Newest day on which it was shown right or witnessed; that settles every review up to this day.
    start_up : date, optional
        Day for which it has to be kept.

    Returns
    -------
    date or None
        None if no review is left before the start-up date.

    Examples
    --------
    >>> next_review(date(2026, 3, 2), date(2026, 3, 4)), next_review(date(2026, 3, 2), date(2026, 3, 12))
    (datetime.date(2026, 3, 9), datetime.date(2026, 4, 1))
    """
    return next((day for day in review_dates(ready, start_up) if day > renewed), None)


def due_list(reviews: Iterable[Review], today: date) -> list[Review]:
    """The reviews that are due: the heaviest in safety first, among equals the one most overdue for its gap.

    Examples
    --------
    >>> monday, friday = date(2026, 3, 2), date(2026, 3, 6)
    >>> rows = [Review("S1.2", 1, monday, date(2026, 3, 3)), Review("S4.3", 2, monday, friday)]
    >>> [row.skill for row in due_list(rows, friday)]
    ['S4.3', 'S1.2']
    """
    due = [review for review in reviews if review.due <= today]
    return sorted(due, key=lambda row: (-row.weight, -row.overdue_ratio(today), row.due, row.skill))
