"""Alarm worksheets: worked draws, each step and each slip worked by hand, and relay states against a simulation."""

from __future__ import annotations

import random

import numpy as np
import pytest

from trainer.content.library import read_library

WORKSHEETS = read_library().worksheets

N, A = "normal", "alarm"
FALLING = {
    "direction": "falling",
    "set_point": 36.0,
    "deadband": 0.8,
    "excursion": (),
    "readings": (37.0, 36.2, 36.0, 36.5, 36.7, 36.8, 36.1, 35.9),
}
CURRENTS = {
    "direction": "rising",
    "set_point": 62.0,
    "deadband": 3.0,
    "lower": -60.0,
    "upper": 90.0,
    "signal_low": 4.0,
    "signal_high": 20.0,
}
VOLTS = {
    "direction": "falling",
    "set_point": 300.0,
    "deadband": 40.0,
    "lower": 100.0,
    "upper": 900.0,
    "signal_low": 1.0,
    "signal_high": 5.0,
}
RAMP = {"direction": "rising", "start": 21.0, "rate": 0.8, "set_point": 30.0, "deadband": 2.0, "on_delay": 45.0}
FROST = {"direction": "falling", "start": 9.0, "rate": 0.2, "set_point": 4.0, "deadband": 1.0, "on_delay": 60.0}
BACK = {
    "direction": "rising",
    "start": 98.0,
    "rate": 0.5,
    "set_point": 95.0,
    "deadband": 2.5,
    "on_delay": 90.0,
    "off_delay": 30.0,
}
WARMING = BACK | {"direction": "falling", "start": 7.0, "set_point": 10.0, "deadband": 1.0}
THREE = {"on_delay": 10.0, "starts": (12.0, 43.0, 82.0), "ends": (18.0, 51.0, 95.0)}
EQUAL = {"on_delay": 10.0, "starts": (12.0, 50.0, 82.0), "ends": (25.0, 56.0, 92.0)}
TWO = {"on_delay": 900.0, "reached": 480.0, "first_stay": 540.0, "dip": 120.0, "left": 1020.0, "back": 1140.0}
DELAY = {"set_point": 62.0, "limit": 71.0, "rate": 1.5, "response": 120.0, "lag": 40.0}
NO_TIME = {"set_point": 187.0, "limit": 228.0, "rate": 10.0, "response": 300.0, "lag": 15.0}
NOISE = {"normal": 5.0, "set_point": 12.0, "noise": 0.4, "margin": 1.5, "resolution": 0.1}
TIGHT = NOISE | {"set_point": 6.8}
NOISY = NOISE | {"set_point": 60.0, "noise": 8.0}


def worked(sheet, givens):
    """The steps alone."""
    values = WORKSHEETS[sheet].solve(givens)
    return {name: values[name] for name in WORKSHEETS[sheet].steps}


def slipped(sheet, givens, slip, step):
    """A step with the slip made; None where it cannot be made."""
    found = WORKSHEETS[sheet].solve_slip(WORKSHEETS[sheet].slips[slip], givens)
    return None if found is None else found[step]


def close(value):
    """The same words, or the same number but for what binary arithmetic adds."""
    return pytest.approx(value, rel=1e-6, abs=1e-9) if isinstance(value, float) else value


