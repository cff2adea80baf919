"""Resistance thermometers against the printed tables of the standard, and against another program."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rtd_sensor import ni120, pt100
from rtd_sensor import tolerance as library_tolerance

from trainer.calculations import rtd
from trainer.calculations.curves import (
    COPPER_10,
    CURVES,
    IEC_60751,
    NICKEL_120,
    PLATINUM_3911,
    PLATINUM_3916,
    PLATINUM_3920,
)
from trainer.errors import OutOfRange

ALL_CURVES = pytest.mark.parametrize("curve", CURVES, ids=lambda curve: curve.name)

# IEC 60751:2022 (ITS-90), table of 100 Ω platinum resistors in steps of 10 °C, two decimals.
PT100 = [
    (-200, 18.52), (-170, 31.34), (-160, 35.54), (-150, 39.72), (-120, 52.11), (-100, 60.26), (-80, 68.33),
    (-40, 84.27), (-20, 92.16), (0, 100.00), (20, 107.79), (80, 130.90), (100, 138.51), (120, 146.07),
    (150, 157.33), (180, 168.48), (200, 175.86), (250, 194.10), (300, 212.05), (350, 229.72), (400, 247.09),
    (450, 264.18), (500, 280.98), (550, 297.49), (600, 313.71), (650, 329.64), (700, 345.28), (750, 360.64),
    (800, 375.70), (850, 390.48),
]  # fmt: skip

# The same characteristic with three decimals below 0 °C, a published ITS-90 table.
PT100_FINE = [
    (-180, 27.096), (-170, 31.335), (-160, 35.543), (-140, 43.876), (-130, 48.005), (-110, 56.193),
    (-90, 64.300), (-80, 68.325),
]  # fmt: skip

# Basic values of 500 Ω and 1000 Ω sensors to DIN EN 60751, tables of sensor makers.
PT500 = [
    (-200, 92.60), (-150, 198.62), (-100, 301.28), (-50, 401.53), (0, 500.00), (25, 548.67), (50, 596.99),
    (100, 692.53), (200, 879.28), (300, 1060.26), (500, 1404.89), (650, 1648.20), (850, 1952.41),
]  # fmt: skip
PT1000 = [
    (-200, 185.2), (-173, 300.7), (-150, 397.2), (-100, 602.6), (-50, 803.1), (0, 1000.0), (25, 1097.3),
    (50, 1194.0), (100, 1385.1), (200, 1758.6), (300, 2120.5), (500, 2809.8), (650, 3296.4), (850, 3904.8),
]  # fmt: skip

PRINTED = (
    [(t, ohms, 100.0, 0.005) for t, ohms in PT100]
    + [(t, ohms, 100.0, 0.0006) for t, ohms in PT100_FINE]
    + [(t, ohms, 500.0, 0.005) for t, ohms in PT500]
    + [(t, ohms, 1000.0, 0.05) for t, ohms in PT1000]
)


@pytest.mark.parametrize(("t", "ohms", "r0", "half_digit"), PRINTED)
def test_printed_resistance(t, ohms, r0, half_digit):
    assert rtd.resistance(t, r0) == pytest.approx(ohms, abs=half_digit * 1.001)


@pytest.mark.parametrize(("t", "ohms", "r0", "half_digit"), PRINTED)
def test_temperature_of_a_printed_resistance(t, ohms, r0, half_digit):
    slope = rtd.sensitivity(t, r0)
    assert rtd.temperature(ohms, r0) == pytest.approx(t, abs=half_digit * 1.01 / slope)


# IEC 751:1983 (IPTS-68), still in circulation: 0.12 Ω low at 600 °C.
@pytest.mark.parametrize(
    ("t", "ohms"), [(150, 157.31), (200, 175.84), (250, 194.07), (300, 212.02), (400, 247.04), (600, 313.59)]
)
def test_not_the_table_of_1983(t, ohms):
    assert rtd.resistance(t) - ohms > 0.01


# A table found on the web that follows neither edition of the standard.
@pytest.mark.parametrize(("t", "ohms"), [(-200, 18.53), (-100, 60.20), (400, 247.06), (600, 313.65), (750, 360.55)])
def test_not_a_table_of_no_standard(t, ohms):
    assert abs(rtd.resistance(t) - ohms) > 0.009


# Resistance at 100 °C and alpha of the older curves as listed in open thermometry software; 0.003916 (JIS C
# 1604:1981) from memory, whose coefficients fall short of its name; 138.5 and 139.2 Ω: common practice.
@pytest.mark.parametrize(
    ("curve", "r100", "alpha", "ohm"),
    [
        (IEC_60751, 138.505, 0.003851, 0.001),
        (PLATINUM_3911, 139.107, 0.003911, 0.001),
        (PLATINUM_3916, 139.152, 0.003916, 0.02),
        (PLATINUM_3920, 139.200, 0.003920, 0.001),
    ],
)
def test_platinum_curves_at_100_degrees(curve, r100, alpha, ohm):
    assert rtd.resistance(100.0, curve=curve) == pytest.approx(r100, abs=ohm)
    assert curve.alpha == pytest.approx(alpha, abs=1e-6)


# A sensor maker's table of 120 Ω nickel, 0.00672, in ohms.
NI120 = [
    (-80, 66.60), (-60, 79.62), (-40, 92.76), (-20, 106.15), (0, 120.00), (10, 127.17), (20, 134.52),
    (30, 142.06), (40, 149.80), (50, 157.75), (60, 165.90), (80, 182.85), (100, 200.64), (120, 219.29),
    (150, 248.95), (180, 280.77), (200, 303.45), (220, 327.54), (240, 353.14), (260, 380.31),
]  # fmt: skip


@pytest.mark.parametrize(("t", "ohms"), NI120)
def test_nickel_passes_through_its_table(t, ohms):
    assert rtd.resistance(t, curve=NICKEL_120) == pytest.approx(ohms, abs=0.005)


def test_nickel_between_the_entries_of_its_table():
    for t in np.arange(-80.0, 260.5, 0.5).tolist():
        # The published cubics and the table, printed to 0.01 Ω, differ by up to 0.005 Ω between themselves.
        assert rtd.resistance(t, curve=NICKEL_120) == pytest.approx(ni120.celsius_to_resistance(t), abs=0.01)


def test_nickel_is_not_the_other_nickel():
    # DIN 43760 nickel: 0.00618, so 194.16 Ω at 100 °C for the same 120 Ω; a different wire.
    assert rtd.resistance(100.0, curve=NICKEL_120) - 120.0 * 1.618 > 6.0


# 10 Ω at 25 °C, alpha 0.00427 (a sensor maker's comparison); 9.035 Ω at 0 °C from memory.
def test_copper():
    assert rtd.resistance(25.0, curve=COPPER_10) == pytest.approx(10.0, abs=1e-12)
    assert rtd.resistance(0.0, curve=COPPER_10) == pytest.approx(9.035, abs=0.001)
    assert COPPER_10.alpha == pytest.approx(0.00427, abs=1e-12)


def test_platinum_against_another_program():
    for t in np.arange(-200.0, 850.25, 0.25).tolist():
        ohms = pt100.celsius_to_resistance(t)
        assert rtd.resistance(t) == pytest.approx(ohms, abs=1e-10)
        assert rtd.temperature(ohms) == pytest.approx(t, abs=1e-8)
        slope = pt100.resistance_sensitivity_ohms_per_celsius(t)
        assert rtd.sensitivity(t) == pytest.approx(slope, abs=1e-10)


@ALL_CURVES
@given(part=st.floats(0.0, 1.0), r0=st.sampled_from([None, 100.0, 500.0, 1000.0]))
def test_there_and_back(curve, part, r0):
    t = curve.lowest + part * (curve.highest - curve.lowest)
    assert rtd.temperature(rtd.resistance(t, r0, curve), r0, curve) == pytest.approx(t, abs=1e-6)


@ALL_CURVES
def test_both_ends_and_just_outside(curve):
    for end, out in (curve.lowest, -0.01), (curve.highest, 0.01):
        ohms = rtd.resistance(end, curve=curve)
        assert rtd.temperature(ohms, curve=curve) == pytest.approx(end, abs=1e-6)
        with pytest.raises(OutOfRange, match="°C"):
            rtd.resistance(end + out, curve=curve)
        with pytest.raises(OutOfRange, match="°C"):
            rtd.sensitivity(end + out, curve=curve)
        with pytest.raises(OutOfRange, match="Ω"):
            rtd.temperature(ohms + 0.6 * out * curve.nominal / 100.0, curve=curve)


def test_the_message_names_value_rule_and_unit():
    with pytest.raises(OutOfRange, match=r"^temperature 850\.1 °C is outside -200 to 850 °C$"):
        rtd.resistance(850.1)
    with pytest.raises(OutOfRange, match=r"^resistance 400 Ω is outside 18\.5201 to 390\.481 Ω$"):
        rtd.temperature(400.0)


@pytest.mark.parametrize("wrong", [math.nan, math.inf, -math.inf])
def test_no_number_is_no_temperature(wrong):
    with pytest.raises(OutOfRange):
        rtd.resistance(wrong)
    with pytest.raises(OutOfRange):
        rtd.temperature(wrong)
    with pytest.raises(OutOfRange):
        rtd.resistance(np.array([20.0, wrong]))


@pytest.mark.parametrize("r0", [0.0, -100.0, math.nan])
def test_a_sensor_without_resistance_is_refused(r0):
    with pytest.raises(OutOfRange, match="resistance at 0 °C"):
        rtd.temperature(138.5, r0)


@ALL_CURVES
def test_an_array_gives_what_its_values_give(curve):
    t = np.linspace(curve.lowest, curve.highest, 60).reshape(3, 4, 5)
    t[1, 1, 1] = 0.0
    ohms = rtd.resistance(t, 1000.0, curve)
    for function, values in (rtd.resistance, t), (rtd.sensitivity, t), (rtd.temperature, ohms):
        together = function(values, 1000.0, curve)
        single = [function(value, 1000.0, curve) for value in values.ravel().tolist()]
        assert together.shape == values.shape
        assert together.ravel() == pytest.approx(single, abs=1e-9)
        assert all(type(value) is float for value in single)


@ALL_CURVES
def test_sensitivity_is_the_slope(curve):
    t = np.linspace(curve.lowest + 1.0, curve.highest - 1.0, 500)
    chord = rtd.resistance(t + 1e-3, curve=curve) - rtd.resistance(t - 1e-3, curve=curve)
    assert rtd.sensitivity(t, curve=curve) == pytest.approx(chord / 2e-3, rel=1e-4)


# IEC 60751:2022: the class ranges and formulas; AA and A at 0, 100, 200 °C as printed in a maker's table.
@pytest.mark.parametrize(
    ("grade", "construction", "lowest", "highest", "at_lowest", "at_highest"),
    [
        ("AA", "wire-wound", -50, 250, 0.185, 0.525),
        ("AA", "film", 0, 150, 0.1, 0.355),
        ("A", "wire-wound", -100, 450, 0.35, 1.05),
        ("A", "film", -30, 300, 0.21, 0.75),
        ("B", "wire-wound", -196, 600, 1.28, 3.3),
        ("B", "film", -50, 500, 0.55, 2.8),
        ("C", "wire-wound", -196, 600, 2.56, 6.6),
        ("C", "film", -50, 600, 1.1, 6.6),
        ("W0.1", "wire-wound", -100, 350, 0.27, 0.695),
        ("W0.15", "wire-wound", -100, 450, 0.35, 1.05),
        ("W0.3", "wire-wound", -196, 660, 1.28, 3.6),
        ("W0.6", "wire-wound", -196, 660, 2.56, 7.2),
        ("F0.1", "film", 0, 150, 0.1, 0.355),
        ("F0.15", "film", -30, 300, 0.21, 0.75),
        ("F0.3", "film", -50, 500, 0.55, 2.8),
        ("F0.6", "film", -50, 600, 1.1, 6.6),
    ],
)
def test_tolerance_holds_in_its_range_only(grade, construction, lowest, highest, at_lowest, at_highest):
    assert rtd.tolerance(float(lowest), grade, construction) == pytest.approx(at_lowest)
    assert rtd.tolerance(float(highest), grade, construction) == pytest.approx(at_highest)
    for outside in lowest - 0.1, highest + 0.1:
        with pytest.raises(OutOfRange):
            rtd.tolerance(outside, grade, construction)


# IEC 60751 as printed in a sensor maker's table, AA / A / B / C.
@pytest.mark.parametrize(
    ("t", "printed"),
    [(0, (0.1, 0.15, 0.3, 0.6)), (100, (0.27, 0.35, 0.8, 1.6)), (200, (0.44, 0.55, 1.3, 2.6))],
)
def test_printed_tolerance(t, printed):
    assert [rtd.tolerance(t, grade) for grade in ("AA", "A", "B", "C")] == pytest.approx(printed)


# IEC 751, permissible deviations of 100 Ω sensors in ohms, class A and class B.
@pytest.mark.parametrize(("t", "a", "b"), [(-100, 0.14, 0.32), (0, 0.06, 0.12), (200, 0.20, 0.48), (300, 0.27, 0.64)])
def test_tolerance_in_ohms(t, a, b):
    assert rtd.tolerance(t, "A") * rtd.sensitivity(t) == pytest.approx(a, abs=0.0055)
    assert rtd.tolerance(t, "B") * rtd.sensitivity(t) == pytest.approx(b, abs=0.0055)


def test_tolerance_against_another_program():
    for t in range(-50, 251, 7):
        expected = library_tolerance.thermometer_tolerance_c(t, tolerance_class="AA", construction="wire_wound")
        assert rtd.tolerance(float(t), "AA") == pytest.approx(expected)


def test_tolerance_grows_on_both_sides_of_zero():
    both = rtd.tolerance(np.array([-90.0, 90.0]), "B")
    assert both == pytest.approx([0.75, 0.75])


def test_an_unknown_class_is_refused():
    with pytest.raises(ValueError, match="'D'"):
        rtd.tolerance(20.0, "D")
    with pytest.raises(ValueError, match="glass"):
        rtd.tolerance(20.0, "A", "glass")


# Curve names and alphas as data loggers list them; 138.5 against 139.2 Ω at 100 °C: common practice.
@pytest.mark.parametrize(
    ("r0", "r100", "curve"),
    [
        (100.0, 138.51, IEC_60751),
        (999.6, 1384.6, IEC_60751),
        (100.0, 139.11, PLATINUM_3911),
        (100.0, 139.16, PLATINUM_3916),
        (100.0, 139.20, PLATINUM_3920),
        (120.0, 200.64, NICKEL_120),
        (9.035, 12.893, COPPER_10),
    ],
)
def test_identify(r0, r100, curve):
    assert rtd.identify(r0, r100) is curve


@pytest.mark.parametrize("r100", [100.0, 137.5, 170.0])
def test_identify_refuses_what_is_no_thermometer(r100):
    with pytest.raises(OutOfRange, match="alpha"):
        rtd.identify(100.0, r100)


def test_self_heating_by_ohms_law():
    # 2 mA through 1232.4 Ω turn 4.93 mW into heat, which 8 mW/K carry off: 0.616 K.
    assert rtd.self_heating(2.0, 1232.4, 8.0) == pytest.approx(0.6162)
    assert rtd.self_heating(4.0, 1232.4, 8.0) == pytest.approx(4 * 0.6162)
    assert rtd.self_heating(np.array([1.0, 2.0]), np.array([100.0, 100.0]), 2.0) == pytest.approx([0.05, 0.2])
