"""Burden resistors, ranges and the square root: worked draws, each step and each slip worked by hand."""

from __future__ import annotations

import pytest

from trainer.calculations.burdens import burden_error as error_by_formula
from trainer.calculations.signals import range_from_pairs as range_by_formula
from trainer.content.library import read_library

WORKSHEETS = read_library().worksheets

BURDEN = {"current": 14.2, "nominal": 250.0, "measured": 252.5, "lower": 0.0, "upper": 150.0}
TWO = {"current": 12.0, "burden": 250.0, "second": 250.0, "lower": 0.0, "upper": 8.0}
PAIRS = {
    "signal_low": 4.0,
    "signal_high": 20.0,
    "signal_1": 6.4,
    "value_1": -20.5,
    "signal_2": 15.2,
    "value_2": 34.5,
}
NEEDS = {
    "working_low": 4.0,
    "working_high": 8.0,
    "low_alarm": 2.0,
    "high_alarm": 12.0,
    "room": 3.0,
    "extreme": 85.0,
    "ranges": (0.0, 100.0, -10.0, 90.0, -20.0, 120.0, 0.0, 50.0),
}
LEG = {"height": 2.0, "density": 0.92, "leg": 3.5, "fill_density": 1.0, "largest_span": 10.0}
FLOW = {"full_flow": 400.0, "signal_low": 4.0, "signal_high": 20.0}
LINEAR = {
    "transmitter": "linear",
    "receiver": "linear",
    "full_flow": 80.0,
    "signal_low": 4.0,
    "signal_high": 20.0,
    "flow": 40.0,
}
ROOTS = LINEAR | {"transmitter": "square root", "receiver": "square root"}


def worked(sheet, givens):
    """The steps alone."""
    values = WORKSHEETS[sheet].solve(givens)
    return {name: values[name] for name in WORKSHEETS[sheet].steps}


def slipped(sheet, givens, slip, step):
    """A step with the slip made."""
    found = WORKSHEETS[sheet].solve_slip(WORKSHEETS[sheet].slips[slip], givens)
    return None if found is None else found[step]


# Worked by hand; the third line is the worked example of burden_error as well.
@pytest.mark.parametrize(
    ("sheet", "givens", "steps"),
    [
        ("burden-voltage", {"current": 14.2, "burden": 250.0}, {"amperes": 0.0142, "voltage": 3.55}),
        ("burden-voltage", {"current": 12.0, "burden": 500.0}, {"amperes": 0.012, "voltage": 6.0}),
        ("burden-error", BURDEN, {"voltage": 3.5855, "difference": 0.0355, "percent": 0.8875, "error": 1.33125}),
        ("two-burdens", TWO, {"together": 125.0, "voltage": 1.5, "share": 0.125, "shown": 1.0}),
        (
            "two-burdens",
            TWO | {"second": 1000.0, "lower": 40.0, "upper": 90.0},
            {"together": 200.0, "voltage": 2.4, "share": 0.35, "shown": 57.5},
        ),
        ("range-from-pairs", PAIRS, {"slope": 6.25, "span": 100.0, "lower": -35.5, "upper": 64.5}),
        ("wet-leg-range", LEG, {"span": 1.84, "turndown": 10 / 1.84, "lower": -3.5, "upper": -1.66}),
        ("flow-from-signal", FLOW | {"signal": 7.24}, {"pressure": 0.2025, "root": 0.45, "flow": 180.0}),
        ("signal-for-flow", FLOW | {"flow": 180.0}, {"share": 0.45, "pressure": 0.2025, "signal": 7.24}),
    ],
)
def test_worked_draw(sheet, givens, steps):
    assert worked(sheet, givens) == pytest.approx(steps)


# Worked by hand: 0.5 of the flow is 0.25 of the pressure; the root of 0.5 is 0.70711.
@pytest.mark.parametrize(
    ("settings", "steps"),
    [
        (LINEAR, {"share": 0.5, "signal": 8.0, "roots": "none", "shown": 20.0}),
        (ROOTS, {"share": 0.5, "signal": 12.0, "roots": "two", "shown": pytest.approx(56.5685, abs=5e-5)}),
        (LINEAR | {"receiver": "square root"}, {"share": 0.5, "signal": 8.0, "roots": "one", "shown": 40.0}),
        (LINEAR | {"transmitter": "square root"}, {"share": 0.5, "signal": 12.0, "roots": "one", "shown": 40.0}),
    ],
)
def test_who_takes_the_root(settings, steps):
    assert worked("who-takes-the-root", settings) == steps


