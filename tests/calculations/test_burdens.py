"""Burden resistors: published voltages, and identities of Ohm's law."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.calculations.burdens import burden_error, burden_voltage, parallel
from trainer.calculations.signals import V_1_5, value_from_signal
from trainer.errors import OutOfRange


# IEC 60381-1 and -2 as practiced, and an analog input module manual: 250 Ω makes 1-5 V of 4-20 mA.
def test_250_ohm_makes_1_to_5_volts():
    currents = np.array([4.0, 8.0, 12.0, 16.0, 20.0])
    assert burden_voltage(currents).tolist() == pytest.approx([1.0, 2.0, 3.0, 4.0, 5.0])


# NAMUR NE 43 levels across 250 Ω, one-step arithmetic: 3.6, 3.8, 20.5 and 21.0 mA.
def test_fault_levels_across_250_ohm():
    assert burden_voltage(np.array([3.6, 3.8, 20.5, 21.0])).tolist() == pytest.approx([0.9, 0.95, 5.125, 5.25])


# The error must be what a 1-5 V receiver shows, less what it would show with the right resistor.
@given(st.floats(3.6, 21.0), st.floats(200.0, 300.0), st.floats(-200.0, 500.0), st.floats(10.0, 900.0))
def test_error_is_the_difference_of_two_readings(current, resistance, lower, span):
    upper = lower + span
    shown = value_from_signal(burden_voltage(current, resistance), lower, upper, V_1_5)
    true = value_from_signal(burden_voltage(current), lower, upper, V_1_5)
    assert burden_error(current, span, resistance) == pytest.approx(shown - true, abs=1e-9)


# Common mistake: an input with its own 250 Ω and a second one outside show half of every voltage.
def test_two_burdens_side_by_side():
    assert parallel(250.0, 250.0) == 125.0
    assert burden_voltage(20.0, parallel(250.0, 250.0)) == 2.5


@given(st.lists(st.floats(1.0, 1e6), min_size=1, max_size=4))
def test_parallel_is_less_than_the_least_and_forgets_what_is_open(resistances):
    together = parallel(*resistances)
    assert together <= min(resistances) * (1.0 + 1e-12)
    assert parallel(*resistances, math.inf) == pytest.approx(together)
    assert sum(together / resistance for resistance in resistances) == pytest.approx(1.0)


def test_ends():
    assert parallel() == math.inf
    with pytest.raises(OutOfRange, match="resistance 0 Ω"):
        parallel(250.0, 0.0)
    with pytest.raises(OutOfRange, match="burden -1 Ω"):
        burden_voltage(12.0, -1.0)
