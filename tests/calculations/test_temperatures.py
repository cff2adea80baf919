"""Temperatures and temperature differences between the units."""

import math

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.calculations.temperatures import ABSOLUTE_ZERO, convert, convert_difference
from trainer.errors import OutOfRange

REGISTRY = pint.UnitRegistry()
UNITS = ("°C", "°F", "K")
PAIRS = [(unit, to) for unit in UNITS for to in UNITS]

# Definitions of the scales (SI brochure; NIST SP 811): ice, steam, where °C and °F meet, absolute zero.
POINTS = [(0.0, 32.0, 273.15), (100.0, 212.0, 373.15), (-40.0, -40.0, 233.15), (-273.15, -459.67, 0.0)]


@pytest.mark.parametrize("point", POINTS)
@pytest.mark.parametrize(("unit", "to"), PAIRS)
def test_points_of_the_scales(point, unit, to):
    same = dict(zip(UNITS, point, strict=True))
    assert convert(same[unit], unit, to) == pytest.approx(same[to], abs=1e-9)


# 1 K = 1 °C = 1.8 °F as differences (NIST SP 811, B.8).
@pytest.mark.parametrize(
    ("difference", "unit", "to", "expected"),
    [(2.5, "°C", "°F", 4.5), (65.0, "°C", "°F", 117.0), (4.5, "°F", "K", 2.5), (1.2, "K", "°C", 1.2)],
)
def test_differences(difference, unit, to, expected):
    assert convert_difference(difference, unit, to) == pytest.approx(expected)


def test_a_difference_has_no_32():
    assert convert_difference(2.5, "°C", "°F") != pytest.approx(convert(2.5, "°C", "°F"))
    assert convert_difference(0.0, "°C", "°F") == 0.0


@pytest.mark.parametrize(("unit", "to"), PAIRS)
@given(value=st.floats(0.0, 3000.0))
def test_against_a_unit_library(unit, to, value):
    names = {"°C": "degC", "°F": "degF", "K": "kelvin"}
    deltas = {"°C": "delta_degC", "°F": "delta_degF", "K": "kelvin"}
    there = REGISTRY.Quantity(value, names[unit]).to(names[to]).magnitude
    assert convert(value, unit, to) == pytest.approx(there, abs=1e-9)
    difference = REGISTRY.Quantity(value, deltas[unit]).to(deltas[to]).magnitude
    assert convert_difference(value, unit, to) == pytest.approx(difference, abs=1e-9)


@pytest.mark.parametrize("unit", UNITS)
def test_absolute_zero(unit):
    lowest = ABSOLUTE_ZERO[unit]
    assert convert(lowest, unit, "K") == pytest.approx(0.0, abs=1e-9)
    for wrong in lowest - 0.01, math.nan:
        with pytest.raises(OutOfRange, match="temperature"):
            convert(wrong, unit, "°C")
        with pytest.raises(OutOfRange, match="temperature"):
            convert(np.array([20.0, wrong]), unit, "°C")


def test_a_difference_may_be_negative():
    assert convert_difference(-300.0, "°C", "K") == -300.0


@pytest.mark.parametrize(("unit", "to"), PAIRS)
def test_an_array_gives_what_its_values_give(unit, to):
    values = np.array([[0.0, 20.0], [37.5, 850.0]])
    for function in convert, convert_difference:
        together = function(values, unit, to)
        assert together.shape == values.shape
        assert together.ravel().tolist() == [function(value, unit, to) for value in values.ravel().tolist()]
