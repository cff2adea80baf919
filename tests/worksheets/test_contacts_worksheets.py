"""Contact worksheets: the table of the trade cell by cell, and loads worked by hand."""

from __future__ import annotations

import pytest

from trainer.content.library import read_library

WORKSHEETS = read_library().worksheets

ENERGIZED, DE_ENERGIZED = "energized in alarm", "de-energized in alarm"
NO, NC = "normally open", "normally closed"
CONDITIONS = ("normal", "alarm", "instrument supply lost")
FAULTS = ("instrument supply lost", "wire cut", "wires shorted", "contact welded", "wetting supply lost")
ON, OFF, OPEN, CLOSED = "energized", "de-energized", "open", "closed"
SAME, SEEN = "looks normal", "looks like alarm"


def worked(sheet, givens):
    """The steps alone."""
    values = WORKSHEETS[sheet].solve(givens)
    return {name: values[name] for name in WORKSHEETS[sheet].steps}


def slipped(sheet, givens, slip, step):
    """A step with the slip made; None where it cannot be made."""
    found = WORKSHEETS[sheet].solve_slip(WORKSHEETS[sheet].slips[slip], givens)
    return None if found is None else found[step]


def close(value):
    """The same words, or the same number to the figures written."""
    return pytest.approx(value, rel=2e-4) if isinstance(value, float) else value


def pair(coil, contact, **more):
    return {"coil": coil, "contact": contact, "conditions": CONDITIONS, "faults": FAULTS, "process": "normal"} | more


# Common practice: the table of an alarm relay, worked by hand: contact in normal running, in alarm and without supply,
# then what loss of supply, a cut wire, shorted wires, a welded contact and a lost wetting supply look like.
@pytest.mark.parametrize(
    ("coil", "contact", "contacts", "looks"),
    [
        (ENERGIZED, NO, (OPEN, CLOSED, OPEN), (SAME, SAME, SEEN, SEEN, SAME)),
        (ENERGIZED, NC, (CLOSED, OPEN, CLOSED), (SAME, SEEN, SAME, SAME, SEEN)),
        (DE_ENERGIZED, NO, (CLOSED, OPEN, OPEN), (SEEN, SEEN, SAME, SAME, SEEN)),
        (DE_ENERGIZED, NC, (OPEN, CLOSED, CLOSED), (SEEN, SAME, SEEN, SEEN, SAME)),
    ],
)
def test_tables_of_the_four_pairs(coil, contact, contacts, looks):
    table = worked("contact-table", pair(coil, contact))
    assert table["coil_states"] == ((OFF, ON, OFF) if coil == ENERGIZED else (ON, OFF, OFF))
    assert table["contact_states"] == contacts
    assert table["looks"] == (SAME, SEEN, looks[0])
    faults = worked("contact-faults", pair(coil, contact))
    assert faults == {"in_alarm": contacts[1], "seen": looks}


# Worked by hand: with an alarm standing, what bridges the contact hides it where alarm is an open contact, and what
# opens the circuit hides it where alarm is a closed one. Without supply the contact is as before.
@pytest.mark.parametrize(
    ("coil", "contact", "looks"),
    [
        (ENERGIZED, NO, (SAME, SAME, SEEN, SEEN, SAME)),
        (ENERGIZED, NC, (SAME, SEEN, SAME, SAME, SEEN)),
        (DE_ENERGIZED, NO, (SEEN, SEEN, SAME, SAME, SEEN)),
        (DE_ENERGIZED, NC, (SEEN, SAME, SEEN, SEEN, SAME)),
    ],
)
def test_faults_while_an_alarm_stands(coil, contact, looks):
    assert worked("contact-faults", pair(coil, contact, process="alarm"))["seen"] == looks


# Common practice, worked by hand: an input that drops out for alarm, lost supply and cut wire; a lamp that lights for
# alarm and lost supply; and the two pairs that do not see a lost supply.
@pytest.mark.parametrize(
    ("in_alarm", "supply", "coil", "contact", "looks"),
    [
        ("off", SEEN, DE_ENERGIZED, NO, (SEEN, SAME, SAME, SEEN)),
        ("on", SEEN, DE_ENERGIZED, NC, (SAME, SEEN, SEEN, SAME)),
        ("off", SAME, ENERGIZED, NC, (SEEN, SAME, SAME, SEEN)),
        ("on", SAME, ENERGIZED, NO, (SAME, SEEN, SEEN, SAME)),
    ],
)
def test_pairs_for_a_need(in_alarm, supply, coil, contact, looks):
    need = {"receiver": "PLC input", "in_alarm": in_alarm, "on_supply_loss": supply, "faults": FAULTS[1:]}
    assert worked("contact-pair", need) == {"coil": coil, "contact": contact, "seen": looks}


