"""Calibration and uncertainty: published records and uncertainty examples, and worked draws with each slip."""

from __future__ import annotations

import numpy as np
import pytest

from trainer.calculations.calibration import Record, correction, judged
from trainer.content.banks import read_banks
from trainer.content.folders import shipped
from trainer.grading.marking import Earlier, basis, mark
from trainer.worksheets.catalog import WORKSHEETS
from trainer.worksheets.snapshot import snapshot

PROBLEMS = read_banks([shipped("question_banks")], WORKSHEETS)[0]
SHEETS = {problem.worksheet.name: problem.worksheet for problem in PROBLEMS.values()}
POINTS = (0.0, 25.0, 50.0, 75.0, 100.0)
LOOP = {"signal_low": 4.0, "signal_high": 20.0, "points": POINTS}
EVEN = LOOP | {"limit": 0.25, "actual": (4.08, 8.08, 12.08, 16.08, 20.08)}
GROWING = EVEN | {"actual": (4.0, 8.02, 12.04, 16.06, 20.08)}
BOWED = EVEN | {"actual": (4.0, 8.06, 12.08, 16.06, 20.0)}
TWO_WAYS = LOOP | {
    "limit": 0.25,
    "up": (4.02, 8.03, 12.01, 15.98, 20.05),
    "down": (4.01, 8.02, 12.0, 15.97, 20.03),
}
PARTS = {"points": POINTS, "up": (0.5, 0.6, 0.7, 0.8, 0.9), "down": (0.7, 1.0, 1.1, 1.0, 0.9)}
LOW = {"points": POINTS, "up": (-0.9, -0.8, -0.7, -0.7, -0.8), "down": (-0.9, -0.6, -0.35, -0.5, -0.8)}
MENDED = LOOP | {"limit": 0.25, "found": EVEN["actual"], "left": (4.01, 8.01, 12.01, 16.0, 20.0)}
PROBE = {"reference_low": 0.0, "reference_high": 120.0, "shown_low": 0.9, "shown_high": 122.34, "reading": 61.62}
BLOCK = {"reference_low": 50.0, "reference_high": 150.0, "shown_low": 51.2, "shown_high": 153.5}
SPECIFIED = {
    "percent_reading": 0.1,
    "percent_span": 0.05,
    "digits": 1.0,
    "digit": 0.1,
    "lower": 0.0,
    "upper": 250.0,
    "reading": 142.0,
}
GAUGES = {"percent_reading": 0.5, "fixed": 0.2, "percent_span": 0.15, "lower": -50.0, "upper": 250.0, "reading": 60.0}
BATH = {"certificate": 0.30, "half_width": 0.24, "resolution": 0.1}
FIVE = {"readings": (5.007, 4.994, 5.005, 4.990, 4.999), "count": 5.0, "certificate": 0.01}
ELEVATED = {"sensor": 1.2, "conditioner": 0.2, "card": 0.1, "lower": 100.0, "upper": 300.0}
TEST = {"tolerance": 1.5, "expanded": 0.4124, "error": 1.2}


def worked(sheet, givens):
    """The steps alone."""
    values = SHEETS[sheet].solve(givens)
    return {name: values[name] for name in SHEETS[sheet].steps}


def slipped(sheet, givens, slip, step):
    """A step with the slip made."""
    found = SHEETS[sheet].solve_slip(SHEETS[sheet].slips[slip], givens)
    return None if found is None else found[step]


# Calibration worksheet in print, errors in percent of span: half the last digit (0.125 is printed as 0.13).
def test_published_record():
    steps = worked("five-point-record", LOOP | {"limit": 0.25, "actual": (4.02, 8.01, 12.0, 15.97, 19.95)})
    assert steps["percent"] == pytest.approx((0.13, 0.06, 0.0, -0.19, -0.31), abs=0.00501)
    assert steps["verdict"] == "fail"
    assert steps["type"] == "span"


# A second worksheet in print, errors in mA: 0.02, 0.03, 0.01, -0.02, 0.05 on the way up. In percent of 16 mA, and the
# differences of both ways, by hand.
def test_published_record_up_and_down():
    steps = worked("five-point-up-and-down", TWO_WAYS)
    assert [error * 0.16 for error in steps["errors_up"]] == pytest.approx([0.02, 0.03, 0.01, -0.02, 0.05])
    assert steps["errors_down"] == pytest.approx((0.0625, 0.125, 0.0, -0.1875, 0.1875))
    assert (steps["hysteresis"], steps["worst"]) == pytest.approx((0.125, 0.3125))
    assert steps["verdict"] == "fail"


