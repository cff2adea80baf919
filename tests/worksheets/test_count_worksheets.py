"""Counts, resolution, slope and offset: worked draws, each step and each slip worked by hand."""

from __future__ import annotations

import pytest

from trainer.calculations.counts import resolution, scaling
from trainer.content.library import read_library

WORKSHEETS = read_library().worksheets

CARD = {"bits": 12.0, "full_scale": 5.0, "signal": 2.872}
WORTH = {
    "bits": 12.0,
    "full_scale": 5.0,
    "signal_low": 1.0,
    "signal_high": 5.0,
    "lower": 0.0,
    "upper": 150.0,
}
BLOCK = {"raw_low": 819.0, "raw_high": 4095.0, "lower": -40.0, "upper": 40.0, "count": 2050.0}
CHECK = {
    "raw_low": 1600.0,
    "raw_high": 8000.0,
    "lower": -10.0,
    "upper": 60.0,
    "made_for": 70.0,
    "slope_set": 0.0125,
    "offset_set": -30.0,
}
WHOLE = {"raw_low": 200.0, "raw_high": 1000.0, "lower": -300.0, "upper": 100.0, "count": 290.0}


def worked(sheet, givens):
    """The steps alone."""
    values = WORKSHEETS[sheet].solve(givens)
    return {name: values[name] for name in WORKSHEETS[sheet].steps}


def slipped(sheet, givens, slip, step):
    """A step with the slip made."""
    found = WORKSHEETS[sheet].solve_slip(WORKSHEETS[sheet].slips[slip], givens)
    return None if found is None else found[step]


# IEC 61131-3, elementary data types: USINT to 255, UINT to 65535, SINT to 127, INT to 32767 (from memory).
@pytest.mark.parametrize(
    ("bits", "sign", "largest"),
    [(8, "unsigned", 255), (16, "unsigned", 65535), (8, "signed", 127), (16, "signed", 32767)],
)
def test_largest_number(bits, sign, largest):
    steps = worked("largest-number", {"bits": float(bits), "sign": sign})
    assert steps["largest"] == largest
    assert steps["patterns"] == largest + 1
    assert steps["size_bits"] == bits - (sign == "signed")


# Worked by hand: 0.5744 x 4095 = 2352.2; 4095 x 0.8 = 3276; 150 / 3276 = 0.045788.
def test_worked_counts():
    assert worked("counts-of-a-signal", CARD) == pytest.approx({"top": 4095.0, "share": 0.5744, "count": 2352.0})
    assert worked("worth-of-a-count", WORTH) == pytest.approx(
        {"top": 4095.0, "counts_used": 3276.0, "worth": 0.045788}, abs=5e-7
    )
    assert worked("worth-of-a-count", WORTH)["worth"] == pytest.approx(resolution(150.0, 1.0, 5.0, 5.0, 12))


# Worked by hand: 80 / 3276 = 0.0244200; 0.0244200 x 819 = 20.000; 0.0244200 x 2050 = 50.061.
def test_worked_slope_and_offset():
    assert worked("slope-and-offset", BLOCK) == pytest.approx(
        {"slope": 0.02442, "offset": -60.0, "value": -9.939}, abs=5e-4
    )
    for count, end in ((819.0, -40.0), (4095.0, 40.0)):
        assert worked("slope-and-offset", BLOCK | {"count": count})["value"] == pytest.approx(end)


# Manuals of analog input modules and a text on scaling, in print: counts at a current, and a slope.
@pytest.mark.parametrize(
    ("raw_low", "raw_high", "count", "current"),
    [
        (0, 4000, 1000, 8.0),
        (0, 4000, 3000, 16.0),
        (6400, 32000, 6400, 4.0),
        (6400, 32000, 32000, 20.0),
        (6400, 32000, 0, 0.0),
    ],
)
def test_scaling_by_published_counts(raw_low, raw_high, count, current):
    givens = {"raw_low": float(raw_low), "raw_high": float(raw_high), "lower": 4.0, "upper": 20.0}
    assert worked("slope-and-offset", givens | {"count": float(count)})["value"] == pytest.approx(current)


def test_slope_of_a_published_example():
    givens = {"raw_low": 3277.0, "raw_high": 16384.0, "lower": 0.0, "upper": 700.0, "count": 3277.0}
    steps = worked("slope-and-offset", givens)
    assert steps["slope"] == pytest.approx(0.053407, abs=5e-7)
    assert steps["value"] == pytest.approx(0.0, abs=1e-9)


# Worked by hand: slope 80 / 6400, offset -10 - 20; 0.0125 x 8000 - 30 = 70 where 60 is true.
def test_block_checked_at_both_ends():
    assert worked("scaling-check", CHECK) == pytest.approx({"shown_low": -10.0, "shown_high": 70.0, "error": 10.0})
    givens = WORKSHEETS["scaling-check"].givens
    assert givens["slope_set"].prepare(CHECK) == 0.0125
    assert givens["offset_set"].prepare(CHECK) == -30.0
    assert givens["made_for"].hidden


# Worked by hand: 90 x 400 = 36000 is over 32767 (INT of IEC 61131-3); 81 x 400 = 32400 is not, and 40.5 is cut to 40.
@pytest.mark.parametrize(
    ("count", "steps"),
    [
        (290.0, {"above": 90.0, "product": 36000.0, "verdict": "overflows", "value": -255.0}),
        (281.0, {"above": 81.0, "product": 32400.0, "verdict": "fits", "value": -260.0}),
    ],
)
def test_whole_numbers(count, steps):
    assert worked("whole-number-scaling", WHOLE | {"count": count}) == steps


