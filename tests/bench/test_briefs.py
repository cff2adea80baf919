"""The commissioning tasks: the times of a trade brief, every seed, every wrong setting, every other one that serves."""

from random import Random

import numpy as np
import pytest

from trainer.bench.judging import outcomes_of
from trainer.bench.templates import clock, filled, prose, quantity, worked
from trainer.channel.tables import TableFault, changed, part_from
from trainer.content.bench_files import read_bench
from trainer.content.brief_checks import check_brief, rehearse
from trainer.content.faults import Faults
from trainer.content.folders import shipped

BENCH = read_bench([shipped("question_banks")], Faults())
BRIEFS, SETTINGS = BENCH.briefs, list(BENCH.settings.values())
HOUR = 3600.0

# Times of alarm and of normal from a trade brief's own list, of one simulation [s]; one more alarm comes with the
# sensor break that is added at the end of most courses here.
TIMES = {
    "hold-tube": ([70.5, 152.0], [107.0, 175.0]),
    "frost-watch": ([2685.0, 6720.0], [5593.0, 6900.0]),
    "cold-store": ([12805.0], []),
    "supply-record": ([1240.0], [1800.0]),
    "fermenter": ([9821.0], [18274.0]),
    "pump-bearing": ([836.0], [1400.0]),
    "kiln-zone": ([1275.0, 3015.0], [2368.0, 3300.0]),
    "digester": ([21794.0], [27754.0]),
    # The list has 6083 s for normal: filter, deadband and an off-delay of 60 s give 6126 s here.
    "water-main": ([3435.0], [6126.0]),
    "dosing-flow": ([863.0], [1707.0]),
}


def relay_of(name, wrong=None):
    task = BRIEFS[name].usual()
    if wrong is None:
        return task.reference.relays[0]
    (setting,) = [each for each in task.wrong if each.name == wrong]
    return task.run(task.set_wrong(setting)).relays[0]


def failed(task, channel):
    return [each.name for each in outcomes_of(task, task.run(channel)) if not each.passed]


def test_there_are_twelve_briefs():
    assert [brief.number for brief in BRIEFS.values()] == list(range(1, 13))


@pytest.mark.parametrize("name", TIMES)
def test_the_times_of_the_trade_brief(name):
    alarms, normals = TIMES[name]
    relay = relay_of(name)
    assert relay.times_of("alarm")[: len(alarms)] == pytest.approx(alarms, abs=1.0)
    assert relay.times_of("normal")[: len(normals)] == pytest.approx(normals, abs=1.0)


# 88.6 h and 130.7 h in the same list, of a simulation with a step of 30 s; the last digit is 360 s.
def test_the_times_of_the_silo():
    relay = relay_of("grain-silo")
    assert relay.times_of("alarm")[0] / HOUR == pytest.approx(88.6, abs=0.05)
    assert relay.times_of("normal")[0] / HOUR == pytest.approx(130.7, abs=0.05)


# First call 2.19 h, two starts in 8 h, level 4.03 to 5.97 m without its ripple, in the same list.
def test_the_reservoir_of_the_trade_brief():
    task = BRIEFS["reservoir"].usual()
    record = task.reference
    whole = record.relays[0].times_of("alarm")
    assert whole[0] / HOUR == pytest.approx(2.19, abs=0.005)
    assert len(whole) == 2
    amplitude, period = task.course.ripple
    level = record.process - amplitude * np.sin(2.0 * np.pi * record.times / period)
    turned = level[(record.times > whole[0] - 60.0) & (record.times < 25900.0)]
    assert (turned.min(), turned.max()) == pytest.approx((4.03, 5.97), abs=0.005)