# Worked by hand from the definitions: reset a deadband on the normal side (OPC UA Part 9, annex B), 4 to 20 mA
# and 1 to 5 V linear (IEC 60381), way over rate for a ramp. The two devices are the trace of lesson S4.3 in seconds.
@pytest.mark.parametrize(
    ("sheet", "givens", "steps"),
    [
        ("alarm-readings", FALLING, {"reset": 36.8, "states": (N, N, A, A, A, N, N, A)}),
        ("alarm-signals", CURRENTS, {"trip": 17.0 + 1 / 75, "band": 0.32, "clear": 16.68 + 1 / 75}),
        ("alarm-signals", VOLTS, {"trip": 2.0, "band": 0.2, "clear": 2.2}),
        ("time-to-trip", RAMP, {"way": 9.0, "ramp": 675.0, "trip_time": 720.0}),
        ("time-to-trip", FROST, {"way": 5.0, "ramp": 1500.0, "trip_time": 1560.0}),
        ("time-to-clear", BACK, {"reset": 92.5, "way": 5.5, "ramp": 660.0, "clear_time": 690.0}),
        ("time-to-clear", WARMING, {"reset": 11.0, "way": 4.0, "ramp": 480.0, "clear_time": 510.0}),
        ("excursions-that-alarm", THREE, {"lengths": (6.0, 8.0, 13.0), "alarming": ("third",)}),
        ("excursions-that-alarm", EQUAL, {"lengths": (13.0, 6.0, 10.0), "alarming": ("first", "third")}),
        ("timer-conventions", TWO, {"first_device": 2040.0, "second_device": 1380.0, "earlier": 660.0}),
        ("longest-delay", DELAY, {"available": 360.0, "after_response": 240.0, "longest": 200.0, "setting": "60 s"}),
        (
            "longest-delay",
            NO_TIME,
            {"available": 246.0, "after_response": -54.0, "longest": -69.0, "setting": "none: move the set point"},
        ),
        ("smallest-deadband", NOISE, {"peak_to_peak": 0.8, "smallest": 1.3, "room": 7.0, "setting": "2"}),
        (
            "smallest-deadband",
            TIGHT,
            {"peak_to_peak": 0.8, "smallest": 1.3, "room": 1.8, "setting": "none: quiet the signal first"},
        ),
        (
            "smallest-deadband",
            NOISY,
            {"peak_to_peak": 16.0, "smallest": 24.1, "room": 55.0, "setting": "none: quiet the signal first"},
        ),
    ],
)
def test_steps_are_those_worked_by_hand(sheet, givens, steps):
    assert worked(sheet, givens) == {name: close(value) for name, value in steps.items()}


