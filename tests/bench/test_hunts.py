"""A fault hunt: what may be done when, what it tells, what it costs, and how it is scored."""

import math

import numpy as np
import pytest
from rigs import DAIRY, HEATING

from trainer.bench.faults import Fault, suspects_of
from trainer.bench.hunts import CONFIRMING_MINUTES, PREPARED, STOPPED_MINUTES, Hunt, Preparation, State, refusal
from trainer.bench.measurements import Measurement
from trainer.bench.plans import Situation, best, remaining
from trainer.channel.simulation import Course
from trainer.errors import NotFound

SHIFT = Course(((0.0, 74.5), (3600.0, 74.5)))
MINUTES = {"arrange-bypass": 8.0, "isolate": 6.0, "restore-power": 3.0, "remove-bypass": 3.0}
PREPARATIONS = [Preparation(name, name, minutes) for name, minutes in MINUTES.items()]
CONTROL_ROOM = Measurement("control-room", "Control room", "controller", "radio", 1.0)
DISPLAY = Measurement("display", "Display", "conditioner", "display", 2.0, "powered")
VOLTS = Measurement("card-volts", "Volts", "card", "voltmeter", 3.0, "powered")
CURRENT = Measurement("loop-current", "Current", "loop", "milliammeter", 5.0, "powered", opens_loop=True)
OHMS = Measurement("cable-ohms", "Ohms", "terminals", "ohmmeter", 4.0, "isolated", True, "It can harm the input.")
SETTINGS = Measurement("input-settings", "Settings", "conditioner", "record", 6.0, "powered")
ALL = [CONTROL_ROOM, DISPLAY, VOLTS, CURRENT, OHMS, SETTINGS]


def fault(name, *changes, **texts):
    return Fault(name, 1, name, (), f"{name} {{shown}} {{unit}}", changes, f"mend {name}", "proof", "tale", **texts)


OPEN_A = fault("open-a", {"sensor.a": math.inf})
OPEN_B = fault("open-b", {"sensor.b": math.inf})
SCALING = fault("scaling", {"scaling.upper": 100.0})
TWO_WIRES = fault("two-wires", {"input.wires": 2})
SAME_AS_A = fault("same-as-a", {"sensor.a": math.inf})


def hunt(true, *others, measurements=ALL, channel=DAIRY, value=74.5, gauge=0.5):
    faults = [true, *others]
    here = Situation(channel, suspects_of(channel, faults), measurements, value, gauge, "°C", SHIFT)
    return Hunt(here, true, here.case(suspects_of(channel, [true])[0].middle, value), PREPARATIONS)


def test_the_opening_costs_nothing_and_rules_out():
    one = hunt(OPEN_A, OPEN_B, SCALING, TWO_WIRES)
    assert [each.value for each in one.opening] == [pytest.approx(120.0, abs=0.01), "°C"]
    notes = one.replay([])
    assert set(remaining(one.situation, notes.left)) == {"open-a", "open-b"}
    assert (notes.minutes, notes.acts, notes.state) == (0.0, (), State())
    assert one.told(OPEN_A.symptom) == "open-a 120.0 °C"


def test_acts_leave_fewer_suspects_and_take_their_time():
    one = hunt(OPEN_A, OPEN_B, SCALING, TWO_WIRES)
    notes = one.replay(["display", "arrange-bypass", "isolate", "cable-ohms", "restore-power", "remove-bypass"])
    assert [act.clock for act in notes.acts] == [2.0, 10.0, 16.0, 20.0, 23.0, 26.0]
    assert [len(remaining(one.situation, act.left)) for act in notes.acts] == [2, 2, 2, 1, 1, 1]
    assert notes.acts[0].findings[0].value == "sensor fault"
    assert [each.value for each in notes.acts[3].findings[:2]] == ["open", "open"]
    assert notes.state == State()


# The trade's forbidden tests: ohms on a live input, a loop opened without a bypass, isolating without one.
@pytest.mark.parametrize(
    ("acts", "said"),
    [
        (["cable-ohms"], "This opens the loop"),
        (["arrange-bypass", "cable-ohms"], "It can harm the input."),
        (["loop-current"], "This opens the loop"),
        (["isolate"], "arrange the bypass with the operator first"),
    ],
)
def test_an_unsafe_order_is_stopped_and_counted(acts, said):
    one = hunt(OPEN_A, OPEN_B)
    before, notes = one.replay(acts[:-1]), one.replay(acts)
    last = notes.acts[-1]
    assert said in last.stopped
    assert (last.unsafe, last.minutes, last.findings, notes.unsafe) == (True, STOPPED_MINUTES, (), 1)
    assert notes.state == before.state
    assert np.array_equal(notes.left, before.left)
    # The hunt goes on, and the stopped measurement may still be made.
    prepared = [*acts[:-1], acts[-1], "arrange-bypass", "isolate", "cable-ohms"]
    assert set(remaining(one.situation, one.replay(prepared).left)) == {"open-a"}