NEED = {"receiver": "PLC input", "in_alarm": "off", "on_supply_loss": SEEN, "faults": FAULTS[1:]}
LAMP = NEED | {"in_alarm": "on"}
DE_NO, EN_NO = pair(DE_ENERGIZED, NO), pair(ENERGIZED, NO)


# Worked by hand, the wrong method done with the same pair.
@pytest.mark.parametrize(
    ("sheet", "givens", "slip", "step", "value"),
    [
        ("contact-table", DE_NO, "coil_swapped", "coil_states", (OFF, ON, OFF)),
        ("contact-table", DE_NO, "supply_overlooked", "coil_states", (ON, OFF, ON)),
        ("contact-table", DE_NO, "supply_overlooked", "contact_states", (CLOSED, OPEN, CLOSED)),
        ("contact-table", EN_NO, "supply_overlooked", "coil_states", None),
        ("contact-table", DE_NO, "process_for_shelf", "contact_states", (OPEN, CLOSED, OPEN)),
        ("contact-table", EN_NO, "process_for_shelf", "contact_states", None),
        ("contact-table", DE_NO, "contact_swapped", "contact_states", (OPEN, CLOSED, CLOSED)),
        ("contact-table", DE_NO, "supply_loss_never_seen", "looks", (SAME, SEEN, SAME)),
        ("contact-table", EN_NO, "supply_loss_always_seen", "looks", (SAME, SEEN, SEEN)),
        ("contact-faults", DE_NO, "turned_round", "in_alarm", CLOSED),
        ("contact-faults", DE_NO, "turned_round", "seen", (SAME, SAME, SEEN, SEEN, SAME)),
        ("contact-faults", DE_NO, "cut_taken_for_closed", "seen", (SEEN, SAME, SAME, SAME, SEEN)),
        ("contact-faults", DE_NO, "short_taken_for_open", "seen", (SEEN, SEEN, SEEN, SAME, SEEN)),
        ("contact-faults", DE_NO, "weld_taken_for_open", "seen", (SEEN, SEEN, SAME, SEEN, SEEN)),
        ("contact-faults", DE_NO, "wetting_taken_for_closed", "seen", (SEEN, SEEN, SAME, SAME, SAME)),
        ("contact-faults", DE_NO, "shelf_turned_round", "seen", (SAME, SEEN, SAME, SAME, SEEN)),
        ("contact-faults", DE_NO, "every_fault_seen", "seen", (SEEN,) * 5),
        ("contact-faults", DE_NO, "wire_copied_from_supply", "seen", None),
        ("contact-faults", pair(ENERGIZED, NC), "wire_copied_from_supply", "seen", (SAME,) * 5),
        ("contact-pair", NEED, "other_setting", "coil", ENERGIZED),
        ("contact-pair", NEED, "other_setting", "contact", NC),
        ("contact-pair", NEED, "other_contact", "contact", NC),
        ("contact-pair", NEED, "faults_copied_from_supply", "seen", None),
        ("contact-pair", NEED, "all_faults_seen", "seen", (SEEN,) * 4),
        ("contact-pair", LAMP, "faults_copied_from_supply", "seen", (SEEN,) * 4),
        ("contact-pair", LAMP, "all_faults_seen", "seen", None),
    ],
)
def test_slips_of_contact_truth(sheet, givens, slip, step, value):
    assert slipped(sheet, givens, slip, step) == value


CONTACTOR = {"power": 80.0, "voltage": 230.0, "power_factor": 0.5, "inrush": 6.0, "breaking": 1.0, "making": 3.0}
SOLENOID = {"power": 18.0, "voltage": 24.0, "rating_ac": 2.0, "rating_dc": 0.5}
INPUT = {"voltage": 24.0, "input_resistance": 6.0, "least": 10.0}
SUPPRESSOR = {"voltage": 230.0, "frequency": 50.0, "capacitance": 0.1, "hold": 5.0}
NETWORK, DIODE = "a resistor and capacitor, or a varistor, across the coil", "a diode across the coil"
GOOD, STEADY, INRUSH = "it will do", "interpose a relay: steady current too high", "interpose a relay: inrush too high"
HELD, LETS_GO = "it may stay on: move the suppressor to the load", "it lets go"


