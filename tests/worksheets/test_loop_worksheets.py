"""Loop budget, voltages, saturation and leaks: worked draws, each step and each slip worked by hand."""

from __future__ import annotations

import pytest

from trainer.calculations import leads, loops
from trainer.content.library import read_library

PROBLEMS = read_library().problems
SHEETS = {problem.worksheet.name: problem.worksheet for problem in PROBLEMS.values()}

CABLE = {
    "supply": 21.6,
    "lift_off": 10.5,
    "current": 22.0,
    "burden": 250.0,
    "other": 0.0,
    "size": "AWG 20",
    "per_length": 33.29,
    "table_length": 1000.0,
}
BARRIER = CABLE | {"other": 154.5, "per_length": 36.0}
SUPPLY = {"lift_off": 10.5, "current": 22.0, "burden": 250.0, "wire": 50.0}
OUTPUT = {"rated": 600.0, "current": 22.0, "burden": 250.0, "other": 75.0, "wire": 10.0}
ROUND = {"supply": 24.5, "current": 13.6, "burden": 250.0, "wire": 12.0}
OPEN = {"supply": 24.0, "current": 12.0, "burden": 250.0, "left": 1.0, "place": "in the wire back"}
JOINT = {"supply": 24.0, "burden": 250.0, "wire": 12.0, "driven": 12.0, "bad": 100.0}
FLAT = {"supply": 21.6, "lift_off": 10.0, "resistance": 760.0, "lower": -20.0, "upper": 100.0}
ADDED = {"supply": 21.6, "lift_off": 10.0, "known": 286.0, "lower": -20.0, "upper": 100.0, "flat": 64.0}
CAUSE = {
    "supply": 22.0,
    "lift_off": 10.0,
    "resistance": 480.0,
    "lower": 0.0,
    "upper": 100.0,
    "cause_drawn": "a zero shift",
    "scaled_upper": 80.0,
    "shift": 4.0,
    "true_1": 25.0,
    "true_2": 90.0,
}
BESIDE_BURDEN = {"current": 12.5, "burden": 250.0, "leak": 2000.0, "lower": 0.0, "upper": 80.0}
BESIDE_TRANSMITTER = {
    "supply": 24.0,
    "current": 12.0,
    "leak": 10_000.0,
    "resistance": 250.0,
    "lower": 0.0,
    "upper": 120.0,
}
LOADED = {
    "voltage": 3.0,
    "source": 1000.0,
    "load": 10_000.0,
    "signal_low": 1.0,
    "signal_high": 5.0,
    "lower": -20.0,
    "upper": 140.0,
}


def drawn(sheet, givens):
    """The givens with those that are worked out from hidden ones."""
    values = dict(givens)
    for given in SHEETS[sheet].givens.values():
        if given.prepare and given.name not in values:
            values[given.name] = given.prepare(values)
    return values


def worked(sheet, givens):
    """The steps alone."""
    values = SHEETS[sheet].solve(drawn(sheet, givens))
    return {name: values[name] for name in SHEETS[sheet].steps}


def slipped(sheet, givens, slip):
    """The last step with the slip made."""
    found = SHEETS[sheet].solve_slip(SHEETS[sheet].slips[slip], drawn(sheet, givens))
    return None if found is None else found[SHEETS[sheet].answer.name]


# Worked by hand.
@pytest.mark.parametrize(
    ("sheet", "givens", "steps"),
    [
        ("longest-loop-cable", CABLE, {"volts": 11.1, "limit": 504.545, "for_cable": 254.545, "length": 3823.2}),
        ("longest-loop-cable", BARRIER, {"volts": 11.1, "limit": 504.545, "for_cable": 100.045, "length": 1389.5}),
        ("lowest-loop-supply", SUPPLY, {"loop": 350.0, "drop": 7.7, "supply": 18.2}),
        ("active-output-load", OUTPUT, {"reach": 12.0, "limit": 545.455, "load": 345.0, "spare": 200.455}),
        ("loop-voltages", ROUND, {"burden_voltage": 3.4, "wire_voltage": 0.1632, "transmitter": 20.7736}),
        ("joint-resistance", JOINT, {"current": 12.0, "lost": 1.49, "way": 124.167, "joint": 100.167}),
        ("saturation-point", FLAT, {"volts": 11.6, "saturation": 15.2632, "value": 64.474}),
        (
            "resistance-from-flat-trend",
            ADDED,
            {"current": 15.2, "volts": 11.6, "resistance": 763.158, "added": 477.158},
        ),
        (
            "leak-across-burden",
            BESIDE_BURDEN,
            {"share": 8 / 9, "left": 100 / 9, "difference": -12.5 / 9, "error": -62.5 / 9},
        ),
        ("leak-across-transmitter", BESIDE_TRANSMITTER, {"leaking": 2.049, "total": 14.049, "error": 15.3675}),
        ("loaded-voltage", LOADED, {"share": 10 / 11, "left": 30 / 11, "error": -120 / 11}),
    ],
)
def test_worked_draw(sheet, givens, steps):
    assert worked(sheet, givens) == pytest.approx(steps, rel=1e-4)