# Worked by hand: the wrong method of each slip, done with the same givens.
@pytest.mark.parametrize(
    ("sheet", "givens", "slip", "step", "value"),
    [
        ("alarm-readings", FALLING, "other_side", "reset", 35.2),
        ("alarm-readings", FALLING, "half_each_side", "reset", 36.4),
        ("alarm-readings", FALLING, "half_each_side", "states", (N, N, A, N, N, N, N, A)),
        ("alarm-readings", FALLING, "deadband_ignored", "states", (N, N, A, N, N, N, N, A)),
        ("alarm-readings", FALLING, "trips_at_reset", "states", (N, A, A, A, A, N, A, A)),
        ("alarm-readings", FALLING, "at_set_point_left_out", "states", (N, N, N, N, N, N, N, A)),
        ("alarm-readings", FALLING, "at_reset_left_out", "states", (N, N, A, A, A, A, A, A)),
        ("alarm-readings", FALLING, "other_direction", "states", (A, A, A, A, A, A, A, A)),
        ("alarm-signals", CURRENTS, "live_zero_not_added", "trip", 13.0 + 1 / 75),
        ("alarm-signals", CURRENTS, "measured_from_zero", "trip", 10.6 + 1 / 75),
        ("alarm-signals", CURRENTS, "zero_based_habit", "trip", 16.0 + 4 / 15),
        ("alarm-signals", CURRENTS, "live_zero_added", "band", 4.32),
        ("alarm-signals", CURRENTS, "taken_as_reading", "band", 10.72),
        ("alarm-signals", CURRENTS, "top_for_moving_part", "band", 0.4),
        ("alarm-signals", CURRENTS, "upper_for_span", "band", 8 / 15),
        ("alarm-signals", CURRENTS, "other_side", "clear", 17.0 + 1 / 3),
        ("alarm-signals", CURRENTS, "half_each_side", "clear", 16.84 + 1 / 75),
        ("alarm-signals", CURRENTS, "no_deadband", "clear", 17.0 + 1 / 75),
        ("alarm-signals", VOLTS, "other_side", "clear", 1.8),
        ("time-to-trip", RAMP, "from_the_reset_value", "trip_time", 570.0),
        ("time-to-trip", RAMP, "minutes_left", "trip_time", 56.25),
        ("time-to-trip", RAMP, "multiplied_by_rate", "ramp", 432.0),
        ("time-to-trip", RAMP, "on_delay_left_out", "trip_time", 675.0),
        ("time-to-trip", RAMP, "on_delay_taken_off", "trip_time", 630.0),
        ("time-to-trip", RAMP, "on_delay_in_minutes", "trip_time", 3375.0),
        ("time-to-trip", FROST, "from_the_reset_value", "way", 4.0),
        ("time-to-clear", BACK, "other_side", "clear_time", 90.0),
        ("time-to-clear", BACK, "deadband_left_out", "clear_time", 390.0),
        ("time-to-clear", BACK, "minutes_left", "ramp", 11.0),
        ("time-to-clear", BACK, "multiplied_by_rate", "ramp", 165.0),
        ("time-to-clear", BACK, "off_delay_left_out", "clear_time", 660.0),
        ("time-to-clear", BACK, "on_delay_taken", "clear_time", 750.0),
        ("time-to-clear", BACK, "off_delay_taken_off", "clear_time", 630.0),
        ("excursions-that-alarm", THREE, "added_up", "alarming", ("second", "third")),
        ("excursions-that-alarm", THREE, "on_delay_left_out", "alarming", ("first", "second", "third")),
        ("excursions-that-alarm", THREE, "other_way_round", "alarming", ("first", "second")),
        ("excursions-that-alarm", THREE, "longer_only", "alarming", None),
        ("excursions-that-alarm", EQUAL, "longer_only", "alarming", ("first",)),
        ("excursions-that-alarm", EQUAL, "added_up", "alarming", None),
        ("timer-conventions", TWO, "dip_overlooked", "first_device", 1380.0),
        ("timer-conventions", TWO, "stays_added_up", "first_device", 1500.0),
        ("timer-conventions", TWO, "on_delay_not_waited", "first_device", 1140.0),
        ("timer-conventions", TWO, "broken_off_in_the_dip", "second_device", 2040.0),
        ("timer-conventions", TWO, "stands_still_in_the_dip", "second_device", 1500.0),
        ("longest-delay", DELAY, "minutes_left", "available", 6.0),
        ("longest-delay", DELAY, "multiplied_by_rate", "available", 810.0),
        ("longest-delay", DELAY, "response_forgotten", "longest", 320.0),
        ("longest-delay", DELAY, "response_added", "longest", 440.0),
        ("longest-delay", DELAY, "lag_forgotten", "longest", 240.0),
        ("longest-delay", DELAY, "lag_added", "longest", 280.0),
        ("longest-delay", DELAY, "all_time_used", "longest", 360.0),
        ("longest-delay", DELAY, "nothing_in_hand", "setting", "120 s"),
        ("longest-delay", DELAY, "a_delay_all_the_same", "setting", None),
        ("longest-delay", NO_TIME, "a_delay_all_the_same", "setting", "10 s"),
        ("longest-delay", NO_TIME, "nothing_in_hand", "setting", None),
        ("smallest-deadband", NOISE, "one_side_only", "smallest", 0.7),
        ("smallest-deadband", NOISE, "no_margin", "smallest", 0.9),
        ("smallest-deadband", NOISE, "no_resolution", "smallest", 1.2),
        ("smallest-deadband", NOISE, "resolution_multiplied", "smallest", 1.35),
        ("smallest-deadband", NOISE, "one_too_small", "setting", "1"),
        ("smallest-deadband", NOISE, "larger_than_needed", "setting", "5"),
        ("smallest-deadband", NOISE, "past_normal_running", "setting", None),
        ("smallest-deadband", TIGHT, "past_normal_running", "setting", "2"),
        ("smallest-deadband", TIGHT, "larger_than_needed", "setting", None),
    ],
)
def test_slips_lead_to_values_worked_by_hand(sheet, givens, slip, step, value):
    assert slipped(sheet, givens, slip, step) == close(value)


