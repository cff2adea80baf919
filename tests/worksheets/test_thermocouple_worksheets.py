"""Thermocouple worksheets: worked draws against printed reference tables."""

from __future__ import annotations

import pytest

from trainer.content.library import read_library

WORKSHEETS = read_library().worksheets


def worked(sheet, givens):
    """The steps alone."""
    values = WORKSHEETS[sheet].solve(givens)
    return {name: values[name] for name in WORKSHEETS[sheet].steps}


def slipped(sheet, givens, slip, step):
    """A step with the slip made."""
    found = WORKSHEETS[sheet].solve_slip(WORKSHEETS[sheet].slips[slip], givens)
    return None if found is None else found[step]


# NIST ITS-90 thermocouple tables (Monograph 175), printed to 0.001 mV: T at 25, 50, 150 and 200 °C 0.992, 2.036,
# 6.704 and 9.288 mV; N at 25 and 500 °C 0.659 and 16.748 mV; S at 25 and 1000 °C 0.143 and 9.587 mV;
# J at 25 and 300 °C 1.277 and 16.327 mV. Differences by hand.
@pytest.mark.parametrize(
    ("kind", "hot", "cold", "hot_emf", "cold_emf", "difference"),
    [
        ("T", 200.0, 50.0, 9.288, 2.036, 7.252),
        ("N", 500.0, 25.0, 16.748, 0.659, 16.089),
        ("S", 1000.0, 25.0, 9.587, 0.143, 9.444),
        ("J", 300.0, 25.0, 16.327, 1.277, 15.050),
        ("T", -50.0, 25.0, -1.819, 0.992, -2.811),
    ],
)
def test_emf_at_the_terminals(kind, hot, cold, hot_emf, cold_emf, difference):
    steps = worked("terminal-emf", {"kind": kind, "wanted": hot, "input_terminals": cold})
    assert steps["hot_emf"] == pytest.approx(hot_emf, abs=5e-4)
    assert steps["cold_emf"] == pytest.approx(cold_emf, abs=5e-4)
    assert steps["difference"] == pytest.approx(difference, abs=1e-3)


# The same tables: T at 150 °C 6.704; K at 200 and 50 °C 8.138 and 2.023. Rule of thumb by hand: 0.043 x 150 = 6.45.
@pytest.mark.parametrize(
    ("slip", "millivolts"),
    [
        ("terminals_forgotten", 9.288),
        ("terminals_added", 11.324),
        ("degrees_subtracted", 6.704),
        ("one_slope", 6.450),
        ("other_letter", 6.115),
    ],
)
def test_slips_at_the_terminals(slip, millivolts):
    givens = {"kind": "T", "wanted": 200.0, "input_terminals": 50.0}
    assert slipped("terminal-emf", givens, slip, "difference") == pytest.approx(millivolts, abs=1e-3)


# A worked example of the trade, type N at 415 °C with terminals at 27.5 °C, from reference tables.
def test_terminal_example():
    givens = {"kind": "N", "wanted": 415.0, "input_terminals": 27.5}
    assert worked("terminal-emf", givens) == pytest.approx(
        {"hot_emf": 13.532, "cold_emf": 0.726, "difference": 12.806}, abs=5e-4
    )
    assert slipped("terminal-emf", givens, "degrees_subtracted", "difference") == pytest.approx(12.511, abs=5e-4)
    assert slipped("terminal-emf", givens, "other_letter", "difference") == pytest.approx(15.930, abs=5e-4)


# No one figure is carried in the head that would be wrong for J and K.
def test_slope_of_straight_types_is_no_slip():
    givens = {"kind": "J", "wanted": 300.0, "input_terminals": 25.0}
    assert slipped("terminal-emf", givens, "one_slope", "difference") is None


