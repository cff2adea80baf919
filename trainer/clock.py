"""The time of day, passed in wherever it is needed and always UTC; and the zone in which people read and write it."""

from __future__ import annotations

from collections.abc import Callable
from contextvars import ContextVar
from datetime import UTC, datetime, timedelta, tzinfo
from zoneinfo import ZoneInfo

from trainer.errors import TrainerError

Clock = Callable[[], datetime]
_zone: ContextVar[tzinfo] = ContextVar("zone", default=UTC)


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


def zone() -> tzinfo:
    """The zone in which people read and write times, in this context."""
    return _zone.get()


def live_in(place: tzinfo) -> None:
    """Show and read times in a zone from here on in this context: one request, one command."""
    _zone.set(place)


def find_zone(name: str = "") -> tzinfo:
    """The zone of an IANA name; without one that of this machine.

    Raises
    ------
    TrainerError
        If there is no such zone.

    Examples
    --------
    >>> at = datetime(2026, 3, 29, 0, 59, tzinfo=UTC)
    >>> print(at.astimezone(find_zone("Europe/Riga")))
    2026-03-29 02:59:00+02:00
    """
    if not name:
        import tzlocal

        return tzlocal.get_localzone()
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError) as unknown:  # no file of that name, or no name for a file
        raise TrainerError(f"zone {name!r} is not known; write it like 'Europe/Riga'") from unknown


def here(at: datetime) -> datetime:
    """The same moment as the clock on the wall shows it."""
    return as_utc(at).astimezone(zone())


def moment(at: datetime) -> str:
    """A moment to the minute, with the name of its zone.

    Examples
    --------
    >>> moment(datetime(2026, 11, 27, 15, 0, tzinfo=UTC))
    '2026-11-27 15:00 UTC'
    """
    return f"{here(at):%Y-%m-%d %H:%M %Z}"


def day(at: datetime) -> str:
    """The day of a moment."""
    return f"{here(at):%Y-%m-%d}"


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
