"""The aged estimate."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.errors import OutOfRange
from trainer.learning.aged import aged_estimate, weight
from trainer.learning.evidence import Evidence

BEGUN = datetime(2026, 3, 2, tzinfo=UTC)


def entries(*days_and_values):
    return [Evidence(BEGUN + timedelta(days=day), value) for day, value in days_and_values]


SIX = entries((0, 0), (0, 1), (1, 1), (1, 1), (3, 1), (7, 1))


# Half-life of Tatel and Ackerman (2025), Psychological Bulletin, 6.5 months = 198 days; sums worked by hand from it.
@pytest.mark.parametrize(
    ("day", "a", "b", "mean"),
    [(7, 5.9203, 1.9758, 0.7498), (205, 3.4602, 1.4879, 0.6993), (372, 2.3711, 1.2719, 0.6509)],
)
def test_six_entries(day, a, b, mean):
    estimate = aged_estimate(SIX, BEGUN + timedelta(days=day))
    assert (estimate.a, estimate.b, estimate.mean) == pytest.approx((a, b, mean), abs=5e-5)
    assert estimate.newest == timedelta(days=day - 7)
    assert estimate.entries == 6


# Six new right answers: Beta(7, 1), whose quantiles are the seventh roots of the shares.
def test_interval_in_closed_form():
    estimate = aged_estimate(entries(*[(0, 1.0)] * 6), BEGUN, level=0.90)
    assert estimate.interval == pytest.approx((0.05 ** (1 / 7), 0.95 ** (1 / 7)), abs=1e-12)


@pytest.mark.parametrize("number", range(5))
def test_under_five_entries_is_not_enough(number):
    estimate = aged_estimate(SIX[:number], BEGUN + timedelta(days=7))
    assert (estimate.mean, estimate.interval, estimate.entries) == (None, None, number)
    assert (estimate.newest is None) == (number == 0)


def test_five_entries_are_enough():
    assert aged_estimate(SIX[:5], BEGUN).interval is not None


def test_what_is_not_yet_past_counts_as_new():
    assert weight(timedelta(days=-30)) == weight(timedelta()) == 1.0


@pytest.mark.parametrize("value", [-0.1, 1.1])
def test_a_value_outside_is_refused(value):
    with pytest.raises(OutOfRange):
        aged_estimate(entries((0, value)), BEGUN)


VALUES = st.lists(st.tuples(st.floats(0, 400), st.floats(0, 1)), min_size=5, max_size=30)


@settings(deadline=None)
@given(VALUES, st.floats(0, 3000), st.floats(1, 3000), st.randoms(use_true_random=False))
def test_ageing_pulls_to_unknown(values, age, more, rng):
    evidence = entries(*values)
    now = BEGUN + timedelta(days=400 + age)
    before, later = aged_estimate(evidence, now), aged_estimate(evidence, now + timedelta(days=more))
    assert 1.0 <= later.a <= before.a
    assert 1.0 <= later.b <= before.b
    assert abs(later.mean - 0.5) <= abs(before.mean - 0.5) + 1e-12
    shuffled = aged_estimate(rng.sample(evidence, len(evidence)), now)
    assert (shuffled.a, shuffled.b) == pytest.approx((before.a, before.b), rel=1e-12)


@settings(deadline=None)
@given(VALUES)
def test_the_interval_holds_the_mean_and_narrows_with_entries(values):
    now = BEGUN + timedelta(days=400)
    once, thrice = aged_estimate(entries(*values), now), aged_estimate(entries(*values * 4), now)
    assert once.interval.low < once.mean < once.interval.high
    assert thrice.interval.high - thrice.interval.low < once.interval.high - once.interval.low + 1e-9