# A worked example of the trade: type S, 10.382 mV at terminals of 34 °C, from reference tables.
def test_temperature_example():
    givens = {"kind": "S", "terminal": 34.0, "measured": 10.382}
    steps = worked("thermocouple-temperature", givens)
    assert steps["reference_emf"] == pytest.approx(0.197, abs=5e-4)
    assert steps["total"] == pytest.approx(10.579, abs=5e-4)
    assert steps["temperature"] == pytest.approx(1085.0, abs=0.05)
    for slip, celsius in {
        "not_compensated": 1068.2,
        "degrees_added": 1102.2,
        "taken_off": 1051.4,
        "compensated_twice": 1101.7,
        "other_letter": 1005.4,
    }.items():
        assert slipped("thermocouple-temperature", givens, slip, "temperature") == pytest.approx(celsius, abs=0.05)
    assert slipped("thermocouple-temperature", givens, "one_slope", "temperature") == pytest.approx(1656, abs=0.5)


# The NIST table of type T, both ways: emf measured so that each slip lands on a printed line. By hand, with
# E(50) = 2.036: 7.252 + 2.036 = 9.288 (200 °C); 6.704 alone is 150 °C; 6.315 - 2.036 = 4.279 (100 °C);
# 5.216 + 2 x 2.036 = 9.288; type K: 6.115 + 2.023 = 8.138 (200 °C).
@pytest.mark.parametrize(
    ("measured", "slip", "celsius"),
    [
        (7.252, None, 200.0),
        (6.704, "not_compensated", 150.0),
        (6.704, "degrees_added", 200.0),
        (6.315, "taken_off", 100.0),
        (5.216, "compensated_twice", 200.0),
        (6.115, "other_letter", 200.0),
    ],
)
def test_temperatures_on_printed_lines(measured, slip, celsius):
    givens = {"kind": "T", "terminal": 50.0, "measured": measured}
    found = (
        slipped("thermocouple-temperature", givens, slip, "temperature")
        if slip
        else worked("thermocouple-temperature", givens)["temperature"]
    )
    assert found == pytest.approx(celsius, abs=0.03)


# The NIST table of type J: 15.050 + 1.277 = 16.327 mV is 300 °C, by the scales 572 °F; 77 °F is 25 °C.
def test_temperature_in_fahrenheit():
    sheet, givens = "thermocouple-temperature-fahrenheit", {"kind": "J", "terminal_fahrenheit": 77.0, "measured": 15.05}
    steps = worked(sheet, givens)
    assert steps["terminal"] == pytest.approx(25.0)
    assert steps["temperature"] == pytest.approx(300.0, abs=0.02)
    assert steps["temperature_in_fahrenheit"] == pytest.approx(572.0, abs=0.04)
    assert slipped(sheet, givens, "fahrenheit_put_in", "terminal") == 77.0
    assert slipped(sheet, givens, "thirty_two_left_in", "terminal") == pytest.approx(42.78, abs=0.005)
    assert slipped(sheet, givens, "thirty_two_forgotten", "temperature_in_fahrenheit") == pytest.approx(540, abs=0.04)
    assert slipped(sheet, givens, "left_in_celsius", "temperature_in_fahrenheit") == pytest.approx(300, abs=0.02)


# What is measured is prepared from a hidden temperature and written to 0.001 mV: J at 300 and 25 °C, NIST table.
@pytest.mark.parametrize(
    ("sheet", "terminal"),
    [
        ("thermocouple-temperature", {"terminal": 25.0}),
        ("thermocouple-temperature-fahrenheit", {"terminal_fahrenheit": 77.0}),
    ],
)
def test_prepared_emf(sheet, terminal):
    prepare = WORKSHEETS[sheet].givens["measured"].prepare
    assert prepare(terminal | {"kind": "J", "true_temperature": 300.0}) == pytest.approx(15.05, abs=1e-9)


