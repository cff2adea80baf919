"""Steps, ramps, late alarms and filters: worked draws, each step and each slip worked by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from trainer.calculations.response import attenuation
from trainer.content.library import read_library

SHEETS = {problem.worksheet.name: problem.worksheet for problem in read_library().problems.values()}

STEP = {"start": 18.0, "end": 70.0, "target": 60.0, "constant": 24.0}
FALL = {"start": 20.0, "end": -30.0, "target": -17.5, "constant": 30.0}
SETTLE = {"start": 18.0, "end": 70.0, "allowed": 0.26, "constant": 24.0}
RECORD = {"start": 18.0, "end": 70.0, "reading": 60.0, "time": 39.568}
AFTER = {"start": 150.0, "end": 50.0, "time": 20.0, "constant": 30.0}
RAMP = {"rate": 2.4, "sensor": 35.0, "filter": 25.0, "display": 100.0}
LATE = {"rate": 2.4, "sensor": 35.0, "filter": 10.0, "delay": 15.0, "set_point": 120.0}
CHAIN = {
    "sensor": 8.0,
    "filter": 5.0,
    "card": 100.0,
    "update": 1.0,
    "scan": 400.0,
    "relay": 25.0,
    "rate": 0.5,
    "set_point": 120.0,
}
ALLOWANCE = {"set_point": 200.0, "limit": 212.0, "rate": 6.0, "sensor": 16.0, "delay": 10.0}
RIPPLE = {"amplitude": 1.6, "frequency": 0.5, "constant": 0.4}
FILTER = {"amplitude": 26.0, "goal": 10.0, "frequency": 0.4}
NOISE = {"deviation": 0.6, "count": 9.0}
GOAL = {"deviation": 0.34, "goal": 0.1, "period": 2.0}
WINDOW = {"amplitude": 2.0, "frequency": 60.0, "window": 20.0}


def worked(sheet, givens):
    """The steps alone."""
    values = SHEETS[sheet].solve(givens)
    return {name: values[name] for name in SHEETS[sheet].steps}


def slipped(sheet, givens, slip):
    """The last step with the slip made."""
    found = SHEETS[sheet].solve_slip(SHEETS[sheet].slips[slip], givens)
    return None if found is None else found[SHEETS[sheet].answer.name]


# Worked by hand. The filter for a ripple is the triangle 5, 12, 13; sin 216° is -0.587785.
@pytest.mark.parametrize(
    ("sheet", "givens", "steps"),
    [
        ("time-to-reading", STEP, {"fraction": 0.807692, "logarithm": -1.648659, "time": 39.568}),
        ("time-to-reading", FALL, {"fraction": 0.75, "logarithm": -1.386294, "time": 41.589}),
        ("time-to-settle", SETTLE, {"left": 0.005, "constants": 5.298317, "time": 127.16}),
        ("constant-from-record", RECORD, {"fraction": 0.807692, "logarithm": -1.648659, "constant": 24.0}),
        ("reading-after-step", AFTER, {"constants": 2 / 3, "left": 0.513417, "reading": 101.342}),
        ("ramp-lag", RAMP, {"together": 60.0, "minutes": 1.0, "lag": 2.4, "true_value": 102.4}),
        (
            "ramp-lag",
            RAMP | {"filter": 0.0, "rate": -2.4},
            {"together": 35.0, "minutes": 35 / 60, "lag": -1.4, "true_value": 98.6},
        ),
        ("alarm-lateness", LATE, {"late": 60.0, "past": 2.4, "true_value": 122.4}),
        ("chain-lateness", CHAIN, {"lags": 13.1, "waits": 1.425, "late": 14.525, "past": 7.2625}),
        ("filter-allowance", ALLOWANCE, {"room": 12.0, "time": 120.0, "filter": 94.0}),
        ("ripple-behind-filter", RIPPLE, {"x": 1.256637, "divisor": 1.605983, "left": 0.996275}),
        ("filter-for-ripple", FILTER, {"ratio": 2.6, "x": 2.4, "constant": 0.954930}),
        ("averaged-noise", NOISE, {"root": 3.0, "left": 0.2}),
        ("readings-for-goal", GOAL, {"ratio": 3.4, "count": 12, "time": 24.0}),
        ("window-and-mains", WINDOW, {"cycles": 1.2, "share": 0.155915, "left": 0.311830}),
    ],
)
def test_worked_draw(sheet, givens, steps):
    assert worked(sheet, givens) == pytest.approx(steps, rel=2e-5)


# Worked by hand: what the answer comes to with one thing done wrong.
@pytest.mark.parametrize(
    ("sheet", "givens", "answers"),
    [
        (
            "time-to-reading",
            STEP,
            {
                "in_proportion": 19.385,
                "base_ten": 17.184,
                "of_the_fraction": 5.1258,
                "start_ignored": 46.702,
                "five_constants": 120.0,
            },
        ),
        ("time-to-reading", FALL | {"target": 5.0}, {"start_ignored": None}),
        (
            "time-to-settle",
            SETTLE,
            {"base_ten": 55.225, "always_five": 120.0, "always_three": 72.0, "start_ignored": 134.293},
        ),
        (
            "constant-from-record",
            RECORD,
            {
                "time_taken": 39.568,
                "in_proportion": 30.961,
                "base_ten": 55.262,
                "of_the_fraction": 185.27,
                "start_ignored": 20.334,
                "upside_down": 65.234,
            },
        ),
        (
            "reading-after-step",
            AFTER,
            {
                "in_proportion": 83.3333,
                "from_the_end": -48.6583,
                "base_ten": 71.5443,
                "part_covered": 98.6583,
                "upside_down": 72.3130,
            },
        ),
        (
            "ramp-lag",
            RAMP,
            {
                "only_the_larger": 101.4,
                "root_of_squares": 101.72047,
                "seconds_kept": 244.0,
                "one_constant_share": 101.5168,
                "five_constants": 112.0,
                "divided": 100.416667,
                "wrong_way": 97.6,
            },
        ),
        (
            "alarm-lateness",
            LATE,
            {
                "delay_forgotten": 121.8,
                "lag_forgotten": 120.6,
                "filter_forgotten": 122.0,
                "seconds_kept": 264.0,
                "one_constant_share": 121.5168,
                "wrong_way": 117.6,
            },
        ),
        (
            "chain-lateness",
            CHAIN,
            {
                "only_the_larger": 4.7125,
                "root_of_squares": 5.429755,
                "card_by_a_hundred": 7.7125,
                "on_average": 6.9125,
                "update_forgotten": 6.7625,
                "scan_forgotten": 7.0625,
                "waits_forgotten": 6.55,
            },
        ),
        (
            "filter-allowance",
            ALLOWANCE,
            {
                "multiplied": 46.0,
                "sensor_forgotten": 110.0,
                "delay_forgotten": 104.0,
                "nothing_taken_off": 120.0,
                "fifth_of_it": 18.8,
            },
        ),
        (
            "ripple-behind-filter",
            RIPPLE,
            {"without_two_pi": 1.568929, "no_root": 0.620362, "no_square": 0.709020, "made_larger": 2.569573},
        ),
        (
            "filter-for-ripple",
            FILTER,
            {
                "no_squares": 0.636620,
                "no_root": 2.291831,
                "one_forgotten": 1.034507,
                "without_two_pi": 6.0,
                "multiplied": 6.031858,
            },
        ),
        ("averaged-noise", NOISE, {"no_root": 0.0666667, "made_larger": 1.8, "not_at_all": 0.6}),
        ("readings-for-goal", GOAL, {"not_squared": 8.0, "rounded_down": 22.0}),
        ("readings-for-goal", GOAL | {"deviation": 0.3}, {"rounded_down": None}),
        (
            "window-and-mains",
            WINDOW,
            {
                "degrees": 0.0348813,
                "pi_forgotten_below": 0.979642,
                "averages_to_nothing": 0.0,
                "one_over_cycles": 0.530516,
            },
        ),
    ],
)
def test_slips(sheet, givens, answers):
    found = {slip: slipped(sheet, givens, slip) for slip in answers}
    assert found == {
        slip: value if value is None else pytest.approx(value, rel=5e-5) for slip, value in answers.items()
    }


# Mechanical Engineers' Handbook, volume 2, table 6: response of a first-order system to a step.
@pytest.mark.parametrize(
    ("constants", "shown"), [(1, 0.632), (2, 0.865), (3, 0.950), (4, 0.982), (5, 0.993), (6, 0.998)]
)
def test_step_table(constants, shown):
    after = {"start": 0.0, "end": 1.0, "time": 12.5 * constants, "constant": 12.5}
    assert worked("reading-after-step", after)["reading"] == pytest.approx(shown, abs=0.0005)


# A page on rise times: 99 % of a step after 4.605 time constants, 10 to 90 % in 2.197.
def test_times_in_time_constants():
    settle = {"start": 0.0, "end": 100.0, "allowed": 1.0, "constant": 1.0}
    assert worked("time-to-settle", settle)["time"] == pytest.approx(4.605, abs=0.0005)
    ninety, ten = (
        worked("time-to-reading", STEP | {"start": 0.0, "end": 1.0, "target": f, "constant": 1.0}) for f in (0.9, 0.1)
    )
    assert ninety["time"] - ten["time"] == pytest.approx(2.197, abs=0.0005)


# Naive integration (Euler) in steps of 1 ms: three lags in series behind a ramp of 0.5 a second.
def test_time_constants_add_on_a_ramp():
    behind, true_value = [0.0, 0.0, 0.0], 0.0
    for _ in range(150_000):
        before = true_value
        for place, constant in enumerate((8.0, 5.0, 0.1)):
            shown = behind[place]
            behind[place] += (before - shown) * 0.001 / constant
            before = shown
        true_value += 0.5 * 0.001
    assert (true_value - behind[-1]) / 0.5 == pytest.approx(worked("chain-lateness", CHAIN)["lags"], abs=0.02)


# Corner frequency of a low-pass filter (any textbook): 1/√2 of the amplitude.
def test_corner_frequency():
    corner = {"amplitude": 1.0, "frequency": 1.0 / (2.0 * math.pi * 0.4), "constant": 0.4}
    assert worked("ripple-behind-filter", corner)["left"] == pytest.approx(math.sqrt(0.5))


def test_the_filter_found_for_a_ripple_leaves_the_goal():
    found = worked("filter-for-ripple", FILTER)["constant"]
    assert 26.0 * attenuation(0.4, found) == pytest.approx(10.0)


# Averages over every position of the window, taken numerically; whole cycles leave nothing (common practice:
# 100 ms serves mains of 50 and 60 Hz).
@pytest.mark.parametrize(("frequency", "window"), [(60.0, 20.0), (50.0, 16.7), (60.0, 100.0), (50.0, 100.0)])
def test_window_over_a_sine(frequency, window):
    times = (np.arange(2000) + 0.5) / 2000 * window / 1000
    phases = np.linspace(0.0, 2.0 * np.pi, 721)
    averages = np.sin(2.0 * np.pi * frequency * times[:, None] + phases).mean(axis=0)
    share = worked("window-and-mains", WINDOW | {"frequency": frequency, "window": window})["share"]
    assert share == pytest.approx(np.abs(averages).max(), abs=1e-5)
