"""Readings and differences between °C and °F against the fixed points that both scales share."""

from __future__ import annotations

import pytest

from trainer.content.library import read_library

WORKSHEETS = read_library().worksheets


def solved(sheet, slip=None, **givens):
    """All values, with a slip made where one is named."""
    sheet = WORKSHEETS[sheet]
    return sheet.solve_slip(sheet.slips[slip], givens) if slip else sheet.solve(givens)


# Definition of the Fahrenheit scale: ice 32 °F, boiling water 212 °F, both scales alike at -40, no heat at -459.67 °F.
@pytest.mark.parametrize(("celsius", "fahrenheit"), [(0.0, 32.0), (100.0, 212.0), (-40.0, -40.0), (-273.15, -459.67)])
def test_readings_meet_the_fixed_points(celsius, fahrenheit):
    there, back = solved("reading-in-fahrenheit", celsius=celsius), solved("reading-in-celsius", fahrenheit=fahrenheit)
    assert (there["nature"], back["nature"]) == ("a reading", "a reading")
    assert there["fahrenheit"] == pytest.approx(fahrenheit)
    assert back["celsius"] == pytest.approx(celsius, abs=1e-9)


# Between ice and boiling water lie 100 °C and 180 °F.
def test_difference_between_ice_and_boiling_water():
    assert solved("difference-in-celsius", fahrenheit=180.0)["celsius"] == pytest.approx(100.0)
    assert solved("difference-in-celsius", fahrenheit=180.0)["nature"] == "a difference"


# Worked by hand: -18 °C is -0.4 °F, 212 °F is 100 °C, a difference of 4.5 °F one of 2.5 °C.
@pytest.mark.parametrize(
    ("sheet", "given", "value", "slip", "step", "wrong"),
    [
        ("reading-in-fahrenheit", "celsius", -18.0, "taken_as_difference", "fahrenheit", -32.4),
        ("reading-in-fahrenheit", "celsius", -18.0, "thirty_two_first", "fahrenheit", 25.2),
        ("reading-in-fahrenheit", "celsius", -18.0, "thirty_two_off", "fahrenheit", -64.4),
        ("reading-in-fahrenheit", "celsius", -18.0, "sign_lost", "fahrenheit", 64.4),
        ("reading-in-fahrenheit", "celsius", -18.0, "divided", "fahrenheit", 22.0),
        ("reading-in-celsius", "fahrenheit", 212.0, "taken_as_difference", "celsius", 117.7778),
        ("reading-in-celsius", "fahrenheit", 212.0, "thirty_two_last", "celsius", 85.7778),
        ("reading-in-celsius", "fahrenheit", 212.0, "thirty_two_added", "celsius", 135.5556),
        ("reading-in-celsius", "fahrenheit", 212.0, "multiplied", "celsius", 324.0),
        ("reading-in-celsius", "fahrenheit", 212.0, "left_as_it_was", "celsius", 180.0),
        ("difference-in-celsius", "fahrenheit", 4.5, "taken_as_reading", "celsius", -15.2778),
        ("difference-in-celsius", "fahrenheit", 4.5, "multiplied", "celsius", 8.1),
        ("difference-in-celsius", "fahrenheit", 4.5, "left_as_it_was", "celsius", 4.5),
    ],
)
def test_slips_lead_to_values_worked_by_hand(sheet, given, value, slip, step, wrong):
    assert solved(sheet, slip, **{given: value})[step] == pytest.approx(wrong, abs=5e-5)


def test_no_sign_is_lost_above_the_ice_point():
    assert solved("reading-in-fahrenheit", "sign_lost", celsius=18.0) is None
