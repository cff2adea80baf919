"""Thermocouples against the reference tables, and against another program over every range of every type."""

import math
from itertools import pairwise

import numpy as np
import pytest
import thermocouple_its90
from hypothesis import given
from hypothesis import strategies as st

from trainer.calculations import thermocouples as tc
from trainer.calculations.thermocouples import COPPER, KINDS, Section
from trainer.errors import OutOfRange

ALL_KINDS = pytest.mark.parametrize("kind", KINDS)

# NIST Monograph 175 (1993), reference tables on ITS-90, the same functions as in IEC 60584-1 and ASTM E230;
# t in °C and E in mV, reference junction at 0 °C. Ends of every range and both sides of every joint included.
TABLES = {
    "B": [
        (0, 0.000), (20, -0.003), (42, 0.000), (100, 0.033), (250, 0.291), (300, 0.431), (500, 1.242),
        (631, 1.981), (800, 3.154), (1000, 4.834), (1200, 6.786), (1400, 8.956), (1600, 11.263),
        (1700, 12.433), (1820, 13.820),
    ],
    "E": [
        (-270, -9.835), (-200, -8.825), (-100, -5.237), (-50, -2.787), (0, 0.000), (25, 1.495), (100, 6.319),
        (200, 13.421), (300, 21.036), (500, 37.005), (700, 53.112), (800, 61.017), (1000, 76.373),
    ],
    "J": [
        (-210, -8.095), (-200, -7.890), (-100, -4.633), (-50, -2.431), (0, 0.000), (25, 1.277), (100, 5.269),
        (200, 10.779), (300, 16.327), (500, 27.393), (600, 33.102), (760, 42.919), (1000, 57.953),
        (1200, 69.553),
    ],
    "K": [
        (-270, -6.458), (-200, -5.891), (-100, -3.554), (-50, -1.889), (0, 0.000), (20, 0.798), (25, 1.000),
        (42, 1.694), (50, 2.023), (100, 4.096), (200, 8.138), (300, 12.209), (400, 16.397), (500, 20.644),
        (600, 24.905), (700, 29.129), (800, 33.275), (1000, 41.276), (1200, 48.838), (1372, 54.886),
    ],
    "N": [
        (-270, -4.345), (-200, -3.990), (-100, -2.407), (-50, -1.269), (0, 0.000), (25, 0.659), (100, 2.774),
        (200, 5.913), (300, 9.341), (500, 16.748), (600, 20.613), (800, 28.455), (1000, 36.256),
        (1200, 43.846), (1300, 47.513),
    ],
    "R": [
        (-50, -0.226), (0, 0.000), (25, 0.141), (100, 0.647), (200, 1.469), (500, 4.471), (800, 7.950),
        (1000, 10.506), (1064, 11.361), (1065, 11.375), (1200, 13.228), (1500, 17.451), (1664, 19.732),
        (1700, 20.222), (1768, 21.101),
    ],
    "S": [
        (-50, -0.236), (0, 0.000), (25, 0.143), (100, 0.646), (200, 1.441), (500, 4.233), (800, 7.345),
        (1000, 9.587), (1064, 10.332), (1065, 10.344), (1200, 11.951), (1500, 15.582), (1664, 17.530),
        (1700, 17.947), (1768, 18.693),
    ],
    "T": [
        (-270, -6.258), (-200, -5.603), (-150, -4.648), (-100, -3.379), (-50, -1.819), (0, 0.000),
        (25, 0.992), (50, 2.036), (100, 4.279), (150, 6.704), (200, 9.288), (300, 14.862), (400, 20.872),
    ],
}  # fmt: skip
PRINTED = [(kind, t, millivolts) for kind, points in TABLES.items() for t, millivolts in points]
READABLE = [(kind, t, millivolts) for kind, t, millivolts in PRINTED if kind != "B" or t >= 250]


def readable_span(kind):
    function = tc.reference_function(kind)
    return function.rising_from, function.domain[1]


@pytest.mark.parametrize(("kind", "t", "millivolts"), PRINTED)
def test_printed_emf(kind, t, millivolts):
    assert tc.emf(float(t), kind) == pytest.approx(millivolts, abs=0.000501)


@pytest.mark.parametrize(("kind", "t", "millivolts"), READABLE)
def test_temperature_of_a_printed_emf(kind, t, millivolts):
    # Half the last digit over the slope, which itself changes within half a digit at the very cold ends.
    half_digit = 0.000501 / tc.sensitivity(float(t), kind)
    assert tc.temperature(millivolts, kind) == pytest.approx(t, abs=max(half_digit, 0.013))


# Documentation of a program in circulation ends the type K table at -5.891 mV, which belongs to -200 °C.
def test_type_k_does_not_end_at_200_below():
    assert tc.emf(-270.0, "K") < -6.4
    assert tc.temperature(-5.891, "K") == pytest.approx(-200.0, abs=0.04)


