"""Stages of a skill, from evidence in any order."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.learning.criteria import MORE_JOBS, MORE_RIGHT, OTHER_ORDER
from trainer.learning.evidence import Evidence
from trainer.learning.standing import KEPT, NOT_STARTED, PRACTICING, READY, REFRESH_DUE, STAGES, standing

BEGUN = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
AMSTERDAM = ZoneInfo("Europe/Amsterdam")


def shown(*days_and_values, jobs="A"):
    """Evidence by day after the beginning; a job each, in turn."""
    return [
        Evidence(BEGUN + timedelta(days=day), value, jobs[number % len(jobs)])
        for number, (day, value) in enumerate(days_and_values)
    ]


def right(*days, jobs="A"):
    return shown(*((day, 1.0) for day in days), jobs=jobs)


def after(days, **rest):
    return BEGUN + timedelta(days=days, **rest)


def test_without_evidence():
    now = standing([])
    assert (now.stage, now.in_a_row, now.wanted, now.lacks) == (NOT_STARTED, 0, 3, MORE_RIGHT)
    assert standing([], safety=True).wanted == 7


# Rawson and Dunlosky (2011): practice to three right, then right again in three later sessions.
@pytest.mark.parametrize(
    ("evidence", "stage", "in_a_row"),
    [
        (right(0), PRACTICING, 1),
        (right(0, 0.01), PRACTICING, 2),
        (right(0, 0.01, 0.02), READY, 3),
        (shown((0, 1.0), (0.01, 1.0), (0.02, 0.5)), PRACTICING, 0),
        (shown((0, 0.0), (0.01, 1.0), (0.02, 1.0), (0.03, 1.0)), READY, 3),
        (right(0, 0.01, 0.02, 0.03, 0.04, 0.05, 0.06), READY, 7),  # one session, however long
        (right(0, 0.01, 0.02, 1, 2), READY, 5),
        (right(0, 0.01, 0.02, 1, 2, 3), KEPT, 6),
        (right(0, 1, 2, 3, 4, 5), KEPT, 6),
        (shown(*((day, 1.0) for day in range(6)), (6, 0.5)), PRACTICING, 0),
        (shown(*((day, 1.0) for day in range(6)), (6, 0.5), (7, 1.0), (7.1, 1.0), (7.2, 1.0)), READY, 3),
    ],
)
def test_stages(evidence, stage, in_a_row):
    now = standing(evidence)
    assert (now.stage, now.in_a_row) == (stage, in_a_row)


@pytest.mark.parametrize(
    ("jobs", "number", "stage", "lacks"),
    [
        ("ABCACBA", 6, PRACTICING, MORE_RIGHT),
        ("ABCACBA", 7, READY, ""),
        ("A", 7, PRACTICING, MORE_JOBS),
        ("AB", 7, PRACTICING, MORE_JOBS),
        ("ABC", 7, PRACTICING, OTHER_ORDER),
        ("ABC", 12, PRACTICING, OTHER_ORDER),
    ],
)
def test_a_safety_critical_skill_takes_seven_over_different_jobs(jobs, number, stage, lacks):
    minutes = [n / 1440 for n in range(number)]
    now = standing(right(*minutes, jobs=jobs), safety=True)
    assert (now.stage, now.lacks, now.wanted) == (stage, lacks, 7)


def test_another_order_mends_a_repeated_one():
    minutes = [n / 1440 for n in range(8)]
    assert standing(right(*minutes, jobs="ABCABCAC"), safety=True).stage == READY


def test_a_safety_critical_skill_with_few_jobs_in_the_banks():
    minutes = [n / 1440 for n in range(7)]
    assert standing(right(*minutes, jobs="AB"), safety=True, jobs=2).stage == READY


def test_a_session_over_midnight_is_not_a_later_one():
    evening = datetime(2026, 5, 4, 23, 30, tzinfo=AMSTERDAM)
    moments = [evening + timedelta(minutes=minutes) for minutes in (0, 5, 10, 45, 50)]
    now = standing([Evidence(moment, 1.0) for moment in moments], zone=AMSTERDAM)
    assert (now.stage, now.later_sessions) == (READY, 0)


@pytest.mark.parametrize(
    ("days", "at", "stage", "held", "review"),
    [
        ((0, 0, 0), 0, READY, READY, date(2026, 3, 3)),
        ((0, 0, 0), 1, REFRESH_DUE, READY, date(2026, 3, 3)),
        ((0, 0, 0, 1), 1, READY, READY, date(2026, 3, 9)),
        ((0, 0, 0, 1), 6, READY, READY, date(2026, 3, 9)),
        ((0, 0, 0, 1), 7, REFRESH_DUE, READY, date(2026, 3, 9)),
        ((0, 0, 0, 1, 2, 3), 6, KEPT, KEPT, date(2026, 3, 9)),  # early practice settles no later review
        ((0, 0, 0, 1, 2, 3), 7, REFRESH_DUE, KEPT, date(2026, 3, 9)),
        ((0, 0, 0, 1, 7, 30), 209, KEPT, KEPT, date(2026, 9, 28)),
        ((0, 0, 0, 1, 7, 30), 210, REFRESH_DUE, KEPT, date(2026, 9, 28)),
    ],
)
def test_refresh_falls_due_without_a_date(days, at, stage, held, review):
    now = standing(right(*days), now=after(at))
    assert (now.stage, now.held, now.review) == (stage, held, review)


# 60 days off the gap is 9 days: reviews after 9, 18, 27 and, one gap before the date, 51 days.
@pytest.mark.parametrize(
    ("days", "at", "stage"),
    [
        ((0, 0, 0), 8, READY),
        ((0, 0, 0), 9, REFRESH_DUE),
        ((0, 0, 0, 9, 18, 27), 50, KEPT),
        ((0, 0, 0, 9, 18, 27), 51, REFRESH_DUE),
        ((0, 0, 0, 9, 18, 27, 51), 60, KEPT),
        ((0, 0, 0, 9, 18, 27, 51), 61, KEPT),  # the date is past: on as without one, next after 210 days
        ((0, 0, 0, 9, 18, 27, 51), 210, REFRESH_DUE),
    ],
)
def test_refresh_falls_due_towards_a_start_up(days, at, stage):
    assert standing(right(*days), now=after(at), start_up=date(2026, 5, 1)).stage == stage


@pytest.mark.parametrize(("at", "review"), [(55, None), (60, None), (61, date(2026, 9, 28))])
def test_no_review_is_left_in_the_last_gap_before_a_start_up(at, review):
    now = standing(right(0, 0, 0, 9, 18, 27, 51), now=after(at), start_up=date(2026, 5, 1))
    assert (now.stage, now.review) == (KEPT, review)


def test_the_review_day_is_that_of_the_plant():
    evening = datetime(2026, 3, 28, 23, 30, tzinfo=UTC)  # 00:30 on the 29th in Amsterdam, the clocks go on at 02:00
    evidence = [Evidence(evening + timedelta(minutes=minute), 1.0) for minute in range(3)]
    assert standing(evidence, zone=UTC).review == date(2026, 3, 29)
    assert standing(evidence, zone=AMSTERDAM).review == date(2026, 3, 30)
    before, begun = datetime(2026, 3, 29, 21, 59, tzinfo=UTC), datetime(2026, 3, 29, 22, 0, tzinfo=UTC)
    assert standing(evidence, now=before, zone=AMSTERDAM).stage == READY
    assert standing(evidence, now=begun, zone=AMSTERDAM).stage == REFRESH_DUE


def test_witnessed_work_renews_and_does_nothing_else():
    evidence = right(0, 0, 0)
    assert standing(evidence, now=after(5)).stage == REFRESH_DUE
    renewed = standing(evidence, now=after(5), witnessed=[after(4)])
    assert (renewed.stage, renewed.in_a_row, renewed.later_sessions) == (READY, 3, 0)
    assert (renewed.renewed, renewed.review) == (date(2026, 3, 6), date(2026, 3, 9))
    assert standing(evidence, now=after(5), witnessed=[after(6)]).stage == REFRESH_DUE  # not yet witnessed
    assert standing(right(0, 0), now=after(5), witnessed=[after(4)]).stage == PRACTICING
    assert standing([], witnessed=[after(4)]).stage == NOT_STARTED


def test_a_miss_after_witnessed_work_goes_back_to_three_in_a_row():
    now = standing(shown((0, 1.0), (0, 1.0), (0.1, 1.0), (5, 0.0)), now=after(6), witnessed=[after(4)])
    assert (now.stage, now.in_a_row, now.review) == (PRACTICING, 0, None)


def test_at_the_same_moment_a_miss_counts_last():
    assert standing(shown((0, 1.0), (0, 0.5), (0, 1.0), (0, 1.0))).in_a_row == 0


EVIDENCE = st.lists(
    st.builds(
        Evidence,
        st.datetimes(datetime(2026, 1, 1), datetime(2026, 12, 31), timezones=st.just(UTC)),  # noqa: DTZ001
        st.sampled_from((0.0, 0.5, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0)),
        st.sampled_from("ABCD"),
    ),
    max_size=25,
)
LATE = datetime(2027, 1, 1, tzinfo=UTC)


@settings(deadline=None)
@given(EVIDENCE, st.booleans(), st.randoms(use_true_random=False))
def test_the_order_of_the_evidence_does_not_matter(evidence, safety, rng):
    shuffled = rng.sample(evidence, len(evidence))
    assert standing(shuffled, safety, now=LATE, zone=AMSTERDAM) == standing(evidence, safety, now=LATE, zone=AMSTERDAM)


@settings(deadline=None)
@given(EVIDENCE, st.booleans())
def test_one_more_right_never_sets_back(evidence, safety):
    before = standing(evidence, safety)
    more = standing([*evidence, Evidence(LATE, 1.0, "A")], safety)
    assert STAGES.index(more.stage) >= STAGES.index(before.stage)
    assert more.in_a_row == before.in_a_row + 1


@settings(deadline=None)
@given(EVIDENCE, st.booleans(), st.sampled_from((0.0, 0.5, 0.99)))
def test_a_miss_goes_back_to_practicing(evidence, safety, value):
    now = standing([*evidence, Evidence(LATE, value, "A")], safety, now=LATE)
    assert (now.stage, now.in_a_row, now.held, now.review) == (PRACTICING, 0, "", None)


@settings(deadline=None)
@given(EVIDENCE, st.booleans())
def test_a_safety_critical_skill_is_never_ready_before_another(evidence, safety):
    if standing(evidence, safety=True).held:
        assert standing(evidence, safety=False).held


@settings(deadline=None)
@given(EVIDENCE, st.integers(0, 700), st.integers(0, 100))
def test_a_start_up_and_witnessed_work_change_nothing_but_the_refresh(evidence, days, ago):
    plain = standing(evidence, zone=AMSTERDAM)
    start_up = (LATE + timedelta(days=days)).date()
    now = standing(evidence, now=LATE, zone=AMSTERDAM, start_up=start_up, witnessed=[LATE - timedelta(days=ago)])
    assert (now.held, now.in_a_row, now.later_sessions) == (plain.held, plain.in_a_row, plain.later_sessions)
    assert now.stage in (plain.stage, REFRESH_DUE)
    assert now.review is None or now.review < start_up or days == 0
