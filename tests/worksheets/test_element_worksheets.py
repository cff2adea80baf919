"""Self-heating, thermistors, tracks and bridges: worked draws against printed tables and hand working."""

from __future__ import annotations

import pytest

from trainer.calculations import bridge, potentiometer
from trainer.content.library import read_library

WORKSHEETS = read_library().worksheets

HEATED = {"r0": 1000.0, "temperature": 60.0, "current": 2.0, "dissipation": 8.0}
TRACK = {"supply": 9.6, "wiper": 2.4, "lower": 40.0, "upper": 440.0}
SENDER = {"measured": 98.0, "lead": 1.5, "at_zero": 240.0, "at_full": 40.0, "lower": 10.0, "upper": 110.0}
CELLS = {"capacity": 500.0, "cells": 4.0, "rated_output": 2.0, "excitation": 9.5}
CABLE = {"supply": 10.0, "bridge_resistance": 350.0, "lead": 5.0, "load": 3600.0}
CUBIC = {"a": 1.129148, "b": 2.34125, "c": 8.76741, "resistance": 10000.0}


def worked(sheet, givens):
    """The steps alone."""
    values = WORKSHEETS[sheet].solve(givens)
    return {name: values[name] for name in WORKSHEETS[sheet].steps}


def slipped(sheet, givens, slip, step):
    """A step with the slip made."""
    found = WORKSHEETS[sheet].solve_slip(WORKSHEETS[sheet].slips[slip], givens)
    return None if found is None else found[step]


# IEC 60751 table: 1232.4 Ω at 60 °C for 1000 Ω. By hand: 2² x 1232.4 / 1000 = 4.930 mW; / 8 = 0.616 K.
def test_self_heating():
    steps = worked("self-heating", HEATED)
    assert steps["resistance"] == pytest.approx(1232.4, abs=0.05)
    assert steps["power"] == pytest.approx(4.930, abs=5e-4)
    assert steps["rise"] == pytest.approx(0.616, abs=5e-4)


@pytest.mark.parametrize(
    ("slip", "rise"),
    [("ice_resistance", 0.500), ("not_squared", 0.308), ("multiplied", 39.44), ("inverted", 1.623)],
)
def test_slips_of_self_heating(slip, rise):
    assert slipped("self-heating", HEATED, slip, "rise") == pytest.approx(rise, abs=5e-4 if rise < 2 else 5e-3)


# A sensor maker's reference guide (2014), material 1: beta 3977 from 25 to 85 °C, R/R25 0.1070 at 85 °C; beta 3937
# from 25 to 50 °C, R/R25 0.3601 at 50 °C.
@pytest.mark.parametrize(("beta", "celsius", "ratio"), [(3977.0, 85.0, 0.1070), (3937.0, 50.0, 0.3601)])
def test_thermistor_table(beta, celsius, ratio):
    givens = {"nominal": 10_000.0, "beta": beta, "temperature": celsius}
    steps = worked("thermistor-resistance", givens)
    assert steps["kelvin"] == pytest.approx(celsius + 273.15)
    assert steps["resistance"] == pytest.approx(10_000.0 * ratio, rel=1e-3)
    back = worked("thermistor-temperature", {"nominal": 10_000.0, "beta": beta, "measured": 10_000.0 * ratio})
    assert back["temperature"] == pytest.approx(celsius, abs=0.03)


# Worked by hand for 10 kΩ, beta 3977 at 85 °C: 1/358.15 - 1/298.15 = -0.00056190; x 3977 = -2.2346;
# 10^-2.2346 = 0.005826; 1 - 2.2346 = -1.2346; 85 °C is 185 °F.
@pytest.mark.parametrize(
    ("slip", "step", "number"),
    [
        ("celsius_kept", "kelvin", 85.0),
        ("fahrenheit_taken", "kelvin", 185.0),
        ("sign_turned", "exponent", 2.2346),
        ("ten_for_e", "resistance", 58.26),
        ("straight_line", "resistance", -12346.0),
    ],
)
def test_slips_of_thermistor_resistance(slip, step, number):
    givens = {"nominal": 10_000.0, "beta": 3977.0, "temperature": 85.0}
    assert slipped("thermistor-resistance", givens, slip, step) == pytest.approx(number, rel=5e-5)