# JCGM 100:2008, H.2, table H.2: the five readings of the voltage have the mean 4.9990 V and its standard uncertainty
# is 0.0032 V.
def test_published_mean_and_its_uncertainty():
    steps = worked("repeated-readings", FIVE)
    assert steps["mean"] == pytest.approx(4.9990, abs=5e-5)
    assert steps["u_mean"] == pytest.approx(0.0032, abs=5e-5)


# JCGM 100:2008: 0.29 times the step of a display (F.2.2.1); H.1: limits of 0.05 °C give 0.029 °C, and 5.8, 3.9 and
# 6.7 nm combine to 9.7 nm.
def test_published_standard_uncertainties():
    steps = worked("expanded-uncertainty", {"certificate": 11.6, "half_width": 0.05, "resolution": 1.0})
    assert steps["u_display"] == pytest.approx(0.29, abs=0.005)
    assert steps["u_bath"] == pytest.approx(0.029, abs=0.0005)
    three = SHEETS["expanded-uncertainty"].solve(BATH, {"u_reference": 5.8, "u_bath": 3.9, "u_display": 6.7})
    assert three["combined"] == pytest.approx(9.7, abs=0.05)


# Loop accuracy examples in print: 0.25, 0.1 and 0.035 % make 0.2715 %; 0.375, 1.0 and 3.0 gpm make 3.18 gpm.
def test_published_loop_budgets():
    of_hundred = {"sensor": 0.25, "conditioner": 0.1, "card": 0.035, "lower": 0.0, "upper": 100.0}
    assert worked("loop-uncertainty", of_hundred)["root"] == pytest.approx(0.2715, abs=5e-5)
    flow = {"sensor": 0.375, "conditioner": 100.0 / 1500.0, "card": 0.2, "lower": 0.0, "upper": 1500.0}
    assert worked("loop-uncertainty", flow)["likely"] == pytest.approx(3.18, abs=0.005)


# Worked by hand.
@pytest.mark.parametrize(
    ("sheet", "givens", "steps"),
    [
        ("five-point-record", EVEN, {"ideal": (4, 8, 12, 16, 20), "error": (0.08,) * 5, "percent": (0.5,) * 5}),
        ("error-parts", PARTS, {"zero": 0.6, "span": 0.3, "linearity": 0.15, "hysteresis": 0.4}),
        ("as-found-as-left", MENDED, {"worst_found": 0.5, "worst_left": 0.0625}),
        ("two-point-correction", PROBE, {"less_zero": 60.72, "gain": 0.98814, "true": 60.0}),
        ("gain-and-offset", BLOCK, {"gain": 0.977517, "scaled": 50.0489, "offset": -0.0489}),
        ("specification-limit", SPECIFIED, {"of_reading": 0.142, "of_span": 0.125, "of_digits": 0.1, "allowed": 0.367}),
        ("tighter-specification", GAUGES, {"limit_a": 0.5, "limit_b": 0.45}),
        (
            "expanded-uncertainty",
            BATH,
            {"u_reference": 0.15, "u_bath": 0.13856, "u_display": 0.02887, "combined": 0.20623, "expanded": 0.41247},
        ),
        ("repeated-readings", FIVE, {"mean": 4.999, "deviation": 0.007176, "u_mean": 0.003209, "expanded": 0.011883}),
        (
            "loop-uncertainty",
            ELEVATED,
            {"sensor_percent": 0.6, "root": 0.640312, "likely": 1.280625, "worst": 1.8},
        ),
        ("uncertainty-ratio", TEST, {"ratio": 3.63725, "limit": 1.0876}),
    ],
)
def test_worked_draw(sheet, givens, steps):
    found = worked(sheet, givens)
    for name, value in steps.items():
        assert found[name] == pytest.approx(value, abs=5e-5), name