# Worked by hand: alarms at 2 and 12 with 3 of room want -1 to 15, the wash wants 85; A starts at 0, D ends at 50.
def test_choice_of_a_range():
    steps = worked("range-choice", NEEDS)
    assert steps == {"lowest": -1.0, "highest": 85.0, "holding": ("B", "C"), "choice": "B"}
    cold = NEEDS | {"extreme": -15.0, "high_alarm": 40.0}
    assert worked("range-choice", cold) == {"lowest": -15.0, "highest": 43.0, "holding": ("C",), "choice": "C"}
    assert worked("range-choice", NEEDS | {"extreme": 130.0})["holding"] == ()


# A public table of linear signals against flow in percent: half the last printed digit.
@pytest.mark.parametrize(("current", "percent", "half_a_digit"), [
    (5.0, 25.0, 0.005), (6.0, 35.36, 0.005), (7.0, 43.3, 0.05), (8.0, 50.0, 0.005),
])  # fmt: skip
def test_root_by_a_published_table(current, percent, half_a_digit):
    percent_of_flow = FLOW | {"full_flow": 100.0}
    assert worked("flow-from-signal", percent_of_flow | {"signal": current})["flow"] == pytest.approx(
        percent, abs=half_a_digit
    )
    assert worked("signal-for-flow", percent_of_flow | {"flow": percent})["signal"] == pytest.approx(current, abs=0.01)


# Worked by hand from the worked draws above.
@pytest.mark.parametrize(
    ("sheet", "givens", "slip", "step", "value"),
    [
        ("burden-voltage", {"current": 14.2, "burden": 250.0}, "still_milliamperes", "voltage", 3550.0),
        ("burden-voltage", {"current": 14.2, "burden": 250.0}, "live_zero_taken_off", "voltage", 2.55),
        ("burden-voltage", {"current": 12.5, "burden": 250.0}, "divided", "voltage", 20000.0),
        ("burden-voltage", {"current": 14.2, "burden": 500.0}, "usual_burden", "voltage", 3.55),
        ("burden-error", BURDEN, "share_of_resistor", "error", 1.5),
        ("burden-error", BURDEN, "moving_part_only", "error", 0.95625),
        ("burden-error", BURDEN, "top_as_span", "error", 1.065),
        ("burden-error", BURDEN, "nominal_less_real", "error", -1.33125),
        ("burden-error", BURDEN, "milliamperes_put_in", "voltage", 3585.5),
        ("burden-error", BURDEN | {"lower": 140.0, "upper": 290.0}, "share_of_value", "error", 2.35625),
        ("burden-error", BURDEN | {"lower": 140.0, "upper": 290.0}, "percent_of_upper", "error", 2.57375),
        ("two-burdens", TWO, "one_after_the_other", "shown", 10.0),
        ("two-burdens", TWO, "second_ignored", "shown", 4.0),
        ("two-burdens", TWO, "split_twice", "shown", -0.5),
        ("two-burdens", TWO, "no_live_zero", "shown", 2.4),
        ("two-burdens", TWO, "top_of_signal_as_span", "shown", 0.8),
        ("two-burdens", TWO, "value_falls_by_share", "shown", 2.0),
        ("two-burdens", TWO | {"lower": 40.0, "upper": 90.0}, "lower_forgotten", "shown", 6.25),
        ("range-from-pairs", PAIRS, "slope_upside_down", "slope", 0.16),
        ("range-from-pairs", PAIRS | {"value_2": 30.4}, "one_pair", "slope", 2.0),
        ("range-from-pairs", PAIRS, "top_for_moving_part", "span", 125.0),
        ("range-from-pairs", PAIRS, "down_to_no_signal", "lower", -60.5),
        ("range-from-pairs", PAIRS, "went_up", "lower", -5.5),
        ("range-from-pairs", PAIRS, "span_as_upper", "upper", 100.0),
        ("range-from-pairs", PAIRS, "lower_as_upper", "upper", -35.5),
        ("range-from-pairs", PAIRS, "span_from_second_pair", "upper", 134.5),
        ("wet-leg-range", LEG, "density_left_out", "span", 2.0),
        ("wet-leg-range", LEG, "leg_for_height", "span", 3.22),
        ("wet-leg-range", LEG, "turndown_upside_down", "turndown", 0.184),
        ("wet-leg-range", LEG, "leg_on_high_side", "upper", 5.34),
        ("wet-leg-range", LEG, "liquid_in_leg", "lower", -3.22),
        ("wet-leg-range", LEG, "span_as_upper", "upper", 1.84),
        ("wet-leg-range", LEG, "span_taken_off", "upper", -5.34),
        ("flow-from-signal", FLOW | {"signal": 7.24}, "no_root", "flow", 81.0),
        ("flow-from-signal", FLOW | {"signal": 5.0}, "two_roots", "flow", 200.0),
        ("flow-from-signal", FLOW | {"signal": 7.24}, "squared", "flow", 16.4025),
        ("flow-from-signal", FLOW | {"signal": 7.2}, "no_live_zero", "flow", 240.0),
        ("flow-from-signal", FLOW | {"signal": 5.76}, "live_zero_left_in", "flow", 240.0),
        ("signal-for-flow", FLOW | {"flow": 180.0}, "not_squared", "signal", 11.2),
        ("signal-for-flow", FLOW | {"flow": 144.0}, "root_for_square", "signal", 13.6),
        ("signal-for-flow", FLOW | {"flow": 180.0}, "live_zero_not_added", "signal", 3.24),
        ("signal-for-flow", FLOW | {"flow": 180.0}, "top_for_moving_part", "signal", 8.05),
        ("who-takes-the-root", LINEAR, "other_output", "signal", 12.0),
        ("who-takes-the-root", LINEAR, "other_input", "shown", 40.0),
        ("who-takes-the-root", LINEAR, "zero_left_in", "shown", 32.0),
        ("who-takes-the-root", ROOTS | {"flow": 44.0}, "zero_left_in", "shown", 64.0),
        ("range-choice", NEEDS, "no_room_below", "lowest", 2.0),
        ("range-choice", NEEDS, "working_low_only", "lowest", 4.0),
        ("range-choice", NEEDS, "working_high_only", "highest", 8.0),
        ("range-choice", NEEDS, "high_extreme_left_out", "highest", 15.0),
        ("range-choice", NEEDS | {"extreme": -15.0}, "low_extreme_left_out", "lowest", -1.0),
        ("range-choice", NEEDS | {"extreme": -15.0}, "no_room_above", "highest", 12.0),
    ],
)
def test_slip(sheet, givens, slip, step, value):
    assert slipped(sheet, givens, slip, step) == pytest.approx(value, abs=5e-5)
    assert value != pytest.approx(worked(sheet, givens)[step], abs=5e-5)