# What single wrong settings do, in the same list: alarms, normals [s] or the number of operations until `end`.
@pytest.mark.parametrize(
    ("name", "wrong", "alarm", "normal"),
    [
        ("hold-tube", "rising", 2.0, None),
        ("frost-watch", "rising", 120.0, None),
        ("cold-store", "no-delay", 3689.0, None),
        ("supply-record", "not-latching", 1240.0, 1542.0),
        ("supply-record", "short-delay", 365.0, None),
        ("fermenter", "deadband-above", 10621.0, 16632.0),
        ("fermenter", "slow-filter", 11484.0, None),
        ("pump-bearing", "bare", 61.0, None),
        ("pump-bearing", "slow-filter", 893.0, None),
        ("pump-bearing", "not-latching", 836.0, 1136.0),
        ("digester", "not-inhibited", 600.0, None),
        ("digester", "short-delay", 21119.0, None),
        ("water-main", "deadband-below", 4569.0, 5828.0),
        # The list has 2612 s for normal; 2617 s here.
        ("dosing-flow", "no-root", 698.0, None),
    ],
)
def test_the_times_of_wrong_settings(name, wrong, alarm, normal):
    relay = relay_of(name, wrong)
    assert relay.times_of("alarm")[0] == pytest.approx(alarm, abs=1.0)
    if normal is not None:
        assert relay.times_of("normal")[0] == pytest.approx(normal, abs=1.0)


@pytest.mark.parametrize(
    ("name", "wrong", "end", "operations"),
    [
        ("hold-tube", "bare", 240.0, 4),
        ("hold-tube", "long-delay", 240.0, 0),
        ("frost-watch", "bare", 7200.0, 6),
        ("frost-watch", "minutes", 7200.0, 0),
        ("fermenter", "bare", 21600.0, 15),
        ("fermenter", "fahrenheit", 21600.0, 0),
        ("pump-bearing", "long-delay", 1800.0, 0),
        ("kiln-zone", "bare", 3600.0, 17),
        ("digester", "bare", 36000.0, 7),
        ("digester", "wide", 36000.0, 0),
        ("grain-silo", "bare", 518400.0, 4),
        ("grain-silo", "long-delay", 518400.0, 0),
        ("dosing-flow", "bare", 3000.0, 16),
    ],
)
def test_how_often_wrong_settings_act(name, wrong, end, operations):
    assert sum(time <= end for time in relay_of(name, wrong).times_of("alarm")) == operations


# The same source on the other convention of the on-delay: with 90 s the real excess trips at 1210 s, or, when the
# timer runs on until the reset value, the first peak does at 445 s.
@pytest.mark.parametrize(("timer", "alarm"), [("alarm condition", 1210.0), ("until reset", 445.0)])
def test_both_conventions_of_the_on_delay(timer, alarm):
    task = BRIEFS["supply-record"].usual().with_timer(timer)
    record = task.run(changed(task.channel, {"relays.0.alarm.on_delay": 90.0}))
    assert record.relays[0].times_of("alarm")[0] == pytest.approx(alarm, abs=1.0)


@pytest.mark.parametrize("name", BRIEFS)
def test_the_reference_passes_for_every_seed(name):
    for seed in range(50):
        task = BRIEFS[name].drawn(seed)
        bad = [each.sentence for each in outcomes_of(task, task.reference) if not each.passed]
        assert not bad, f"seed {seed}"


@pytest.mark.parametrize("name", BRIEFS)
def test_every_wrong_setting_fails_what_it_says(name):
    faults = Faults()
    for seed in range(4):
        rehearse(BRIEFS[name].drawn(seed), SETTINGS, faults)
    assert faults.lines == []


@pytest.mark.parametrize("name", BRIEFS)
def test_other_settings_that_serve_pass(name):
    for seed in range(10):
        task, rng = BRIEFS[name].drawn(seed), Random(seed)
        other = {each.path: each.low + each.step * int(rng.random() * (_steps(each) + 1)) for each in task.spans}
        assert failed(task, changed(task.channel, other)) == [], other


@pytest.mark.parametrize("name", BRIEFS)
def test_both_ends_of_every_span_pass(name):
    task = BRIEFS[name].usual()
    for span in task.spans:
        for end in (span.low, span.high):
            assert failed(task, changed(task.channel, {span.path: end})) == [], span


def _steps(span):
    return round((span.high - span.low) / span.step)


def test_other_wiring_to_the_same_end_passes():
    horn = BRIEFS["fermenter"].usual()
    other = {"relays.0.energized_in_alarm": False, "relays.0.contact": "NC"}
    assert failed(horn, changed(horn.channel, other)) == []
    for action in ("drive low", "hold"):
        assert failed(horn, changed(horn.channel, {"output.on_break": action})) == []
    basin = BRIEFS["reservoir"].usual()
    held = {"output.on_break": "hold", "relays.1.on_break": "alarm"}
    assert failed(basin, changed(basin.channel, held)) == []


