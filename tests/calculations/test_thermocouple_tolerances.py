"""Tolerance classes of thermocouples: both ends of every range, both sides of every break."""

import math

import numpy as np
import pytest

from trainer.calculations.thermocouple_tolerances import LIMITS, tolerance
from trainer.errors import OutOfRange


# IEC 60584-1:2013 (formerly IEC 60584-2): where the fixed and the proportional part are equal.
@pytest.mark.parametrize(
    ("grade", "kinds", "joint", "fixed"),
    [
        ("1", "EJKN", 375.0, 1.5),
        ("2", "EJKN", 333.33, 2.5),
        ("1", "T", 125.0, 0.5),
        ("2", "T", 133.33, 1.0),
        ("3", "EKN", -166.67, 2.5),
        ("3", "T", -66.67, 1.0),
        ("2", "RS", 600.0, 1.5),
        ("3", "B", 800.0, 4.0),
        ("1", "RS", 1100.0, 1.0),
    ],
)
def test_both_sides_of_every_break(grade, kinds, joint, fixed):
    outward = math.copysign(20.0, joint)
    for kind in kinds:
        assert tolerance(joint - outward, kind, grade) == pytest.approx(fixed)
        assert tolerance(joint, kind, grade) == pytest.approx(fixed, rel=1e-4)
        assert tolerance(joint + outward, kind, grade) > fixed + 0.04


# IEC 60584-1:2013 and ASTM E230: tolerance in °C at both ends of the range; type K below 0 °C as in ANSI
# MC96.1, 2 % (one print of E230-12 has 1 %).
@pytest.mark.parametrize(
    ("grade", "kind", "lowest", "highest", "at_lowest", "at_highest"),
    [
        ("1", "T", -40, 350, 0.5, 1.4),
        ("1", "E", -40, 800, 1.5, 3.2),
        ("1", "J", -40, 750, 1.5, 3.0),
        ("1", "K", -40, 1000, 1.5, 4.0),
        ("1", "N", -40, 1000, 1.5, 4.0),
        ("1", "R", 0, 1600, 1.0, 2.5),
        ("1", "S", 0, 1600, 1.0, 2.5),
        ("2", "T", -40, 350, 1.0, 2.625),
        ("2", "E", -40, 900, 2.5, 6.75),
        ("2", "J", -40, 750, 2.5, 5.625),
        ("2", "K", -40, 1200, 2.5, 9.0),
        ("2", "N", -40, 1200, 2.5, 9.0),
        ("2", "R", 0, 1600, 1.5, 4.0),
        ("2", "S", 0, 1600, 1.5, 4.0),
        ("2", "B", 600, 1700, 1.5, 4.25),
        ("3", "T", -200, 40, 3.0, 1.0),
        ("3", "E", -200, 40, 3.0, 2.5),
        ("3", "K", -200, 40, 3.0, 2.5),
        ("3", "N", -200, 40, 3.0, 2.5),
        ("3", "B", 600, 1700, 4.0, 8.5),
        ("standard", "T", 0, 370, 1.0, 2.775),
        ("standard", "J", 0, 760, 2.2, 5.7),
        ("standard", "E", 0, 870, 1.7, 4.35),
        ("standard", "K", 0, 1260, 2.2, 9.45),
        ("standard", "N", 0, 1260, 2.2, 9.45),
        ("standard", "R", 0, 1480, 1.5, 3.7),
        ("standard", "S", 0, 1480, 1.5, 3.7),
        ("standard", "B", 870, 1700, 4.35, 8.5),
        ("special", "T", 0, 370, 0.5, 1.48),
        ("special", "J", 0, 760, 1.1, 3.04),
        ("special", "E", 0, 870, 1.0, 3.48),
        ("special", "K", 0, 1260, 1.1, 5.04),
        ("special", "N", 0, 1260, 1.1, 5.04),
        ("special", "R", 0, 1480, 0.6, 1.48),
        ("special", "S", 0, 1480, 0.6, 1.48),
        ("special", "B", 870, 1700, 2.175, 4.25),
        ("standard below 0 °C", "T", -200, 0, 3.0, 1.0),
        ("standard below 0 °C", "E", -200, 0, 2.0, 1.7),
        ("standard below 0 °C", "K", -200, 0, 4.0, 2.2),
    ],
)
def test_tolerance_holds_in_its_range_only(grade, kind, lowest, highest, at_lowest, at_highest):
    assert tolerance(float(lowest), kind, grade) == pytest.approx(at_lowest)
    assert tolerance(float(highest), kind, grade) == pytest.approx(at_highest)
    for outside in lowest - 0.1, highest + 0.1:
        with pytest.raises(OutOfRange):
            tolerance(outside, kind, grade)


# ASTM E230: both sides of the breaks that follow from 2.2 or 0.75 %, 1.1 or 0.4 %, 1.7 or 0.5 %.
@pytest.mark.parametrize(
    ("kind", "grade", "t", "degrees"),
    [
        ("K", "standard", 290.0, 2.2),
        ("K", "standard", 300.0, 2.25),
        ("K", "special", 270.0, 1.1),
        ("K", "special", 280.0, 1.12),
        ("E", "standard", 335.0, 1.7),
        ("E", "standard", 350.0, 1.75),
        ("K", "standard", 620.0, 4.65),
    ],
)
def test_the_greater_of_the_two_not_their_sum(kind, grade, t, degrees):
    assert tolerance(t, kind, grade) == pytest.approx(degrees)


@pytest.mark.parametrize(("grade", "kind"), LIMITS)
def test_tolerance_of_an_array(grade, kind):
    limit = LIMITS[grade, kind]
    t = np.linspace(limit.lowest, limit.highest, 12).reshape(3, 4)
    together = tolerance(t, kind, grade)
    assert together.shape == t.shape
    assert together.ravel().tolist() == [tolerance(value, kind, grade) for value in t.ravel().tolist()]


def test_a_class_that_a_type_does_not_have_is_refused():
    with pytest.raises(ValueError, match="no tolerance class '3' for thermocouple type 'J'"):
        tolerance(-50.0, "J", "3")