# Worked by hand, as above: three of the ranges reach 85, C is the widest that holds both, D the narrowest of all.
def test_slips_in_choosing():
    assert slipped("range-choice", NEEDS, "upper_ends_only", "holding") == ("A", "B", "C")
    assert slipped("range-choice", NEEDS, "widest", "choice") == "C"
    assert slipped("range-choice", NEEDS, "narrowest_of_all", "choice") == "D"


@pytest.mark.parametrize(
    ("sheet", "givens", "slip", "step"),
    [
        ("burden-voltage", {"current": 14.2, "burden": 250.0}, "usual_burden", "voltage"),
        ("burden-error", BURDEN, "share_of_value", "error"),
        ("burden-error", BURDEN, "percent_of_upper", "error"),
        ("two-burdens", TWO, "lower_forgotten", "shown"),
        ("range-choice", NEEDS, "low_extreme_left_out", "lowest"),
        ("range-choice", NEEDS, "no_room_above", "highest"),
        ("wet-leg-range", LEG | {"density": 1.0}, "density_left_out", "span"),
        ("wet-leg-range", LEG | {"density": 1.0}, "liquid_in_leg", "lower"),
    ],
)
def test_slip_that_cannot_be_made(sheet, givens, slip, step):
    assert slipped(sheet, givens, slip, step) is None


def test_steps_agree_with_the_formulas_of_the_calculations():
    assert worked("burden-error", BURDEN)["error"] == pytest.approx(error_by_formula(14.2, 150.0, 252.5))
    steps = worked("range-from-pairs", PAIRS)
    assert (steps["lower"], steps["upper"]) == pytest.approx(range_by_formula((6.4, 15.2), (-20.5, 34.5)))


# Worked by hand: 6.4 mA is 15 % and 15.2 mA is 70 % of a range from -50 to 30, read to a tenth.
def test_readings_are_prepared_from_a_hidden_range():
    givens = WORKSHEETS["range-from-pairs"].givens
    values = {"signal_low": 4.0, "signal_high": 20.0, "set_lower": -50.0, "set_upper": 30.0}
    values |= {"signal_1": 6.4, "signal_2": 15.24}
    assert givens["value_1"].prepare(values) == -38.0
    assert givens["value_2"].prepare(values) == 6.2
    assert givens["set_lower"].hidden
    assert givens["set_upper"].hidden
