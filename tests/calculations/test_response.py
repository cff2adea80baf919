"""First-order response against a printed table, closed forms, and integration in small steps."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.calculations.response import (
    after_step,
    after_step_two_lags,
    attenuation,
    averaged,
    filtered,
    ramp_lag,
    time_to_fraction,
    time_to_value,
)
from trainer.calculations.signals import NoSpan
from trainer.errors import OutOfRange


# Mechanical Engineers' Handbook, volume 2, table 6: response of a first-order system to a step.
@pytest.mark.parametrize(
    ("time_constants", "shown"),
    [(0, 0.0), (1, 0.632), (2, 0.865), (3, 0.950), (4, 0.982), (5, 0.993), (6, 0.998)],
)
def test_step_table(time_constants, shown):
    assert after_step(time_constants * 12.5, 12.5) == pytest.approx(shown, abs=0.0005)


# A page on rise times: 10 to 90 % in 2.197 time constants, 99 % after 4.605. It calls three time constants 95 %,
# which is reached after 2.996.
def test_times_to_fractions():
    assert time_to_fraction(0.9, 1.0) - time_to_fraction(0.1, 1.0) == pytest.approx(2.197, abs=0.0005)
    assert time_to_fraction(0.99, 1.0) == pytest.approx(4.605, abs=0.0005)
    assert time_to_fraction(0.95, 1.0) == pytest.approx(2.996, abs=0.0005)


@given(st.floats(0.0, 0.999), st.floats(0.1, 900.0), st.floats(-50.0, 50.0), st.floats(60.0, 300.0), st.booleans())
def test_there_and_back(part, time_constant, low, high, falling):
    start, end = (high, low) if falling else (low, high)
    target = start + part * (end - start)
    time = time_to_value(target, time_constant, start, end)
    assert after_step(time, time_constant, start, end) == pytest.approx(target, abs=1e-9)


# Long after its start a filtered ramp trails by rate × time constant; in series the time constants add.
@given(st.floats(-2.0, 2.0), st.floats(1.0, 30.0), st.floats(1.0, 30.0))
def test_ramp_lag_is_what_the_filters_come_to(rate, first, second):
    times = np.linspace(0.0, 1500.0, 301)
    ramp = rate * times
    one = filtered(times, ramp, first)
    assert ramp[-1] - one[-1] == pytest.approx(ramp_lag(rate, first), abs=1e-9)
    fine = np.linspace(0.0, 1500.0, 3001)
    two = filtered(fine, filtered(fine, rate * fine, first), second)
    assert rate * 1500.0 - two[-1] == pytest.approx(ramp_lag(rate, first, second), abs=1e-6)


# Two lags in series: the response to a step is smooth at the start, and equal to two filters one after the other.
@pytest.mark.parametrize(("first", "second"), [(20.0, 5.0), (5.0, 20.0), (8.0, 8.0), (8.0, 8.0 + 1e-11)])
def test_two_lags_are_two_filters(first, second):
    times = np.linspace(0.0, 60.0, 6001)
    behind_one = after_step(times, first)
    assert after_step_two_lags(times, first, second) == pytest.approx(filtered(times, behind_one, second), abs=1e-5)
    assert after_step_two_lags(1e-3, first, second) < 1e-7


# Corner frequency of a low-pass filter (any textbook): 3 dB, which is 0.7079 of the amplitude, to 0.2 %.
def test_corner_frequency():
    assert attenuation(1.0 / (2.0 * math.pi * 3.0), 3.0) == pytest.approx(10.0 ** (-3.0 / 20.0), abs=0.002)
    assert attenuation(0.0, 3.0) == 1.0


@given(st.floats(0.01, 0.2), st.floats(0.5, 8.0))
def test_attenuation_is_what_the_filter_does_to_a_sine(frequency, time_constant):
    times = np.linspace(0.0, 200.0, 20_001)
    shown = filtered(times, np.sin(2.0 * np.pi * frequency * times), time_constant)
    settled = shown[times > 12.0 * time_constant]
    assert np.abs(settled).max() == pytest.approx(attenuation(frequency, time_constant), rel=2e-3)


# Law of large numbers, in a draw of 40,000 averages of 16: the spread falls to a quarter, within 2 %.
def test_averaging():
    draw = np.random.default_rng(20)
    averages = draw.normal(0.0, 0.8, (40_000, 16)).mean(axis=1)
    assert averages.std() == pytest.approx(averaged(0.8, 16), rel=0.02)


# Naive integration (Euler) in steps of 1 ms of what the filter solves exactly.
@given(st.integers(0, 1000), st.floats(0.2, 3.0))
def test_filter_equals_integration_in_small_steps(seed, time_constant):
    draw = np.random.default_rng(seed)
    times = np.concatenate([[0.0], np.round(np.cumsum(draw.uniform(0.1, 1.0, 5)), 3)])
    values = draw.normal(20.0, 5.0, 6)
    fine = np.arange(round(times[-1] * 1000.0) + 1) / 1000.0
    shown, integrated = values[0], []
    for value in np.interp(fine, times, values).tolist():
        integrated.append(shown)
        shown += (value - shown) * 0.001 / time_constant
    at_samples = np.array(integrated)[np.round(times * 1000.0).astype(int)]
    assert filtered(times, values, time_constant) == pytest.approx(at_samples, abs=0.05)


def test_filter_keeps_what_it_held_and_may_be_off():
    times, values = np.array([0.0, 10.0]), np.array([50.0, 50.0])
    assert filtered(times, values, 10.0, start=0.0)[1] == pytest.approx(after_step(10.0, 10.0, 0.0, 50.0))
    assert filtered(times, np.array([1.0, 2.0]), 0.0).tolist() == [1.0, 2.0]
    assert filtered(np.array([0.0]), np.array([7.0]), 5.0).tolist() == [7.0]


# Exact for straight lines: samples put in between on the same lines change nothing.
@given(st.floats(0.5, 40.0))
def test_more_samples_on_the_same_lines_change_nothing(time_constant):
    times, values = np.array([0.0, 8.0, 9.0, 30.0]), np.array([5.0, 25.0, -10.0, 0.0])
    fine = np.arange(0.0, 30.5, 0.5)
    coarse = filtered(times, values, time_constant)
    assert filtered(fine, np.interp(fine, times, values), time_constant)[[0, 16, 18, 60]] == pytest.approx(coarse)


@pytest.mark.parametrize(
    ("calculation", "message"),
    [
        (lambda: after_step(1.0, 0.0), "time constant 0 s"),
        (lambda: time_to_fraction(1.0, 5.0), "fraction of the step 1 is outside"),
        (lambda: time_to_value(71.0, 24.0, 18.0, 70.0), "fraction of the step 1.0"),
        (lambda: averaged(1.0, 0), "number of readings 0"),
        (lambda: filtered(np.zeros(2), np.zeros(2), -1.0), "time constant -1 s"),
        (lambda: after_step_two_lags(1.0, 5.0, -5.0), "time constant -5 s"),
    ],
)
def test_what_is_not_defined_is_refused(calculation, message):
    with pytest.raises(OutOfRange, match=message):
        calculation()
    with pytest.raises(NoSpan):
        time_to_value(20.0, 5.0, 20.0, 20.0)
