"""The Beta distribution against tables and against exact sums."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.errors import OutOfRange
from trainer.learning.beta import beta_interval, beta_quantile, beta_share

PARAMETERS = st.floats(0.3, 400.0)
EXACT = st.integers(0, 4096).map(lambda part: part / 4096)  # 1 - x is then exact too


# NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.3, upper 5 % points of F; if X is Beta(m/2, n/2) then
# F = n X / (m (1 - X)).
@pytest.mark.parametrize(
    ("m", "n", "point"),
    [(1, 1, 161.448), (2, 5, 5.786), (3, 8, 4.066), (4, 6, 4.534), (5, 10, 3.326), (1, 30, 4.171), (10, 20, 2.348)],
)
def test_f_table(m, n, point):
    x = beta_quantile(0.95, m / 2, n / 2)
    assert n * x / (m * (1.0 - x)) == pytest.approx(point, abs=5e-4)


# Exact (Clopper and Pearson) 95 % limits: Newcombe (1998), table I, method 5, from memory; 5/25 after the tables of
# Conover (1999), 0.068 to 0.407.
@pytest.mark.parametrize(
    ("right", "n", "low", "high", "digit"),
    [
        (81, 263, 0.2527, 0.3676, 1e-4),
        (15, 148, 0.0578, 0.1617, 1e-4),
        (1, 29, 0.0009, 0.1776, 1e-4),
        (5, 25, 0.068, 0.407, 1e-3),
    ],
)
def test_exact_limits_of_a_share(right, n, low, high, digit):
    assert beta_quantile(0.025, right, n - right + 1) == pytest.approx(low, abs=digit / 2)
    assert beta_quantile(0.975, right + 1, n - right) == pytest.approx(high, abs=digit / 2)


def binomial_tail(x: Fraction, a: int, b: int) -> Fraction:
    """Chance of at least a successes in a + b - 1 trials, exactly."""
    n = a + b - 1
    return sum((math.comb(n, j) * x**j * (1 - x) ** (n - j) for j in range(a, n + 1)), Fraction(0))


# NIST Digital Library of Mathematical Functions, 8.17.5: for whole parameters the share is a binomial tail.
@settings(deadline=None)
@given(st.integers(1, 60), st.integers(1, 60), st.integers(1, 99))
def test_whole_parameters_are_binomial_tails(a, b, percent):
    exact = binomial_tail(Fraction(percent, 100), a, b)
    assert beta_share(percent / 100, a, b) == pytest.approx(float(exact), rel=1e-10, abs=1e-13)


# DLMF 8.17.7 and its mirror: I_x(a, 1) = x^a, I_x(1, b) = 1 - (1 - x)^b; half of a symmetric distribution at 1/2;
# arc sine law: I_x(1/2, 1/2) = 2/pi arcsin sqrt(x), by arctan.
@settings(deadline=None)
@given(EXACT, PARAMETERS)
def test_closed_forms(x, a):
    assert beta_share(x, a, 1.0) == pytest.approx(x**a, abs=1e-12)
    assert beta_share(x, 1.0, a) == pytest.approx(1.0 - (1.0 - x) ** a, abs=1e-12)
    assert beta_share(0.5, a, a) == pytest.approx(0.5, abs=1e-12)
    arc = math.atan2(math.sqrt(x), math.sqrt(1.0 - x))
    assert beta_share(x, 0.5, 0.5) == pytest.approx(2.0 / math.pi * arc, abs=1e-12)


@settings(deadline=None)
@given(EXACT, EXACT, PARAMETERS, PARAMETERS)
def test_share_rises_and_mirrors(one, other, a, b):
    low, high = sorted((one, other))
    assert beta_share(low, a, b) <= beta_share(high, a, b) + 1e-12
    assert beta_share(low, a, b) + beta_share(1.0 - low, b, a) == pytest.approx(1.0, abs=1e-10)


@settings(deadline=None)
@given(st.floats(0.001, 0.999), PARAMETERS, PARAMETERS)
def test_quantile_is_the_inverse(share, a, b):
    x = beta_quantile(share, a, b)
    assert 0.0 <= x <= 1.0
    around = beta_share(max(0.0, x - 1e-9), a, b), beta_share(min(1.0, x + 1e-9), a, b)
    assert around[0] - 1e-9 <= share <= around[1] + 1e-9


@settings(deadline=None)
@given(PARAMETERS, PARAMETERS, st.floats(0.5, 0.9), st.floats(0.01, 0.09))
def test_interval_widens_with_the_level(a, b, level, more):
    narrow, wide = beta_interval(a, b, level), beta_interval(a, b, level + more)
    assert wide.low <= narrow.low <= narrow.high <= wide.high


def test_many_entries():
    assert beta_interval(5e5, 5e5) == pytest.approx((0.5 - 0.00098, 0.5 + 0.00098), abs=5e-6)  # 1.96 / (2 sqrt(1e6))


def test_ends():
    assert [beta_share(x, 2.0, 3.0) for x in (0.0, 1.0)] == [0.0, 1.0]
    assert [beta_quantile(share, 2.0, 3.0) for share in (0.0, 1.0)] == [0.0, 1.0]


# I_x(a, 1) = x^a: the quantile of 1e-6 for a = 1/100 is 1e-600, below all floats; its mirror is 1.
def test_quantiles_against_the_ends():
    assert 0.0 <= beta_quantile(1e-6, 0.01, 1.0) < 1e-200
    assert 1.0 - 1e-12 < beta_quantile(1.0 - 1e-6, 1.0, 0.01) <= 1.0
    assert beta_quantile(0.5, 0.1, 1.0) == pytest.approx(0.5**10, rel=1e-12)


@pytest.mark.parametrize(("x", "a", "b"), [(-0.1, 1, 1), (1.1, 1, 1), (0.5, 0, 1), (0.5, 1, -2), (0.5, math.inf, 1)])
def test_refuses(x, a, b):
    with pytest.raises(OutOfRange):
        beta_share(x, a, b)
    with pytest.raises(OutOfRange):
        beta_quantile(x, a, b)


@pytest.mark.parametrize("level", [0.0, 1.0])
def test_interval_refuses_a_level(level):
    with pytest.raises(OutOfRange):
        beta_interval(2.0, 2.0, level)
