"""The shipped rigs with all that can be wrong with them: every fault can be found, and none is ruled out wrongly."""

import math
import string
from functools import cache
from random import Random

import pytest
from rigs import DAIRY

from trainer.bench.faults import Fault, Grid, hidden, injected, suspects_of
from trainer.bench.hunts import Hunt, State
from trainer.bench.plans import Situation, remaining
from trainer.channel.tables import TableFault, changed, value_at
from trainer.content.bench_files import read_bench
from trainer.content.faults import Faults
from trainer.content.folders import shipped

BENCH = read_bench([shipped("question_banks")], Faults())
CASES = [(rig, fault) for rig in BENCH.rigs.values() for fault in BENCH.faults_of(rig)]


def situation(rig, seed):
    return drawn_situation(rig.name, seed)


@cache
def drawn_situation(name, seed):
    rig = BENCH.rigs[name]
    channel, value = rig.drawn(Random(seed))
    suspects = suspects_of(channel, BENCH.faults_of(rig))
    return Situation(channel, suspects, list(BENCH.measurements.values()), value, rig.gauge, rig.unit, rig.shift)


# Of trade-brief scenarios there are forty.
def test_every_fault_has_its_number():
    assert sorted(fault.number for fault in BENCH.faults.values()) == list(range(1, 41))


@pytest.mark.parametrize("fault", BENCH.faults.values(), ids=lambda fault: fault.name)
def test_the_texts_of_a_fault(fault):
    for changes in fault.changes:
        fields = {field for _, field, _, _ in string.Formatter().parse(fault.told(changes)) if field is not None}
        assert fields <= {"shown", "unit"}
    assert len({fault.remedy, *fault.other_remedies}) == 1 + len(fault.other_remedies) >= 3
    assert all((fault.proof, fault.tell_tale, fault.symptom))
    assert fault.healthy == (fault.name == "latched")


@pytest.mark.parametrize(("rig", "fault"), CASES, ids=lambda each: each.name)
def test_a_fault_shows_somewhere(rig, fault):
    channel, value = rig.drawn(Random(1))
    here = situation(rig, 1)
    sound = {name: each.findings(here.case(channel, value)) for name, each in here.measurements.items()}
    for changes in fault.fitting(channel):
        for size in (0.0, 0.5, 1.0):
            case = here.case(injected(channel, changes, size), value)
            differing = [name for name, each in here.measurements.items() if each.findings(case) != sound[name]]
            assert bool(differing) != fault.healthy


# Sizes and gauge errors between those that the predictions were made for.
@pytest.mark.parametrize("seed", [3, 4])
@pytest.mark.parametrize("rig", BENCH.rigs.values(), ids=lambda rig: rig.name)
def test_the_truth_is_never_excluded(rig, seed):
    here, rng = situation(rig, seed), Random(seed)
    for fault in BENCH.faults_of(rig):
        for changes in fault.fitting(here.approved):
            for _ in range(2):
                error = rig.gauge * (2.0 * rng.random() - 1.0)
                case = here.case(injected(here.approved, changes, rng.random()), here.value + error)
                for name in here.measurements:
                    assert fault.name in remaining(here, here.agreeing(name, case)), (fault.name, changes, name)


@pytest.mark.parametrize("rig", BENCH.rigs.values(), ids=lambda rig: rig.name)
def test_the_best_plan_finds_every_fault(rig):
    here, rng = situation(rig, 5), Random(5)
    for fault in BENCH.faults_of(rig):
        for changes in fault.fitting(here.approved):
            error = rig.gauge * (2.0 * rng.random() - 1.0)
            case = here.case(injected(here.approved, changes, rng.random()), here.value + error)
            hunt = Hunt(here, fault, case, list(BENCH.preparations.values()))
            plan = hunt.best_plan()
            assert set(remaining(here, plan.left)) == {fault.name, *hunt.twins()}
            assert plan.state == State()
            assert all(not act.stopped for act in plan.acts)


