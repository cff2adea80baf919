"""Curves and tolerances: worked draws against the standards' tables and against hand working."""

from __future__ import annotations

import pytest

from trainer.calculations import rtd, thermocouple_tolerances
from trainer.content.library import read_library

WORKSHEETS = read_library().worksheets

STANDARD, OLDER = "platinum 0.003851", "platinum 0.003916"


def filled(sheet, givens):
    """The givens with those that are worked out from others."""
    values = dict(givens)
    for given in WORKSHEETS[sheet].givens.values():
        if given.prepare and given.name not in values:
            values[given.name] = given.prepare(values)
    return values


def worked(sheet, givens):
    """The steps alone."""
    values = WORKSHEETS[sheet].solve(filled(sheet, givens))
    return {name: values[name] for name in WORKSHEETS[sheet].steps}


def slipped(sheet, givens, slip, step):
    """A step with the slip made."""
    found = WORKSHEETS[sheet].solve_slip(WORKSHEETS[sheet].slips[slip], filled(sheet, givens))
    return None if found is None else found[step]


# Resistance in ice and at 100 °C from the tables: IEC 60751 100.00 and 138.51; a sensor maker's comparison of
# platinum curves 100.0 and 139.2; a sensor maker's table of 120 Ω nickel 120.00 and 200.64. Copper by its
# definition, 10 Ω at 25 °C and 0.00427: 9.04 and 12.90.
@pytest.mark.parametrize(
    ("ice", "boiling", "alpha", "curve"),
    [
        (100.0, 138.51, 0.003851, STANDARD),
        (1000.0, 1385.1, 0.003851, STANDARD),
        (100.0, 139.2, 0.003920, "older platinum, 0.003911 to 0.003920"),
        (120.0, 200.64, 0.00672, "nickel 0.00672"),
        (9.04, 12.90, 0.00427, "copper 0.00427"),
    ],
)
def test_identity(ice, boiling, alpha, curve):
    steps = worked("curve-identity", {"element": STANDARD, "at_zero": ice, "boiling": boiling})
    assert steps["rise"] == pytest.approx(boiling - ice)
    assert steps["alpha"] == pytest.approx(alpha, abs=5e-6)
    assert steps["curve"] == curve


# Worked by hand from 100.00 and 138.51 Ω: 38.51/100, 38.51/100, 38.51/13851, 138.51/10000.
@pytest.mark.parametrize(
    ("slip", "alpha"),
    [
        ("ohms_a_degree", 0.3851),
        ("hundred_degrees", 0.3851),
        ("part_of_hot", 0.0027803),
        ("ratio_for_rise", 0.013851),
    ],
)
def test_slips_of_alpha(slip, alpha):
    givens = {"element": STANDARD, "at_zero": 100.0, "boiling": 138.51}
    assert slipped("curve-identity", givens, slip, "alpha") == pytest.approx(alpha, abs=5e-8)


def test_wrong_curves_named():
    standard = {"element": STANDARD, "at_zero": 100.0, "boiling": 138.51}
    nickel = {"element": "nickel 0.00672", "at_zero": 120.0, "boiling": 200.64}
    assert slipped("curve-identity", standard, "common_curve", "curve") is None
    assert slipped("curve-identity", standard, "older_curve", "curve").startswith("older")
    assert slipped("curve-identity", nickel, "common_curve", "curve") == STANDARD
    assert slipped("curve-identity", nickel, "older_curve", "curve") is None


# IEC 60751 table: 153.58 Ω at 140 °C. Back on A = 3.9739e-3, B = -5.87e-7 by hand: the root of
# 1.579188e-5 - 4 x 5.87e-7 x 0.5358 = 1.453382e-5 is 0.00381232, so t = 0.00016158 / 1.174e-6 = 137.6 °C.
def test_wrong_curve():
    givens = {"r0": 100.0, "temperature": 140.0, "fitted": STANDARD, "chosen": OLDER}
    steps = worked("wrong-curve-error-fahrenheit", givens)
    assert steps["resistance"] == pytest.approx(153.58, abs=0.005)
    assert steps["shown"] == pytest.approx(137.64, abs=0.01)
    assert steps["error"] == pytest.approx(-2.36, abs=0.01)
    assert steps["error_in_fahrenheit"] == pytest.approx(-4.25, abs=0.01)
    # By hand: 153.584 - 100 (1 + 0.556346 - 0.011505) = -0.90; 1.8 x (-2.361) + 32 = 27.75.
    for slip, step, number in [
        ("ohms_for_degrees", "error", -0.90),
        ("no_difference", "error", 0.0),
        ("true_less_shown", "error", 2.36),
        ("thirty_two_added", "error_in_fahrenheit", 27.75),
        ("left_in_celsius", "error_in_fahrenheit", -2.36),
    ]:
        assert slipped("wrong-curve-error-fahrenheit", givens, slip, step) == pytest.approx(number, abs=0.005)
    exchanged = slipped("wrong-curve-error-fahrenheit", givens, "exchanged", "shown")
    assert exchanged == pytest.approx(142.40, abs=0.01)  # by hand on A = 3.9083e-3, B = -5.775e-7 from 154.484 Ω