# Worked by hand.
@pytest.mark.parametrize(
    ("sheet", "givens", "step", "words"),
    [
        ("five-point-record", EVEN, "verdict", "fail"),
        ("five-point-record", EVEN | {"limit": 0.5}, "verdict", "pass"),
        ("five-point-record", EVEN, "type", "zero"),
        ("five-point-record", BOWED, "type", "linearity"),
        ("five-point-record", GROWING, "type", "span"),
        ("five-point-up-and-down", TWO_WAYS | {"limit": 0.5}, "verdict", "pass"),
        ("error-parts", PARTS, "type", "zero"),
        ("error-parts", PARTS | {"up": (0.0, 0.1, 0.3, 0.5, 0.7), "down": (0.1, 0.2, 0.4, 0.6, 0.7)}, "type", "span"),
        ("error-parts", PARTS | {"up": (0.1, 0.0, -0.3, 0.0, 0.2)}, "type", "hysteresis"),
        ("as-found-as-left", MENDED, "verdict", "passed as left"),
        ("as-found-as-left", MENDED, "past", "in doubt"),
        ("as-found-as-left", MENDED | {"limit": 0.5}, "verdict", "passed as found"),
        ("as-found-as-left", MENDED | {"limit": 0.5}, "past", "inside the limit"),
        ("as-found-as-left", MENDED | {"left": EVEN["actual"]}, "verdict", "failed"),
        ("tighter-specification", GAUGES, "tighter", "B"),
        ("tighter-specification", GAUGES | {"percent_span": 0.2}, "tighter", "A"),
        ("uncertainty-ratio", TEST, "verdict", "in the guard band"),
        ("uncertainty-ratio", TEST | {"error": -1.0}, "verdict", "accepted"),
        ("uncertainty-ratio", TEST | {"error": -1.6}, "verdict", "outside the tolerance"),
    ],
)
def test_verdict(sheet, givens, step, words):
    assert worked(sheet, givens)[step] == words