# Worked by hand: what the answer comes to with one thing done wrong.
@pytest.mark.parametrize(
    ("sheet", "givens", "answers"),
    [
        (
            "longest-loop-cable",
            CABLE,
            {
                "one_conductor": 7646.3,
                "lift_off_ignored": 10_991.5,
                "burden_forgotten": 7578.0,
                "at_full_signal": 4580.96,
                "at_live_zero": 37_924.3,
                "other_forgotten": None,
            },
        ),
        ("longest-loop-cable", BARRIER, {"other_forgotten": 3535.35, "burden_forgotten": 4861.7}),
        (
            "lowest-loop-supply",
            SUPPLY,
            {"one_wire": 17.1, "wires_forgotten": 16.0, "at_full_signal": 17.5, "lift_off_forgotten": 7.7},
        ),
        (
            "active-output-load",
            OUTPUT,
            {
                "stated_load": 255.0,
                "one_wire": 210.455,
                "wires_forgotten": 220.455,
                "other_forgotten": 275.455,
                "load_less_limit": -200.455,
            },
        ),
        (
            "loop-voltages",
            ROUND,
            {
                "both_wires": 20.4472,
                "wires_forgotten": 21.1,
                "one_wire": 20.9368,
                "burden_reported": 3.4,
                "drops_added": 28.2264,
                "at_full_signal": 19.02,
            },
        ),
        (
            "joint-resistance",
            JOINT,
            {"burden_left_in": 350.167, "at_full_signal": 50.5, "wires_left_in": 124.167, "one_wire": 112.167},
        ),
        (
            "saturation-point",
            FLAT,
            {
                "lift_off_ignored": 163.158,
                "no_live_zero": 94.474,
                "over_twenty": 71.579,
                "lower_forgotten": 84.474,
            },
        ),
        ("saturation-point", FLAT | {"lower": 0.0}, {"lower_forgotten": None}),
        (
            "resistance-from-flat-trend",
            ADDED,
            {
                "no_live_zero": 749.714,
                "over_twenty": 542.571,
                "lift_off_ignored": 1135.05,
                "known_left_in": 763.158,
            },
        ),
        (
            "leak-across-burden",
            BESIDE_BURDEN,
            {
                "without_parallel": -7.8125,
                "share_of_the_leak": -500 / 9,
                "no_effect": 0.0,
                "wrong_way": 62.5 / 9,
                "percent_of_span": -80 / 9,
                "percent_of_value": -42.5 / 9,
                "over_twenty": -50 / 9,
            },
        ),
        (
            "leak-across-transmitter",
            BESIDE_TRANSMITTER,
            {
                "whole_supply": 18.0,
                "burden_share": 2.6325,
                "taken_off": -15.3675,
                "over_twenty": 12.294,
                "percent_of_span": 20.49,
            },
        ),
        (
            "loaded-voltage",
            LOADED,
            {
                "without_divider": -12.0,
                "no_effect": 0.0,
                "share_of_the_source": -1200 / 11,
                "wrong_way": 120 / 11,
                "over_the_top": -96 / 11,
                "percent_of_span": -160 / 11,
            },
        ),
    ],
)
def test_slips(sheet, givens, answers):
    found = {slip: slipped(sheet, givens, slip) for slip in answers}
    assert found == {
        slip: value if value is None else pytest.approx(value, rel=1e-4) for slip, value in answers.items()
    }


