"""Loop electrics against published load limits, an independent circuit simulation, and Kirchhoff's laws."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.calculations.loops import (
    earth_difference_error,
    highest_resistance,
    highest_value,
    leak_across_burden,
    leak_across_transmitter,
    loaded_voltage,
    longest_cable,
    saturation_current,
    voltages,
)
from trainer.calculations.signals import V_1_5, value_from_signal
from trainer.errors import OutOfRange

amperes = st.floats(4.0, 21.6)
ohms = st.floats(10.0, 1000.0)


# Load limits printed in transmitter manuals: (supply - 11.9 V)/22 mA at 24 V; (supply - 8.32 V)/22 mA at 20 V;
# from memory, beside those: 43.5 × (supply - 10.5 V), which is a current of 23 mA.
@pytest.mark.parametrize(
    ("supply", "lift_off", "current", "limit", "half_a_digit"),
    [
        (24.0, 11.9, 22.0, 550.0, 0.05),
        (20.0, 8.32, 22.0, 530.9, 0.05),
        (24.0, 10.5, 23.0, 43.5 * 13.5, 0.5),
    ],
)
def test_published_load_limits(supply, lift_off, current, limit, half_a_digit):
    assert highest_resistance(supply, lift_off, current) == pytest.approx(limit, abs=half_a_digit)


# At the limit of resistance the current asked for is just what the supply can drive.
@given(st.floats(12.0, 36.0), st.floats(5.0, 11.5), st.floats(18.0, 25.0))
def test_limit_and_saturation_are_two_sides_of_one_law(supply, lift_off, current):
    resistance = highest_resistance(supply, lift_off, current)
    assert saturation_current(supply, lift_off, resistance) == pytest.approx(current)


# IEC 60228 class 2, 1.5 mm²: 12.1 Ω/km (from memory). Both conductors of the run make up what is left.
@given(st.floats(300.0, 900.0), st.floats(0.0, 250.0), st.sampled_from([12.1, 18.1, 24.5, 36.0]))
def test_cable_uses_up_what_the_burden_leaves(limit, burden, per_kilometer):
    length = longest_cable(limit, burden, per_kilometer)
    assert burden + 2.0 * length / 1000.0 * per_kilometer == pytest.approx(limit)


# Kirchhoff: the drops round the loop add up to the supply.
@given(st.floats(18.0, 30.0), amperes, ohms, st.floats(0.0, 50.0))
def test_drops_add_up_to_the_supply(supply, current, burden, wire):
    drops = voltages(supply, current, burden, wire)
    assert drops.transmitter + drops.burden + 2.0 * drops.wire == pytest.approx(supply)
    assert drops.burden / burden * 1000.0 == pytest.approx(current)


# An independent simulation of a loop-powered transmitter: 24 V, lift-off 10 V, wires 18 Ω each, burden 250 Ω,
# 0 to 120 °C, true 58.0 °C = 11.73 mA.
HEALTHY = 4.0 + 58.0 / 120.0 * 16.0


@pytest.mark.parametrize(
    ("added", "current", "flat", "half_a_digit"), [(700.0, 14.20, 76.5, 0.05), (400.0, 20.41, 123.1, 0.05)]
)
def test_too_much_loop_load(added, current, flat, half_a_digit):
    resistance = 250.0 + 36.0 + added
    assert saturation_current(24.0, 10.0, resistance) == pytest.approx(current, abs=0.005)
    assert highest_value(24.0, 10.0, resistance, 0.0, 120.0) == pytest.approx(flat, abs=half_a_digit)


def test_voltage_across_the_transmitter_before_and_after_the_added_load():
    assert voltages(24.0, HEALTHY, 250.0, 18.0).transmitter == pytest.approx(20.64, abs=0.005)
    assert voltages(24.0, HEALTHY, 950.0, 18.0).transmitter == pytest.approx(12.43, abs=0.005)


def test_low_supply():
    assert saturation_current(13.0, 10.0, 286.0) == pytest.approx(10.49, abs=0.005)
    assert highest_value(13.0, 10.0, 286.0, 0.0, 120.0) == pytest.approx(48.7, abs=0.05)


def test_leaks_of_the_same_simulation():
    low = leak_across_burden(HEALTHY, 250.0, 2200.0)
    assert low == pytest.approx(10.54, abs=0.005)
    assert value_from_signal(low, 0.0, 120.0) == pytest.approx(49.0, abs=0.05)
    high = leak_across_transmitter(HEALTHY, 24.0, 286.0, 10_000.0)
    assert high - HEALTHY == pytest.approx(2.01, abs=0.005)
    assert value_from_signal(high, 0.0, 120.0) == pytest.approx(73.1, abs=0.05)


# Kirchhoff: burden and leak have one voltage and share the current; a leak beside the transmitter sees what
# the loop leaves of the supply.
@given(amperes, ohms, st.floats(500.0, 1e6))
def test_leaks_obey_the_laws_of_the_circuit(current, burden, leak):
    left = leak_across_burden(current, burden, leak)
    assert left * burden == pytest.approx((current - left) * leak, rel=1e-6)
    both = leak_across_transmitter(current, 24.0, burden, leak)
    assert (both - current) * leak == pytest.approx(24_000.0 - both * burden, abs=1e-4)


def test_no_leak_and_no_load_change_nothing():
    assert leak_across_burden(12.0, 250.0, math.inf) == 12.0
    assert leak_across_transmitter(12.0, 24.0, 286.0, math.inf) == 12.0
    assert loaded_voltage(5.0, 100.0, math.inf) == 5.0


# A divider of two equal resistors halves (any textbook).
def test_loading():
    assert loaded_voltage(10.0, 250.0, 250.0) == 5.0


# Common practice: 0.2 V between two earths is 5 % of the span of 1-5 V.
def test_earth_difference():
    assert earth_difference_error(0.2, 100.0, V_1_5) == pytest.approx(5.0)
    shown = value_from_signal(3.0 + 0.2, -30.0, 50.0, V_1_5) - value_from_signal(3.0, -30.0, 50.0, V_1_5)
    assert earth_difference_error(0.2, 80.0, V_1_5) == pytest.approx(shown)


@pytest.mark.parametrize(
    "calculation",
    [
        lambda: highest_resistance(24.0, 10.0, 0.0),
        lambda: longest_cable(500.0, 250.0, 0.0),
        lambda: saturation_current(24.0, 10.0, 0.0),
        lambda: leak_across_burden(12.0, 250.0, 0.0),
        lambda: leak_across_transmitter(12.0, 24.0, 286.0, -1.0),
        lambda: loaded_voltage(5.0, 100.0, 0.0),
    ],
)
def test_circuits_that_cannot_be_are_refused(calculation):
    with pytest.raises(OutOfRange):
        calculation()
