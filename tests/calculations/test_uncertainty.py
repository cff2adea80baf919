"""Uncertainty against the worked examples of the Guide."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.calculations.uncertainty import (
    acceptance_limit,
    combined,
    degrees_of_freedom,
    expanded,
    from_expanded,
    from_limits,
    from_readings,
    from_resolution,
    uncertainty_ratio,
)
from trainer.errors import OutOfRange

# JCGM 100:2008, H.1, end-gauge calibration, in nanometers: standard 25 (18 degrees of freedom), repeated
# comparison 5.8 (24), random effects 3.9 (5), systematic effects 6.7 (8), expansion coefficients that differ by
# 1e-6 /°C at most (50) at 0.1 °C, and temperatures that differ by 0.05 °C at most (2).
LENGTH, EXPANSION = 50_000_623.0, 11.5e-6
DIFFERENCE = (5.8, 3.9, 6.7)


def end_gauge_terms():
    coefficients = LENGTH * 0.1 * from_limits(1e-6)
    temperatures = LENGTH * EXPANSION * from_limits(0.05)
    return [25.0, combined(DIFFERENCE), coefficients, temperatures]


def test_end_gauge():
    terms = end_gauge_terms()
    assert terms == pytest.approx([25.0, 9.7, 2.9, 16.6], abs=0.05)
    assert combined(terms) == pytest.approx(32.0, abs=0.5)


def test_end_gauge_by_sensitivities():
    inputs = [25.0, combined(DIFFERENCE), from_limits(1e-6), from_limits(0.05)]
    sensitivities = [1.0, 1.0, LENGTH * 0.1, -LENGTH * EXPANSION]
    assert combined(inputs, sensitivities) == pytest.approx(31.66, abs=0.005)


# H.1.6 prints 25.6 degrees of freedom of the difference, from a rounded 9.7, and 16.7 of the result, cut to 16.
def test_end_gauge_degrees_of_freedom():
    difference = degrees_of_freedom(DIFFERENCE, [24.0, 5.0, 8.0])
    assert difference * (9.7 / combined(DIFFERENCE)) ** 4 == pytest.approx(25.6, abs=0.05)
    assert degrees_of_freedom(end_gauge_terms(), [18.0, difference, 50.0, 2.0]) == pytest.approx(16.7, abs=0.06)


# JCGM 100:2008, H.2: resistance, reactance and impedance from five simultaneous readings of voltage, current and
# phase angle, which are correlated. R prints 0.071; X 0.295 or 0.296 by the digits kept; Z 0.236.
VOLTS = np.array([5.007, 4.994, 5.005, 4.990, 4.999])
AMPERES = np.array([19.663, 19.639, 19.640, 19.685, 19.678]) / 1000.0
ANGLES = np.array([1.0456, 1.0438, 1.0468, 1.0428, 1.0433])


def test_means_of_simultaneous_readings():
    means = [from_readings(readings) for readings in (VOLTS, AMPERES * 1000.0, ANGLES)]
    assert [mean.value for mean in means] == pytest.approx([4.9990, 19.6610, 1.04446], abs=5e-5)
    assert means[0].uncertainty == pytest.approx(0.0032, abs=5e-5)
    assert means[1].uncertainty == pytest.approx(0.0095, abs=5e-5)
    assert means[2].uncertainty == pytest.approx(0.00075, abs=5e-6)


def test_correlated_inputs():
    (v, u_v), (i, u_i), (angle, u_angle) = (from_readings(readings) for readings in (VOLTS, AMPERES, ANGLES))
    correlation = np.corrcoef([VOLTS, AMPERES, ANGLES])
    cosine, sine = math.cos(angle), math.sin(angle)
    results = {
        "R": [cosine / i, -v * cosine / i**2, -v * sine / i],
        "X": [sine / i, -v * sine / i**2, v * cosine / i],
        "Z": [1.0 / i, -v / i**2, 0.0],
    }
    u = {name: combined([u_v, u_i, u_angle], slopes, correlation) for name, slopes in results.items()}
    assert (v / i * cosine, v / i * sine, v / i) == pytest.approx((127.732, 219.847, 254.260), abs=0.0005)
    assert u == pytest.approx({"R": 0.071, "X": 0.296, "Z": 0.236}, abs=0.0005)


# A published loop-accuracy example: 0.25, 0.1 and 0.035 % of full scale. A second one: 0.375, 1.0 and 3.0.
def test_root_sum_of_squares():
    assert combined([0.25, 0.1, 0.035]) == pytest.approx(0.2715, abs=5e-5)
    assert combined([0.375, 1.0, 3.0]) == pytest.approx(3.18, abs=0.005)


# A text of a meteorological expert team: resolution of 1 mΩ, half width 0.5 mΩ, gives 0.29 mΩ.
def test_resolution():
    assert from_resolution(1.0) == pytest.approx(0.29, abs=0.005)
    assert from_resolution(1.0) == pytest.approx(from_limits(0.5))


# JCGM 100:2008, 4.3.7: a rectangular distribution, drawn 200,000 times, within 1 %.
def test_rectangular_distribution():
    draws = np.random.default_rng(4).uniform(-0.24, 0.24, 200_000)
    assert from_limits(0.24) == pytest.approx(draws.std(), rel=0.01)


@given(st.lists(st.floats(0.001, 10.0), min_size=1, max_size=6))
def test_combining_lies_between_the_greatest_term_and_the_sum(terms):
    u = combined(terms)
    assert max(terms) <= u * (1.0 + 1e-12)
    assert u <= sum(terms) * (1.0 + 1e-12)
    assert combined(terms, correlation=np.eye(len(terms))) == pytest.approx(u)
    assert combined(terms, correlation=np.ones((len(terms), len(terms)))) == pytest.approx(sum(terms))
    assert from_expanded(expanded(u)) == pytest.approx(u)


# Common practice: equal terms of equal freedom add their freedoms; terms that are sure have no end of it.
def test_degrees_of_freedom_of_equal_terms():
    assert degrees_of_freedom([2.0, 2.0, 2.0], [4.0, 4.0, 4.0]) == pytest.approx(12.0)
    assert degrees_of_freedom([1.0, 1.0], [math.inf, math.inf]) == math.inf


@pytest.mark.parametrize(
    ("tolerance", "uncertainty", "decimals", "limit"),
    [(1.5, 0.4124, None, 1.0876), (1.5, 0.4124, 2, 1.08), (0.3, 0.1, 1, 0.2), (0.2, 0.5, 1, -0.3)],
)
def test_acceptance_limit_is_rounded_down(tolerance, uncertainty, decimals, limit):
    assert acceptance_limit(tolerance, uncertainty, decimals) == pytest.approx(limit, abs=1e-12)


def test_ratio():
    assert uncertainty_ratio(2.0, 0.5) == 4.0
    with pytest.raises(OutOfRange, match="expanded uncertainty 0"):
        uncertainty_ratio(2.0, 0.0)
    with pytest.raises(OutOfRange, match="coverage factor 0"):
        from_expanded(0.3, 0.0)
    with pytest.raises(OutOfRange, match="number of readings 1"):
        from_readings(np.array([5.0]))
