"""Scaling between process value and signal, against worked examples in print."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from trainer.calculations.signals import (
    MA_4_20,
    SIGNALS,
    V_1_5,
    V_2_10,
    NoSpan,
    Signal,
    fraction,
    range_from_pairs,
    signal_from_value,
    value_at,
    value_from_signal,
)
from trainer.errors import TrainerError


# IEC 60381-1:1982 and 60381-2:1978: direct current and direct voltage signals; 2-10 V and 0-20 mA: common practice.
def test_signals_of_the_trade():
    assert [signal.name for signal in SIGNALS] == ["4-20 mA", "0-20 mA", "1-5 V", "0-5 V", "0-10 V", "2-10 V"]
    assert [signal.has_live_zero for signal in SIGNALS] == [True, False, True, False, False, True]


# Worked examples of public 4-20 mA pages: fraction of span, half the last printed digit.
@pytest.mark.parametrize(
    ("value", "lower", "upper", "percent", "half_a_digit"),
    [
        (253.125, 150.0, 400.0, 41.25, 0.005),
        (41.0, -88.0, 145.0, 55.36, 0.005),
        (9.32, 3.0, 11.0, 79.0, 0.05),
        (1.0, -1.0, 5.0, 33.33, 0.005),
        (-0.2, -1.0, 1.0, 40.0, 0.5),
    ],
)
def test_fraction_of_span(value, lower, upper, percent, half_a_digit):
    assert 100.0 * fraction(value, lower, upper) == pytest.approx(percent, abs=half_a_digit)
    assert value_at(fraction(value, lower, upper), lower, upper) == pytest.approx(value)


# Worked examples of the same pages: current of a process value.
@pytest.mark.parametrize(
    ("value", "lower", "upper", "current", "half_a_digit"),
    [
        (253.125, 150.0, 400.0, 10.6, 0.05),
        (41.0, -88.0, 145.0, 12.86, 0.005),
        (9.32, 3.0, 11.0, 16.64, 0.005),
        (40.0, 0.0, 100.0, 10.4, 0.05),
        (2.375, -1.0, 5.0, 13.0, 0.0005),
        (0.0, -50.0, 50.0, 12.0, 0.0005),
    ],
)
def test_current_of_a_process_value(value, lower, upper, current, half_a_digit):
    assert signal_from_value(value, lower, upper) == pytest.approx(current, abs=half_a_digit)


@pytest.mark.parametrize(
    ("current", "lower", "upper", "value", "half_a_digit"),
    [(10.6, 150.0, 400.0, 253.125, 0.0005), (12.0, -50.0, 50.0, 0.0, 0.0005)],
)
def test_process_value_of_a_current(current, lower, upper, value, half_a_digit):
    assert value_from_signal(current, lower, upper) == pytest.approx(value, abs=half_a_digit)


# 250 Ω makes 1-5 V of 4-20 mA (IEC 60381-1 and -2): both signals must show the same value.
@given(st.floats(3.0, 22.0))
def test_volts_across_250_ohm_show_what_the_current_shows(current):
    shown = value_from_signal(current * 0.25, -40.0, 85.0, V_1_5)
    assert shown == pytest.approx(value_from_signal(current, -40.0, 85.0), abs=1e-9)


@given(st.floats(-1e4, 1e4), st.floats(-1e4, 1e4), st.floats(-1e4, 1e4), st.sampled_from(SIGNALS), st.booleans())
def test_there_and_back(value, lower, upper, signal, reverse):
    assume(abs(upper - lower) > 1.0)
    lower, upper = (upper, lower) if reverse else (lower, upper)
    there = signal_from_value(value, lower, upper, signal)
    assert value_from_signal(there, lower, upper, signal) == pytest.approx(value, abs=1e-6)


# A reverse acting transmitter gives what is left of both ends of the signal.
@given(st.floats(-50.0, 150.0))
def test_reverse_acting_mirrors_direct_acting(value):
    direct = signal_from_value(value, 0.0, 100.0, V_2_10)
    assert signal_from_value(value, 100.0, 0.0, V_2_10) == pytest.approx(12.0 - direct)


# Fault currents through a scaling block without limits, worked by hand: -40 to 40 °C, 5 °C for each milliampere.
@pytest.mark.parametrize(
    ("current", "shown"), [(2.0, -50.0), (3.5, -42.5), (3.6, -42.0), (21.0, 45.0), (21.5, 47.5), (22.0, 50.0)]
)
def test_value_shown_at_a_fault_current(current, shown):
    assert value_from_signal(current, -40.0, 40.0) == pytest.approx(shown, abs=1e-9)


@given(st.floats(-200.0, 800.0), st.floats(10.0, 900.0), st.floats(4.0, 11.0), st.floats(12.0, 20.0))
def test_a_lost_range_is_recovered_from_any_two_good_pairs(lower, span, first, second):
    readings = (first, second)
    values = tuple(value_from_signal(reading, lower, lower + span) for reading in readings)
    recovered = range_from_pairs(readings, values)
    assert recovered == pytest.approx((lower, lower + span), abs=1e-6)
    assert range_from_pairs(readings[::-1], values[::-1]) == pytest.approx(recovered, abs=1e-6)


def test_a_recovered_range_may_be_reverse_acting():
    assert range_from_pairs((8.0, 16.0), (75.0, 25.0)) == (100.0, 0.0)


@pytest.mark.parametrize("ends", [(20.0, 20.0), (0.0, -0.0), (math.nan, 20.0), (20.0, math.inf)])
@pytest.mark.parametrize("calculation", [fraction, value_at, signal_from_value, value_from_signal])
def test_a_range_without_span_is_refused_by_its_values(calculation, ends):
    with pytest.raises(NoSpan, match=f"range {ends[0]:g} to {ends[1]:g} has no span"):
        calculation(10.0, *ends)
    assert issubclass(NoSpan, TrainerError)
    assert issubclass(NoSpan, ValueError)


def test_other_things_without_span_are_refused():
    with pytest.raises(NoSpan, match="signal 4 to 4"):
        Signal(4.0, 4.0, "mA")
    with pytest.raises(NoSpan, match="pair of readings"):
        range_from_pairs((8.0, 8.0), (20.0, 30.0))
    with pytest.raises(NoSpan, match="pair of values"):
        range_from_pairs((8.0, 12.0), (20.0, 20.0))


def test_whole_numbers_and_arrays_of_any_shape_are_welcome():
    assert signal_from_value(50, 0, 100) == 12.0
    grid = np.array([[0.0, 25.0], [75.0, 100.0]])
    assert signal_from_value(grid, 0.0, 100.0).tolist() == [[4.0, 8.0], [16.0, 20.0]]
    assert MA_4_20.span == 16.0
