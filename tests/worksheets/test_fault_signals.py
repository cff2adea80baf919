"""Fault signal worksheets: bands, causes and actions, and faults followed through the chain."""

from __future__ import annotations

import pytest

from trainer.content.library import read_library

WORKSHEETS = read_library().worksheets

LOW_GAP, HIGH_GAP = "between fault and measuring, low", "between measuring and fault, high"
DEAD = "the loop is dead: no supply, blown fuse, broken wire"
SENSOR = "the transmitter reports a fault: broken sensor or wire to it"
PROCESS_LOW, PROCESS_HIGH = "the process is just below the range", "the process is just above the range"
PROCESS = "the process is within the range"
ITSELF = "the current is not what the transmitter means: leak, lack of supply, adjustment"
USE = "use the value"
BELIEVE = "believe the process first: check it another way"
SUPPLY = "do not use the value; measure supply and fuse, then follow the wire"
INPUT = "do not use the value; look at the transmitter and its sensor"
BOTH_ENDS = "do not trust it; measure the current at both ends of the pair"
CLAMP = {"current": 3.5, "burden": 250.0}
BURDEN = {"true_current": 20.3, "burden": 500.0, "voltage": 10.15}
CARD = {"true_current": 20.3, "raw_low": 800.0, "raw_high": 4000.0, "count": 4060.0}
COLD = {
    "lower": -40.0,
    "upper": 40.0,
    "signal_low": 4.0,
    "signal_high": 20.0,
    "fault_current": 21.5,
    "controller": "cools",
}
KILN = COLD | {"lower": 0.0, "upper": 1200.0, "fault_current": 3.5, "controller": "heats"}


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


# NAMUR NE 43 (2003): fault at 3.6 mA and below, 21.0 mA and above; measuring 3.8 to 20.5 mA. Across 250 Ω the edges
# are 0.90, 0.95, 1.00, 5.00, 5.125 and 5.25 V, by Ohm's law. Causes and first actions: common practice.
BANDS = [
    (0.0, "fault low", DEAD, SUPPLY),
    (0.1, "fault low", DEAD, SUPPLY),
    (3.3, "fault low", SENSOR, INPUT),
    (3.6, "fault low", SENSOR, INPUT),
    (3.7, LOW_GAP, ITSELF, BOTH_ENDS),
    (3.8, "under-range", PROCESS_LOW, BELIEVE),
    (3.95, "under-range", PROCESS_LOW, BELIEVE),
    (4.0, "measuring", PROCESS, USE),
    (20.0, "measuring", PROCESS, USE),
    (20.3, "over-range", PROCESS_HIGH, BELIEVE),
    (20.5, "over-range", PROCESS_HIGH, BELIEVE),
    (20.75, HIGH_GAP, ITSELF, BOTH_ENDS),
    (21.0, "fault high", SENSOR, INPUT),
    (22.0, "fault high", SENSOR, INPUT),
]


@pytest.mark.parametrize(("current", "band", "cause", "action"), BANDS)
def test_currents_fall_into_their_bands(current, band, cause, action):
    steps = worked("band-of-current", {"current": current, "burden": 250.0})
    assert steps.pop("voltage") == pytest.approx(current / 4)
    assert steps == {"band": band, "cause": cause, "action": action}


# The edges themselves are left to binary arithmetic: what is asked keeps its distance from them.
@pytest.mark.parametrize(
    ("current", "band", "cause", "action"), [row for row in BANDS if row[0] not in {3.6, 3.8, 4.0, 20.0, 20.5, 21.0}]
)
def test_volts_and_counts_fall_into_the_same_bands(current, band, cause, action):
    volts = {"true_current": current, "burden": 250.0, "voltage": current / 4}
    counts = {"true_current": current, "raw_low": 800.0, "raw_high": 4000.0, "count": current * 200}
    for sheet, givens in (("band-of-voltage", volts), ("band-of-counts", counts)):
        steps = worked(sheet, givens)
        assert steps.pop("current") == pytest.approx(current, abs=1e-9)
        assert steps == {"band": band, "cause": cause, "action": action}


