"""The text alternative says what the figure shows: readings, limits, states."""

import pytest
from figure_cases import CANAL, CASES, DIGESTER, STORE, value

from trainer.figures import words
from trainer.units import NO_BREAK_SPACE


def said(name, values, form="solved", decimal="."):
    return words(name, values, form, decimal).replace(NO_BREAK_SPACE, " ")


# IEC 60751:2022, table of resistances for R0 = 100 Ω
@pytest.mark.parametrize(("temperature", "resistance"), [(-40.0, "84.27"), (100.0, "138.51"), (400.0, "247.09")])
def test_a_solved_curve_tells_the_resistance_of_the_table(temperature, resistance):
    given = {"r0": value(100.0, "Ω"), "temperature": value(temperature, "°C")}
    assert f"{resistance} Ω" in said("sensor curve", given)


# the same table, read backwards
@pytest.mark.parametrize(("resistance", "temperature"), [(60.26, "−100.0"), (175.86, "200.0"), (313.71, "600.0")])
def test_a_solved_curve_tells_the_temperature_of_the_table(resistance, temperature):
    given = {"r0": value(100.0, "Ω"), "resistance": value(resistance, "Ω", 2)}
    assert f"{temperature} °C" in said("sensor curve", given)


def test_a_curve_tells_its_ends_by_both_coordinates():
    # IEC 60751:2022: 60.26 Ω at −100 °C, 175.86 Ω at 200 °C
    told = said("sensor curve", CASES["resistance asked"].given, "open")
    assert "platinum 0.003851, 100 Ω at 0 °C, from −100 °C (60 Ω) to 200 °C (176 Ω)" in told
    assert "63.5 °C" in told


def test_a_curve_can_be_named_by_its_alpha():
    values = {"r0": value(120.0, "Ω"), "temperature": value(100.0, "°C"), "curve": value("0.00672")}
    # a sensor maker's table of the 120 Ω nickel curve
    assert "200.64 Ω" in said("sensor curve", values)


# IEC 60381-1: 4 to 20 mA; quarters of the span are 4, 8, 12, 16 and 20 mA
@pytest.mark.parametrize(
    ("number", "direct", "reverse"),
    [(-30.0, "4.00", "20.00"), (-10.0, "8.00", "16.00"), (10.0, "12.00", "12.00"), (50.0, "20.00", "4.00")],
)
def test_solved_bars_tell_the_signal(number, direct, reverse):
    values = STORE | {"value": value(number, "°C")}
    assert f"signal {direct} mA" in said("range bars", values)
    assert f"signal {reverse} mA" in said("range bars", values | {"reverse": value("reverse acting")})


def test_solved_bars_tell_the_process_value():
    assert "process value −10.0 °C" in said("range bars", STORE | {"signal": value(8.0, "mA", 2)})
    backwards = STORE | {"signal": value(8.0, "mA", 2), "reverse": value("reverse acting")}
    assert "process value 30.0 °C" in said("range bars", backwards)


def test_bars_tell_their_limits_the_live_zero_and_the_action():
    told = said("range bars", CASES["reverse acting"].given, "open")
    assert "from −30 °C to 50 °C" in told
    assert "from 4 mA to 20 mA" in told
    assert "live zero" in told
    assert "Reverse acting" in told
    dead = STORE | {"signal_low": value(0.0, "mA")}
    assert "live zero" not in said("range bars", dead)


# OPC UA Part 9, annex B, and common practice: the deadband lies on the normal side
def test_states_of_readings_follow_the_deadband():
    told = said("alarm trace", DIGESTER)
    assert "It resets at 36.8 °C." in told
    assert "1: normal; 2: normal; 3: alarm; 4: alarm; 5: alarm; 6: normal; 7: normal; 8: alarm" in told


def test_a_trace_tells_readings_settings_and_times():
    told = said("alarm trace", CANAL, "open")
    assert "43.25 °C at 16 s" in told
    assert "Rising alarm at 42.5 °C, deadband 1.5 °C (difference), on-delay 12 s, off-delay 6 s." in told
    assert "4 = 94 s" in told


def test_a_solved_trace_tells_when_the_relay_acts():
    # by hand: due from 30 + 10 * 0.75 / 1.95 = 33.8 s, 12 s later 45.8 s;
    # clear from 90 + 6 * 0.6 / 2.1 = 91.7 s, 6 s later 97.7 s
    assert "in alarm from 45.8 s to 97.7 s" in said("alarm trace", CANAL)


def test_states_that_were_kept_win_over_those_of_today():
    kept = value(("alarm",) * 6)
    assert "1: alarm; 2: alarm; 3: alarm" in said("alarm trace", CANAL | {"states": kept})


def test_delays_and_times_keep_their_own_units():
    minutes = CANAL | {
        "times": value(tuple(time / 60 for time in CANAL["times"].value), "min", 2),
        "asked": value((0.3, 1.0), "min", 2),
    }
    assert "in alarm from 0.764 min to 1.629 min" in said("alarm trace", minutes)


def test_a_deadband_in_another_unit_is_converted():
    # a difference of 1.8 °F is one of 1 °C
    told = said("alarm trace", CANAL | {"deadband": value(1.8, "°F (difference)", 1)})
    assert "It resets at 41.5 °C." in told


def test_a_long_trace_is_told_in_few_readings():
    long = {"times": value(tuple(range(600)), "s"), "trace": value(tuple(range(600)), "kPa")}
    told = said("alarm trace", long | {"set_point": value(300, "kPa"), "direction": value("rising")})
    assert told.count(" kPa at ") == 16
    assert "0 kPa at 0 s" in told
    assert "599 kPa at 599 s" in told
    assert "in alarm from 300.0 s to 599.0 s" in told


# fixed points of the scales: ice 0 °C = 32 °F, steam 100 °C = 212 °F
def test_a_difference_drops_the_thirty_two():
    told = said("temperature scales", {"difference": value(100.0, "°C (difference)")})
    assert "from 32.0 °F to 212.0 °F" in told
    assert "It is 180.0 °F" in told


def test_the_decimal_mark_is_used_throughout(case):
    assert "." not in words(case.name, case.solved, "solved", ",").replace(". ", " ").rstrip(".")
