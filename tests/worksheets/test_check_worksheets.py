"""Fault finding, loop check and proof test: published tables, worked draws and each slip."""

from __future__ import annotations

import pytest

from trainer.calculations.loops import leak_across_burden, leak_across_transmitter
from trainer.content.banks import read_banks
from trainer.content.folders import shipped
from trainer.grading.marking import Earlier, basis, mark
from trainer.worksheets.catalog import WORKSHEETS
from trainer.worksheets.snapshot import snapshot

PROBLEMS = read_banks([shipped("question_banks")], WORKSHEETS)[0]
SHEETS = {problem.worksheet.name: problem.worksheet for problem in PROBLEMS.values()}
NORMAL, ALARM = "normal", "alarm"

OHMS = {"wires": "three-wire", "r0": 100.0, "true_temperature": 45.0, "shown": 61.3}
BURDEN = {"lower": 0.0, "upper": 120.0, "burden": 250.0, "current": 11.733, "shown": 49.0}
WET = {"supply": 24.0, "resistance": 286.0, "own": 11.73, "panel": 13.74}
RECEIVER = {"signal_low": 4.0, "signal_high": 20.0, "lower": 0.0, "upper": 120.0, "signal": 13.933, "shown": 62.1}
FROM_TWENTY = RECEIVER | {"lower": 20.0, "signal": 12.0, "shown": 60.0}
SHEET = {
    "points": (0.0, 25.0, 50.0, 75.0, 100.0),
    "lower": -20.0,
    "upper": 60.0,
    "r0": 100.0,
    "burden": 250.0,
    "full_scale": 5.0,
    "bits": 12.0,
    "direction": "rising",
    "set_point": 45.0,
    "deadband": 2.0,
    "change": 45.0,
}
ROW = {name: value for name, value in SHEET.items() if name not in ("points", "deadband", "change")} | {"percent": 75.0}
COUPLE = {
    "kind": "K",
    "lower": 0.0,
    "upper": 1000.0,
    "percent": 50.0,
    "terminal": 100.0,
    "bits": 15.0,
    "direction": "falling",
    "set_point": 500.0,
}
PROOF = {"direction": "rising", "set_point": 80.0, "deadband": 2.0, "limit": 0.5, "trip": 80.3, "reset": 78.6}
CURRENTS = {
    "lower": 20.0,
    "upper": 180.0,
    "direction": "rising",
    "set_point": 141.0,
    "trip_current": 16.24,
    "reset_current": 15.83,
}
RAMP = {
    "direction": "rising",
    "set_point": 95.0,
    "rate": 8.0,
    "filter": 6.0,
    "delay": 14.0,
    "limit": 0.6,
    "seen": 96.87,
}


def worked(sheet, givens):
    """The steps alone."""
    values = SHEETS[sheet].solve(givens)
    return {name: values[name] for name in SHEETS[sheet].steps}


def slipped(sheet, givens, slip, step):
    """A step with the slip made."""
    found = SHEETS[sheet].solve_slip(SHEETS[sheet].slips[slip], givens)
    return None if found is None else found[step]


# IEC 60751, table for 100 Ω: -20, 0, 20, 40, 60 °C and 45 °C, half the last digit. The other columns worked by hand.
def test_whole_sheet_by_the_table():
    steps = worked("loop-check-sheet", SHEET)
    assert steps["temperatures"] == pytest.approx((-20.0, 0.0, 20.0, 40.0, 60.0))
    assert steps["ohms"] == pytest.approx((92.16, 100.0, 107.79, 115.54, 123.24), abs=0.005)
    assert steps["currents"] == pytest.approx((4.0, 8.0, 12.0, 16.0, 20.0))
    assert steps["voltages"] == pytest.approx((1.0, 2.0, 3.0, 4.0, 5.0))
    assert steps["numbers"] == (819.0, 1638.0, 2457.0, 3276.0, 4095.0)
    assert steps["states"] == (NORMAL, NORMAL, NORMAL, NORMAL, ALARM)
    assert worked("extra-ohms", OHMS)["due"] == pytest.approx(117.47, abs=0.005)


# ITS-90 tables of type K (NIST Monograph 175): 20.644 mV at 500 °C, 16.397 at 400 °C, 4.096 at 100 °C. Differences
# by hand.
def test_thermocouple_row_by_the_table():
    steps = worked("loop-check-row-thermocouple", COUPLE)
    assert steps["emf"] == pytest.approx(16.548, abs=0.001)
    assert (steps["temperature"], steps["current"], steps["count"]) == (500.0, 12.0, 19660.0)
    assert steps["state"] == ALARM
    for slip, emf in (("table_value", 20.644), ("terminals_added", 24.740), ("degrees_taken_off", 16.397)):
        assert slipped("loop-check-row-thermocouple", COUPLE, slip, "emf") == pytest.approx(emf, abs=0.001)


