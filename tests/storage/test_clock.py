from datetime import UTC, datetime, timedelta, timezone

import pytest

from trainer.clock import StoppedClock, as_utc, utc_now

NOON = datetime(2026, 6, 1, 12, tzinfo=UTC)


def test_now_is_utc_and_runs():
    first, second = utc_now(), utc_now()

    assert first.tzinfo is UTC
    assert first <= second


def test_a_moment_of_another_zone_is_the_same_moment():
    assert as_utc(datetime(2026, 6, 1, 14, tzinfo=timezone(timedelta(hours=2)))) == NOON


def test_a_time_without_a_zone_is_refused():
    with pytest.raises(ValueError, match="2026-06-01T12:00:00 does not say its time zone"):
        StoppedClock(datetime(2026, 6, 1, 12))  # noqa: DTZ001


def test_the_stopped_clock_stands_until_moved():
    clock = StoppedClock(NOON)
    assert clock() == clock() == NOON

    clock.advance(timedelta(hours=3))
    assert clock() == NOON + timedelta(hours=3)

    clock.set(NOON - timedelta(days=1))
    assert clock() == NOON - timedelta(days=1)
