"""Lead resistance and what the input makes of it, against wire tables and the circuit itself."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.calculations.leads import (
    METRIC,
    awg_resistance,
    conductor_resistance,
    indicated_resistance,
    lead_error,
    metric_resistance,
    reading_error,
)
from trainer.errors import OutOfRange

FOOT = 0.3048  # m, exactly


# NBS Handbook 100 (1966), solid copper at 20 °C in Ω/1000 ft; its four figures against the defining formula.
@pytest.mark.parametrize(
    ("gauge", "per_1000_ft"),
    [
        (8, 0.6282), (10, 0.9989), (12, 1.588), (14, 2.525), (16, 4.016), (18, 6.385), (20, 10.15),
        (22, 16.14), (24, 25.67), (26, 40.81), (28, 64.90), (30, 103.2),
    ],
)  # fmt: skip
def test_american_wire_gauge(gauge, per_1000_ft):
    assert awg_resistance(gauge) * FOOT == pytest.approx(per_1000_ft, rel=0.0003)


def test_wire_gauge_range():
    assert awg_resistance(4) < awg_resistance(40)
    for outside in 3, 41, math.nan:
        with pytest.raises(OutOfRange, match="wire gauge"):
            awg_resistance(outside)


# IEC 60228:2004, largest resistance at 20 °C, classes 1 and 2 / classes 5 and 6, plain copper, Ω/km.
@pytest.mark.parametrize(
    ("area", "stranded", "flexible"),
    [
        (0.5, 36.0, 39.0),
        (1.5, 12.1, 13.3),
        (2.5, 7.41, 7.98),
        (4, 4.61, 4.95),
        (6, 3.08, 3.3),
        (10, 1.83, 1.91),
    ],
)
def test_metric_sizes(area, stranded, flexible):
    assert metric_resistance(area) == stranded
    assert metric_resistance(area, flexible=True) == flexible


@pytest.mark.parametrize("area", METRIC)
def test_metric_sizes_are_near_the_resistivity_of_copper(area):
    # The largest allowed is above annealed copper of the nominal area, most so for fine strands.
    assert 1.0 < metric_resistance(area) / (17.241 / area) < 1.08
    assert 1.05 < metric_resistance(area, flexible=True) / (17.241 / area) < 1.16


def test_a_size_that_is_not_made_is_refused():
    with pytest.raises(ValueError, match=r"1\.7 mm²"):
        metric_resistance(1.7)


# IEC 60228, table of temperature correction factors (R20 = Kt Rt), which rests on 0.004; ours on 0.00393.
@pytest.mark.parametrize(("t", "kt"), [(5, 1.064), (10, 1.042), (20, 1.000), (30, 0.962), (40, 0.926), (100, 0.758)])
def test_warm_copper(t, kt):
    assert conductor_resistance(1000.0, 10.0, t) * kt == pytest.approx(10.0, rel=0.006)


def test_one_conductor_one_way():
    # 140 m of AWG 20 (33.30 Ω/km) at 45 °C: 4.662 Ω × 1.09825.
    ohms = conductor_resistance(140.0, 33.30, temperature=45.0)
    assert ohms == pytest.approx(5.120, abs=0.001)
    assert abs(ohms - 2 * 5.120) > 1.0  # not there and back
    assert abs(ohms - 4.662) > 0.1  # not without the warmth
    lengths = np.array([[0.0, 140.0]])
    assert conductor_resistance(lengths, 33.30, 45.0) == pytest.approx(np.array([[0.0, ohms]]))


@pytest.mark.parametrize(("length", "temperature"), [(-0.1, 20.0), (10.0, -61.0), (10.0, 201.0), (math.nan, 20.0)])
def test_impossible_cable_is_refused(length, temperature):
    with pytest.raises(OutOfRange):
        conductor_resistance(length, 33.3, temperature)


# Common practice: unequal leads of 3.10, 1.70 and 1.55 Ω, the last one in the return.
@pytest.mark.parametrize(
    ("wires", "error"),
    [("two-wire", 4.65), ("three-wire", 1.55), ("three-wire, matched currents", 1.40), ("four-wire", 0.0)],
)
def test_what_each_connection_leaves(wires, error):
    assert lead_error(wires, 3.10, 1.70, 1.55) == pytest.approx(error)
    assert indicated_resistance(115.54, wires, 3.10, 1.70, 1.55) == pytest.approx(115.54 + error)
    elements = np.array([[100.0], [138.51]])
    assert indicated_resistance(elements, wires, 3.10, 1.70, 1.55) == pytest.approx(elements + error)
    leads = np.array([1.0, 2.0])
    assert lead_error(wires, leads, leads, leads).shape == (2,)


@given(ohms=st.floats(0.0, 50.0))
def test_equal_leads_cancel_but_in_two_wires(ohms):
    assert lead_error("three-wire", ohms, ohms, ohms) == 0.0
    assert lead_error("three-wire, matched currents", ohms, ohms, ohms) == 0.0
    assert lead_error("two-wire", ohms, ohms, ohms) == 2.0 * ohms


def test_three_wires_from_the_voltages_of_the_circuit():
    # 1 mA enters by lead a and returns by lead c; the meter's own lead b carries nothing.
    current, element, a, c = 1e-3, 115.54, 3.10, 1.55
    node_a, node_b, node_c = current * (a + element + c), current * c, 0.0
    measured = ((node_a - node_b) - (node_b - node_c)) / current
    assert indicated_resistance(element, "three-wire", a, 1.70, c) == pytest.approx(measured)


def test_an_unknown_connection_is_refused():
    with pytest.raises(ValueError, match="five-wire"):
        lead_error("five-wire", 1.0, 1.0, 1.0)


# Recorder manuals, error in °C of a two-wire 100 Ω sensor for 1000 ft of cable; the rows that follow from the
# wire table at all do so within 5 %.
@pytest.mark.parametrize(("gauge", "degrees"), [(10, 5.32), (14, 13.3), (16, 21.3), (18, 34.6), (20, 54.5)])
def test_two_wire_error_of_a_thousand_feet(gauge, degrees):
    both = 2.0 * conductor_resistance(1000.0 * FOOT, awg_resistance(gauge))
    assert reading_error(20.0, both) == pytest.approx(degrees, rel=0.05)


# The same manuals, 12 and 24 AWG: misprints, as 2 R / 0.385 gives 8.25 and 133.4 °C.
@pytest.mark.parametrize(("gauge", "misprint", "degrees"), [(12, 9.31, 8.25), (24, 86.5, 133.4)])
def test_not_the_misprinted_rows(gauge, misprint, degrees):
    both = 2.0 * conductor_resistance(1000.0 * FOOT, awg_resistance(gauge))
    assert reading_error(20.0, both) == pytest.approx(degrees, rel=0.02)
    assert abs(reading_error(20.0, both) - misprint) > 1.0


def test_error_in_degrees_has_a_sign_and_a_shape():
    # 2 r / S with S = 0.3841 Ω/°C (IEC 60751 at 58 °C): 4.6 Ω are 11.98 °C, on 1000 Ω a tenth.
    assert reading_error(58.0, 4.6) == pytest.approx(4.6 / 0.3841, rel=0.003)
    assert reading_error(58.0, 4.6, r0=1000.0) == pytest.approx(0.46 / 0.3841, rel=0.003)
    assert reading_error(58.0, -4.6) < 0.0
    errors = reading_error(np.array([[-30.0, 58.0]]), 4.6)
    assert errors.shape == (1, 2)
    assert errors[0, 1] == pytest.approx(reading_error(58.0, 4.6))
    with pytest.raises(OutOfRange, match="Ω"):
        reading_error(850.0, 1.0)