# Worked by hand.
@pytest.mark.parametrize(
    ("sheet", "givens", "steps"),
    [
        ("extra-ohms", OHMS, {"due": 117.4702, "seen": 123.7409, "extra": 6.2705}),
        ("path-across-burden", BURDEN, {"voltage": 2.63333, "together": 224.4382, "beside": 2195.05}),
        ("path-across-transmitter", WET, {"excess": 2.01, "across": 20.07036, "beside": 9.98525}),
        ("hidden-range", RECEIVER, {"fraction": 0.620813, "sent": 74.4975, "set": 100.0302}),
        (
            "loop-check-row",
            ROW,
            {"temperature": 40.0, "ohms": 115.5408, "current": 16.0, "voltage": 4.0, "count": 3276.0},
        ),
        ("proof-test", PROOF, {"error": 0.3, "actual": 1.7, "band_error": -0.3}),
        ("proof-test", PROOF | {"direction": "falling", "trip": 79.6, "reset": 82.4},
         {"error": -0.4, "actual": 2.8, "band_error": 0.8}),
        ("proof-test-current", CURRENTS, {"trip": 142.4, "error": 1.4, "actual": 4.1}),
        ("proof-test-ramp", RAMP, {"late": 2.66667, "trip": 94.20333, "error": -0.79667, "fastest": 0.18}),
        ("proof-test-ramp", RAMP | {"direction": "falling", "seen": 93.0}, {"trip": 95.66667, "error": 0.66667}),
    ],
)  # fmt: skip
def test_worked_draw(sheet, givens, steps):
    found = worked(sheet, givens)
    for name, value in steps.items():
        assert found[name] == pytest.approx(value, abs=5e-5, rel=5e-6), name


# Worked by hand; a falling alarm at 18 °C with 4 °C of deadband stays until 22 °C is reached.
@pytest.mark.parametrize(
    ("sheet", "givens", "step", "words"),
    [
        ("extra-ohms", OHMS, "where", "single lead a"),
        ("extra-ohms", OHMS | {"shown": 40.0}, "where", "return lead c"),
        ("extra-ohms", OHMS | {"wires": "two-wire"}, "where", "anywhere in the loop"),
        ("loop-check-row", ROW, "state", NORMAL),
        ("loop-check-row", ROW | {"set_point": 40.0}, "state", ALARM),
        ("loop-check-row", ROW | {"direction": "falling"}, "state", ALARM),
        ("loop-check-sheet", SHEET | {"direction": "falling", "set_point": 18.0, "change": 22.0}, "states",
         (ALARM, ALARM, ALARM, NORMAL, NORMAL)),
        ("loop-check-sheet", SHEET | {"direction": "falling", "set_point": 18.0, "change": 20.0}, "states",
         (ALARM, ALARM, NORMAL, NORMAL, NORMAL)),
        ("proof-test", PROOF, "verdict", "both pass"),
        ("proof-test", PROOF | {"trip": 80.8, "reset": 78.6}, "verdict", "trip fails"),
        ("proof-test", PROOF | {"reset": 79.2}, "verdict", "deadband fails"),
        ("proof-test", PROOF | {"trip": 80.8, "reset": 77.8}, "verdict", "both fail"),
    ],
)  # fmt: skip
def test_decision(sheet, givens, step, words):
    assert worked(sheet, givens)[step] == words


