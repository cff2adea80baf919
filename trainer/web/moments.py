"""Moments and lengths of time as a page writes them."""

from __future__ import annotations

from datetime import datetime

from trainer.clock import here
from trainer.language import gettext, ngettext

MINUTE, HOUR, DAY = 60, 3600, 86400


def time_of_day(at: datetime) -> str:
    """A time of today, to the second."""
    return f"{here(at):%H:%M:%S %Z}"


def countdown(seconds: int) -> str:
    """How long is left, as a clock shows it.

    Examples
    --------
    >>> countdown(2530), countdown(4330), countdown(9)
    ('42:10', '1:12:10', '0:09')
    """
    minutes, rest = divmod(seconds, MINUTE)
    hours, minutes = divmod(minutes, MINUTE)
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"


def distance(at: datetime, now: datetime) -> str:
    """How far off a moment is, ahead or behind: whole days from two on, then hours, then minutes."""
    seconds = abs(int((at - now).total_seconds()))
    if seconds >= 2 * DAY:
        words = _counted(ngettext("{n} day", "{n} days", seconds // DAY), seconds // DAY)
    elif seconds >= 2 * HOUR:
        words = _counted(ngettext("{n} hour", "{n} hours", seconds // HOUR), seconds // HOUR)
    else:
        words = _counted(ngettext("{n} minute", "{n} minutes", seconds // MINUTE), seconds // MINUTE)
    return (gettext("in {length}") if at > now else gettext("{length} ago")).format(length=words)


def _counted(words: str, n: int) -> str:
    return words.format(n=n)
