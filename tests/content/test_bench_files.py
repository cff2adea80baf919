"""The files of the bench: those shipped are sound, one's own come on top, every fault is told at once."""

import time
from dataclasses import replace

import pytest

from trainer.content.bench_files import read_bench
from trainer.content.faults import Faults
from trainer.content.folders import shipped
from trainer.content.library import check, read_library, read_with, with_own
from trainer.content.shelf import Shelf

SHIPPED = read_library()
RIG = """
[[rig]]
name = "drying-room"
title = "Air of a drying room"
place = "tannery"
unit = "°C"
text = "A four-wire Pt100, 0 to 80 °C."
value = { low = 30.0, high = 60.0, step = 0.5 }
gauge = 0.5
faults = ["wrong-burden", "open-four-wire"]
[rig.channel]
sensor = { kind = "resistance", law = { kind = "resistance" }, a = 1.0, b = 1.0, c = 1.0, d = 1.0 }
input = { law = { kind = "resistance" }, wires = 4 }
output = { lower = 0.0, upper = 80.0 }
loop = {}
card = {}
scaling = { raw_low = 819.0, raw_high = 4095.0, lower = 0.0, upper = 80.0, unit = "°C" }
[rig.shift]
points = [[0.0, 45.0], [3600.0, 45.0]]
"""
FAULT = """
[[fault]]
name = "own-fault"
number = 41
title = "Own"
rigs = ["dairy-outlet"]
symptom = "It reads low."
changes = [{ "sensor.leak" = 900.0 }]
remedy = "Dry it."
proof = "Compare."
tell_tale = "Always low."
other_remedies = ["Wait.", "Enter an offset."]
"""


@pytest.fixture
def own(tmp_path):
    (tmp_path / "question_banks" / "bench").mkdir(parents=True)
    return tmp_path


def faults_with(own, text):
    (own / "question_banks" / "bench" / "own.toml").write_text(text, "utf-8")
    return [line for line in with_own(SHIPPED, own).faults if line not in SHIPPED.faults]


def test_what_ships_is_sound_and_read_with_the_rest():
    faults = Faults()
    bench = read_bench([shipped("question_banks")], faults)
    assert faults.lines == []
    assert SHIPPED.bench == bench
    assert {rig.place for rig in bench.rigs.values()} >= {"dairy", "kiln", "cold store", "greenhouse", "water works"}


def test_it_takes_little_of_a_check():
    start = time.process_time()
    read_bench([shipped("question_banks")], Faults())
    assert time.process_time() - start < 2.0


def test_one_s_own_rig_with_shipped_and_own_faults(own):
    assert faults_with(own, RIG + FAULT) == []
    bench = with_own(SHIPPED, own).bench
    assert {fault.name for fault in bench.faults_of(bench.rigs["drying-room"])} == {"wrong-burden", "open-four-wire"}
    assert "own-fault" in {fault.name for fault in bench.faults_of(bench.rigs["dairy-outlet"])}
    assert set(SHIPPED.bench.rigs) < set(bench.rigs)
    assert set(read_with(own / "question_banks").bench.rigs) == set(bench.rigs)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (RIG.replace("wrong-burden", "wrong-burdn"), "rig drying-room: faults = wrong-burdn: is not known"),
        (RIG.replace('["wrong-burden", "open-four-wire"]', "[]"), "rig drying-room: faults = nothing: at least one"),
        (RIG.replace("step = 0.5", "step = 0.0"), "rig drying-room: entry = drying-room: value: there is nothing"),
        (RIG.replace("gauge = 0.5", "gauge = -1.0"), "rig drying-room: entry = drying-room: "),
        (RIG.replace("wires = 4", 'wires = "four"'), "entry = drying-room: channel.input.wires must be"),
        (
            RIG.replace("gauge = 0.5", 'gauge = 0.5\ndraws = [[["sensor.x"], { low = 1, high = 2, step = 1 }]]'),
            "cannot be run",
        ),
        (RIG.replace("[3600.0, 45.0]", "[-5.0, 45.0]"), "one after another in time"),
        (RIG.replace("drying-room", "dairy-outlet"), "rig dairy-outlet: name = dairy-outlet: is used already"),
        (
            RIG.replace("wrong-burden", "own-couple")
            + FAULT.replace("own-fault", "own-couple").replace("sensor.leak", "sensor.head"),
            "head",
        ),
        (
            FAULT.replace("dairy-outlet", "dairy-outlt"),
            "fault own-fault: rigs = dairy-outlt: is not known; did you mean",
        ),
        (FAULT.replace("sensor.leak", "sensor.lek"), "fault own-fault: changes = dairy-outlet: "),
        (FAULT.replace("900.0", '{ plus = "much" }'), "sensor.leak: plus takes a number, or two"),
        (FAULT.replace('"sensor.leak" = 900.0', '"sensor.a" = 1.6'), "changes = dairy-outlet: changes nothing there"),
        (FAULT.replace("900.0", "900.0, rigs = 3"), "its rigs a list of names"),
        (FAULT.replace('[{ "sensor.leak" = 900.0 }]', "[]"), "changes = nothing: are required"),
        (FAULT.replace("It reads low.", "{value} now"), "symptom = {value} now: may tell"),
        (FAULT.replace('remedy = "Dry it."\n', ""), "fault own-fault: entry = own-fault: remedy is missing"),
        (
            '[[measurement]]\nname = "smell"\ntitle = "S"\nplace = "p"\ninstrument = "i"\nminutes = 1',
            "name = smell: is not known",
        ),
        ("[[rigs]]\n", "bench/own.toml"),
        ("[[rig]", "bench/own.toml"),
        ("rig = 3", "bench/own.toml: rig 1: entry = 1: "),
    ],
)
def test_faults_of_one_s_own_are_told(own, text, told):
    lines = faults_with(own, text)
    assert any(told in line for line in lines), lines


def test_all_at_once_and_in_the_check(own):
    text = RIG.replace("wires = 4", "wires = 7.5") + FAULT.replace("sensor.leak", "sensor.lek")
    assert len(faults_with(own, text)) == 2
    assert set(faults_with(own, text)) <= set(with_own(SHIPPED, own).faults)
    assert faults_with(own, text)[0] in check(replace(SHIPPED, problems={}, faults=with_own(SHIPPED, own).faults))


def test_a_rig_added_while_the_program_runs_is_seen(own):
    shelf = Shelf(SHIPPED, own)
    assert "drying-room" not in shelf.library().bench.rigs
    faults_with(own, RIG)
    assert "drying-room" in shelf.library().bench.rigs