# Worked by hand from the worked draws above.
@pytest.mark.parametrize(
    ("sheet", "givens", "slip", "step", "value"),
    [
        ("five-point-record", EVEN, "no_live_zero", "ideal", (0, 5, 10, 15, 20)),
        ("five-point-record", EVEN, "top_for_moving_part", "ideal", (4, 9, 14, 19, 24)),
        ("five-point-record", EVEN, "ideal_less_actual", "percent", (-0.5,) * 5),
        ("five-point-record", EVEN, "of_top", "percent", (0.4,) * 5),
        ("five-point-record", EVEN, "of_reading", "percent", (2.0, 1.0, 0.666667, 0.5, 0.4)),
        ("five-point-record", EVEN, "still_a_signal", "percent", (0.08,) * 5),
        ("five-point-up-and-down", TWO_WAYS, "of_top", "errors_up", (0.1, 0.15, 0.05, -0.1, 0.25)),
        ("five-point-up-and-down", TWO_WAYS, "of_top", "hysteresis", 0.1),
        ("five-point-up-and-down", TWO_WAYS, "of_reading", "errors_up", (0.5, 0.375, 0.083333, -0.125, 0.25)),
        ("five-point-up-and-down", TWO_WAYS, "ideal_less_actual", "errors_down", (-0.0625, -0.125, 0, 0.1875, -0.1875)),
        ("five-point-up-and-down", TWO_WAYS, "still_a_signal", "worst", 0.05),
        ("five-point-up-and-down", TWO_WAYS, "half", "hysteresis", 0.0625),
        ("five-point-up-and-down", TWO_WAYS | {"down": (4.01, 8.02, 12.06, 15.97, 20.03)},
         "difference_of_greatest", "hysteresis", 0.0625),  # 0.3125 at 100 % up, 0.375 at 50 % down
        ("five-point-up-and-down", TWO_WAYS, "greatest_error", "hysteresis", 0.3125),
        ("five-point-up-and-down", TWO_WAYS, "one_way_only", "worst", 0.1875),
        ("five-point-up-and-down", TWO_WAYS, "hysteresis_again", "worst", 0.125),
        ("error-parts", PARTS, "mean_of_all", "zero", 0.82),
        ("error-parts", PARTS, "top_error", "span", 0.9),
        ("error-parts", PARTS, "zero_added", "span", 1.5),
        ("error-parts", PARTS, "no_line", "linearity", 0.9),
        ("error-parts", PARTS, "zero_only_off", "linearity", 0.3),
        ("error-parts", PARTS, "half", "hysteresis", 0.2),
        ("error-parts", PARTS, "greatest_error", "hysteresis", 1.1),
        ("as-found-as-left", MENDED, "of_top", "worst_found", 0.4),
        ("as-found-as-left", MENDED, "of_top", "worst_left", 0.05),
        ("as-found-as-left", MENDED, "still_a_signal", "worst_found", 0.08),
        ("as-found-as-left", MENDED, "found_again", "worst_left", 0.5),
        ("two-point-correction", PROBE, "zero_added", "less_zero", 62.52),
        ("two-point-correction", PROBE, "zero_left_in", "true", 60.8893),
        ("two-point-correction", PROBE, "upside_down", "true", 61.44864),
        ("two-point-correction", PROBE, "upper_point_only", "gain", 0.98087),
        ("two-point-correction", PROBE, "zero_only", "true", 60.72),
        ("two-point-correction", PROBE, "upper_ratio_only", "true", 60.4414),
        ("two-point-correction", PROBE, "nothing_done", "true", 61.62),
        ("two-point-correction", PROBE | {"reference_low": 20.0, "shown_low": 22.34}, "lower_forgotten", "true", 39.28),
        ("gain-and-offset", BLOCK, "upside_down", "gain", 1.023),
        ("gain-and-offset", BLOCK, "upper_point_only", "gain", 0.977199),
        ("gain-and-offset", BLOCK, "true_scaled", "offset", 1.12414),
        ("gain-and-offset", BLOCK, "before_the_gain", "offset", -1.2),
        ("gain-and-offset", BLOCK, "by_upper_error", "offset", -3.5),
        ("specification-limit", SPECIFIED, "span_for_reading", "allowed", 0.475),
        ("specification-limit", SPECIFIED, "reading_for_span", "allowed", 0.313),
        ("specification-limit", SPECIFIED, "digits_forgotten", "allowed", 0.267),
        ("specification-limit", SPECIFIED, "percent_as_number", "allowed", 26.8),
        ("specification-limit", SPECIFIED, "root_of_squares", "allowed", 0.21398),
        ("specification-limit", SPECIFIED | {"lower": 50.0}, "upper_for_span", "of_span", 0.125),
        ("tighter-specification", GAUGES, "fixed_forgotten", "limit_a", 0.3),
        ("tighter-specification", GAUGES, "of_the_span", "limit_a", 1.7),
        ("tighter-specification", GAUGES, "of_the_reading", "limit_b", 0.09),
        ("tighter-specification", GAUGES, "of_the_upper_value", "limit_b", 0.375),
        ("expanded-uncertainty", BATH, "not_halved", "expanded", 0.66343),
        ("expanded-uncertainty", BATH, "limit_halved", "expanded", 0.38850),
        ("expanded-uncertainty", BATH, "whole_step", "u_display", 0.057735),
        ("expanded-uncertainty", BATH, "added", "combined", 0.31743),
        ("expanded-uncertainty", BATH, "k_forgotten", "expanded", 0.20623),
        ("expanded-uncertainty", BATH, "limits_added", "expanded", 0.59),
        ("expanded-uncertainty", BATH, "root_of_three_forgotten", "expanded", 0.57480),
        ("repeated-readings", FIVE, "middle_of_extremes", "mean", 4.9985),
        ("repeated-readings", FIVE, "divided_by_number", "deviation", 0.006419),
        ("repeated-readings", FIVE, "half_the_range", "deviation", 0.0085),
        ("repeated-readings", FIVE, "of_one_reading", "u_mean", 0.007176),
        ("repeated-readings", FIVE, "without_root", "u_mean", 0.001435),
        ("repeated-readings", FIVE, "not_halved", "expanded", 0.021005),
        ("repeated-readings", FIVE, "k_forgotten", "expanded", 0.005941),
        ("repeated-readings", FIVE, "added", "expanded", 0.016419),
        ("loop-uncertainty", ELEVATED, "of_upper", "sensor_percent", 0.4),
        ("loop-uncertainty", ELEVATED, "degrees_as_percent", "sensor_percent", 1.2),
        ("loop-uncertainty", ELEVATED, "added", "root", 0.9),
        ("loop-uncertainty", ELEVATED, "largest_only", "root", 0.6),
        ("loop-uncertainty", ELEVATED, "of_upper_value", "likely", 1.920937),
        ("loop-uncertainty", ELEVATED, "likely_again", "worst", 1.280625),
        ("loop-uncertainty", ELEVATED, "sensor_left_out", "worst", 0.6),
        ("uncertainty-ratio", TEST, "ratio_upside_down", "ratio", 0.274933),
        ("uncertainty-ratio", TEST, "standard_for_expanded", "ratio", 7.274491),
        ("uncertainty-ratio", TEST, "band_added", "limit", 1.9124),
        ("uncertainty-ratio", TEST, "half_a_band", "limit", 1.2938),
        ("uncertainty-ratio", TEST, "no_band", "limit", 1.5),
    ],
)  # fmt: skip
def test_slip(sheet, givens, slip, step, value):
    assert slipped(sheet, givens, slip, step) == pytest.approx(value, abs=5e-5)
    assert worked(sheet, givens)[step] != pytest.approx(value, abs=5e-5)