# Worked by hand from the worked draws above.
@pytest.mark.parametrize(
    ("sheet", "givens", "slip", "step", "value"),
    [
        ("extra-ohms", OHMS, "straight_line", "due", 117.325),
        ("extra-ohms", OHMS, "straight_line_again", "seen", 123.6005),
        ("extra-ohms", OHMS, "degrees_called_ohms", "extra", 16.3),
        ("extra-ohms", OHMS, "divided_by_slope", "extra", 42.33766),
        ("extra-ohms", OHMS, "half", "extra", 3.13523),
        ("extra-ohms", OHMS, "due_less_seen", "extra", -6.2705),
        ("path-across-burden", BURDEN, "no_live_zero", "voltage", 1.63333),
        ("path-across-burden", BURDEN, "five_volts_of_span", "voltage", 2.04167),
        ("path-across-burden", BURDEN, "moving_current", "together", 340.532),
        ("path-across-burden", BURDEN, "missing_ohms", "beside", 25.5618),
        ("path-across-burden", BURDEN, "as_if_added", "beside", 118.2649),
        ("path-across-transmitter", WET, "own_less_panel", "excess", -2.01),
        ("path-across-transmitter", WET, "drop_alone", "across", 3.92964),
        ("path-across-transmitter", WET, "whole_supply", "across", 24.0),
        ("path-across-transmitter", WET, "by_panel_current", "beside", 1.46073),
        ("hidden-range", RECEIVER, "no_live_zero", "fraction", 0.69665),
        ("hidden-range", RECEIVER, "top_for_moving_part", "fraction", 0.49665),
        ("hidden-range", FROM_TWENTY, "upper_for_span", "sent", 80.0),
        ("hidden-range", FROM_TWENTY, "span_as_upper", "set", 80.0),
        ("hidden-range", FROM_TWENTY, "lower_left_in", "set", 120.0),
        ("hidden-range", FROM_TWENTY, "difference_added", "set", 110.0),
        ("loop-check-row", ROW, "lower_forgotten", "temperature", 60.0),
        ("loop-check-row", ROW, "percent_of_upper", "temperature", 45.0),
        ("loop-check-row", ROW, "straight_line", "ohms", 115.4),
        ("loop-check-row", ROW, "no_live_zero", "current", 15.0),
        ("loop-check-row", ROW, "sixteen_only", "current", 12.0),
        ("loop-check-row", ROW, "top_for_moving_part", "current", 19.0),
        ("loop-check-row", ROW, "live_zero_taken_off", "voltage", 3.0),
        ("loop-check-row", ROW, "share_of_full_scale", "voltage", 3.75),
        ("loop-check-row", ROW, "share_of_range", "count", 3071.0),
        ("loop-check-row", ROW, "one_bit_for_sign", "count", 1638.0),
        ("loop-check-row-thermocouple", COUPLE | {"lower": 200.0}, "lower_forgotten", "temperature", 400.0),
        ("loop-check-row-thermocouple", COUPLE | {"lower": 200.0}, "percent_of_upper", "temperature", 500.0),
        ("loop-check-row-thermocouple", COUPLE, "no_live_zero", "current", 10.0),
        ("loop-check-row-thermocouple", COUPLE, "sixteen_only", "current", 8.0),
        ("loop-check-row-thermocouple", COUPLE, "share_of_range", "count", 16384.0),
        ("loop-check-sheet", SHEET, "lower_forgotten", "temperatures", (0, 20, 40, 60, 80)),
        ("loop-check-sheet", SHEET, "percent_of_upper", "temperatures", (0, 15, 30, 45, 60)),
        ("loop-check-sheet", SHEET, "straight_line", "ohms", (92.3, 100, 107.7, 115.4, 123.1)),
        ("loop-check-sheet", SHEET, "no_live_zero", "currents", (0, 5, 10, 15, 20)),
        ("loop-check-sheet", SHEET, "top_for_moving_part", "currents", (4, 9, 14, 19, 24)),
        ("loop-check-sheet", SHEET, "live_zero_taken_off", "voltages", (0, 1, 2, 3, 4)),
        ("loop-check-sheet", SHEET, "still_milliamperes", "voltages", (1000, 2000, 3000, 4000, 5000)),
        ("loop-check-sheet", SHEET, "share_of_range", "numbers", (0, 1024, 2048, 3071, 4095)),
        ("loop-check-sheet", SHEET, "one_bit_for_sign", "numbers", (409, 819, 1228, 1638, 2047)),
        ("proof-test", PROOF, "set_less_seen", "error", -0.3),
        ("proof-test", PROOF, "from_reset", "error", -1.4),
        ("proof-test", PROOF, "from_set_point", "actual", 1.4),
        ("proof-test", PROOF, "as_configured", "actual", 2.0),
        ("proof-test", PROOF, "set_less_actual", "band_error", 0.3),
        ("proof-test-current", CURRENTS, "no_live_zero", "trip", 149.92),
        ("proof-test-current", CURRENTS, "lower_forgotten", "trip", 122.4),
        ("proof-test-current", CURRENTS, "set_less_seen", "error", -1.4),
        ("proof-test-current", CURRENTS, "of_twenty", "actual", 3.28),
        ("proof-test-current", CURRENTS, "lower_added", "actual", 24.1),
        ("proof-test-current", CURRENTS, "still_a_current", "actual", 0.41),
        ("proof-test-ramp", RAMP, "minutes_for_seconds", "late", 160.0),
        ("proof-test-ramp", RAMP, "filter_forgotten", "late", 1.86667),
        ("proof-test-ramp", RAMP, "delay_forgotten", "late", 0.8),
        ("proof-test-ramp", RAMP, "further_on", "trip", 99.53667),
        ("proof-test-ramp", RAMP, "nothing_off", "trip", 96.87),
        ("proof-test-ramp", RAMP, "set_less_trip", "error", 0.79667),
        ("proof-test-ramp", RAMP, "whole_limit", "fastest", 1.8),
        ("proof-test-ramp", RAMP, "for_each_second", "fastest", 0.003),
        ("proof-test-ramp", RAMP, "delay_only", "fastest", 0.25714),
    ],
)
def test_slip(sheet, givens, slip, step, value):
    assert slipped(sheet, givens, slip, step) == pytest.approx(value, abs=5e-5, rel=5e-6)
    assert worked(sheet, givens)[step] != pytest.approx(value, abs=5e-5)


