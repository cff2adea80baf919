"""Requirements judged over records made by hand, whole setups, predictions, scores."""

import math
from dataclasses import replace
from random import Random

import numpy as np
import pytest

from trainer.bench.judging import SHARES, judge
from trainer.bench.predictions import Question, marked
from trainer.bench.requirements import Requirement, Run
from trainer.bench.setup_forms import fields_of
from trainer.bench.setup_records import SetupRecord, reference_record
from trainer.calculations.relays import Event
from trainer.calculations.signals import V_1_5
from trainer.channel.simulation import Record, RelayRecord
from trainer.content.bench_files import read_bench
from trainer.content.faults import Faults
from trainer.content.folders import shipped

BENCH = read_bench([shipped("question_banks")], Faults())
SETTINGS = list(BENCH.settings.values())
TIMES = np.arange(0.0, 101.0)


def record_of(*events, received=12.0, shown=50.0, process=50.0, relays=1):
    """A record of 100 s with relays that did what is listed as (time, what)."""
    state = np.zeros(TIMES.shape, bool)
    for time, what in events:
        if what in ("alarm", "normal"):
            state[time <= TIMES] = what == "alarm"
    relay = RelayRecord(tuple(Event(*each) for each in events), state, ~state, ~state)
    full = np.ones(TIMES.shape)
    return Record(TIMES, process * full, full, full, full, received * full, full, full, shown * full, (relay,) * relays)


BLIP = record_of((20.0, "alarm"), (40.0, "normal"), (60.0, "alarm"))
LATCH = record_of((20.0, "alarm"), (30.0, "reset refused"), (70.0, "reset"), (70.0, "normal"))


@pytest.mark.parametrize(
    ("record", "wanted", "passed", "time"),
    [
        (BLIP, {"kind": "in alarm during", "start": 20, "end": 39}, True, None),
        (BLIP, {"kind": "in alarm during", "start": 20, "end": 45}, False, 40.0),
        (BLIP, {"kind": "normal during", "start": 0, "end": 19}, True, None),
        (BLIP, {"kind": "normal during", "start": 0, "end": 30}, False, 20.0),
        (BLIP, {"kind": "acts between", "start": 10, "end": 25}, True, 20.0),
        (BLIP, {"kind": "acts between", "start": 0, "end": 15}, False, 20.0),
        (BLIP, {"kind": "acts between", "start": 30, "end": 80}, False, 30.0),
        (BLIP, {"kind": "acts between", "start": 61, "end": 80}, False, 61.0),
        (BLIP, {"kind": "lets go between", "start": 30, "end": 45}, True, 40.0),
        (BLIP, {"kind": "lets go between", "start": 61}, False, 100.0),
        (BLIP, {"kind": "operations at most", "most": 2}, True, None),
        (BLIP, {"kind": "operations at most", "most": 1}, False, 60.0),
        (BLIP, {"kind": "operations at most", "most": 1, "end": 50}, True, None),
        (BLIP, {"kind": "contact during", "closed": False, "start": 20, "end": 39}, True, None),
        (BLIP, {"kind": "contact during", "closed": True, "start": 0, "end": 30}, False, 20.0),
        (LATCH, {"kind": "latched until reset", "start": 25, "end": 70}, True, 70.0),
        (LATCH, {"kind": "latched until reset", "start": 25, "end": 60}, False, 60.0),
        (LATCH, {"kind": "latched until reset", "start": 25, "end": 80}, False, 70.0),
        (LATCH, {"kind": "latched until reset", "start": 5, "end": 70}, False, 5.0),
        (BLIP, {"kind": "latched until reset", "start": 25, "end": 70}, False, 40.0),
        (BLIP, {"kind": "latched until reset", "start": 65, "end": 70}, False, 70.0),
        (BLIP, {"kind": "normal during", "relay": 2}, False, None),
        (record_of(shown=50.4), {"kind": "shown within", "within": 0.5}, True, None),
        (record_of(shown=50.6), {"kind": "shown within", "within": 0.5}, False, 0.0),
        # Fault levels of a 4-20 mA loop: 3.6 mA and below, 21.0 mA and above (NAMUR NE 43, edition of 2003).
        (record_of(received=3.6), {"kind": "fault signal during", "side": "low"}, True, None),
        (record_of(received=3.7), {"kind": "fault signal during", "side": "low"}, False, 0.0),
        (record_of(received=21.0), {"kind": "fault signal during", "side": "high"}, True, None),
        (record_of(received=20.9), {"kind": "fault signal during", "side": "high"}, False, 0.0),
        (record_of(received=21.5), {"kind": "fault signal during"}, True, None),
        (record_of(received=12.0), {"kind": "fault signal during"}, False, 0.0),
        (record_of(process=4.0), {"kind": "level between", "low": 3.0, "high": 7.0}, True, None),
        (record_of(process=7.5), {"kind": "level between", "low": 3.0, "high": 7.0}, False, 0.0),
    ],
)
def test_requirements(record, wanted, passed, time):
    outcome = Run(record, unit="°C").outcome(Requirement(name="it", says="It does.", **wanted))
    assert (outcome.passed, outcome.time) == (passed, time)
    assert outcome.sentence.endswith(".")
    assert "!" not in outcome.sentence