# The other direction reads high by nearly as much: common practice, about 1.7 °C for each 100 °C.
def test_wrong_curve_the_other_way():
    givens = {"r0": 1000.0, "temperature": 100.0, "fitted": OLDER, "chosen": STANDARD}
    assert worked("wrong-curve-error", givens)["error"] == pytest.approx(1.7, abs=0.05)


# IEC 60751 tolerance table: class A and B at -100, 0, 200 and 300 °C 0.35/0.8, 0.15/0.3, 0.55/1.3, 0.75/1.8 °C;
# class AA and C at 100 °C 0.27 and 1.6 °C.
@pytest.mark.parametrize(
    ("grade", "temperature", "permitted"),
    [
        ("A", -100.0, 0.35), ("B", -100.0, 0.8), ("A", 0.0, 0.15), ("B", 0.0, 0.3), ("A", 200.0, 0.55),
        ("B", 200.0, 1.3), ("A", 300.0, 0.75), ("B", 300.0, 1.8), ("AA", 100.0, 0.27), ("C", 100.0, 1.6),
    ],
)  # fmt: skip
def test_rtd_class(grade, temperature, permitted):
    steps = worked("rtd-tolerance", {"grade": grade, "temperature": temperature})
    assert steps["permitted"] == pytest.approx(permitted)
    assert steps["permitted"] == pytest.approx(rtd.tolerance(temperature, grade))


# Worked by hand for class B at -90 °C: 0.3 - 0.45; 0.15 + 0.18; -90 °C is -130 °F, 0.3 + 0.65.
@pytest.mark.parametrize(
    ("slip", "permitted"),
    [
        ("sign_kept", -0.15),
        ("base_only", 0.3),
        ("slope_only", 0.45),
        ("other_class", 0.33),
        ("fahrenheit_put_in", 0.95),
    ],
)
def test_slips_of_rtd_class(slip, permitted):
    givens = {"grade": "B", "temperature": -90.0}
    assert worked("rtd-tolerance", givens) == pytest.approx({"growing": 0.45, "permitted": 0.75})
    assert slipped("rtd-tolerance", givens, slip, "permitted") == pytest.approx(permitted)


# Worked by hand: -130 °F is -90 °C; 1.8 x 0.75 = 1.35; 1.35 + 32 = 33.35; 1.8 (0.3 + 0.65) = 1.71;
# -130/1.8 = -72.22, 1.8 (0.3 + 0.3611) = 1.19.
def test_rtd_class_in_fahrenheit():
    sheet, givens = "rtd-tolerance-fahrenheit", {"grade": "B", "fahrenheit": -130.0}
    assert worked(sheet, givens) == pytest.approx(
        {"temperature": -90.0, "growing": 0.45, "permitted": 0.75, "permitted_in_fahrenheit": 1.35}
    )
    for slip, number in {
        "thirty_two_added": 33.35,
        "left_in_celsius": 0.75,
        "fahrenheit_put_in": 1.71,
        "thirty_two_left_in": 1.19,
    }.items():
        assert slipped(sheet, givens, slip, "permitted_in_fahrenheit") == pytest.approx(number)


# IEC 60751: class A of a wire-wound sensor makes no promise below -100 °C and above 450 °C.
@pytest.mark.parametrize(("temperature", "refused"), [(-101.0, True), (-100.0, False), (450.0, False), (451.0, True)])
def test_beyond_the_class(temperature, refused):
    values = filled("rtd-tolerance", {"grade": "A", "temperature": temperature})
    assert any(node(values) for node in WORKSHEETS["rtd-tolerance"].refusals) is refused