def test_volts_and_counts_are_worked_out_from_the_current():
    sheet = WORKSHEETS["band-of-voltage"]
    assert sheet.givens["voltage"].prepare(BURDEN) == 10.15
    assert WORKSHEETS["band-of-counts"].givens["count"].prepare(CARD) == 4060.0


# Worked by hand: the wrong method of each slip, done with the same givens.
@pytest.mark.parametrize(
    ("sheet", "givens", "slip", "step", "value"),
    [
        ("band-of-current", CLAMP, "live_zero_taken_off", "voltage", -0.125),
        ("band-of-current", CLAMP, "divided_by_burden", "voltage", 0.014),
        ("band-of-current", CLAMP | {"current": 0.0}, "live_zero_taken_off", "voltage", None),
        ("band-of-current", CLAMP, "fault_taken_for_cold", "band", "under-range"),
        ("band-of-current", CLAMP, "fault_taken_for_cold", "action", BELIEVE),
        ("band-of-current", CLAMP, "fault_taken_for_gap", "band", LOW_GAP),
        ("band-of-current", CLAMP, "signal_taken_for_dead_loop", "cause", DEAD),
        ("band-of-current", CLAMP, "signal_taken_for_dead_loop", "action", SUPPLY),
        ("band-of-current", CLAMP, "supply_before_transmitter", "action", SUPPLY),
        ("band-of-current", CLAMP, "fault_used", "action", USE),
        ("band-of-current", CLAMP, "over_range_taken_for_fault", "band", None),
        ("band-of-current", CLAMP | {"current": 0.0}, "dead_loop_taken_for_signal", "cause", SENSOR),
        ("band-of-current", CLAMP | {"current": 0.0}, "transmitter_before_supply", "action", INPUT),
        ("band-of-current", CLAMP | {"current": 3.9}, "under_range_taken_for_fault", "band", "fault low"),
        ("band-of-current", CLAMP | {"current": 3.9}, "process_taken_for_sensor", "cause", SENSOR),
        ("band-of-current", CLAMP | {"current": 3.9}, "process_not_believed", "action", INPUT),
        ("band-of-current", CLAMP | {"current": 3.7}, "low_gap_taken_for_fault", "band", "fault low"),
        ("band-of-current", CLAMP | {"current": 3.7}, "low_gap_taken_for_process", "band", "under-range"),
        ("band-of-current", CLAMP | {"current": 20.3}, "over_range_taken_for_fault", "action", INPUT),
        ("band-of-current", CLAMP | {"current": 20.7}, "high_gap_taken_for_fault", "band", "fault high"),
        ("band-of-current", CLAMP | {"current": 20.7}, "high_gap_taken_for_process", "band", "over-range"),
        ("band-of-current", CLAMP | {"current": 21.5}, "fault_taken_for_hot", "cause", PROCESS_HIGH),
        ("band-of-current", CLAMP | {"current": 7.0}, "measuring_taken_for_under", "band", "under-range"),
        ("band-of-voltage", BURDEN, "volts_as_milliamperes", "current", 10.15),
        ("band-of-voltage", BURDEN, "volts_as_milliamperes", "band", "measuring"),
        ("band-of-voltage", BURDEN, "another_burden", "current", 40.6),
        ("band-of-voltage", BURDEN | {"burden": 250.0}, "another_burden", "current", None),
        ("band-of-counts", CARD, "live_zero_not_added", "current", 16.3),
        ("band-of-counts", CARD, "counts_of_zero_left_in", "current", 24.3),
        ("band-of-counts", CARD, "top_as_span", "current", 17.04),
        ("fault-on-trend", COLD, "clamped", "trend", 40.0),
        ("fault-on-trend", COLD, "live_zero_left_in", "trend", 67.5),
        ("fault-on-trend", COLD, "no_live_zero", "trend", 46.0),
        ("fault-on-trend", COLD, "lower_left_out", "trend", 87.5),
        ("fault-on-trend", COLD, "reads_zero", "trend", 0.0),
        ("fault-on-trend", COLD, "controller_reversed", "outcome", "rising alarm, output to zero"),
        ("fault-on-trend", COLD, "alarm_reversed", "outcome", "falling alarm, output to full"),
        ("fault-on-trend", COLD, "side_reversed", "outcome", "falling alarm, output to zero"),
        ("fault-on-trend", KILN, "clamped", "trend", 0.0),
        ("fault-on-trend", KILN, "lower_left_out", "trend", None),
    ],
)
def test_slips_lead_to_values_worked_by_hand(sheet, givens, slip, step, value):
    assert slipped(sheet, givens, slip, step) == close(value)


