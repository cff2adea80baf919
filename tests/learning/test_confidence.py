"""Stated confidence against outcome."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.learning.confidence import brier, by_confidence
from trainer.learning.intervals import wilson

# Brier (1950), Monthly Weather Review 78, table 1: ten forecasts of rain and what came. His score, over both outcomes,
# is 0.19.
FORECASTS = [0.7, 0.9, 0.8, 0.4, 0.2, 0.0, 0.0, 0.0, 0.0, 0.1]
RAIN = [0, 1, 1, 1, 0, 0, 0, 0, 0, 0]


def test_the_example_of_brier():
    assert 2.0 * brier(FORECASTS, RAIN).score == pytest.approx(0.19, abs=0.005)


# Worked by hand: said 0.9 five times with three right, 0.5 five times with two right.
def test_the_parts():
    parts = brier([0.9] * 5 + [0.5] * 5, [1, 1, 1, 0, 0, 1, 1, 0, 0, 0])
    assert parts.reliability == pytest.approx((0.3**2 + 0.1**2) / 2)
    assert parts.resolution == pytest.approx(0.1**2)
    assert parts.uncertainty == pytest.approx(0.25)
    assert parts.score == pytest.approx(0.29)
    assert parts.overconfidence == pytest.approx(0.2)


def test_one_half_always_scores_a_quarter():
    assert brier([0.5] * 4, [1, 0, 0, 0]).score == 0.25


def test_sure_and_right_scores_nothing():
    parts = brier([1.0, 1.0, 0.0], [1, 1, 0])
    assert (parts.score, parts.reliability) == (0.0, 0.0)
    assert parts.resolution == pytest.approx(parts.uncertainty)


ENTRIES = st.lists(st.tuples(st.sampled_from((0.0, 0.5, 0.6, 0.75, 0.9, 1.0)), st.booleans()), min_size=1, max_size=60)


# Murphy (1973): the parts add up to the score exactly.
@settings(deadline=None)
@given(ENTRIES, st.randoms(use_true_random=False))
def test_the_parts_add_up(entries, rng):
    parts = brier(*zip(*entries, strict=True))
    assert parts.score == pytest.approx(parts.reliability - parts.resolution + parts.uncertainty, abs=1e-12)
    assert 0.0 <= parts.resolution <= parts.uncertainty + 1e-12
    shuffled = brier(*zip(*rng.sample(entries, len(entries)), strict=True))
    assert shuffled.score == pytest.approx(parts.score, abs=1e-12)


@settings(deadline=None)
@given(ENTRIES)
def test_groups_hold_every_entry(entries):
    rows = by_confidence(*zip(*entries, strict=True))
    assert sum(row.entries for row in rows) == len(entries)
    assert sum(row.right for row in rows) == sum(right for _, right in entries)
    assert [row.confidence for row in rows] == sorted({said for said, _ in entries})
    assert all(row.interval == wilson(row.right, row.entries) for row in rows)


def test_without_entries():
    assert brier([], []) is None
    assert by_confidence([], []) == []


@pytest.mark.parametrize(
    ("confidence", "right", "words"),
    [
        ([0.5], [1, 0], "one value an entry"),
        ([[0.5]], [[1]], "one value an entry"),
        ([1.2], [1], "0 to 1"),
        ([np.nan], [1], "0 to 1"),
        ([0.5], [0.5], "0 or 1"),
    ],
)
def test_refuses(confidence, right, words):
    with pytest.raises(ValueError, match=words):
        brier(confidence, right)