# Worked by hand: class B at -90 °C permits 0.75 °C.
@pytest.mark.parametrize(
    ("reading", "deviation", "verdict", "named"),
    [
        (-90.9, -0.9, "outside", "sign_compared"),
        (-89.1, 0.9, "outside", None),
        (-90.5, -0.5, "inside", "any_deviation_rejected"),
    ],
)
def test_verdict(reading, deviation, verdict, named):
    sheet, givens = "rtd-within-class", {"grade": "B", "temperature": -90.0, "share": 0.0, "sensor_reading": reading}
    steps = worked(sheet, givens)
    assert steps["deviation"] == pytest.approx(deviation)
    assert steps["permitted"] == pytest.approx(0.75)
    assert steps["verdict"].startswith(verdict)
    assert slipped(sheet, givens, "reference_less_sensor", "deviation") == pytest.approx(-deviation)
    made = [
        slip
        for slip in ("sign_compared", "any_deviation_rejected")
        if slipped(sheet, givens, slip, "verdict") is not None
    ]
    assert made == ([named] if named else [])


# ASTM E230 and IEC 60584-1 tables: K standard 2.2 °C or 0.75 %, special 1.1 °C or 0.4 %; K class 2 2.5 °C or
# 0.75 %; T class 3 1.0 °C or 1.5 %. By hand: 0.75 % of 620 = 4.65, 1.5 % of 150 = 2.25.
@pytest.mark.parametrize(
    ("kind", "grade", "temperature", "proportional", "permitted"),
    [
        ("K", "standard", 620.0, 4.65, 4.65),
        ("K", "standard", 200.0, 1.5, 2.2),
        ("K", "2", 300.0, 2.25, 2.5),
        ("N", "special", 800.0, 3.2, 3.2),
        ("T", "3", -150.0, 2.25, 2.25),
    ],
)
def test_thermocouple_class(kind, grade, temperature, proportional, permitted):
    steps = worked("thermocouple-tolerance", {"kind": kind, "grade": grade, "temperature": temperature})
    assert steps == pytest.approx({"proportional": proportional, "permitted": permitted})
    assert steps["permitted"] == pytest.approx(thermocouple_tolerances.tolerance(temperature, kind, grade))


# Worked by hand for standard K at 620 °C, which is 1148 °F: 2.2 + 4.65; 0.4 % of 620; 0.75 % of 1148.
@pytest.mark.parametrize(
    ("slip", "permitted"),
    [("lesser", 2.2), ("added", 6.85), ("other_grade", 2.48), ("fahrenheit_put_in", 8.61), ("sign_kept", None)],
)
def test_slips_of_thermocouple_class(slip, permitted):
    givens = {"kind": "K", "grade": "standard", "temperature": 620.0}
    found = slipped("thermocouple-tolerance", givens, slip, "permitted")
    assert found == (None if permitted is None else pytest.approx(permitted))


def test_sign_kept_of_a_cold_thermocouple():
    givens = {"kind": "T", "grade": "3", "temperature": -150.0}
    assert slipped("thermocouple-tolerance", givens, "sign_kept", "proportional") == pytest.approx(-2.25)
    assert slipped("thermocouple-tolerance", givens, "sign_kept", "permitted") == 1.0


# Worked by hand: 1148 °F is 620 °C; 1.8 x 4.65 = 8.37.
def test_thermocouple_class_in_fahrenheit():
    sheet, givens = "thermocouple-tolerance-fahrenheit", {"kind": "K", "grade": "standard", "fahrenheit": 1148.0}
    steps = worked(sheet, givens)
    assert steps["temperature"] == pytest.approx(620.0)
    assert steps["permitted_in_fahrenheit"] == pytest.approx(8.37)
    assert slipped(sheet, givens, "fahrenheit_put_in", "proportional") == pytest.approx(8.61)
    assert slipped(sheet, givens, "thirty_two_added", "permitted_in_fahrenheit") == pytest.approx(40.37)


# IEC 60584-1: class 1 of types R and S has a third number above 1100 °C, which the worksheet does not ask.
def test_classes_with_a_third_number_are_refused():
    values = filled("thermocouple-tolerance", {"kind": "S", "grade": "1", "temperature": 800.0})
    assert any(node(values) for node in WORKSHEETS["thermocouple-tolerance"].refusals)
