"""Zones of a trace: crossings found exactly, touches kept, and no crossing lost to rounding."""

from __future__ import annotations

import math

import numpy as np
import pytest

from trainer.calculations.zones import Zone, changes

DUE, BETWEEN, CLEAR, BROKEN = Zone.DUE, Zone.BETWEEN, Zone.CLEAR, Zone.BROKEN


def zones(values, due_from=10.0, clear_to=7.0, breaks=()):
    """Zones of samples one second apart, in the words of the trade."""
    times = np.arange(len(values)) * 1.0
    return changes(times, np.array(values, float), due_from, clear_to, breaks)


# Straight lines, worked by hand.
def test_up_and_down():
    up_and_down = [(0.0, CLEAR), (0.7, BETWEEN), (1.0, DUE), (1.0, BETWEEN), (1.3, CLEAR)]
    found = zones([0.0, 10.0, 0.0])
    assert [zone for _, zone in found] == [zone for _, zone in up_and_down]
    assert [time for time, _ in found] == pytest.approx([time for time, _ in up_and_down])


def test_a_zone_owns_its_level_and_the_stretch_between_begins_just_after_it():
    found = zones([0.0, 7.0, 8.0, 10.0, 9.0])
    assert found == [(0.0, CLEAR), (math.nextafter(1.0, 2.0), BETWEEN), (3.0, DUE), (math.nextafter(3.0, 4.0), BETWEEN)]


def test_without_deadband_the_set_point_itself_is_due():
    assert zones([9.0, 10.0, 9.0], clear_to=10.0) == [(0.0, CLEAR), (1.0, DUE), (math.nextafter(1.0, 2.0), CLEAR)]
    assert zones([10.0, 10.0], clear_to=10.0) == [(0.0, DUE)]


def test_a_break_hides_the_value_until_just_before_its_end():
    assert zones([12.0, 12.0, 12.0], breaks=[(0.5, 1.5)]) == [(0.0, DUE), (0.5, BROKEN), (1.5, DUE)]
    assert zones([12.0, 0.0], breaks=[(0.0, 2.0)]) == [(0.0, BROKEN)]
    assert zones([12.0, 12.0], breaks=[(0.5, 0.5)]) == [(0.0, DUE)]


# The crossing falls on the sample to the last digit of the machine, and must not wait for the next sample.
@pytest.mark.parametrize("short", [1.0, 4.0, 64.0])
def test_a_sample_a_hair_short_of_the_set_point_is_no_second_late(short):
    found = changes(np.array([1e6, 1e6 + 1.0]), np.array([10.0 - short * 2.0**-49, 20.0]), 10.0, 7.0)
    assert next(time for time, zone in found if zone is DUE) == pytest.approx(1e6, abs=1e-9)


def test_a_single_sample():
    assert zones([12.0]) == [(0.0, DUE)]
