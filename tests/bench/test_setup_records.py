"""The form of a setup, its record on file, the checks on paper, copies and comparisons."""

import json
from dataclasses import replace
from random import Random

import pytest

from trainer.bench.consistency import consistency
from trainer.bench.copies import as_found, compared
from trainer.bench.setup_forms import QUESTIONS, fields_of, read_form
from trainer.bench.setup_records import RecordFault, SetupRecord, channel_of, from_json, reference_record
from trainer.channel.tables import changed
from trainer.content.bench_files import read_bench
from trainer.content.faults import Faults
from trainer.content.folders import shipped

BENCH = read_bench([shipped("question_banks")], Faults())
SETTINGS = list(BENCH.settings.values())
TASK = BENCH.briefs["cold-store"].usual()
RECORD = reference_record(TASK, SETTINGS, tag="TT-310")
FIELDS = fields_of(SETTINGS, TASK, 1)


def field(path, fields=FIELDS):
    (found,) = [each for each in fields if each.path == path]
    return found


@pytest.mark.parametrize("name", BENCH.briefs)
def test_a_record_describes_its_channel(name):
    task = BENCH.briefs[name].drawn(5)
    assert channel_of(task, SETTINGS, reference_record(task, SETTINGS)) == task.channel


def test_fields_come_by_questions_and_relays():
    groups = [each.group for each in fields_of(SETTINGS, TASK, 4)]
    assert list(dict.fromkeys(groups)) == list(QUESTIONS)
    paths = [each.path for each in fields_of(SETTINGS, TASK, 4)]
    assert len(paths) == len(set(paths))
    assert "relays.3.alarm.set_point" in paths
    assert not any(path.startswith("relays.") for path in (each.path for each in fields_of(SETTINGS, TASK, 0)))
    with pytest.raises(ValueError, match="0 to 4 relays"):
        fields_of(SETTINGS, TASK, 5)


def test_fields_fit_the_sensor():
    kiln = {each.path for each in fields_of(SETTINGS, BENCH.briefs["kiln-zone"].usual(), 1)}
    flow = {each.path for each in fields_of(SETTINGS, BENCH.briefs["dosing-flow"].usual(), 1)}
    assert "input.compensation" in kiln - flow
    assert "input.root" in flow - kiln
    assert "input.wires" not in kiln | flow
    assert field("relays.0.alarm.deadband").unit == "°C (difference)"
    assert field("output.upper").unit == "°C"


@pytest.mark.parametrize("name", BENCH.briefs)
def test_one_reason_of_those_offered_holds(name):
    for seed in range(10):
        task = BENCH.briefs[name].drawn(seed)
        record = reference_record(task, SETTINGS)
        for each in fields_of(SETTINGS, task, record.relays):
            if each.reasons:
                (right,) = each.right_reasons(task, record.values[each.path])
                assert right in each.reasons
                assert len(set(each.reasons)) == len(each.reasons) >= 2


def test_the_right_reason_is_not_always_first():
    places = set()
    for seed in range(20):
        task = BENCH.briefs["cold-store"].drawn(seed)
        each = field("relays.0.alarm.on_delay", fields_of(SETTINGS, task, 1))
        places.add(each.reasons.index(each.right_reasons(task, 1200.0)[0]))
    assert places == {0, 1, 2}


@pytest.mark.parametrize(
    ("path", "text", "value"),
    [
        ("relays.0.alarm.on_delay", "20 min", 1200.0),
        ("relays.0.alarm.on_delay", "1200", 1200.0),
        ("relays.0.alarm.set_point", "\u221218", -18.0),
        ("relays.0.alarm.set_point", "-0,4 °F", -18.0),
        ("relays.0.alarm.deadband", "1,5 K", 1.5),
        ("relays.0.alarm.deadband", "2.7 °F", 1.5),
        ("filter", "1 min", 60.0),
        ("relays.0.alarm.direction", "Rising", "rising"),
        ("relays.0.alarm.latching", "no", False),
        ("output.signal", "1-5 V", "1-5 V"),
        ("output.fault_high", "0.0215 A", 21.5),
        ("scaling.raw_low", "819", 819.0),
    ],
)
def test_what_is_typed_is_read(path, text, value):
    draft = read_form(FIELDS, {path: text})
    assert draft.errors == {}
    assert draft.values[path] == (pytest.approx(value) if isinstance(value, float) else value)


