"""Bands of a 4-20 mA loop against NAMUR NE 43."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.calculations.fault_levels import Levels, band, limited
from trainer.errors import OutOfRange

BELOW, ABOVE = -math.inf, math.inf


# NAMUR NE 43, edition of 2003: measuring 3.8 to 20.5 mA, fault at 3.6 mA and below, or at 21.0 mA and above.
# Both sides of every level and the level itself. Names of the bands: common practice.
@pytest.mark.parametrize(
    ("level", "below", "at", "above"),
    [
        (3.6, "fault low", "fault low", "between"),
        (3.8, "between", "under-range", "under-range"),
        (4.0, "under-range", "measuring", "measuring"),
        (20.0, "measuring", "measuring", "over-range"),
        (20.5, "over-range", "over-range", "between"),
        (21.0, "between", "fault high", "fault high"),
    ],
)
def test_both_sides_of_every_level(level, below, at, above):
    trio = [math.nextafter(level, BELOW), level, math.nextafter(level, ABOVE)]
    assert [band(current) for current in trio] == [below, at, above]
    assert band(np.array(trio)).tolist() == [below, at, above]


# A dead loop and a reversed one are faults too.
def test_far_ends():
    assert [band(0.0), band(-20.0), band(25.0), band(math.inf)] == ["fault low"] * 2 + ["fault high"] * 2


@given(st.floats(-5.0, 30.0))
def test_a_limited_output_is_never_taken_for_a_fault(current):
    assert band(limited(current)) in {"under-range", "measuring", "over-range"}
    assert limited(limited(current)) == limited(current)


def plainly(current):
    """Name the band as one reads it off the page."""
    if current <= 3.6:
        return "fault low"
    if current >= 21.0:
        return "fault high"
    if current < 3.8 or current > 20.5:
        return "between"
    return "under-range" if current < 4.0 else "over-range" if current > 20.0 else "measuring"


@given(st.lists(st.floats(3.0, 22.0), min_size=1))
def test_every_current_has_the_band_that_the_page_gives_it(currents):
    assert band(np.array(currents)).tolist() == [plainly(current) for current in currents]


# Other levels are met in the field as well: 3.2 and 21.6 mA are quoted (a trade forum).
def test_levels_of_another_device():
    wide = Levels(fault_low=3.2, lowest=3.8, zero=4.0, full=20.0, highest=20.5, fault_high=21.6)
    assert (band(3.5, wide), band(21.2, wide), band(21.6, wide)) == ("between", "between", "fault high")


def test_what_is_no_current_is_refused():
    with pytest.raises(OutOfRange, match="current nan mA"):
        band(math.nan)
    with pytest.raises(OutOfRange, match="current nan mA"):
        band(np.array([4.0, math.nan]))
    with pytest.raises(ValueError, match="must rise"):
        Levels(fault_low=3.9, lowest=3.8, zero=4.0, full=20.0, highest=20.5, fault_high=21.0)