# Worked by hand: 17.5 / 16 of 80 °C from -40 °C, and so on; a heating controller that reads low adds heat.
@pytest.mark.parametrize(
    ("givens", "share", "trend", "outcome"),
    [
        (COLD, 1.09375, 47.5, "rising alarm, output to full"),
        (COLD | {"fault_current": 3.6}, -0.025, -42.0, "falling alarm, output to zero"),
        (COLD | {"controller": "heats"}, 1.09375, 47.5, "rising alarm, output to zero"),
        (KILN, -0.03125, -37.5, "falling alarm, output to full"),
        (KILN | {"fault_current": 2.0}, -0.125, -150.0, "falling alarm, output to full"),
    ],
)
def test_faults_on_the_trend(givens, share, trend, outcome):
    assert worked("fault-on-trend", givens) == {"share": close(share), "trend": close(trend), "outcome": outcome}


def test_a_current_that_measures_is_no_fault():
    (refusal,) = WORKSHEETS["fault-on-trend"].refusals
    assert [refusal({"share": (current - 4.0) / 16.0}) for current in (3.5, 3.7, 12.0, 20.75, 21.2)] == [
        False,
        True,
        True,
        True,
        False,
    ]


HIGH, LOW, EITHER = "drive high", "drive low", "either"
APART, HOLD = "a fault alarm of its own, and the hazard review decides", "hold the last value"
FURNACE, FROST = ("rising", "heating", "full"), ("falling", "none", "none")
SCORCHED = ("falling", "heating", "full")


def loop(alarm, controller, worse):
    return {"service": "a loop", "alarm": alarm, "controller": controller, "worse": worse}


# Common practice: furnace high, frost watch low, cold store high; the rest worked by hand from what a heating and a
# cooling controller do when they read high.
@pytest.mark.parametrize(
    ("given", "for_controller", "decision"),
    [
        (FURNACE, HIGH, HIGH),
        (FROST, EITHER, LOW),
        (("rising", "cooling", "zero"), HIGH, HIGH),
        (("falling", "cooling", "full"), LOW, LOW),
        (("falling", "heating", "zero"), LOW, LOW),
        (SCORCHED, HIGH, APART),
        (("rising", "cooling", "full"), LOW, APART),
        (("rising", "none", "none"), EITHER, HIGH),
    ],
)
def test_directions_of_a_fault(given, for_controller, decision):
    steps = worked("fault-direction", loop(*given))
    assert steps == {
        "for_alarm": HIGH if given[0] == "rising" else LOW,
        "for_controller": for_controller,
        "decision": decision,
    }


# Worked by hand.
@pytest.mark.parametrize(
    ("given", "slip", "step", "value"),
    [
        (FURNACE, "silent_way", "for_alarm", LOW),
        (FURNACE, "silent_way", "decision", APART),
        (FURNACE, "harmful_way", "for_controller", LOW),
        (FROST, "harmful_way", "for_controller", None),
        (FURNACE, "controller_overlooked", "for_controller", EITHER),
        (FROST, "controller_overlooked", "for_controller", None),
        (FURNACE, "held", "decision", HOLD),
        (FURNACE, "low_is_safe", "decision", LOW),
        (FROST, "low_is_safe", "decision", None),
        (FURNACE, "needless_alarm", "decision", APART),
        (FURNACE, "alarm_alone", "decision", None),
        (SCORCHED, "alarm_alone", "decision", LOW),
        (SCORCHED, "controller_alone", "decision", HIGH),
        (SCORCHED, "needless_alarm", "decision", None),
    ],
)
def test_slips_of_direction(given, slip, step, value):
    assert slipped("fault-direction", loop(*given), slip, step) == value