# Worked by hand: what a wrong look at right numbers decides.
@pytest.mark.parametrize(
    ("sheet", "givens", "slip", "step", "words"),
    [
        ("extra-ohms", OHMS, "leads_exchanged", "where", "return lead c"),
        ("extra-ohms", OHMS, "three_wires_cancel", "where", "anywhere in the loop"),
        ("extra-ohms", OHMS, "sense_blamed", "where", "sense lead b"),
        ("extra-ohms", OHMS, "one_core_blamed", "where", None),
        ("extra-ohms", OHMS | {"wires": "two-wire"}, "one_core_blamed", "where", "single lead a"),
        ("extra-ohms", OHMS | {"wires": "two-wire"}, "leads_exchanged", "where", None),
        ("loop-check-row", ROW, "other_direction", "state", ALARM),
        ("loop-check-row-thermocouple", COUPLE | {"set_point": 400.0}, "other_direction", "state", ALARM),
        ("loop-check-sheet", SHEET, "other_direction", "states", (ALARM, ALARM, ALARM, ALARM, NORMAL)),
        ("loop-check-sheet", SHEET, "deadband_ignored", "states", None),
        ("loop-check-sheet", SHEET | {"direction": "falling", "set_point": 18.0, "change": 22.0}, "deadband_ignored",
         "states", (ALARM, ALARM, NORMAL, NORMAL, NORMAL)),
        ("proof-test", PROOF, "errors_added", "verdict", "both fail"),
        ("proof-test", PROOF | {"reset": 79.2}, "trip_alone", "verdict", "both pass"),
        ("proof-test", PROOF | {"trip": 80.8, "reset": 77.8}, "trip_alone", "verdict", "trip fails"),
        ("proof-test", PROOF | {"trip": 80.8, "reset": 78.6}, "deadband_alone", "verdict", "both pass"),
    ],
)  # fmt: skip
def test_wrong_decision(sheet, givens, slip, step, words):
    assert slipped(sheet, givens, slip, step) == words
    assert worked(sheet, givens)[step] != words


@pytest.mark.parametrize(
    ("sheet", "givens", "slip", "step"),
    [
        ("hidden-range", RECEIVER, "span_as_upper", "set"),
        ("hidden-range", RECEIVER | {"signal_low": 0.0}, "no_live_zero", "fraction"),
        ("loop-check-row-thermocouple", COUPLE, "lower_forgotten", "temperature"),
        ("proof-test-current", CURRENTS | {"lower": 0.0}, "lower_added", "actual"),
    ],
)
def test_slip_that_cannot_be_made(sheet, givens, slip, step):
    assert slipped(sheet, givens, slip, step) is None


# The path found is the one that the calculations of a leak start from, but for the rounding of what is shown.
def test_paths_found_agree_with_the_leaks():
    shown = (leak_across_burden(11.733, 250.0, 2200.0) - 4.0) / 16.0 * 120.0
    assert worked("path-across-burden", BURDEN | {"shown": shown})["beside"] == pytest.approx(2200.0)
    panel = leak_across_transmitter(11.73, 24.0, 286.0, 10000.0)
    assert worked("path-across-transmitter", WET | {"panel": panel})["beside"] == pytest.approx(10.0)


def test_falling_alarm_of_a_sheet_changes_at_its_reset_value():
    for seed in range(20):
        givens = PROBLEMS["pipe-heating-sheet"].variant(seed).givens
        assert givens["change"] == pytest.approx(givens["set_point"] + givens["deadband"])


def test_columns_after_a_wrong_one_are_followed():
    kept = snapshot(PROBLEMS["egg-store-sheet"].variant(5))
    sheet = SHEETS["loop-check-sheet"]
    wrong = {"currents": Earlier((0.0, 5.0, 10.0, 15.0, 20.0), right=False)}
    assert mark("0; 5; 10; 15; 20", basis(kept, "currents", worksheet=sheet)).slip == "no_live_zero"
    assert mark("0; 1.25; 2.5; 3.75; 5", basis(kept, "voltages", wrong, sheet)).verdict == "follows"