# Worked by hand: what a wrong look at right numbers decides.
@pytest.mark.parametrize(
    ("sheet", "givens", "slip", "step", "words"),
    [
        ("five-point-record", EVEN, "signal_against_limit", "verdict", "pass"),
        ("five-point-record", EVEN | {"limit": 0.05}, "signal_against_limit", "verdict", None),
        ("five-point-record", EVEN | {"actual": (4.0, 8.2, 12.28, 16.2, 20.0)}, "ends_only", "verdict", "pass"),
        ("five-point-record", EVEN, "ends_only", "verdict", None),
        ("five-point-record", EVEN, "even_taken_for_growing", "type", "span"),
        ("five-point-record", GROWING, "growing_taken_for_even", "type", "zero"),
        ("five-point-record", GROWING, "growing_taken_for_bow", "type", "linearity"),
        ("five-point-record", BOWED, "bow_taken_for_span", "type", "span"),
        ("five-point-up-and-down", TWO_WAYS, "hysteresis_against_limit", "verdict", "pass"),
        ("five-point-up-and-down", TWO_WAYS | {"limit": 0.5}, "hysteresis_against_limit", "verdict", None),
        ("error-parts", PARTS, "greatest_with_sign", "type", None),
        ("error-parts", LOW, "greatest_with_sign", "type", "hysteresis"),
        ("as-found-as-left", MENDED, "found_not_looked_at", "verdict", "passed as found"),
        ("as-found-as-left", MENDED | {"limit": 0.6}, "good_from_the_start", "verdict", "passed as left"),
        ("as-found-as-left", MENDED | {"left": EVEN["actual"]}, "adjusted_is_good", "verdict", "passed as left"),
        ("as-found-as-left", MENDED, "by_what_was_left", "past", "inside the limit"),
        ("tighter-specification", GAUGES | {"percent_span": 0.2}, "by_percentages", "tighter", "B"),
        ("tighter-specification", GAUGES, "by_percentages", "tighter", None),
        ("uncertainty-ratio", TEST, "by_tolerance", "verdict", "accepted"),
        ("uncertainty-ratio", TEST | {"error": -1.6}, "sign_taken_for_good", "verdict", "accepted"),
    ],
)  # fmt: skip
def test_wrong_decision(sheet, givens, slip, step, words):
    assert slipped(sheet, givens, slip, step) == words
    assert worked(sheet, givens)[step] != words


# With a signal from zero there is no live zero to forget, and with a range from zero no lower range value.
@pytest.mark.parametrize(
    ("sheet", "givens", "slip", "step"),
    [
        ("five-point-record", EVEN | {"signal_low": 0.0}, "no_live_zero", "ideal"),
        ("five-point-record", EVEN | {"signal_low": 0.0}, "of_top", "percent"),
        ("five-point-up-and-down", TWO_WAYS | {"signal_low": 0.0}, "of_reading", "errors_up"),
        ("two-point-correction", PROBE, "lower_forgotten", "true"),
        ("specification-limit", SPECIFIED, "upper_for_span", "of_span"),
        ("loop-uncertainty", ELEVATED | {"lower": 0.0}, "of_upper", "sensor_percent"),
    ],
)
def test_slip_that_cannot_be_made(sheet, givens, slip, step):
    assert slipped(sheet, givens, slip, step) is None


@pytest.mark.parametrize("limit", [0.05, 0.25, 0.6])
@pytest.mark.parametrize("left", [MENDED["left"], MENDED["found"], (4.0, 8.0, 12.12, 16.0, 20.0)])
def test_verdict_of_two_records_agrees_with_the_calculation(limit, left):
    found = worked("as-found-as-left", MENDED | {"limit": limit, "left": left})
    records = Record(np.array(MENDED["found"])), Record(np.array(left))
    assert found["verdict"] == judged(*records, limit)


def test_gain_and_offset_make_readings_true():
    steps = worked("gain-and-offset", BLOCK)
    known = correction((51.2, 153.5), (50.0, 150.0))
    for reading in (51.2, 100.0, 153.5):
        assert steps["gain"] * reading + steps["offset"] == pytest.approx(known.true(reading))


def test_a_row_typed_wrong_is_named_and_then_followed():
    kept = snapshot(PROBLEMS["seed-dryer-record"].variant(3))
    sheet = SHEETS["five-point-record"]
    typed = tuple(round(error / 20 * 100, 3) for error in kept.step("error").value)
    entry = "; ".join(map(str, typed))
    assert mark(entry, basis(kept, "percent", worksheet=sheet)).slip == "of_top"
    wrong = {"percent": Earlier((0.1, 0.1, 0.1, 0.1, 0.1), right=False)}
    assert mark("pass", basis(kept, "verdict", wrong, sheet)).verdict == "follows"
    assert mark("zero", basis(kept, "type", wrong, sheet)).verdict == "follows"