@ALL_KINDS
def test_against_another_program(kind):
    library = thermocouple_its90.get(kind)
    lowest, highest = tc.reference_function(kind).domain
    assert (lowest, highest) == library.range
    for t in np.linspace(lowest, highest, 2001).tolist():
        millivolts = library.emf(t)
        assert tc.emf(t, kind) == pytest.approx(millivolts, abs=1e-10)
        assert tc.sensitivity(t, kind) == pytest.approx(library.seebeck(t), abs=1e-10)
        if readable_span(kind)[0] < t < highest:
            assert tc.temperature(millivolts, kind) == pytest.approx(t, abs=1e-6)


@ALL_KINDS
def test_pieces_meet_at_their_joints(kind):
    pieces = tc.reference_function(kind).pieces
    for below, above in pairwise(pieces):
        joint = below.highest
        assert joint == above.lowest
        # Monograph 175 rounds its coefficients so that the pieces agree far below the printed microvolt.
        assert below.value(joint) == pytest.approx(above.value(joint), abs=1e-6)
        for t in joint - 1e-4, joint, joint + 1e-4:
            if t > readable_span(kind)[0]:
                assert tc.temperature(tc.emf(t, kind), kind) == pytest.approx(t, abs=2e-6)


@ALL_KINDS
def test_nothing_at_all_between_equal_junctions(kind):
    # The reference junction is at 0 °C by definition; at that joint the lower piece speaks, exactly.
    assert tc.emf(0.0, kind) == 0.0
    assert tc.emf(np.array([0.0]), kind) == [0.0]


@ALL_KINDS
@given(part=st.floats(0.0, 1.0))
def test_there_and_back(kind, part):
    lowest, highest = readable_span(kind)
    t = lowest + part * (highest - lowest)
    assert tc.temperature(tc.emf(t, kind), kind) == pytest.approx(t, abs=2e-6)


@ALL_KINDS
def test_emf_rises_wherever_it_is_read(kind):
    t = np.linspace(*readable_span(kind), 20_001)
    assert (np.diff(tc.emf(t, kind)) > 0.0).all()


def test_type_b_is_read_from_250_degrees():
    # One emf, two temperatures: the tables have 0.000 mV at 0 and at 42 °C.
    assert tc.emf(0.0, "B") == pytest.approx(tc.emf(42.0, "B"), abs=0.0005)
    assert tc.temperature(tc.emf(250.0, "B"), "B") == pytest.approx(250.0, abs=1e-6)
    with pytest.raises(OutOfRange, match="mV"):
        tc.temperature(tc.emf(249.0, "B"), "B")


@ALL_KINDS
def test_both_ends_and_just_outside(kind):
    lowest, highest = tc.reference_function(kind).domain
    for end, outside in (lowest, lowest - 0.01), (highest, highest + 0.01):
        assert math.isfinite(tc.emf(end, kind))
        with pytest.raises(OutOfRange, match=f"temperature {outside:g} °C"):
            tc.emf(outside, kind)
        with pytest.raises(OutOfRange, match="°C"):
            tc.sensitivity(outside, kind)
    for end, sign in zip(readable_span(kind), (-1.0, 1.0), strict=True):
        exact = tc.emf(end, kind)
        assert tc.temperature(exact + sign * 0.0004, kind) == pytest.approx(end, abs=1e-6)
        with pytest.raises(OutOfRange, match="mV"):
            tc.temperature(exact + sign * 0.0006, kind)


# NIST Monograph 175: printed ends of the tables, rounded beyond the exact emf of the last temperature.
@pytest.mark.parametrize(
    ("kind", "millivolts", "t"),
    [
        ("R", 21.103, 1768.1),
        ("E", 76.373, 1000.0),
        ("N", 47.513, 1300.0),
        ("K", -6.458, -270.0),
        ("T", -6.258, -270.0),
        ("B", 13.820, 1820.0),
        ("B", 0.291, 250.0),
    ],
)
def test_printed_ends_are_taken(kind, millivolts, t):
    assert tc.temperature(millivolts, kind) == pytest.approx(t, abs=0.3)


@pytest.mark.parametrize("wrong", [math.nan, math.inf, np.array([20.0, math.nan])])
def test_no_number_is_no_temperature(wrong):
    with pytest.raises(OutOfRange):
        tc.emf(wrong, "K")
    with pytest.raises(OutOfRange):
        tc.temperature(wrong, "K")


@pytest.mark.parametrize("kind", ["L", "k", "", "copper"])
def test_an_unknown_letter_is_refused(kind):
    with pytest.raises(ValueError, match="the letters are B, E, J, K, N, R, S, T"):
        tc.emf(20.0, kind)