# Worked by hand for 3601 Ω: ln 0.3601 = -1.02137, log 0.3601 = -0.44358; 1/298.15 - 1.02137/3937 = 0.0030946,
# turned over 323.15 K; 0.6399 / (3937 / 298.15²) = 14.45 K above 25 °C.
@pytest.mark.parametrize(
    ("slip", "step", "number"),
    [
        ("base_ten", "log_ratio", -0.44358),
        ("upside_down", "log_ratio", 1.02137),
        ("left_in_kelvin", "temperature", 323.15),
        ("same_share_per_degree", "temperature", 39.45),
    ],
)
def test_slips_of_thermistor_temperature(slip, step, number):
    givens = {"nominal": 10_000.0, "beta": 3937.0, "measured": 3601.0}
    assert worked("thermistor-temperature", givens)["inverse"] == pytest.approx(0.0030946, abs=5e-8)
    assert slipped("thermistor-temperature", givens, slip, step) == pytest.approx(number, abs=0.006)


# A module guide's coefficients of a 10 kΩ thermistor, which has its 10 kΩ at 25 °C; ln 10000 = 9.21034 by hand,
# cube 781.31; 1.129148e-3 + 2.156371e-3 = 3.285519e-3, and 8.76741e-8 times 9.21, 84.83 and 27.63 beside it.
def test_three_coefficients():
    steps = worked("steinhart-hart-temperature", CUBIC)
    assert steps["logarithm"] == pytest.approx(9.21034, abs=5e-6)
    assert steps["inverse"] == pytest.approx(0.00335402, abs=5e-9)
    assert steps["temperature"] == pytest.approx(25.0, abs=0.005)


@pytest.mark.parametrize(
    ("slip", "step", "number"),
    [
        ("log_ten", "logarithm", 4.0),
        ("kilohms", "logarithm", 2.302585),
        ("cube_forgotten", "inverse", 0.00328633),
        ("square_for_cube", "inverse", 0.00329296),
        ("logarithm_of_cube", "inverse", 0.00328794),
        ("left_in_kelvin", "temperature", 298.15),
    ],
)
def test_slips_of_three_coefficients(slip, step, number):
    assert slipped("steinhart-hart-temperature", CUBIC, slip, step) == pytest.approx(number, rel=5e-6)


# Worked by hand: 2.4/9.6 = 0.25; 40 + 0.25 x 400 = 140; 0.75 gives 340; 2.4/10 gives 136; 40 + 0.25 x 440 = 150.
def test_position():
    assert worked("potentiometer-position", TRACK) == pytest.approx({"ratio": 0.25, "position": 140.0})
    for slip, number in {
        "counted_from_top": 340.0,
        "nominal_supply": 136.0,
        "low_end_forgotten": 100.0,
        "high_end_for_travel": 150.0,
    }.items():
        assert slipped("potentiometer-position", TRACK, slip, "position") == pytest.approx(number)
    assert slipped("potentiometer-position", TRACK | {"supply": 10.0}, "nominal_supply", "ratio") is None
    assert slipped("potentiometer-position", TRACK | {"lower": 0.0}, "low_end_forgotten", "position") is None


# Worked by hand: 98 - 3 = 95; (95 - 240) / (40 - 240) = 0.725; 10 + 72.5 = 82.5; leads left in: 142/200 = 0.71;
# one lead: 143.5/200 = 0.7175; from the other end 0.275; 1 - 95/240 = 0.604167.
def test_sender():
    assert worked("resistance-sender", SENDER) == pytest.approx({"sender": 95.0, "travel": 0.725, "value": 82.5})
    for slip, number in {
        "leads_left_in": 81.0,
        "one_lead": 81.75,
        "from_other_end": 37.5,
        "residual_ignored": 70.416667,
        "lower_forgotten": 72.5,
    }.items():
        assert slipped("resistance-sender", SENDER, slip, "value") == pytest.approx(number)


