"""One piece of evidence of a skill, and the day and the session it falls on at the plant."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo

SESSION_GAP = timedelta(hours=8)  # a shift: work on both sides of midnight in one night is one session


@dataclass(frozen=True)
class Evidence:
    """One unaided attempt on a fresh variant, valued 0 to 1 by its first entries.

    ``problem`` is the id of the problem the variant was drawn from: the job.
    """

    made: datetime
    value: float
    problem: str = ""

    @property
    def right(self) -> bool:
        """Whether everything was right at the first go."""
        return self.value >= 1.0


def utc(moment: datetime) -> datetime:
    """The same moment in UTC, where differences are true across a change of the clocks.

    Raises
    ------
    ValueError
        If the moment does not say its time zone.
    """
    if moment.utcoffset() is None:
        raise ValueError(f"{moment.isoformat()} does not say its time zone")
    return moment.astimezone(UTC)


def plant_day(moment: datetime, zone: tzinfo) -> date:
    """The calendar day on which a moment falls at the plant.

    Parameters
    ----------
    moment : datetime
        A moment that says its time zone.
    zone : tzinfo
        Time zone of the plant.

    Raises
    ------
    ValueError
        If the moment does not say its time zone.

    Examples
    --------
    >>> from zoneinfo import ZoneInfo
    >>> plant_day(datetime(2026, 3, 28, 23, 30, tzinfo=UTC), ZoneInfo("Europe/Amsterdam"))
    datetime.date(2026, 3, 29)
    """
    return utc(moment).astimezone(zone).date()


def sessions(moments: Iterable[datetime], zone: tzinfo, apart: timedelta = SESSION_GAP) -> list[datetime]:
    """When each session began.

    A moment begins a new session if it falls on a later day at the plant than the one on which the session
    before began, and at least `apart` after the last moment of that session.

    Parameters
    ----------
    moments : iterable of datetime
        Moments of work, in any order.
    zone : tzinfo
        Time zone of the plant.
    apart : timedelta
        Shortest pause between two sessions.

    Returns
    -------
    list of datetime
        The first moment of each session, oldest first, in UTC.

    Examples
    --------
    >>> work = [datetime(2026, 3, 2, 23, 50, tzinfo=UTC), datetime(2026, 3, 3, 0, 10, tzinfo=UTC)]
    >>> len(sessions(work, UTC)), len(sessions([*work, datetime(2026, 3, 3, 22, 0, tzinfo=UTC)], UTC))
    (1, 2)
    """
    begun: list[datetime] = []
    last: datetime | None = None
    for moment in sorted(map(utc, moments)):
        later = last is not None and moment - last >= apart and plant_day(moment, zone) > plant_day(begun[-1], zone)
        if last is None or later:
            begun.append(moment)
        last = moment
    return begun