# Worked by hand: 24 V at A, 1 V lost in a sound transmitter through which only the meter draws.
@pytest.mark.parametrize(
    ("place", "across", "jump", "too_far", "too_early"),
    [
        ("in the wire out", 0.0, 24.0, "in the transmitter", "at the supply"),
        ("in the transmitter", 24.0, 24.0, "in the wire back", "in the wire out"),
        ("in the wire back", 1.0, 23.0, "in the burden", "in the transmitter"),
        ("in the burden", 1.0, 23.0, None, "in the wire back"),
    ],
)
def test_where_the_loop_is_open(place, across, jump, too_far, too_early):
    givens = OPEN | {"place": place}
    assert worked("open-loop-place", givens) == {"healthy": 3.0, "across": across, "jump": jump, "where": place}
    assert slipped("open-loop-place", givens, "one_too_far") == too_far
    assert slipped("open-loop-place", givens, "one_too_early") == too_early


# Worked by hand: the loop drives 25 mA through 480 Ω, which is 131.25 on 0 to 100, and 15 mA through 800 Ω: 68.75.
@pytest.mark.parametrize(
    ("cause", "resistance", "errors", "ceiling", "named"),
    [
        ("a zero shift", 480.0, (4.0, 4.0), 131.25, "any_high_error_is_scaling"),
        ("the PLC is scaled to another range", 480.0, (-5.0, -18.0), 131.25, "both_wrong_is_zero"),
        ("the loop cannot drive it", 800.0, (0.0, -21.2), 68.75, "any_high_error_is_scaling"),
    ],
)
def test_flat_or_scaled_wrong(cause, resistance, errors, ceiling, named):
    givens = CAUSE | {"cause_drawn": cause, "resistance": resistance}
    steps = worked("flat-or-scaled-wrong", givens)
    assert (steps["error_1"], steps["error_2"]) == pytest.approx(errors)
    assert steps["ceiling"] == pytest.approx(ceiling)
    assert steps["cause"] == cause
    assert slipped("flat-or-scaled-wrong", givens, named) not in (None, cause)


# A load limit printed in a transmitter manual: (supply - 11.9 V)/22 mA, which is 550 Ω at 24 V.
def test_published_load_limit():
    steps = worked("longest-loop-cable", CABLE | {"supply": 24.0, "lift_off": 11.9})
    assert steps["limit"] == pytest.approx(550.0, abs=0.05)


# The same run in feet: 33.29 Ω/km is 10.147 Ω/1000 ft, and 3823.2 m are 12 543 ft.
def test_a_table_in_feet_gives_feet():
    steps = worked("longest-loop-cable", CABLE | {"per_length": 10.147})
    assert steps["length"] == pytest.approx(12_543, abs=0.5)


# IEC 60228 class 2 (0.75 and 1 mm² from memory) and a wire table in Ω/1000 ft at 68 °F.
WIRES = {"0.5 mm²": 36.0, "0.75 mm²": 24.5, "1 mm²": 18.1, "1.5 mm²": 12.1}
GAUGES = {"AWG 18": 6.385, "AWG 20": 10.15, "AWG 22": 16.14}


@pytest.mark.parametrize("problem", [each for each in PROBLEMS.values() if each.worksheet.name == "longest-loop-cable"])
def test_conductors_of_the_bank_are_those_of_the_tables(problem):
    pairs = [draw.rows for draw in problem.draws if draw.names == ("size", "per_length")]
    assert pairs
    assert dict(pairs[0]).items() <= (WIRES | GAUGES).items()
    for size, printed in pairs[0]:
        number = float(size.removeprefix("AWG ").removesuffix(" mm²"))
        inch_table = size in GAUGES
        own = leads.awg_resistance(number) * 0.3048 if inch_table else leads.metric_resistance(number)
        assert own == pytest.approx(printed, abs=0.005)


# Kirchhoff: what the three readings of the bad joint say closes the loop again.
def test_joint_closes_the_loop():
    found = worked("joint-resistance", JOINT)
    again = loops.voltages(24.0, found["current"], 250.0, 12.0 + found["joint"] / 2)
    assert again.transmitter == pytest.approx(drawn("joint-resistance", JOINT)["transmitter"], abs=0.005)


# The leak beside the transmitter: the reading across it obeys the circuit, solved here by bisection.
def test_reading_across_a_leaking_transmitter():
    low, high = 0.0, 24.0
    for _ in range(60):
        middle = (low + high) / 2
        left = 24.0 - 0.250 * (12.0 + middle / 10_000.0 * 1000.0)
        low, high = (middle, high) if middle < left else (low, middle)
    assert drawn("leak-across-transmitter", BESIDE_TRANSMITTER)["across"] == pytest.approx(low, abs=0.005)