# Worked by hand: 80 / 115 A, six times that; 18 / 24 A of 0.5 A; 24 V over 6 kΩ, 6 mA missing, 24 V over 6 mA,
# 576 / 4000 W; 1000 / (2 pi 50 0.1) kΩ and 230 V over it.
@pytest.mark.parametrize(
    ("sheet", "givens", "steps"),
    [
        ("coil-load-ac", CONTACTOR, {"steady": 0.6957, "closing": 4.174, "add_on": NETWORK, "verdict": INRUSH}),
        ("coil-load-dc", SOLENOID, {"current": 0.75, "share": 150.0, "add_on": DIODE, "verdict": STEADY}),
        ("least-contact-current", INPUT, {"alone": 4.0, "missing": 6.0, "resistor": 4.0, "power": 0.144}),
        ("suppressor-leakage", SUPPRESSOR, {"reactance": 31.83, "leakage": 7.226, "outcome": HELD}),
    ],
)
def test_loads_worked_by_hand(sheet, givens, steps):
    assert worked(sheet, givens) == {name: close(value) for name, value in steps.items()}


# Worked by hand: the wrong method of each slip, done with the same givens.
@pytest.mark.parametrize(
    ("sheet", "givens", "slip", "step", "value"),
    [
        ("coil-load-ac", CONTACTOR, "no_power_factor", "closing", 2.087),
        ("coil-load-ac", CONTACTOR, "power_factor_multiplied", "closing", 1.0435),
        ("coil-load-ac", CONTACTOR, "no_inrush", "closing", 0.6957),
        ("coil-load-ac", CONTACTOR, "diode_on_ac", "add_on", DIODE),
        ("coil-load-ac", CONTACTOR, "nothing_across", "add_on", "nothing"),
        ("coil-load-ac", CONTACTOR, "inrush_overlooked", "verdict", GOOD),
        ("coil-load-ac", CONTACTOR, "steady_overlooked", "verdict", None),
        ("coil-load-ac", CONTACTOR | {"breaking": 0.5}, "steady_overlooked", "verdict", GOOD),
        ("coil-load-ac", CONTACTOR | {"making": 5.0}, "inrush_beside_breaking", "verdict", INRUSH),
        ("coil-load-ac", CONTACTOR | {"making": 5.0}, "inrush_overlooked", "verdict", None),
        ("coil-load-dc", SOLENOID, "upside_down", "current", 1.3333),
        ("coil-load-dc", SOLENOID, "ac_rating_taken", "share", 37.5),
        ("coil-load-dc", SOLENOID, "rating_over_current", "share", 66.667),
        ("coil-load-dc", SOLENOID, "network_on_dc", "add_on", NETWORK),
        ("coil-load-dc", SOLENOID, "dc_rating_exceeded", "verdict", GOOD),
        ("coil-load-dc", SOLENOID, "dc_rating_kept", "verdict", None),
        ("coil-load-dc", SOLENOID | {"rating_dc": 1.0}, "dc_rating_kept", "verdict", STEADY),
        ("least-contact-current", INPUT, "volts_times_ohms", "alone", 144.0),
        ("least-contact-current", INPUT, "input_overlooked", "resistor", 2.4),
        ("least-contact-current", INPUT, "added_to_least", "missing", 14.0),
        ("least-contact-current", INPUT, "in_series", "resistor", 3.6),
        ("least-contact-current", INPUT, "not_squared", "power", 0.006),
        ("suppressor-leakage", SUPPRESSOR, "two_pi_left_out", "leakage", 1.15),
        ("suppressor-leakage", SUPPRESSOR, "two_left_out", "leakage", 3.613),
        ("suppressor-leakage", SUPPRESSOR, "peak_taken", "leakage", 10.219),
        ("suppressor-leakage", SUPPRESSOR, "held_overlooked", "outcome", LETS_GO),
        ("suppressor-leakage", SUPPRESSOR, "lets_go_overlooked", "outcome", None),
        ("suppressor-leakage", SUPPRESSOR | {"hold": 9.0}, "lets_go_overlooked", "outcome", HELD),
    ],
)
def test_slips_of_loads(sheet, givens, slip, step, value):
    assert slipped(sheet, givens, slip, step) == close(value)


def test_verdicts_follow_the_ratings():
    assert worked("coil-load-ac", CONTACTOR | {"breaking": 0.5})["verdict"] == STEADY
    assert worked("coil-load-ac", CONTACTOR | {"making": 5.0})["verdict"] == GOOD
    assert worked("coil-load-dc", SOLENOID | {"rating_dc": 1.0})["verdict"] == GOOD
    assert worked("suppressor-leakage", SUPPRESSOR | {"hold": 9.0})["outcome"] == LETS_GO