# 21.0 mA on 250 Ω is 5.25 V.
@pytest.mark.parametrize(("volts", "passed"), [(5.24, False), (5.25, True)])
def test_fault_levels_of_a_voltage(volts, passed):
    wanted = Requirement(name="it", says="", kind="fault signal during", side="high")
    assert Run(record_of(received=volts), V_1_5).outcome(wanted).passed is passed


def test_sentences_have_numbers():
    run = Run(BLIP, unit="°C")
    late = Requirement(name="it", says="", kind="acts between", start=0.0, end=15.0)
    said = run.outcome(late).sentence.replace("\u00a0", " ")
    assert said == "Relay 1 goes into alarm at 20 s, 5 s too late: wanted by 15 s."


@pytest.mark.parametrize(
    ("ask", "typed", "right"),
    [
        ({"ask": "first alarm", "tolerance": 2.0, "unit": "s"}, "21", True),
        ({"ask": "first alarm", "tolerance": 2.0, "unit": "s"}, "0,35 min", True),
        ({"ask": "first alarm", "tolerance": 2.0, "unit": "s"}, "23", False),
        ({"ask": "first alarm", "tolerance": 0.01, "unit": "min"}, "0.333", True),
        ({"ask": "first alarm", "time": 70.0, "unit": "s"}, "Never", True),
        ({"ask": "first alarm", "relay": 2, "unit": "s"}, "never", True),
        ({"ask": "first normal", "tolerance": 1.0, "unit": "s"}, "40", True),
        ({"ask": "operations"}, "2", True),
        ({"ask": "operations"}, "3", False),
        ({"ask": "received at", "time": 50.0, "unit": "mA", "tolerance": 0.1}, "0.012 A", True),
        ({"ask": "shown at", "time": 50.0, "unit": "°C", "tolerance": 1.0}, "122 °F", True),
        ({"ask": "in alarm at", "time": 30.0}, "yes", True),
        ({"ask": "in alarm at", "time": 50.0}, "yes", False),
        ({"ask": "contact at", "time": 30.0}, "open", True),
    ],
)
def test_predictions(ask, typed, right):
    (mark,) = marked([Question(name="it", text="What?", **ask)], BLIP, {"it": typed})
    assert (mark.right, mark.error) == (right, "")


@pytest.mark.parametrize("typed", ["soon", "12 mA", "4 5"])
def test_a_prediction_that_cannot_be_read(typed):
    (mark,) = marked([Question(name="it", text="When?", ask="first alarm", unit="s")], BLIP, {"it": typed})
    assert not mark.right
    assert mark.error


def test_without_a_record_or_an_answer_nothing_is_right():
    question = Question(name="it", text="When?", ask="first alarm", unit="s", tolerance=math.inf)
    assert not marked([question], None, {"it": "20"})[0].right
    assert not marked([question], BLIP, {})[0].right


def task_and_record(name="cold-store"):
    task = BENCH.briefs[name].usual()
    return task, reference_record(task, SETTINGS, tag="TT-310")


def right_answers(task):
    found = {each.name: each.answer(task.reference) for each in task.questions}
    return {name: value if isinstance(value, str) else f"{value:.4f}" for name, value in found.items()}