# Common practice, worked by hand: an input of ten times the track costs 0.4878 - 0.5 half way up.
# 0.5 x 10 / 10.5 = 0.47619; whole track beside the input 10/11 = 0.90909, of 1.40909 that is 64.516 %.
def test_loading():
    givens = {"track": 1.0, "load": 10.0, "position": 50.0}
    steps = worked("wiper-loading", givens)
    assert steps == pytest.approx({"parallel": 0.47619, "seen": 48.780, "loading_error": -1.2195}, abs=5e-4)
    assert steps["seen"] == pytest.approx(100.0 * potentiometer.wiper_ratio(0.5, 1.0, 10.0))
    for slip, step, number in [
        ("load_ignored", "loading_error", 0.0),
        ("across_whole_track", "seen", 64.516),
        ("whole_track_below", "seen", 47.619),
        ("part_of_position", "loading_error", -2.439),
    ]:
        assert slipped("wiper-loading", givens, slip, step) == pytest.approx(number, abs=5e-4)


# Texts on load cells print 2.96 mV/V at 10 V as 29.6 mV, and 2 mV/V at 5 V as 10 mV at rated load.
@pytest.mark.parametrize(("rated_output", "excitation", "millivolts"), [(2.96, 10.0, 29.6), (2.0, 5.0, 10.0)])
def test_full_scale(rated_output, excitation, millivolts):
    cell = {"capacity": 500.0, "cells": 1.0, "rated_output": rated_output, "excitation": excitation, "load": 500.0}
    assert worked("load-cell-signal", cell) == pytest.approx(
        {"full_scale": millivolts, "part": 1.0, "signal": millivolts}
    )
    assert slipped("load-cell-signal", cell, "one_cell", "part") is None
    assert slipped("load-cell-signal", cell, "nominal_excitation", "full_scale") is None


# Worked by hand: four cells of 500 carry 1000, half of 2000; 2 x 9.5 = 19 mV, half of it 9.5 mV.
def test_several_cells():
    loaded = CELLS | {"load": 1000.0}
    steps = worked("load-cell-signal", loaded)
    assert steps == pytest.approx({"full_scale": 19.0, "part": 0.5, "signal": 9.5})
    assert steps["signal"] == pytest.approx(bridge.signal(1000.0, 2000.0, 2.0, 9.5))
    for slip, number in {
        "excitation_forgotten": 1.0,
        "divided": 2.375,
        "nominal_excitation": 10.0,
        "one_cell": 38.0,
        "signals_added": 152.0,
    }.items():
        assert slipped("load-cell-signal", loaded, slip, "signal") == pytest.approx(number)


# Worked by hand: 11.5 - 2 = 9.5 mV is half of 19 mV, so 1000 of 2000; 11.5/19 and 13.5/19 of 2000 with the empty
# vessel left in or added.
def test_load_from_signal():
    hopper = CELLS | {"empty": 2.0, "measured": 11.5}
    steps = worked("load-cell-load", hopper)
    assert steps == pytest.approx({"full_scale": 19.0, "net": 9.5, "load": 1000.0})
    assert steps["load"] == pytest.approx(bridge.load(9.5, 2000.0, 2.0, 9.5))
    for slip, number in {
        "excitation_forgotten": 9500.0,
        "divided": 4000.0,
        "nominal_excitation": 950.0,
        "empty_left_in": 1210.526,
        "empty_added": 1421.053,
        "one_cell": 250.0,
    }.items():
        assert slipped("load-cell-load", hopper, slip, "load") == pytest.approx(number, abs=5e-4)


# Worked by hand: 10 x 350/360 = 9.7222 V; -2.7778 %; 3600 x 350/360 = 3500; one lead 10 x 350/355 = 9.8592 V.
def test_long_cable():
    assert worked("bridge-lead-loss", CABLE) == pytest.approx(
        {"at_bridge": 9.7222, "span_error": -2.7778, "shown": 3500.0}, abs=5e-5
    )
    for slip, step, number in [
        ("one_lead", "at_bridge", 9.8592),
        ("share_of_leads", "at_bridge", 0.27778),
        ("no_drop", "shown", 3600.0),
        ("shown_too_high", "shown", 3700.0),
    ]:
        assert slipped("bridge-lead-loss", CABLE, slip, step) == pytest.approx(number, abs=5e-5)
