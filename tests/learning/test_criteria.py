"""What makes a skill ready, and the proof."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.learning.criteria import (
    MORE_JOBS,
    MORE_RIGHT,
    OTHER_ORDER,
    criterion,
    one_order_repeated,
    proof_jobs,
    proved,
)
from trainer.learning.evidence import Evidence


# Wilson (1927) for n of n right, by hand: the one-sided lower bound is n / (n + z²), with z = 1.2816 at 90 %.
def test_seven_is_the_fewest_that_carry_a_safety_critical_skill():
    bounds = {n: n / (n + 1.2816**2) for n in range(1, 12)}
    assert criterion(safety=True).in_a_row == min(n for n, bound in bounds.items() if bound >= 0.8)
    assert criterion(safety=False).in_a_row == 3
    assert len(proof_jobs(["one", "two", "three", "four"], True, random.Random(1))) == 7


@pytest.mark.parametrize(
    ("jobs", "lacks"),
    [
        ("ABC", MORE_RIGHT),
        ("AAAAAAA", MORE_JOBS),
        ("ABABBAB", MORE_JOBS),
        ("ABCABCA", OTHER_ORDER),
        ("AABAABA", MORE_JOBS),
        ("ABCACBA", ""),
        ("ABCDABC", ""),  # not yet gone through twice
        ("ABCDABCD", OTHER_ORDER),
        ("ABCDEFG", ""),
    ],
)
def test_a_safety_critical_row(jobs, lacks):
    assert criterion(safety=True).lacks(jobs) == lacks


def test_few_jobs_in_the_banks_ask_for_no_more_than_there_are():
    assert criterion(safety=True, jobs=2).lacks("ABABABA") == ""
    assert criterion(safety=True, jobs=1).lacks("AAAAAAA") == ""
    assert criterion(safety=True, jobs=0).lacks("AAAAAAA") == ""
    assert criterion(safety=True, jobs=2).lacks("AAAAAAA") == MORE_JOBS


def test_any_three_make_another_skill_ready():
    assert criterion(safety=False).lacks("AAA") == ""
    assert criterion(safety=False).lacks("AA") == MORE_RIGHT


@settings(deadline=None)
@given(st.text("ABCD", max_size=20), st.booleans(), st.text("ABCD", max_size=5))
def test_once_met_it_stays_met_at_the_same_place(jobs, safety, more):
    met = criterion(safety).met_after(jobs)
    if met is not None:
        assert criterion(safety).met_after(jobs + more) == met
        assert criterion(safety).lacks(jobs[:met]) == ""


@settings(deadline=None)
@given(st.text("ABCDE", min_size=1, max_size=6), st.integers(2, 4), st.integers(0, 5))
def test_an_order_repeated_is_found(order, times, more):
    assert one_order_repeated(order * times + order[:more])


@settings(deadline=None)
@given(st.integers(1, 9), st.booleans(), st.integers(0, 2**32))
def test_a_clean_proof_makes_ready(number, safety, seed):
    jobs = [f"job-{each}" for each in range(number)]
    drawn = proof_jobs(jobs, safety, random.Random(seed))
    assert len(drawn) == (7 if safety else 3)
    assert set(drawn) <= set(jobs)
    assert len(set(drawn)) == min(number, len(drawn))
    if number > 1:
        assert all(one != following for one, following in pairwise(drawn))
    begun = datetime(2026, 3, 2, 9, tzinfo=UTC)
    sitting = [Evidence(begun + timedelta(minutes=5 * n), 1.0, job) for n, job in enumerate(drawn)]
    assert proved(sitting, safety, number)
    assert not proved(sitting[:-1], safety, number)
    assert not proved([*sitting, Evidence(begun + timedelta(hours=1), 0.5, drawn[0])], safety, number)


def test_a_proof_needs_a_job():
    with pytest.raises(ValueError, match="at least one job"):
        proof_jobs([], False, random.Random(1))
