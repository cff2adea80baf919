"""The time of day, passed in wherever it is needed; always UTC."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

Clock = Callable[[], datetime]


def utc_now() -> datetime:
    """The time now."""
    return datetime.now(UTC)


def as_utc(at: datetime) -> datetime:
    """The same moment in UTC.

    Raises
    ------
    ValueError
        If ``at`` does not say its time zone.
    """
    if at.utcoffset() is None:
        raise ValueError(f"{at.isoformat()} does not say its time zone")
    return at.astimezone(UTC)


class StoppedClock:
    """A clock that stands still until it is moved.

    Examples
    --------
    >>> clock = StoppedClock(datetime(2026, 3, 2, 7, 30, tzinfo=UTC))
    >>> clock.advance(timedelta(days=1))
    >>> print(clock())
    2026-03-03 07:30:00+00:00
    """

    def __init__(self, at: datetime) -> None:
        self._at = as_utc(at)

    def __call__(self) -> datetime:
        """The moment at which the clock stands."""
        return self._at

    def set(self, at: datetime) -> None:
        """Put the clock to a moment, earlier ones included."""
        self._at = as_utc(at)

    def advance(self, by: timedelta) -> None:
        """Move the clock on."""
        self._at += by