def test_end_of_the_word():
    exact = {"raw_low": 0.0, "raw_high": 1000.0, "lower": 0.0, "upper": 1.0}
    assert worked("whole-number-scaling", exact | {"count": 32767.0})["verdict"] == "fits"
    assert worked("whole-number-scaling", exact | {"count": 32768.0})["verdict"] == "overflows"


# Worked by hand from the worked draws above.
@pytest.mark.parametrize(
    ("sheet", "givens", "slip", "step", "value"),
    [
        ("largest-number", {"bits": 12.0, "sign": "unsigned"}, "counted_from_one", "largest", 4096),
        ("largest-number", {"bits": 12.0, "sign": "unsigned"}, "other_sign", "largest", 2047),
        ("largest-number", {"bits": 12.0, "sign": "signed"}, "other_sign", "largest", 4095),
        ("largest-number", {"bits": 12.0, "sign": "unsigned"}, "twice_the_bits", "patterns", 24),
        ("largest-number", {"bits": 12.0, "sign": "unsigned"}, "bits_squared", "patterns", 144),
        ("counts-of-a-signal", CARD, "live_zero_taken_off", "count", 1916),
        ("counts-of-a-signal", CARD, "one_bit_for_sign", "count", 1176),
        ("counts-of-a-signal", CARD, "one_bit_too_many", "count", 4705),
        ("counts-of-a-signal", CARD, "all_patterns", "top", 4096),
        ("worth-of-a-count", WORTH, "sign_bit", "top", 2047),
        ("worth-of-a-count", WORTH, "whole_card", "worth", 0.036630),
        ("worth-of-a-count", WORTH, "share_upside_down", "worth", 0.029304),
        ("worth-of-a-count", WORTH, "worth_upside_down", "worth", 21.84),
        ("worth-of-a-count", WORTH | {"lower": -50.0}, "upper_for_span", "worth", 0.045788),
        ("slope-and-offset", BLOCK, "raw_zero_forgotten", "value", 0.0488),
        ("slope-and-offset", BLOCK, "lower_as_offset", "value", 10.0611),
        ("slope-and-offset", BLOCK, "top_count_as_span", "value", -15.9512),
        ("slope-and-offset", BLOCK, "lower_left_out", "value", 30.0611),
        ("slope-and-offset", BLOCK, "product_added", "offset", -20.0),
        ("slope-and-offset", BLOCK, "slope_upside_down", "slope", 40.95),
        ("scaling-check", CHECK, "added_before", "shown_low", 19.625),
        ("scaling-check", CHECK, "offset_left_out", "shown_low", 20.0),
        ("scaling-check", CHECK, "raw_zero_off_twice", "error", -10.0),
        ("scaling-check", CHECK, "true_less_shown", "error", -10.0),
        ("whole-number-scaling", WHOLE, "raw_zero_left_in", "product", 116000),
        ("whole-number-scaling", WHOLE, "upper_for_span", "product", 9000),
        ("whole-number-scaling", WHOLE, "divided_first", "value", -300),
        ("whole-number-scaling", WHOLE, "rise_only", "value", 45),
        ("whole-number-scaling", WHOLE, "divided_by_top", "value", -264),
    ],
)
def test_slip(sheet, givens, slip, step, value):
    assert slipped(sheet, givens, slip, step) == pytest.approx(value, abs=5e-5)
    assert value != pytest.approx(worked(sheet, givens)[step], abs=5e-5)


def test_unsigned_word_taken_for_a_signed_one():
    assert slipped("whole-number-scaling", WHOLE, "unsigned_word", "verdict") == "fits"
    for count in (281.0, 400.0):  # 32400 fits both, 80000 neither
        assert slipped("whole-number-scaling", WHOLE | {"count": count}, "unsigned_word", "verdict") is None


@pytest.mark.parametrize(
    ("sheet", "givens", "slip", "step"),
    [
        ("worth-of-a-count", WORTH | {"signal_low": 0.0}, "whole_card", "worth"),
        ("worth-of-a-count", WORTH | {"signal_low": 0.0}, "share_upside_down", "worth"),
        ("worth-of-a-count", WORTH, "upper_for_span", "worth"),
        ("slope-and-offset", BLOCK | {"raw_low": 0.0}, "lower_as_offset", "value"),
        ("slope-and-offset", BLOCK | {"raw_low": 0.0}, "product_added", "value"),
        ("slope-and-offset", BLOCK | {"lower": 0.0}, "lower_left_out", "value"),
        ("whole-number-scaling", WHOLE | {"lower": 0.0}, "upper_for_span", "value"),
        ("whole-number-scaling", WHOLE | {"lower": 0.0}, "rise_only", "value"),
    ],
)
def test_slip_that_cannot_be_made(sheet, givens, slip, step):
    assert slipped(sheet, givens, slip, step) is None


def test_steps_agree_with_the_scaling_of_the_calculations():
    block = scaling(819.0, 4095.0, -40.0, 40.0)
    steps = worked("slope-and-offset", BLOCK)
    assert (steps["slope"], steps["offset"]) == pytest.approx((block.slope, block.offset))
    assert steps["value"] == pytest.approx(block.value(2050.0))