def test_a_dead_loop_shows_nothing_but_harms_nobody():
    notes = hunt(OPEN_A, OPEN_B).replay(["arrange-bypass", "isolate", "display"])
    assert notes.acts[-1].stopped.startswith("The loop is isolated")
    assert (notes.acts[-1].unsafe, notes.acts[-1].minutes, notes.unsafe) == (False, 0.0, 0)


LIVE, BYPASSED = State(), State(bypassed=True)
DEAD = State(bypassed=True, isolated=True)


# needs, opens_loop and the states: whether it goes ahead, is of no use, or is unsafe.
@pytest.mark.parametrize(
    ("measurement", "state", "stopped", "unsafe"),
    [
        (DISPLAY, LIVE, False, False),
        (DISPLAY, BYPASSED, False, False),
        (DISPLAY, DEAD, True, False),
        (CURRENT, LIVE, True, True),
        (CURRENT, BYPASSED, False, False),
        (CURRENT, DEAD, True, False),
        (OHMS, LIVE, True, True),
        (OHMS, BYPASSED, True, True),
        (OHMS, DEAD, False, False),
        (CONTROL_ROOM, DEAD, False, False),
    ],
)
def test_when_a_measurement_may_be_made(measurement, state, stopped, unsafe):
    reason, is_unsafe = refusal(measurement, state)
    assert (bool(reason), is_unsafe) == (stopped, unsafe)


def test_what_a_measurement_takes_from_here():
    one = hunt(OPEN_A, OPEN_B)
    live, dead = one.replay(["display"]), one.replay(["arrange-bypass", "isolate"])
    # The opening and what was made already are not offered again.
    assert one.minutes_from(live) == {
        "card-volts": 3.0,
        "loop-current": 13.0,
        "cable-ohms": 18.0,
        "input-settings": 6.0,
    }
    assert one.minutes_from(dead) == {
        "display": 5.0,
        "card-volts": 6.0,
        "loop-current": 8.0,
        "cable-ohms": 4.0,
        "input-settings": 9.0,
    }


# By hand: two suspects of a half each that a measurement parts tell log2 2 = 1 bit; that it cannot part, none.
def test_the_information_of_two_suspects():
    here = hunt(SCALING, TWO_WIRES).situation
    everything = np.ones(2, bool)
    assert here.information("card-volts", everything) == pytest.approx(1.0)
    assert here.information("loop-current", everything) == pytest.approx(1.0)
    assert here.information("cable-ohms", everything) == pytest.approx(0.0)
    assert here.information("card-volts", np.array([True, False])) == pytest.approx(0.0)


# By hand: the settings tell the fourth of four suspects from the others: 1/4 log2 4 + 3/4 log2 (4/3) = 0.8113 bit;
# the cable parts two open cores from each other and from two sound cables: 1/2 log2 4 + 1/2 log2 2 = 1.5 bit.
def test_the_information_of_four_suspects():
    here = hunt(OPEN_A, OPEN_B, SCALING, TWO_WIRES).situation
    everything = np.ones(4, bool)
    assert here.information("input-settings", everything) == pytest.approx(0.25 * 2.0 + 0.75 * math.log2(4.0 / 3.0))
    assert here.information("cable-ohms", everything) == pytest.approx(1.5)
    # The control room parts 120 °C of two, 62.1 and 82.9 °C.
    assert here.information("control-room", everything) == pytest.approx(1.5)


# Weights count: two alternatives of one fault have a quarter each beside a half, 1/4 + 1/4 + 1/2 give 1.5 bit.
def test_the_information_of_unlike_weights():
    either = fault("either", {"sensor.a": math.inf}, {"sensor.b": math.inf})
    here = hunt(either, SCALING).situation
    assert here.weights.tolist() == [0.25, 0.25, 0.5]
    assert here.information("cable-ohms", np.ones(3, bool)) == pytest.approx(1.5)


def test_the_best_tells_most_in_a_minute():
    one = hunt(SCALING, TWO_WIRES, measurements=[DISPLAY, VOLTS, CURRENT, OHMS, SETTINGS])
    everything = np.ones(2, bool)
    advice = best(one.situation, everything, one.minutes_from(one.replay([])))
    # One bit each: display in 2 min, volts in 3, settings in 6, current in 8 + 5; ohms none.
    assert (advice.measurement, advice.bits, advice.minutes) == (DISPLAY, pytest.approx(1.0), 2.0)
    assert advice.rate == pytest.approx(0.5)
    assert best(one.situation, everything, {"cable-ohms": 4.0}) is None
    assert best(one.situation, np.zeros(2, bool), {"display": 2.0}) is None
    assert one.advice(one.replay(["display"])) is None or one.advice(one.replay(["display"])).bits == 0.0


def test_the_best_plan_prepares_and_puts_back():
    plan = hunt(OPEN_A, OPEN_B, measurements=[CONTROL_ROOM, DISPLAY, OHMS]).best_plan()
    assert [act.name for act in plan.acts] == [
        "arrange-bypass",
        "isolate",
        "cable-ohms",
        "restore-power",
        "remove-bypass",
    ]
    assert plan.minutes == 8.0 + 6.0 + 4.0 + 3.0 + 3.0
    assert plan.state == State()


