"""Thermistors against published tables and constants."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.calculations.thermistor import Beta, SteinhartHart
from trainer.errors import OutOfRange

# A sensor maker's reference guide to temperature-resistance curves (2014), material 1: R/R25 by °C.
RATIO = {
    -40: 33.36, -20: 9.681, -10: 5.525, 0: 3.264, 20: 1.249, 25: 1.0, 50: 0.3601, 60: 0.2487, 70: 0.1751,
    85: 0.1070, 100: 0.06781, 125: 0.03403,
}  # fmt: skip

# The manual of a laser temperature controller: a 10 kΩ thermistor, °C and Ω.
TEN_KILOHM = [(0, 32128), (10, 19549), (20, 12262), (25, 9814), (30, 7908), (50, 3542)]

# A temperature probe manual: a 10 kΩ thermistor in the cold, °C and Ω.
COLD = [(-40, 336103.2), (-30, 176804.8), (-20, 97006.9), (-10, 55303.9), (0, 32650.9)]

FITTED = SteinhartHart.through([(0.0, 32128.0), (20.0, 12262.0), (50.0, 3542.0)])
CURVES = pytest.mark.parametrize("curve", [Beta(10_000.0, 3977.0), FITTED], ids=["beta", "Steinhart-Hart"])


# The same guide: beta printed for each pair of temperatures of that material, in kelvin.
@pytest.mark.parametrize(
    ("first", "second", "beta"),
    [(0, 50, 3892), (0, 70, 3917), (25, 50, 3937), (25, 85, 3977), (25, 100, 3992), (25, 125, 4013)],
)
def test_beta_between_two_points(first, second, beta):
    curve = Beta.between((first, 1e4 * RATIO[first]), (second, 1e4 * RATIO[second]))
    assert curve.beta == pytest.approx(beta, abs=1.0)
    assert curve.resistance(float(second)) == pytest.approx(1e4 * RATIO[second])


def test_beta_holds_at_its_two_points_only():
    curve = Beta.between((25.0, 10_000.0), (85.0, 1_070.0))
    assert curve.temperature(1_070.0) == pytest.approx(85.0)
    assert curve.temperature(10_000.0) == pytest.approx(25.0)
    assert abs(curve.temperature(1e4 * RATIO[-20]) + 20.0) > 0.5


def test_published_coefficients():
    # A module guide's coefficients of a 10 kΩ thermistor, which has its 10 kΩ at 25 °C.
    curve = SteinhartHart(1.129148e-3, 2.34125e-4, 8.76741e-8)
    assert curve.temperature(10_000.0) == pytest.approx(24.99967, abs=1e-5)


def test_fit_of_three_points():
    # The controller manual claims a fit better than 0.01 °C; coefficients worked out once by hand.
    assert pytest.approx(1.104505e-3, abs=5e-10) == FITTED.a
    assert pytest.approx(2.388610e-4, abs=5e-11) == FITTED.b
    assert pytest.approx(6.95361e-8, abs=5e-14) == FITTED.c
    for t, ohms in TEN_KILOHM:
        assert FITTED.temperature(float(ohms)) == pytest.approx(t, abs=0.01)


def test_a_misprint_does_not_fit():
    # The manual prints 5331 Ω at 40 °C; the rest of its table fits 5231 Ω.
    assert FITTED.temperature(5231.0) == pytest.approx(40.0, abs=0.01)
    assert abs(FITTED.temperature(5331.0) - 40.0) > 0.4


def test_fit_in_the_cold():
    fitted = SteinhartHart.through([COLD[0], COLD[2], COLD[4]])
    for t, ohms in COLD:
        assert fitted.temperature(ohms) == pytest.approx(t, abs=0.001)


def test_steinhart_and_hart_follow_where_beta_does_not():
    fitted = SteinhartHart.through([(t, 1e4 * RATIO[t]) for t in (-20, 25, 85)])
    for t, ratio in RATIO.items():
        assert fitted.temperature(1e4 * ratio) == pytest.approx(t, abs=0.05)


@CURVES
@given(t=st.floats(-80.0, 300.0))
def test_there_and_back(curve, t):
    assert curve.temperature(curve.resistance(t)) == pytest.approx(t, abs=1e-6)


@CURVES
def test_resistance_falls_as_it_warms(curve):
    ohms = curve.resistance(np.linspace(-80.0, 300.0, 1000))
    assert (np.diff(ohms) < 0.0).all()


@CURVES
def test_an_array_gives_what_its_values_give(curve):
    t = np.linspace(-40.0, 125.0, 12).reshape(3, 4)
    ohms = curve.resistance(t)
    assert ohms.shape == t.shape
    assert ohms.ravel() == pytest.approx([curve.resistance(value) for value in t.ravel().tolist()], rel=1e-12)
    assert curve.temperature(ohms) == pytest.approx(t, abs=1e-9)
    assert type(curve.resistance(25.0)) is float
    assert type(curve.temperature(10_000.0)) is float


@CURVES
def test_out_of_range(curve):
    for t in -80.1, 300.1, math.nan:
        with pytest.raises(OutOfRange, match="°C"):
            curve.resistance(t)
    for ohms in 0.0, -10.0, 2e9, math.nan:
        with pytest.raises(OutOfRange, match="Ω"):
            curve.temperature(ohms)


def test_points_that_fix_no_curve_are_refused():
    with pytest.raises(ValueError, match="two temperatures"):
        Beta.between((25.0, 10_000.0), (25.0, 9_000.0))
    with pytest.raises(ValueError, match="three points"):
        SteinhartHart.through([(0.0, 32_128.0), (20.0, 12_262.0)])
    with pytest.raises(ValueError, match="three points"):
        SteinhartHart.through([(0.0, 32_128.0), (20.0, 12_262.0), (20.0, 3_542.0)])
