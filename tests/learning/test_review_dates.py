"""Review dates against the values worked from the published shares."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import islice, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.errors import OutOfRange
from trainer.learning.reviews import Review, due_list, gap_days, next_review, review_dates, review_days

READY = date(2026, 3, 2)
DAYS_OFF = st.integers(1, 6000)


# Cepeda et al. (2008): a share of 0.20 up to 21 days and 0.05 from 365 days, between them linear in the logarithm.
@pytest.mark.parametrize(
    ("days_off", "gap"),
    [
        (1, 1),
        (2, 1),
        (7, 1),
        (14, 3),
        (21, 4),
        (30, 5),
        (60, 9),
        (90, 11),
        (180, 16),
        (365, 18),
        (371, 19),
        (1000, 50),
        (6000, 180),
    ],
)
def test_gap(days_off, gap):
    assert gap_days(days_off) == gap


@pytest.mark.parametrize(
    ("days_off", "days"),
    [
        (1, []),
        (2, [1]),
        (7, [1, 2, 3, 6]),
        (14, [3, 6, 9, 11]),
        (60, [9, 18, 27, 51]),
        (365, [18, 36, 54, 234, 347]),
        (600, [30, 60, 90, 270, 450, 570]),
    ],
)
def test_reviews_towards_a_date(days_off, days):
    assert list(review_days(days_off)) == days


@pytest.mark.parametrize("days_off", [None, 0, -5])
def test_reviews_without_a_date(days_off):
    assert list(islice(review_days(days_off), 6)) == [1, 7, 30, 210, 390, 570]


def test_a_date_must_be_ahead():
    with pytest.raises(OutOfRange, match="start-up date 0 d"):
        gap_days(0)


@settings(deadline=None)
@given(st.integers(1, 5999))
def test_gap_never_shrinks_with_the_time_there_is(days_off):
    assert 1 <= gap_days(days_off) <= gap_days(days_off + 1) <= 180


@settings(deadline=None)
@given(DAYS_OFF)
def test_every_plan_ends_in_the_last_gap_before_the_date(days_off):
    days = list(review_days(days_off))
    gap = gap_days(days_off)
    assert days == sorted(set(days))
    assert all(0 < day < days_off for day in days)
    if days_off > 1:
        assert days_off - gap <= days[-1]
    assert all(later - earlier <= 180 for earlier, later in pairwise([0, *days, days_off]))


@settings(deadline=None)
@given(st.dates(date(2020, 1, 1), date(2040, 1, 1)), st.none() | DAYS_OFF, st.integers(0, 4000))
def test_next_review(ready, days_off, since):
    start_up = None if days_off is None else ready + timedelta(days=days_off)
    renewed = ready + timedelta(days=since)
    following = next_review(ready, renewed, start_up)
    if following is None:
        assert start_up is not None
        assert all(day <= renewed for day in review_dates(ready, start_up))
    else:
        assert renewed < following <= renewed + timedelta(days=180)
        assert start_up is None or following < start_up


def review(skill, weight, ago, planned, today=READY):
    renewed = today - timedelta(days=ago)
    return Review(skill, weight, renewed, renewed + timedelta(days=planned))


def test_due_list():
    rows = [
        review("light, 2 of 1 days", 1, 2, 1),
        review("heavy, 200 of 180 days", 3, 200, 180),
        review("heavy, 9 of 6 days", 3, 9, 6),
        review("heavy, not yet", 3, 5, 6),
        review("light, today", 1, 7, 7),
    ]
    assert [row.skill for row in due_list(rows, READY)] == [
        "heavy, 9 of 6 days",
        "heavy, 200 of 180 days",
        "light, 2 of 1 days",
        "light, today",
    ]
    assert review("S4.3", 1, 9, 6).overdue_ratio(READY) == 1.5


def test_a_review_falls_due_after_the_skill_was_shown():
    with pytest.raises(ValueError, match="not after"):
        Review("S4.3", 1, READY, READY)


@settings(deadline=None)
@given(st.lists(st.tuples(st.integers(1, 3), st.integers(0, 400), st.integers(1, 180)), max_size=20), st.randoms())
def test_due_list_does_not_depend_on_the_order(parts, rng):
    rows = [review(f"S{n}", *part) for n, part in enumerate(parts)]
    listed = due_list(rows, READY)
    assert due_list(rng.sample(rows, len(rows)), READY) == listed
    assert all(row.overdue_ratio(READY) >= 1.0 for row in listed)
    assert {row.skill for row in rows} - {row.skill for row in listed} == {r.skill for r in rows if r.due > READY}
    assert [row.weight for row in listed] == sorted((row.weight for row in listed), reverse=True)
