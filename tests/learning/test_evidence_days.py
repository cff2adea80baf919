"""Days and sessions at the plant."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.learning.evidence import plant_day, sessions

AMSTERDAM, NEW_YORK = ZoneInfo("Europe/Amsterdam"), ZoneInfo("America/New_York")


# Clocks in the European Union change at 01:00 UTC on the last Sundays of March and October (directive 2000/84/EC):
# 2026-03-29 and 2026-10-25; in New York at 02:00 local on the first Sunday of November: 2026-11-01.
@pytest.mark.parametrize(
    ("moment", "zone", "day"),
    [
        (datetime(2026, 3, 28, 22, 59, tzinfo=UTC), AMSTERDAM, date(2026, 3, 28)),
        (datetime(2026, 3, 28, 23, 0, tzinfo=UTC), AMSTERDAM, date(2026, 3, 29)),
        (datetime(2026, 3, 29, 21, 59, tzinfo=UTC), AMSTERDAM, date(2026, 3, 29)),  # a day of 23 hours
        (datetime(2026, 3, 29, 22, 0, tzinfo=UTC), AMSTERDAM, date(2026, 3, 30)),
        (datetime(2026, 10, 24, 22, 0, tzinfo=UTC), AMSTERDAM, date(2026, 10, 25)),
        (datetime(2026, 10, 25, 22, 59, tzinfo=UTC), AMSTERDAM, date(2026, 10, 25)),  # a day of 25 hours
        (datetime(2026, 11, 1, 3, 59, tzinfo=UTC), NEW_YORK, date(2026, 10, 31)),
        (datetime(2026, 11, 2, 4, 59, tzinfo=UTC), NEW_YORK, date(2026, 11, 1)),
    ],
)
def test_plant_day(moment, zone, day):
    assert plant_day(moment, zone) == day


def test_a_moment_without_zone_is_refused():
    with pytest.raises(ValueError, match="time zone"):
        plant_day(datetime(2026, 3, 2, 8, 0), UTC)  # noqa: DTZ001


def test_both_sides_of_midnight_are_one_session():
    evening = datetime(2026, 5, 4, 23, 50, tzinfo=AMSTERDAM)
    assert len(sessions([evening, evening + timedelta(minutes=20)], AMSTERDAM)) == 1


def test_morning_and_evening_of_a_day_are_one_session():
    morning = datetime(2026, 5, 4, 7, 0, tzinfo=AMSTERDAM)
    assert len(sessions([morning, morning + timedelta(hours=14)], AMSTERDAM)) == 1


# The pause is real time: 21:30 to 05:30 on the clock is 7 hours in the night the clocks go on, and 22:30 to 05:30 is
# 8 hours in the night they go back.
def test_the_pause_is_counted_across_a_change_of_the_clocks():
    spring = [datetime(2026, 3, 28, 21, 30, tzinfo=AMSTERDAM), datetime(2026, 3, 29, 5, 30, tzinfo=AMSTERDAM)]
    autumn = [datetime(2026, 10, 24, 22, 30, tzinfo=AMSTERDAM), datetime(2026, 10, 25, 5, 30, tzinfo=AMSTERDAM)]
    assert (len(sessions(spring, AMSTERDAM)), len(sessions(autumn, AMSTERDAM))) == (1, 2)


MOMENTS = st.lists(st.datetimes(datetime(2026, 1, 1), datetime(2026, 12, 31), timezones=st.just(UTC)), max_size=30)  # noqa: DTZ001


@settings(deadline=None)
@given(MOMENTS, st.randoms(use_true_random=False))
def test_sessions_do_not_depend_on_the_order(moments, rng):
    shuffled = rng.sample(moments, len(moments))
    assert sessions(shuffled, AMSTERDAM) == sessions(moments, AMSTERDAM)


@settings(deadline=None)
@given(MOMENTS)
def test_at_most_one_session_a_day(moments):
    days = [plant_day(begun, AMSTERDAM) for begun in sessions(moments, AMSTERDAM)]
    assert len(set(days)) == len(days) <= len({plant_day(moment, AMSTERDAM) for moment in moments})