def test_a_seed_is_the_same_task_for_ever_and_another_one_another():
    brief = BRIEFS["cold-store"]
    assert brief.drawn(3).channel == brief.drawn(3).channel
    assert len({brief.drawn(seed).channel.relays[0].alarm.set_point for seed in range(30)}) > 5
    for seed in range(30):
        facts = brief.drawn(seed).facts
        for draw in brief.draws:
            steps = (facts[draw.name] - draw.low) / draw.step
            assert steps == pytest.approx(round(steps))
            assert draw.low <= facts[draw.name] <= draw.high + 1e-9


@pytest.mark.parametrize("name", BRIEFS)
def test_the_course_goes_with_the_set_point(name):
    def distance(task):
        alarm, where = task.channel.relays[0].alarm, task.reservoir
        return alarm.set_point - (where.start if where else task.course.points[0][1])

    assert distance(BRIEFS[name].drawn(7)) == pytest.approx(distance(BRIEFS[name].usual()))


@pytest.mark.parametrize("name", BRIEFS)
def test_texts_are_filled_in_and_plain(name):
    task = BRIEFS[name].drawn(1)
    texts = [
        task.text,
        *task.brief.cautions,
        *(each.shows for each in task.wrong),
        *(each.text for each in task.questions),
    ]
    texts += [each.says for each in task.requirements]
    for text in texts:
        assert text[0].isalnum()
        assert not set("{}!") & set(text)
    assert len(task.questions) == 2
    assert quantity(task.channel.relays[0].alarm.set_point, task.brief.unit) in task.text


def test_wrong_settings_are_known_again():
    task = BRIEFS["hold-tube"].usual()
    channel = changed(task.channel, {"relays.0.alarm.on_delay": 30.0, "output.on_break": "hold"})
    assert [each.name for each in task.wrong_in(channel)] == ["long-delay", "hold"]
    assert task.wrong_in(task.channel) == []


# The level is made step by step, the record by another program from the level: both must know of the same calls.
@pytest.mark.parametrize("delay", [0.0, 3.0, 5.0, 30.0])
@pytest.mark.parametrize("filter_", [0.0, 4.0, 20.0])
@pytest.mark.parametrize("deadband", [0.05, 0.4, 1.8])
def test_the_pump_and_the_relay_of_the_record_agree(delay, filter_, deadband):
    brief = BRIEFS["reservoir"]
    task = brief.usual()
    changes = {"relays.0.alarm.on_delay": delay, "filter": filter_, "relays.0.alarm.deadband": deadband}
    record = task.run(changed(task.channel, changes))
    amplitude, period = task.course.ripple
    level = record.process - amplitude * np.sin(2.0 * np.pi * record.times / period)
    rises = np.diff(level) > 0.0
    assert (rises == record.relays[0].closed[:-1]).all()


def test_expressions_and_places():
    facts = {"sp": -18.0, "unit": "°C", "difference": "K", "word": "cold"}
    assert worked("sp + 4", facts) == -14.0
    assert filled({"a": ["= 2 * sp", "{word}"], "b": 3}, facts) == {"a": [-36.0, "cold"], "b": 3}
    assert prose("{sp:unit}, {2 / 3:difference}, {word}", facts) == "−18\u00a0°C, 0.667\u00a0K, cold"
    assert [clock(70.5), clock(43200.0)] == ["70.5\u00a0s", "12.0\u00a0h"]
    for wrong in ("sp +", "spp + 1", "1 / 0", "sp.real"):
        with pytest.raises(TableFault):
            worked(wrong, facts)


def test_faults_of_a_brief_are_told():
    table = {
        "name": "bad", "number": 99, "title": "Bad", "place": "kiln", "unit": "°C", "text": "{nothing}", "channel": {},
        "course": {}, "requirements": [], "draws": [], "skills": [],
    }  # fmt: skip
    faults = Faults()
    check_brief(part_from(type(BRIEFS["hold-tube"]), table), SETTINGS, faults)
    assert len(faults.lines) == 1
    assert "sensor is missing" in faults.lines[0]