def test_suspects_weigh_by_fault_then_by_alternative_then_by_size():
    one = Fault("one", 1, "", (), "", ({"sensor.a": math.inf}, {"sensor.c": math.inf}), "", "", "")
    other = Fault("other", 2, "", (), "", ({"sensor.b": {"plus": [1.0, 4.0]}},), "", "", "")
    suspects = suspects_of(DAIRY, [one, other])
    assert [each.weight for each in suspects] == [0.25, 0.25, 0.125, 0.125, 0.125, 0.125]
    # The parts of a range follow one another, each as wide in its ratio: 4 to the power of a quarter.
    ends = [[round(value_at(channel, "sensor.b") - 1.6, 9) for channel in each.channels] for each in suspects[2:]]
    assert [each[0] for each in ends] == pytest.approx([1.0, 4**0.25, 2.0, 4**0.75])
    assert [each[-1] for each in ends] == pytest.approx([4**0.25, 2.0, 4**0.75, 4.0])
    assert all(each[1] == pytest.approx(math.sqrt(each[0] * each[2])) for each in ends)


@pytest.mark.parametrize(
    ("change", "size", "value"),
    [
        (3.2, 0.0, 3.2),
        ({"plus": 2.0}, 0.9, 3.6),
        ({"plus": [2.0, 8.0]}, 0.5, 1.6 + 4.0),
        ({"times": [0.5, 0.5]}, 0.3, 0.8),
        ({"between": [-3.0, 5.0]}, 0.25, -1.0),  # across zero the steps are even
        ({"between": [1500.0, 12000.0]}, 0.5, math.sqrt(1500.0 * 12000.0)),
    ],
)
def test_how_large_a_fault_is(change, size, value):
    assert value_at(injected(DAIRY, {"sensor.a": change}, size), "sensor.a") == pytest.approx(value)


@pytest.mark.parametrize("amount", [[1.0], [1.0, 2.0, 3.0], "much", [1.0, math.inf]])
def test_a_size_that_is_none(amount):
    with pytest.raises(TableFault, match=r"sensor\.a: plus takes a number, or two"):
        injected(DAIRY, {"sensor.a": {"plus": amount}})
    with pytest.raises(TableFault, match="needs a number there"):
        injected(DAIRY, {"sensor.landed": {"plus": 1.0}})


def test_alternatives_are_those_that_fit():
    fault = Fault(
        "f",
        1,
        "",
        ("kiln",),
        "all",
        ({"sensor.a": 1.6}, {"sensor.a": 2.0, "rigs": ["kiln"], "symptom": "own"}),
        "",
        "",
        "",
    )
    assert [fault.told(each) for each in fault.fitting(DAIRY)] == ["own"]
    assert fault.on("dairy").fitting(DAIRY) == []
    assert fault.on("kiln").fitting(DAIRY) == [fault.changes[1]]


def test_what_is_hidden_is_drawn_again_by_its_seed():
    rig = BENCH.rigs["dairy-outlet"]
    faults = BENCH.faults_of(rig)
    drawn = [hidden(rig.channel, faults, Random(seed)) for seed in range(300)]
    assert drawn == [hidden(rig.channel, faults, Random(seed)) for seed in range(300)]
    assert {each.fault.name for each in drawn} == {fault.name for fault in faults}
    assert all(each.fault.healthy or each.channel != rig.channel for each in drawn)


def test_a_rig_is_drawn_within_its_grids():
    rig = BENCH.rigs["dairy-outlet"]
    for seed in range(50):
        channel, value = rig.drawn(Random(seed))
        lead = channel.sensor.a
        assert rig.value.low <= value <= rig.value.high
        assert channel == changed(rig.channel, dict.fromkeys(("sensor.a", "sensor.b", "sensor.c"), lead))
        assert lead in [1.0, 1.2, 1.4, 1.6, 1.8, 2.0, 2.2, 2.4]


@pytest.mark.parametrize(("low", "high", "step"), [(1.0, 2.0, 0.0), (2.0, 1.0, 0.5), (math.nan, 1.0, 0.1)])
def test_a_grid_of_nothing(low, high, step):
    with pytest.raises(ValueError, match="there is nothing from"):
        Grid(low, high, step)
