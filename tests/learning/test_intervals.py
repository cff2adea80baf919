"""Intervals against published ones."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.errors import OutOfRange
from trainer.learning.intervals import correlation_ends, one_sided, two_sided, wilson, wilson_ends, wilson_lower

COUNTS = st.integers(1, 500).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


# Newcombe (1998), Statistics in Medicine 17, table I, method 3, for 81/263; the same table from memory for 15/148,
# 0/20 and 1/29; the small ones from Wilson's formula worked by hand.
@pytest.mark.parametrize(
    ("right", "n", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
        (5, 5, 0.5655, 1.0),
        (8, 10, 0.4902, 0.9433),
        (18, 20, 0.6990, 0.9721),
        (0, 5, 0.0, 0.4345),
    ],
)
def test_wilson(right, n, low, high):
    assert wilson(right, n) == pytest.approx((low, high), abs=5e-5)


# Standard normal table: 95 % two-sided 1.9600, 99 % 2.5758, 90 % one-sided 1.2816.
def test_normal_quantiles():
    assert (two_sided(0.95), two_sided(0.99), one_sided(0.90)) == pytest.approx((1.9600, 2.5758, 1.2816), abs=5e-5)


def test_seven_of_seven_is_the_fewest_whose_lower_bound_is_four_fifths():
    bounds = {n: wilson_lower(n, n) for n in range(1, 12)}
    assert min(n for n, bound in bounds.items() if bound >= 0.8) == 7
    # With all right the bound is n / (n + z²), z² = 1.6424 at 90 % one-sided.
    assert bounds[7] == pytest.approx(7 / 8.6424, abs=5e-5)


def test_nothing_answered_says_nothing():
    assert wilson(0, 0) == (0.0, 1.0)
    assert wilson_lower(0, 0) == 0.0


@settings(deadline=None)
@given(COUNTS)
def test_wilson_holds_the_share_and_mirrors(counts):
    right, n = counts
    low, high = wilson(right, n)
    assert 0.0 <= low <= right / n <= high <= 1.0
    mirrored = wilson(n - right, n)
    assert (1.0 - mirrored.high, 1.0 - mirrored.low) == pytest.approx((low, high), abs=1e-12)


@settings(deadline=None)
@given(COUNTS, st.floats(0.5, 0.99), st.floats(0.5, 0.99))
def test_wilson_grows_with_the_level_and_with_right_answers(counts, one, other):
    right, n = counts
    narrow, wide = wilson(right, n, min(one, other)), wilson(right, n, max(one, other))
    assert wide.low <= narrow.low + 1e-12
    assert narrow.high <= wide.high + 1e-12
    more = wilson(min(right + 1, n), n)
    assert more.low >= wilson(right, n).low - 1e-12


@settings(deadline=None)
@given(COUNTS)
def test_more_of_the_same_narrows_wilson(counts):
    right, n = counts
    once, thrice = wilson(right, n), wilson(3 * right, 3 * n)
    assert thrice.high - thrice.low < once.high - once.low


def test_shares_at_once_are_as_one_by_one():
    low, high = wilson_ends(np.array([[0.0, 0.4], [0.8, 1.0]]), 10, two_sided(0.95))
    assert low.shape == high.shape == (2, 2)
    assert (low[1, 0], high[1, 0]) == pytest.approx((0.4902, 0.9433), abs=5e-5)
    assert (low[0, 0], high[1, 1]) == (0.0, 1.0)


@pytest.mark.parametrize(
    ("right", "n", "level"), [(3, 2, 0.95), (-1, 2, 0.95), (1, -1, 0.95), (1, 2, 0.0), (1, 2, 1.0)]
)
def test_wilson_refuses(right, n, level):
    with pytest.raises(OutOfRange):
        wilson(right, n, level)


# Table of Fisher's z: r 0.500 is z 0.5493, 0.900 is 1.4722. With 28 pairs the half width is 1.960/5 = 0.3920, so
# the ends are z 0.1573 and 0.9413, 1.0802 and 1.8642.
@pytest.mark.parametrize(("r", "z_low", "z_high"), [(0.5, 0.1573, 0.9413), (0.9, 1.0802, 1.8642)])
def test_fisher(r, z_low, z_high):
    low, high = correlation_ends(r, 28)
    assert (np.arctanh(low), np.arctanh(high)) == pytest.approx((z_low, z_high), abs=1e-4)


def test_few_pairs_and_no_correlation():
    low, high = correlation_ends([0.3, np.nan, 1.0, -1.0], 3)
    assert low[[0, 2, 3]].tolist() == [-1.0] * 3
    assert high[[0, 2, 3]].tolist() == [1.0] * 3
    assert np.isnan([low[1], high[1]]).all()


@settings(deadline=None)
@given(st.floats(-1, 1), st.integers(4, 5000))
def test_fisher_holds_the_correlation(r, n):
    low, high = (float(end) for end in correlation_ends(r, n))
    assert -1.0 <= low <= r + 1e-12
    assert r - 1e-12 <= high <= 1.0