# NIST table of type T, all by hand: 9.288 - 2.036 = 7.252; terminals alike on both sides need no correction;
# 7.252 + 2.036 (calibrator at 50) = 9.288 is 200 °C again; 7.696 - 0.992 = 6.704 is 150 °C.
def test_settings():
    givens = {"kind": "T", "wanted": 200.0, "input_terminals": 50.0, "calibrator_terminals": 50.0}
    steps = worked("injection-settings", givens)
    assert steps["difference"] == pytest.approx(7.252, abs=1e-3)
    assert steps["on_own_wire"] == 200.0
    assert steps["on_copper"] == pytest.approx(200.0, abs=0.02)
    cooler = WORKSHEETS["injection-settings"].solve(givens | {"calibrator_terminals": 25.0}, {"difference": 5.712})
    assert cooler["on_copper"] == pytest.approx(150.0, abs=0.03)


@pytest.mark.parametrize(
    ("slip", "step", "celsius"),
    [
        ("degrees_added", "on_own_wire", 250.0),
        ("degrees_taken_off", "on_own_wire", 150.0),
        ("wire_of_the_type", "on_copper", 200.0),
        ("degrees_for_emf", "on_copper", 175.0),
    ],
)
def test_slips_of_settings(slip, step, celsius):
    givens = {"kind": "T", "wanted": 200.0, "input_terminals": 50.0, "calibrator_terminals": 25.0}
    assert slipped("injection-settings", givens, slip, step) == celsius


# The wrong sign of the correction lands as far above the wanted temperature as the right one lands below it, to
# within the bend of the curve (by hand: 1.044 mV each way at about 0.053 mV/°C is 19.7 °C).
def test_correction_the_wrong_way_round():
    givens = {"kind": "T", "wanted": 200.0, "input_terminals": 50.0, "calibrator_terminals": 25.0}
    right = worked("injection-settings", givens)["on_copper"]
    wrong = slipped("injection-settings", givens, "other_way_round", "on_copper")
    assert right == pytest.approx(200.0 - 19.7, abs=0.4)
    assert wrong == pytest.approx(200.0 + 19.7, abs=0.4)


# NIST table of type T: an input at 50 °C adds 2.036 to the 7.252 mV that were sent; dialed 4.668 + 2.036 = 6.704.
def test_table_value_dialed():
    givens = {"kind": "T", "wanted": 150.0, "input_terminals": 50.0}
    steps = worked("table-value-dialed", givens)
    assert steps["dialed"] == pytest.approx(6.704, abs=5e-4)
    assert steps["looked_up"] == pytest.approx(8.740, abs=1e-3)
    assert 150.0 + 35.0 < steps["shown"] < 200.0
    assert slipped("table-value-dialed", givens, "nothing_added", "error") == pytest.approx(0.0, abs=1e-6)
    assert slipped("table-value-dialed", givens, "terminal_degrees", "error") == 50.0
    assert slipped("table-value-dialed", givens, "taken_off", "looked_up") == pytest.approx(4.668, abs=1e-3)


# NIST table of type T, by hand: 9.288 - 2.036 = 7.252 arrives, an input at 25 °C adds 0.992: 8.244.
def test_calibrator_on_copper():
    givens = {"kind": "T", "wanted": 200.0, "calibrator_terminals": 50.0, "input_terminals": 25.0}
    steps = worked("calibrator-on-copper", givens)
    assert steps["arriving"] == pytest.approx(7.252, abs=1e-3)
    assert steps["looked_up"] == pytest.approx(8.244, abs=1e-3)
    assert steps["error"] == pytest.approx(-19.7, abs=0.4)  # 1.044 mV at about 0.053 mV/°C
    assert slipped("calibrator-on-copper", givens, "full_table_value", "arriving") == pytest.approx(9.288, abs=5e-4)
    assert slipped("calibrator-on-copper", givens, "wire_of_the_type_fitted", "error") == pytest.approx(0.0, abs=1e-6)
    assert slipped("calibrator-on-copper", givens, "input_adds_nothing", "looked_up") == steps["arriving"]
    assert slipped("calibrator-on-copper", givens, "terminal_difference", "error") == -25.0
    assert slipped("calibrator-on-copper", givens, "meant_less_shown", "error") == -steps["error"]