@pytest.mark.parametrize(
    ("path", "text", "sentence"),
    [
        ("filter", "slow", "slow is not a number"),
        ("filter", "-1", "cannot be set here: it may be 0"),
        ("filter", "3 mA", "mA is not a unit of this setting: a value in s"),
        ("scaling.raw_low", "4 mA", "mA is not a unit of this setting: a value in counts"),
        ("relays.0.alarm.direction", "up", "Choose one of: rising; falling."),
        ("output.fault_low", "5", "may be 0\u00a0mA to 4\u00a0mA"),
        ("filter", "1,000", "can be read in two ways"),
    ],
)
def test_what_cannot_be_read_is_said_for_its_field(path, text, sentence):
    draft = read_form(FIELDS, {path: text, "output.lower": "-40"})
    assert sentence in draft.errors[path]
    assert draft.values == {"output.lower": -40.0}


def test_a_draft_may_have_holes():
    draft = read_form(FIELDS, {"filter": "  ", "output.lower": "-40"})
    assert (draft.values, draft.errors) == ({"output.lower": -40.0}, {})
    with pytest.raises(RecordFault, match="Not set yet: Resistance of the element"):
        channel_of(TASK, SETTINGS, replace(RECORD, values=draft.values))


def test_a_record_comes_back_from_its_file():
    again = from_json(RECORD.to_json())
    assert again == RECORD
    assert channel_of(TASK, SETTINGS, again) == TASK.channel


def test_the_checksum_is_that_of_what_is_said():
    assert replace(RECORD, values=dict(reversed(RECORD.values.items()))).checksum == RECORD.checksum
    assert replace(RECORD, revision=7).checksum == RECORD.checksum
    others = [replace(RECORD, tag="TT-311"), replace(RECORD, values={**RECORD.values, "filter": 61.0})]
    assert len({RECORD.checksum, *(each.checksum for each in others)}) == 3
    assert RECORD.revised(others[0]).revision == 2
    assert RECORD.revised(replace(RECORD)).revision == 1


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"version": 2}, "no setup record of version 1"),
        ({"tag": 3}, "no usable tag"),
        ({"revision": True}, "no usable revision"),
        ({"values": {"filter": [1]}}, "no usable value of filter"),
        ({"reasons": {"filter": 1}}, "no usable reason of filter"),
        ({"tag": "TT-999"}, "The checksum of the setup record is"),
    ],
)
def test_a_file_that_is_no_record(changes, sentence):
    text = json.dumps({**json.loads(RECORD.to_json()), **changes})
    with pytest.raises(RecordFault, match=sentence):
        from_json(text)


@pytest.mark.parametrize("text", ["", "[1]", "{", "[" * 100_000])
def test_a_text_that_is_no_record(text):
    with pytest.raises(RecordFault, match="no setup record"):
        from_json(text)


def failing(changes, task=TASK):
    channel = changed(task.channel, changes)
    return {each.name for each in consistency(task, reference_record(task, SETTINGS), channel) if not each.passed}


@pytest.mark.parametrize(
    ("changes", "names"),
    [
        ({}, set()),
        ({"scaling.upper": 60.0}, {"output and scaling"}),
        ({"output.upper": 50.0, "scaling.upper": 50.0}, {"range of the brief"}),
        (
            {"output.upper": -40.0, "output.lower": 40.0, "scaling.upper": -40.0, "scaling.lower": 40.0},
            {"range of the brief", "lower below upper"},
        ),
        ({"scaling.unit": "°F"}, {"unit"}),
        ({"output.signal": {"low": 4.0, "high": 20.0, "unit": "mA"}}, {"signal and card", "raw limits"}),
        ({"output.signal": {"low": 0.0, "high": 5.0, "unit": "V"}}, {"signal and card", "raw limits"}),
        ({"scaling.raw_low": 0.0}, {"raw limits"}),
        ({"output.fault_low": 3.8}, {"fault levels"}),
        ({"output.fault_high": 20.5}, {"fault levels"}),
        ({"input.wires": 2}, {"wires"}),
        ({"input.wires": 4}, {"wires"}),
        ({"input.allowance": 3.0}, {"wires"}),
        ({"relays.0.alarm.set_point": 45.0}, {"relay 1 inside the range"}),
        ({"relays.0.alarm.deadband": 30.0}, {"relay 1 inside the range"}),
        ({"relays.0.alarm.deadband": 3.0}, set()),
    ],
)
def test_settings_must_agree(changes, names):
    assert failing(changes) == names


