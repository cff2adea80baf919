"""Counts and scaling blocks against printed tables of analog inputs."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from trainer.calculations.counts import (
    counts,
    overflows,
    resolution,
    scaling,
    top_count,
    whole_number_value,
)
from trainer.calculations.signals import NoSpan, signal_from_value
from trainer.errors import OutOfRange


# Largest unsigned number of n bits: powers of two less one (any table of powers of two).
@pytest.mark.parametrize(("bits", "top"), [(8, 255), (10, 1023), (12, 4095), (14, 16383), (15, 32767), (16, 65535)])
def test_top_count(bits, top):
    assert top_count(bits) == top
    assert counts(5.0, 5.0, bits) == top


# Input table of a fieldbus module, printed as 12 bits shifted left by three: 4-20 mA over the whole of the counts.
@pytest.mark.parametrize(
    ("current", "printed"),
    [(20.0, 32760), (12.0, 16384), (8.0, 8192), (6.0, 4096), (4.125, 256), (4.0, 0)],
)
def test_counts_of_a_twelve_bit_input(current, printed):
    assert counts(current - 4.0, 16.0, 12) * 8 == printed


# Manual of an analog input module: 4-20 mA is 0 to 4000 counts, and 20.48 mA gives 4120.
@pytest.mark.parametrize(
    ("current", "printed"), [(4.0, 0), (8.0, 1000), (12.0, 2000), (16.0, 3000), (20.0, 4000), (20.48, 4120)]
)
def test_scaling_of_a_module_with_4000_counts(current, printed):
    assert scaling(0, 4000, 4.0, 20.0).count(current) == pytest.approx(printed)


# Manuals of two more modules: 4-20 mA as 0 to 32000 counts; and 0-20 mA as 0 to 32000, so that 4 mA is 6400.
def test_scaling_of_modules_with_32000_counts():
    assert scaling(0, 32000, 4.0, 20.0).count(np.array([4.0, 10.0])).tolist() == [0.0, 12000.0]
    assert scaling(0, 32000, 0.0, 20.0).count(np.array([4.0, 20.0])).tolist() == [6400.0, 32000.0]


# A published text on scaling: 3277 to 16384 counts are 0 to 700 gallons a minute, slope 700/13107 = 0.053407.
def test_published_slope():
    block = scaling(3277, 16384, 0.0, 700.0)
    assert block.slope == pytest.approx(0.053407, abs=5e-7)
    assert block.value(3277) == pytest.approx(0.0, abs=1e-9)
    assert block.value(16384) == pytest.approx(700.0)


@given(st.integers(0, 65535), st.integers(0, 65535), st.floats(-500, 500), st.floats(-500, 500), st.integers(0, 65535))
def test_scaling_meets_both_ends_and_comes_back(raw_low, raw_high, lower, upper, count):
    assume(abs(raw_high - raw_low) > 100)
    assume(abs(upper - lower) > 1.0)
    block = scaling(raw_low, raw_high, lower, upper)
    assert block.value(raw_low) == pytest.approx(lower, abs=1e-6)
    assert block.value(raw_high) == pytest.approx(upper, abs=1e-6)
    assert block.count(block.value(count)) == pytest.approx(count, abs=1e-3)


# The whole way: a process value as 1-5 V on an input for 0-5 V, through counts, and back to within half a count.
@given(st.floats(0.0, 150.0), st.sampled_from([10, 12, 14, 16]))
def test_a_process_value_survives_counts_to_half_a_count(value, bits):
    volts = signal_from_value(value, 0.0, 150.0) / 4.0
    block = scaling(top_count(bits) / 5.0, top_count(bits), 0.0, 150.0)
    step = resolution(150.0, 1.0, 5.0, 5.0, bits)
    assert abs(block.value(counts(volts, 5.0, bits)) - value) <= 0.5 * step + 1e-9


# 1-5 V on an input for 0-5 V uses 80 % of its counts (common practice).
def test_a_live_zero_costs_a_fifth_of_the_resolution():
    assert resolution(100.0, 0.0, 5.0, 5.0, 12) / resolution(100.0, 1.0, 5.0, 5.0, 12) == pytest.approx(0.8)


def test_counts_are_clipped_and_rounded_to_the_nearest():
    assert [counts(volts, 5.0, 12) for volts in (-1.0, 0.0, 5.0, 7.0)] == [0, 0, 4095, 4095]
    step = 5.0 / 4095.0
    assert [counts(step * part, 5.0, 12) for part in (0.49, 0.51, 1.49, 1.51)] == [0, 1, 1, 2]
    assert counts(np.array([-1.0, 2.872, 7.0]), 5.0, 12).tolist() == [0, 2352, 4095]


# Range of a word in two's complement (ISO/IEC 9899 limits of 16-bit types): -32768 to 32767, or 0 to 65535.
@pytest.mark.parametrize(
    ("product", "signed", "expected"),
    [
        (32767, True, False),
        (32768, True, True),
        (-32768, True, False),
        (-32769, True, True),
        (65535, False, False),
        (65536, False, True),
        (-1, False, True),
    ],
)
def test_overflow_of_a_word(product, signed, expected):
    assert overflows(product, signed=signed) is expected


@given(st.integers(0, 32767), st.integers(0, 4000), st.integers(6000, 32767), st.integers(-999, 999))
def test_whole_numbers_differ_from_the_true_value_by_less_than_a_step(count, raw_low, raw_high, lower):
    shown = whole_number_value(count, raw_low, raw_high, 800, lower)
    true = scaling(raw_low, raw_high, lower, lower + 800).value(count)
    assert abs(shown - true) < 1.0 + 1e-9
    assert abs(shown - lower) <= abs(true - lower) + 1e-9


def test_what_cannot_be_scaled_is_refused():
    with pytest.raises(NoSpan, match="raw range 819 to 819"):
        scaling(819, 819, 0.0, 100.0)
    with pytest.raises(OutOfRange, match="bits 0"):
        top_count(0)
    with pytest.raises(OutOfRange, match="full scale nan"):
        counts(1.0, math.nan, 12)