@ALL_KINDS
def test_an_array_gives_what_its_values_give(kind):
    t = np.linspace(*readable_span(kind), 60).reshape(3, 4, 5)
    t[0, 0, 1] = tc.reference_function(kind).pieces[0].highest  # a joint
    millivolts = tc.emf(t, kind)
    for function, values in (tc.emf, t), (tc.sensitivity, t), (tc.temperature, millivolts):
        together = function(values, kind)
        single = [function(value, kind) for value in values.ravel().tolist()]
        assert together.shape == values.shape
        assert together.ravel() == pytest.approx(single, abs=1e-7)
        assert all(type(value) is float for value in single)


def test_whole_numbers_are_temperatures_too():
    assert tc.emf(np.array([25, 100]), "K") == pytest.approx([1.000, 4.096], abs=0.0005)
    assert tc.emf(100, "K") == pytest.approx(4.096, abs=0.0005)


# Documentation of two open thermocouple programs: type K, meter reading, terminal temperature, temperature.
@pytest.mark.parametrize(("millivolts", "terminal", "t", "half_digit"), [(4.096, 25, 124.3, 0.06), (1.1, 23, 50, 0.5)])
def test_reference_junction(millivolts, terminal, t, half_digit):
    assert tc.indicated(millivolts, float(terminal), "K") == pytest.approx(t, abs=half_digit)
    assert tc.terminal_emf(float(t), float(terminal), "K") == pytest.approx(millivolts, abs=0.04 * half_digit)


def test_emf_is_added_not_degrees():
    # Type S, 10.382 mV at terminals of 34 °C: 1068 °C without compensation, 1102 °C with the degrees added.
    shown = tc.indicated(10.382, 34.0, "S")
    assert shown == pytest.approx(1085.0, abs=0.1)
    assert abs(shown - (tc.temperature(10.382, "S") + 34.0)) > 15.0


@ALL_KINDS
def test_compensation_undoes_warm_terminals(kind):
    hot = np.linspace(max(300.0, readable_span(kind)[0]), readable_span(kind)[1], 50)
    measured = tc.terminal_emf(hot, 31.5, kind)
    assert tc.indicated(measured, 31.5, kind) == pytest.approx(hot, abs=1e-6)


def shown_through(*sections, hot=560.0):
    return tc.indicated(tc.loop_emf(hot, sections), sections[-1].end, "K")


SENSOR = Section("K", end=78.0)


def test_the_right_extension_adds_nothing():
    assert shown_through(SENSOR, Section("K", 24.0)) == pytest.approx(560.0, abs=1e-6)
    assert shown_through(SENSOR, Section("K", 51.0), Section("K", 24.0)) == pytest.approx(560.0, abs=1e-6)


# By the tables of Monograph 175 for type K: E(560) 23.203, E(78) 3.183, E(24) 0.960 mV; wire J between.
@pytest.mark.parametrize(
    ("cable", "millivolts"),
    [
        (Section(COPPER, 24.0), 23.203 - 3.183),
        (Section("K", 24.0, crossed=True), 23.203 - 3.183 - (3.183 - 0.960)),
        (Section("J", 24.0), 23.203 - 3.183 + 4.079 - 1.226),
    ],
)
def test_a_wrong_extension(cable, millivolts):
    assert tc.loop_emf(560.0, [SENSOR, cable]) == pytest.approx(millivolts, abs=0.002)


def test_errors_of_a_wrong_extension():
    # Common practice: copper loses about head less panel, a double crossing about twice as much.
    copper, crossed = Section(COPPER, 24.0), Section("K", 24.0, crossed=True)
    assert shown_through(SENSOR, copper) - 560.0 == pytest.approx(-(78.0 - 24.0), rel=0.05)
    assert shown_through(SENSOR, crossed) - 560.0 == pytest.approx(-2.0 * (78.0 - 24.0), rel=0.05)


def test_no_error_where_head_and_panel_are_equally_warm():
    for cable in Section(COPPER, 78.0), Section("K", 78.0, crossed=True), Section("J", 78.0):
        assert shown_through(SENSOR, cable) == pytest.approx(560.0, abs=1e-6)


def test_a_circuit_reversed_at_the_terminals():
    right = [SENSOR, Section("K", 24.0)]
    reversed_ = [Section("K", 78.0, crossed=True), Section("K", 24.0, crossed=True)]
    assert tc.loop_emf(560.0, reversed_) == pytest.approx(-tc.loop_emf(560.0, right))
    with pytest.raises(OutOfRange, match="emf"):
        shown_through(*reversed_)
    assert shown_through(*reversed_, hot=60.0) < 24.0


def test_a_circuit_takes_an_array_of_temperatures():
    hot = np.array([[200.0, 300.0], [400.0, 560.0]])
    together = tc.loop_emf(hot, [SENSOR, Section("J", 24.0)])
    assert together.shape == hot.shape
    assert together[1, 1] == pytest.approx(tc.loop_emf(560.0, [SENSOR, Section("J", 24.0)]), abs=1e-12)
    assert (tc.loop_emf(hot, [Section(COPPER, 24.0)]) == 0.0).all()