@pytest.mark.parametrize("name", BENCH.briefs)
def test_the_reference_gets_everything(name):
    task, record = task_and_record(name)
    judged = judge(task, SETTINGS, record, right_answers(task))
    assert judged.passed
    assert judged.total == pytest.approx(1.0)
    assert judged.known == ()


# 40 % settings, 30 % reasons, 30 % reading of the trace: the scoring of the trade brief.
def test_the_three_parts_of_the_score():
    task, record = task_and_record()
    assert SHARES == {"settings": 0.4, "reasons": 0.3, "reading": 0.3}
    silent = judge(task, SETTINGS, record)
    assert (silent.settings, silent.reasoning, silent.reading) == (1.0, 1.0, 0.0)
    assert silent.total == pytest.approx(0.7)
    half = dict(list(right_answers(task).items())[:1])
    assert judge(task, SETTINGS, record, half).total == pytest.approx(0.85)


def test_a_wrong_setting_shows_in_the_judgment():
    task, record = task_and_record()
    judged = judge(task, SETTINGS, replace(record, values={**record.values, "output.on_break": "drive low"}))
    assert not judged.passed
    assert [each.name for each in judged.known] == ["drive-low"]
    assert {each.name for each in judged.outcomes if not each.passed} == {"stays", "fault-signal"}
    assert judged.settings == pytest.approx(1.0 - 2.0 / len(judged.met))


def test_reasons_offered_and_written():
    task, record = task_and_record()
    path = "relays.0.alarm.on_delay"
    wrong = "None: an alarm that waits is no alarm."
    for reason, verdict in [
        (wrong, "wrong"),
        ("", "missing"),
        (record.reasons[path], "right"),
        ("Because the door is slow.", "to be read"),
    ]:
        given = replace(record, reasons={**record.reasons, path: reason})
        judged = judge(task, SETTINGS, given)
        assert {each.path: each.verdict for each in judged.reasons}[path] == verdict
        assert judged.pending == ((path,) if verdict == "to be read" else ())
        assert (judged.reasoning == 1.0) == (verdict == "right")
    assert judge(task, SETTINGS, given, accepted=[path]).reasoning == 1.0


def test_a_draft_is_judged_but_not_run():
    task, record = task_and_record()
    values = {path: value for path, value in record.values.items() if path != "relays.0.alarm.deadband"}
    judged = judge(task, SETTINGS, replace(record, values=values), {"first": "12805"})
    assert not any(each.passed for each in judged.outcomes)
    assert judged.reading == 0.0
    said = {each.name: each.sentence for each in judged.checks if not each.passed}
    assert said["Who is told, and when"] == "Not set yet: Relay 1: Deadband."


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("scaling.raw_high", 409.0),
        ("filter", "slow"),
        ("filter", math.inf),
        ("output.signal", "3-15 psi"),
        ("relays", "9"),
    ],
)
def test_what_cannot_stand_is_judged_too(path, value):
    task, record = task_and_record()
    low = task.channel.scaling.raw_low
    changed = {**record.values, path: low if path == "scaling.raw_high" else value}
    judged = judge(task, SETTINGS, replace(record, values=changed))
    assert not judged.passed
    assert not any(each.passed for each in judged.outcomes)


def drawn_value(field, rng):
    """Anything that the form would let through."""
    if field.kind == "yes-no":
        return rng.random() < 0.5
    if field.kind == "choice":
        return field.options[int(rng.random() * len(field.options))]
    low, high = field.setting.low, field.setting.high
    return [low, high, low + (high - low) * rng.random(), min(max(100.0 * rng.random(), low), high)][
        int(rng.random() * 4)
    ]


# Warnings are errors here, those of numpy too.
@pytest.mark.parametrize("name", BENCH.briefs)
def test_any_setup_can_be_judged(name):
    rng = Random(name)
    for seed in range(8):
        task = BENCH.briefs[name].drawn(seed)
        good = reference_record(task, SETTINGS).values
        values = {"relays": str(seed % 5)}
        for each in fields_of(SETTINGS, task, seed % 5):
            kept = each.path in good and rng.random() < 0.6
            values.setdefault(each.path, good[each.path] if kept else drawn_value(each, rng))
        judged = judge(task, SETTINGS, SetupRecord(name, seed, "1", "Air", values), {"first": "1 h"})
        assert 0.0 <= judged.total < 1.0
        assert len(judged.outcomes) == len(task.requirements)
