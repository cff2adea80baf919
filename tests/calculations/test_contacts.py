"""Contacts against the truth table of the trade, and loads against Ohm's law."""

from __future__ import annotations

import math

import numpy as np
import pytest

from trainer.calculations.contacts import (
    COILS,
    CONTACTS,
    closed,
    energized,
    input_on,
    inrush_current,
    load_current,
    looks_like,
    suppressor_leakage,
)
from trainer.errors import OutOfRange

IN_ALARM, DE_ENERGIZED = COILS
OPEN, CLOSED = CONTACTS


# Common practice, the truth table of relay contacts: in normal, in alarm, without supply; then what the far end
# sees of a lost supply and of a cut wire.
@pytest.mark.parametrize(
    ("coil", "contact", "normal", "alarm", "lost", "lost_looks", "cut_looks"),
    [
        (IN_ALARM, OPEN, False, True, False, "normal", "normal"),
        (IN_ALARM, CLOSED, True, False, True, "normal", "alarm"),
        (DE_ENERGIZED, OPEN, True, False, False, "alarm", "alarm"),
        (DE_ENERGIZED, CLOSED, False, True, True, "alarm", "normal"),
    ],
)
def test_truth_table(coil, contact, normal, alarm, lost, lost_looks, cut_looks):
    assert closed(energized(False, coil), contact) is normal
    assert closed(energized(True, coil), contact) is alarm
    assert closed(energized(False, coil, powered=False), contact) is lost
    assert closed(energized(True, coil, powered=False), contact) is lost
    assert looks_like(coil, contact, alarm=False, powered=False) == lost_looks
    assert looks_like(coil, contact, alarm=False, powered=True, wiring="wire cut") == cut_looks


# A bridged pair looks closed for ever, and without wetting supply every input is off.
@pytest.mark.parametrize("coil", COILS)
@pytest.mark.parametrize("contact", CONTACTS)
def test_bridged_wires_are_the_opposite_of_cut_ones(coil, contact):
    for alarm in (False, True):
        for powered in (False, True):
            seen = {
                wiring: looks_like(coil, contact, alarm, powered, wiring)
                for wiring in ("wires shorted", "contact welded", "wire cut", "wetting supply lost")
            }
            assert seen["wires shorted"] == seen["contact welded"] != seen["wire cut"]
            assert seen["wetting supply lost"] == seen["wire cut"]


# Common practice: one pair shows alarm, lost supply, cut wire and lost wetting supply alike.
def test_only_one_pair_makes_every_loss_look_like_an_alarm():
    safe = [
        (coil, contact)
        for coil in COILS
        for contact in CONTACTS
        if looks_like(coil, contact, False, True) == "normal"
        and looks_like(coil, contact, True, True) == "alarm"
        and looks_like(coil, contact, False, False) == "alarm"
        and looks_like(coil, contact, False, True, "wire cut") == "alarm"
        and looks_like(coil, contact, False, True, "wetting supply lost") == "alarm"
    ]
    assert safe == [(DE_ENERGIZED, OPEN)]


def test_a_whole_history_at_once():
    alarm = np.array([False, True, True, False])
    assert closed(energized(alarm, DE_ENERGIZED), OPEN).tolist() == [True, False, False, True]
    assert input_on(closed(energized(alarm, IN_ALARM), OPEN), "contact welded").all()
    assert not energized(alarm, DE_ENERGIZED, powered=False).any()


# Real power over apparent power (IEC 60050-131, definition of the power factor), worked by hand.
@pytest.mark.parametrize(
    ("power", "voltage", "power_factor", "amperes", "half_a_digit"),
    [(80.0, 230.0, 0.5, 0.696, 0.0005), (60.0, 24.0, 1.0, 2.5, 0.05), (1150.0, 230.0, 1.0, 5.0, 0.05)],
)
def test_load_current(power, voltage, power_factor, amperes, half_a_digit):
    current = load_current(power, voltage, power_factor)
    assert current == pytest.approx(amperes, abs=half_a_digit)
    assert current * voltage * power_factor == pytest.approx(power)
    assert inrush_current(current, 6.0) == pytest.approx(6.0 * power / voltage / power_factor)


# 0.1 µF has a reactance of 31.83 kΩ at 50 Hz (handbook of electrical engineering).
def test_suppressor_leakage():
    assert 230.0 / suppressor_leakage(230.0, 50.0, 0.1) == pytest.approx(31.83, abs=0.005)


@pytest.mark.parametrize(
    ("calculation", "message"),
    [
        (lambda: load_current(80.0, 0.0), "voltage 0 V"),
        (lambda: load_current(80.0, 230.0, 1.2), "power factor 1.2"),
        (lambda: inrush_current(1.0, 0.5), "inrush factor 0.5"),
        (lambda: load_current(80.0, math.nan), "voltage nan V"),
    ],
)
def test_impossible_loads_are_refused(calculation, message):
    with pytest.raises(OutOfRange, match=message):
        calculation()