def test_twins_are_told_and_either_is_right():
    one, other = hunt(OPEN_A, SAME_AS_A, OPEN_B), hunt(SAME_AS_A, OPEN_A, OPEN_B)
    assert (one.twins(), other.twins()) == (("same-as-a",), ("open-a",))
    assert hunt(OPEN_B, OPEN_A, SAME_AS_A).twins() == ()
    plan = one.best_plan()
    assert set(remaining(one.situation, plan.left)) == {"open-a", "same-as-a"}
    score = one.score(plan, "same-as-a", OPEN_A.remedy)
    assert (score.diagnosis, score.twins) == (1.0, ("same-as-a",))


PLAN = ["arrange-bypass", "isolate", "cable-ohms", "restore-power", "remove-bypass"]


# Half for the diagnosis, a tenth for the remedy, a fifth each for time and safety; an unsafe order takes half of its
# fifth.
@pytest.mark.parametrize(
    ("acts", "named", "remedy", "parts"),
    [
        (PLAN, "open-a", "mend open-a", (1.0, 1.0, 1.0, 1.0)),
        (PLAN, "open-a", "replace all", (1.0, 0.0, 1.0, 1.0)),
        (PLAN, "open-b", "mend open-a", (0.0, 0.0, 0.0, 1.0)),
        (["input-settings", *PLAN], "open-a", "mend open-a", (1.0, 1.0, 24.0 / 30.0, 1.0)),
        (["cable-ohms", *PLAN], "open-a", "mend open-a", (1.0, 1.0, 24.0 / 25.0, 0.5)),
        (PLAN[:-1], "open-a", "mend open-a", (1.0, 1.0, 1.0, 0.5)),  # bypass left in
        (PLAN[:-2], "open-a", "mend open-a", (1.0, 1.0, 1.0, 0.0)),  # and isolated
        (["cable-ohms"] * 3, "open-b", "", (0.0, 0.0, 0.0, 0.0)),
        ([], "open-a", "mend open-a", (1.0, 1.0, 0.5, 1.0)),  # a guess between two
    ],
)
def test_scores(acts, named, remedy, parts):
    one = hunt(OPEN_A, OPEN_B)
    score = one.score(one.replay(acts), named, remedy)
    assert (score.diagnosis, score.remedy, score.time, score.safety) == pytest.approx(parts)
    assert score.best_minutes == 24.0
    assert score.certainty == pytest.approx(1.0 if PLAN[2] in acts and "isolate" in acts else 0.5)
    assert score.total == pytest.approx(0.5 * parts[0] + 0.1 * parts[1] + 0.2 * parts[2] + 0.2 * parts[3])


def test_a_look_that_confirms_is_not_held_against_anybody():
    one = hunt(SCALING, OPEN_A)
    assert one.best_plan().minutes == 0.0  # the control room told it
    assert one.score(one.replay(["display", "card-volts"]), "scaling", SCALING.remedy).time == 1.0
    longer = one.replay(["display", "card-volts", "input-settings", "card-volts"])
    assert one.score(longer, "scaling", SCALING.remedy).time == pytest.approx(CONFIRMING_MINUTES / 14.0)


def test_a_replay_is_the_same_again():
    acts = ["display", "cable-ohms", *PLAN, "loop-current"]
    one, again = hunt(OPEN_A, OPEN_B).replay(acts), hunt(OPEN_A, OPEN_B).replay(acts)
    assert [(act.name, act.clock, act.findings, act.stopped) for act in one.acts] == [
        (act.name, act.clock, act.findings, act.stopped) for act in again.acts
    ]
    assert np.array_equal(one.left, again.left)
    assert one.state == again.state


def test_unknown_acts_and_missing_preparations():
    one = hunt(OPEN_A, OPEN_B)
    with pytest.raises(NotFound, match="there is no measurement tea"):
        one.replay(["tea"])
    with pytest.raises(ValueError, match="the preparations are"):
        Hunt(one.situation, OPEN_A, one.truth, PREPARATIONS[:2])
    assert set(PREPARED) == set(MINUTES)


def test_a_measurement_that_the_plant_has_not_is_not_offered():
    millivolts = Measurement("panel-millivolts", "Millivolts", "terminals", "millivoltmeter", 3.0)
    assert set(hunt(OPEN_A, OPEN_B, measurements=[DISPLAY, millivolts]).situation.measurements) == {"display"}


# What the gauge is wrong by now it was wrong by over the shift: the course of the case moves with its value.
def test_the_shift_moves_with_the_gauge():
    here = hunt(SCALING, TWO_WIRES, channel=HEATING, value=58.0).situation
    assert here.case(HEATING, 58.0).shift == SHIFT
    assert here.case(HEATING, 58.5).shift.points == ((0.0, 75.0), (3600.0, 75.0))
