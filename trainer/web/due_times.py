"""When a set is due: typed in a box for the day and one for the time, said with its day of the week."""

from __future__ import annotations

import re
from datetime import datetime

from trainer.clock import here, zone
from trainer.errors import TrainerError
from trainer.language import gettext

_DATE, _TIME = re.compile(r"2[0-9]{3}-[0-9]{2}-[0-9]{2}"), re.compile(r"[0-9]{2}:[0-9]{2}")


def due_words(at: datetime) -> str:
    """A moment with its day of the week.

    Examples
    --------
    >>> from datetime import UTC
    >>> due_words(datetime(2026, 11, 27, 15, 0, tzinfo=UTC))
    'Friday 27 November 2026 15:00 UTC'
    """
    days = (
        gettext("Monday"),
        gettext("Tuesday"),
        gettext("Wednesday"),
        gettext("Thursday"),
        gettext("Friday"),
        gettext("Saturday"),
        gettext("Sunday"),
    )
    months = (
        gettext("January"),
        gettext("February"),
        gettext("March"),
        gettext("April"),
        gettext("May"),
        gettext("June"),
        gettext("July"),
        gettext("August"),
        gettext("September"),
        gettext("October"),
        gettext("November"),
        gettext("December"),
    )
    local = here(at)
    said = gettext("{weekday} {day} {month} {year} {time} {zone}")
    return said.format(
        weekday=days[local.weekday()],
        day=local.day,
        month=months[local.month - 1],
        year=local.year,
        time=f"{local:%H:%M}",
        zone=f"{local:%Z}",
    )


def date_text(at: datetime | None) -> str:
    """A moment's day as the box for a date takes it."""
    return f"{here(at):%Y-%m-%d}" if at else ""


def time_text(at: datetime | None) -> str:
    """A moment's time of day as the box for a time takes it."""
    return f"{here(at):%H:%M}" if at else ""


def read_moment(date: str, time: str) -> datetime | None:
    """The moment that is typed in two boxes, or none where both are empty.

    Raises
    ------
    TrainerError
        If it is not a day and a time of day.

    Examples
    --------
    >>> print(read_moment("2026-11-27", "15:00"), read_moment("", " "))
    2026-11-27 15:00:00+00:00 None
    """
    date, time = date.strip(), time.strip()
    if not date and not time:
        return None
    if not (date and time):
        raise TrainerError(gettext("Give the day and the time, or neither."))
    if not (_DATE.fullmatch(date) and _TIME.fullmatch(time)):
        raise TrainerError(gettext("Write the day like 2026-11-27 and the time like 15:00."))
    try:
        return datetime.fromisoformat(f"{date}T{time}").replace(tzinfo=zone())
    except ValueError as unknown:
        raise TrainerError(gettext("There is no such day or time.")) from unknown