# 12 bits for 0 to 10 V: 1 V and 5 V are 4095 / 10 and 4095 / 2 counts, 409.5 and 2047.5; either rounding will do.
@pytest.mark.parametrize("raw", [409.0, 410.0])
def test_raw_limits_may_be_rounded_either_way(raw):
    assert failing({"scaling.raw_low": raw, "scaling.raw_high": 2047.0}) == set()


def test_the_root_is_taken_once():
    flow = BENCH.briefs["dosing-flow"].usual()
    assert failing({"input.root": False}, flow) == {"square root"}
    assert failing({"scaling.root": True}, flow) == {"square root"}
    assert failing({"input.root": False, "scaling.root": True}, flow) == set()


def test_the_coil_needs_its_reason():
    reasons = {path: text for path, text in RECORD.reasons.items() if "energized" not in path}
    checks = consistency(TASK, replace(RECORD, reasons=reasons), TASK.channel)
    assert [each.name for each in checks if not each.passed] == ["coil of relay 1"]


SISTERS = [
    BENCH.sisters[name].drawn(BENCH.briefs[BENCH.sisters[name].brief], SETTINGS, seed)
    for name in BENCH.sisters
    for seed in range(3)
]


def test_there_are_sisters():
    assert len(BENCH.sisters) >= 3


@pytest.mark.parametrize("task", SISTERS, ids=lambda task: f"{task.sister.name} {task.task.seed}")
def test_a_copy_is_judged_by_what_the_sister_needs(task):
    assert task.faults(task.right) == ()
    assert task.score(task.right) == 1.0
    copied = task.faults(task.source)
    assert {each.path for each in copied} == {each.path for each in task.needs}
    assert {each.kind for each in copied} == {"copied"}
    assert task.score(task.source) == 0.0
    for each in copied:
        assert "was copied" in each.sentence


def test_what_else_can_be_wrong_with_a_copy():
    task = SISTERS[0]
    values = {**task.right.values, "input.allowance": 1.0, "filter": 5.0}
    del values["output.upper"]
    faults = {each.path: each.kind for each in task.faults(replace(task.right, values=values))}
    assert faults == {"input.allowance": "wrong", "filter": "changed", "output.upper": "missing"}
    assert task.score(replace(task.right, values=values)) == pytest.approx(0.25)


# 1 V and 5 V on 10 V at 14 bits: 16383 / 10 = 1638.3 and 8191.5 counts, a half rounded upwards.
def test_the_raw_limits_of_the_spare_pump():
    (task,) = [each for each in SISTERS if each.sister.name == "second-bearing" and each.task.seed == 0]
    values = task.right.values
    assert (values["scaling.raw_low"], values["scaling.raw_high"]) == (1638, 8192)


@pytest.mark.parametrize("name", BENCH.briefs)
def test_drawn_differences_are_found_missed_and_false(name):
    task = BENCH.briefs[name].usual()
    record = reference_record(task, SETTINGS)
    fields = fields_of(SETTINGS, task, record.relays)
    for seed in range(5):
        found, drawn = as_found(record, fields, list(BENCH.differences.values()), Random(seed), 3)
        paths = [each.path for each in drawn]
        assert len(set(paths)) == 3
        assert set(compared(record, found, paths).found) == set(paths)
        some = compared(record, found, [paths[0], "tag"])
        assert (set(some.found), set(some.missed), some.false) == ({paths[0]}, set(paths[1:]), ("tag",))
        assert some.score == 0.0
        assert compared(record, found, paths[:2]).score == pytest.approx(2.0 / 3.0)
    assert compared(record, record, []).score == 1.0


def test_an_empty_record_has_no_relays():
    assert SetupRecord("cold-store", 0).relays == 0
    assert SetupRecord("cold-store", 0, values={"relays": "many"}).relays == 0