def test_readings_and_moments_are_worked_out_from_hidden_givens():
    excursion = WORKSHEETS["alarm-readings"].givens["readings"].prepare
    assert excursion(FALLING | {"excursion": (-1.25, 0.0, 0.5)}) == (37.0, 36.0, 35.6)
    sheet, hidden = WORKSHEETS["excursions-that-alarm"], {"on_delay": 10.0, "over": (-4.0, -2.0, 3.0)}
    hidden["quiet"] = (12.0, 25.0, 31.0)
    assert sheet.givens["starts"].prepare(hidden) == THREE["starts"]
    assert sheet.givens["ends"].prepare(hidden) == THREE["ends"]


# Relay states against a simulation as plain as can be: small steps, comparisons, two clocks


def simulated(givens, reset, step):
    """State at each time asked; the on-delay runs at the set point and past it, the off-delay at the reset value."""
    rising, asked = givens["direction"] == "rising", givens["asked"]
    count = round((givens["times"][-1] - givens["times"][0]) / step) + 1
    moments = [givens["times"][0] + k * step for k in range(count)]
    on, since, states = False, None, {}
    wanted = {round(time / step): time for time in asked}
    for now, value in zip(moments, np.interp(moments, givens["times"], givens["trace"]).tolist(), strict=True):
        past_set_point = value >= givens["set_point"] if rising else value <= givens["set_point"]
        past_reset = value <= reset if rising else value >= reset
        running = past_reset if on else past_set_point
        since = (now if since is None else since) if running else None
        if since is not None and now - since >= (givens["off_delay"] if on else givens["on_delay"]):
            on, since = not on, None
        if round(now / step) in wanted:
            states[wanted[round(now / step)]] = A if on else N
    return tuple(states[time] for time in asked)


def drawn_on_a_grid(draw):
    """Corners 4 s apart that differ by 0, 1, 2, 4 or 8: every whole number is crossed at a multiple of 0.5 s."""
    values = [0.0]
    while len(values) < 25:
        value = values[-1] + draw.choice((-8, -4, -2, -1, 0, 1, 2, 4, 8))
        if abs(value) <= 12.0:
            values.append(value)
    return {
        "direction": draw.choice(("rising", "falling")),
        "set_point": float(draw.randint(-4, 4)),
        "deadband": draw.choice((1.0, 2.0, 4.0)),
        "on_delay": draw.choice((0.0, 0.5, 1.0, 3.0, 6.0)),
        "off_delay": draw.choice((0.0, 0.5, 1.0, 3.0, 6.0)),
        "times": tuple(4.0 * k for k in range(25)),
        "excursion": (),
        "trace": tuple(values),
        "asked": tuple(sorted(draw.sample([0.5 * k for k in range(192)], 8))),
    }


@pytest.mark.parametrize("block", range(10))
def test_relay_states_equal_simulation_on_a_thousand_traces(block):
    changing = 0
    for seed in range(block * 100, block * 100 + 100):
        givens = drawn_on_a_grid(random.Random(seed))
        values = WORKSHEETS["relay-states"].solve(givens)
        assert values["states"] == simulated(givens, values["reset"], 0.5), (seed, givens)
        changing += len(set(values["states"])) == 2
    assert changing > 40


@pytest.mark.parametrize("problem", ["retort-cooling-trace", "digester-heating-trace"])
def test_relay_states_of_problems_equal_simulation(problem):
    found = read_library().problems[problem]
    for seed in range(12):
        variant = found.variant(seed)
        states = simulated(variant.givens, variant.values["reset"], 0.02)
        assert variant.values["states"] == states, seed


def test_timer_conventions_agree_where_the_first_stay_is_long_enough():
    sheet = WORKSHEETS["timer-conventions"]
    long = TWO | {"first_stay": 900.0, "left": 1380.0, "back": 1500.0}
    assert worked("timer-conventions", long)["earlier"] == 0.0
    assert [refusal(long) for refusal in sheet.refusals] == [True]
    assert [refusal(TWO) for refusal in sheet.refusals] == [False]
