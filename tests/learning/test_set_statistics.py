"""Classical test theory against published data."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.learning.sample_sizes import learners_needed
from trainer.learning.statistics import Sums, alpha, difficulty, item_rest_correlation, standard_error, sums

# East Carolina University, teaching example of KR-20: ten learners by ten items.
ROWS = """
1111110110 1011011101 1111011001 0010001000 0000010010 1110111111 1101110111 1111111101 0101111101 1101101110
"""
TEN = np.array([[int(mark) for mark in row] for row in ROWS.split()])

# Bock and Lieberman (1970), Psychometrika 35: law school admission test, section 6, how many of 1000 gave each
# pattern 00000 to 11111 in binary order, item 1 first.
COUNTS = np.fromstring(
    "3 6 2 11 1 1 3 4 1 8 0 16 0 3 2 15 10 29 14 81 3 28 15 80 16 56 21 173 11 61 28 298", dtype=int, sep=" "
)
PATTERNS = np.array([[pattern >> bit & 1 for bit in (4, 3, 2, 1, 0)] for pattern in range(32)])
LSAT = np.repeat(PATTERNS, COUNTS, axis=0)


def test_ten_by_ten():
    added = sums(TEN)
    p = difficulty(added)
    assert p == pytest.approx([0.7, 0.7, 0.6, 0.7, 0.6, 0.8, 0.7, 0.7, 0.5, 0.6])
    assert float((p * (1.0 - p)).sum()) == pytest.approx(2.18, abs=0.005)
    assert added.total_squares / 10 - (added.total / 10) ** 2 == pytest.approx(5.84, abs=0.005)
    assert alpha(added) == pytest.approx(0.6963, abs=5e-5)
    assert standard_error(added) == pytest.approx(1.4037, abs=5e-5)
    expected = [0.7059, 0.7059, 0.0, 0.4736, 0.5839, 0.2861, -0.0274, 0.7059, -0.1236, 0.4759]
    assert item_rest_correlation(added) == pytest.approx(expected, abs=5e-5)


# p as in Bock and Lieberman; alpha as in the published analyses of the same data.
def test_lsat():
    added = sums(LSAT)
    assert added.learners == 1000
    assert difficulty(added) == pytest.approx([0.924, 0.709, 0.553, 0.763, 0.870], abs=5e-4)
    assert alpha(added) == pytest.approx(0.2950, abs=5e-5)
    assert item_rest_correlation(added) == pytest.approx([0.1128, 0.1532, 0.1728, 0.1444, 0.1216], abs=5e-5)


def test_a_database_may_do_the_adding():
    n = COUNTS
    totals = PATTERNS.sum(axis=1)
    added = Sums(
        learners=int(n.sum()),
        marks=(n @ PATTERNS).astype(float),
        squares=(n @ PATTERNS**2).astype(float),
        products=((n * totals) @ PATTERNS).astype(float),
        total=float(n @ totals),
        total_squares=float(n @ totals**2),
    )
    assert alpha(added) == pytest.approx(0.2950, abs=5e-5)
    assert item_rest_correlation(added) == pytest.approx([0.1128, 0.1532, 0.1728, 0.1444, 0.1216], abs=5e-5)


TABLES = st.tuples(st.integers(2, 40), st.integers(2, 8), st.integers(0, 2**32)).map(
    lambda shape: np.random.default_rng(shape[2]).integers(0, 3, shape[:2]) / 2.0
)


# numpy.corrcoef as the reference for the correlation; Cronbach (1951): alpha is k² times the mean covariance
# of two items over the variance of the total.
@settings(deadline=None)
@given(TABLES)
def test_against_numpy(table):
    added, k = sums(table), table.shape[1]
    rest = table.sum(axis=1, keepdims=True) - table
    for item, r in enumerate(item_rest_correlation(added)):
        if table[:, item].std() == 0 or rest[:, item].std() == 0:
            assert math.isnan(r)
        else:
            assert r == pytest.approx(np.corrcoef(table[:, item], rest[:, item])[0, 1], abs=1e-9)
    variance = table.sum(axis=1).var()
    if variance == 0:
        assert alpha(added) is None
        assert standard_error(added) is None
    else:
        covariance = np.cov(table.T, ddof=0)
        between = (covariance.sum() - np.trace(covariance)) / (k * (k - 1))
        assert alpha(added) == pytest.approx(k * k * between / variance, abs=1e-9)
        assert alpha(added) <= 1.0 + 1e-12
        assert standard_error(added) >= 0.0


@settings(deadline=None)
@given(TABLES, st.integers(0, 40))
def test_two_groups_add_up(table, at):
    whole, parts = sums(table), sums(table[:at]) + sums(table[at:])
    assert parts.learners == whole.learners
    assert parts.total_squares == pytest.approx(whole.total_squares)
    for name in ("marks", "squares", "products"):
        assert getattr(parts, name) == pytest.approx(getattr(whole, name))


@settings(deadline=None)
@given(TABLES, st.randoms(use_true_random=False))
def test_the_order_of_the_learners_does_not_matter(table, rng):
    shuffled = table[rng.sample(range(len(table)), len(table))]
    assert alpha(sums(shuffled)) == pytest.approx(alpha(sums(table)), abs=1e-12)


def test_where_nothing_varies():
    everyone = sums(np.ones((60, 4)))
    assert alpha(everyone) is None
    assert np.isnan(item_rest_correlation(everyone)).all()


# Marks of one third leave a variance of 1e-12 by rounding, as items and as the rest of an item that does vary.
def test_rounding_is_not_variance():
    thirds = np.full((60, 7), 1 / 3)
    assert alpha(sums(thirds)) is None
    assert np.isnan(item_rest_correlation(sums(thirds))).all()
    thirds[::2, 0] = 1.0
    assert np.isnan(item_rest_correlation(sums(thirds))).all()


def test_one_item_has_no_rest():
    single = sums([[1], [0], [1]])
    assert alpha(single) is None
    assert np.isnan(item_rest_correlation(single)).all()


def test_without_learners():
    empty = sums(np.empty((0, 3)))
    assert (empty.learners, empty.items, alpha(empty), standard_error(empty)) == (0, 3, None, None)
    assert np.isnan(difficulty(empty)).all()


def test_an_incomplete_set_is_left_out():
    table = TEN.astype(float)
    table[3, 7] = np.nan
    assert alpha(sums(table)) == pytest.approx(alpha(sums(np.delete(TEN, 3, axis=0))))


@pytest.mark.parametrize(("table", "words"), [([1, 0], "dimensions"), ([[1.5, 0]], "0 to 1"), ([[-1, 0]], "0 to 1")])
def test_a_wrong_table_is_refused(table, words):
    with pytest.raises(ValueError, match=words):
        sums(table)


def test_sums_that_do_not_fit_are_refused():
    with pytest.raises(ValueError, match="do not add up"):
        sums([[1, 0]]) + sums([[1, 0, 1]])
    with pytest.raises(ValueError, match="one value an item"):
        Sums(2, np.ones(3), np.ones(3), np.ones(2), 1.0, 1.0)


# Fleiss, Levin and Paik (2003), table A.4 without the correction for continuity, from memory: 0.8 against 0.7 takes
# 294, 0.5 against 0.4 takes 388, 0.9 against 0.8 takes 199 at 80 % power and 5 % two-sided.
@pytest.mark.parametrize(("first", "second", "learners"), [(0.8, 0.7, 294), (0.5, 0.4, 388), (0.9, 0.8, 199)])
def test_learners_needed(first, second, learners):
    assert learners_needed(first, second) == learners_needed(second, first) == learners


@settings(deadline=None)
@given(st.floats(0.05, 0.5), st.floats(0.05, 0.4), st.floats(0.01, 0.05))
def test_a_smaller_difference_takes_more(first, apart, less):
    assert learners_needed(first, first + apart - less / 2) >= learners_needed(first, first + apart)


def test_equal_shares_are_never_told_apart():
    with pytest.raises(ValueError, match="equal"):
        learners_needed(0.7, 0.7)
    with pytest.raises(ValueError, match="outside 0 to 1"):
        learners_needed(0.7, 1.2)
