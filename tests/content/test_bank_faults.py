"""Every fault of a problem told at once, each in one line with file, problem, key, value and rule."""

import pytest
from bank_entries import entry

from trainer.content.banks import read_banks
from trainer.content.library import read_library

WORKSHEETS = read_library().worksheets

STEPS = "needs low under high and a step above zero, at most 1000000 steps"


@pytest.fixture
def read(tmp_path):
    def read(text, name="bank.toml"):
        (tmp_path / name).write_text(text, "utf-8")
        return read_banks([tmp_path], WORKSHEETS)

    return read


# What is changed in a sound bank, and the one line that is told.
ONE_FAULT = {
    "missing key": ({"head": {"title": None}}, "title = nothing: is required"),
    "unknown key": ({"more": "levle = 1"}, "levle = ...: is no key here; did you mean level?"),
    "kind of a key": ({"head": {"title": "7"}}, "title = 7: is a text"),
    "kind of a table": ({"more": "keep = 3"}, "keep = 3: is a table"),
    "kind of a list": ({"more": 'cautions = "Care."'}, "cautions = Care.: is a list"),
    "empty": ({"head": {"place": '" "'}}, "place = nothing: is required"),
    "worksheet": (
        {"head": {"worksheet": '"value-form-signal"'}},
        "worksheet = value-form-signal: is not known; did you mean value-from-signal?",
    ),
    "level": ({"head": {"level": '"X"'}}, "level = X: is not known (F, W, A)"),
    "caution": ({"more": "cautions = [3]"}, "cautions = 3: is a list of texts"),
    "place in the text": (
        {"head": {"text": '"Shows {singal}."'}},
        "text = singal: is not known; did you mean signal?",
    ),
    "brace in the text": (
        {"head": {"text": '"Shows {signal:2}."'}},
        "text = {signal:2}.: is no place for a given: write {name} or {name:bare}",
    ),
    "unknown given": ({"givens": {"singal": "4"}}, "givens = singal: is not known; did you mean signal?"),
    "missing given": (
        {"givens": {"lower": None}},
        "givens.lower = nothing: is required by worksheet value-from-signal",
    ),
    "text for a number": ({"givens": {"lower": '"zero"'}}, "givens.lower = zero: is a number"),
    "truth for a number": ({"givens": {"lower": "true"}}, "givens.lower = True: is a number"),
    "no number": ({"givens": {"lower": "nan"}}, "givens.lower = nan: is a number"),
    "no end": ({"givens": {"lower": "-inf"}}, "givens.lower = -inf: is a number"),
    "nothing to choose": (
        {"givens": {"upper": "{ choose = [] }"}},
        "givens.upper = []: chooses from a list of values",
    ),
    "one thing to choose": (
        {"givens": {"upper": "{ choose = 9 }"}},
        "givens.upper = 9: chooses from a list of values",
    ),
    "two ways": (
        {"givens": {"upper": "{ value = 9, low = 3 }"}},
        "givens.upper = {'value': 9, 'low': 3}: is a value, or choose with a list, or low, high and step: one of them",
    ),
    "half a range": (
        {"givens": {"upper": "{ low = 3, high = 9 }"}},
        "givens.upper = {'low': 3, 'high': 9}: needs numbers low, high and step, or choose, or value",
    ),
    "key of a range": (
        {"givens": {"upper": "{ low = 3, high = 9, step = 1, stepp = 2 }"}},
        "givens.upper: stepp = ...: is no key here; did you mean step?",
    ),
    "falling range": (
        {"givens": {"upper": "{ low = 9, high = 3, step = 1 }"}},
        f"givens.upper = {{'low': 9, 'high': 3, 'step': 1}}: {STEPS}",
    ),
    "no step": (
        {"givens": {"upper": "{ low = 3, high = 9, step = 0 }"}},
        f"givens.upper = {{'low': 3, 'high': 9, 'step': 0}}: {STEPS}",
    ),
    "steps without end": (
        {"givens": {"upper": "{ low = 3, high = 9, step = 1e-9 }"}},
        f"givens.upper = {{'low': 3, 'high': 9, 'step': 1e-09}}: {STEPS}",
    ),
    "nan in a range": (
        {"givens": {"upper": "{ low = nan, high = 9, step = 1 }"}},
        "givens.upper = {'low': nan, 'high': 9, 'step': 1}: needs numbers low, high and step, or choose, or value",
    ),
    "zone": (
        {"givens": {"upper": "{ low = 3, high = 9, step = 1, avoid = [[5, 4]] }"}},
        "givens.upper.avoid = [[5, 4]]: is a list of [from, to], from not above to",
    ),
    "empty grid": (
        {"givens": {"upper": "{ low = 3, high = 9, step = 1, avoid = [[2, 10]] }"}},
        "givens.upper = {'low': 3, 'high': 9, 'step': 1, 'avoid': [[2, 10]]}: "
        "leaves no value outside the zones to avoid",
    ),
    "empty share of a range": (
        {"givens": {"signal": '{ of = ["lower", "upper"], low = 3, high = 9, step = 1, avoid = [[2, 10]] }'}},
        "givens.signal = {'of': ['lower', 'upper'], 'low': 3, 'high': 9, 'step': 1, ' ...: "
        "leaves no value outside the zones to avoid",
    ),
    "share of itself": (
        {"givens": {"signal": '{ of = ["lower", "signal"], low = 3, high = 9, step = 1 }'}},
        "givens.signal.of = ['lower', 'signal']: names two givens drawn before it",
    ),
    "share of lists": (
        {"givens": {"signal": '{ of = [["lower"], 3], low = 3, high = 9, step = 1 }'}},
        "givens.signal.of = [['lower'], 3]: names two givens drawn before it",
    ),
    "limits": ({"more": "keep = { value = [9, 3] }"}, "keep.value = [9, 3]: is [low, high], low not above high"),
    "limits of nothing": ({"more": "keep = { valeu = [3, 9] }"}, "keep = valeu: is not known; did you mean value?"),
    "tolerance": ({"more": "tolerance = { value = 0 }"}, "tolerance.value = 0: is above zero"),
    "tolerance of a given": (
        {"more": "tolerance = { lower = 1 }"},
        "tolerance = lower: is not known (fraction, value)",
    ),
    "unknown unit": ({"units": {"lower": '"kpa"'}}, "units.lower = kpa: there is no unit 'kpa'; did you mean 'kPa'?"),
    "number for a unit": ({"units": {"lower": "3"}}, "units.lower = 3: is a text"),
    "unit of nothing": ({"units": {"lowest": '"kPa"'}}, "units = lowest: is not known; did you mean lower?"),
    "shape of together": (
        {"more": "together = [[1, 2]]"},
        'together = [1, 2]: is written {givens = ["a", "b"], rows = [[1, 2], [3, 4]]}',
    ),
    "identifier": ({"head": {"id": '"Kiln 1"'}}, "id = Kiln 1: has small letters, digits and single hyphens"),
}


@pytest.mark.parametrize("name", ONE_FAULT)
def test_a_fault_is_told_in_one_line(read, name):
    changes, line = ONE_FAULT[name]
    problems, faults = read(entry(**changes))
    here = "Kiln 1" if name == "identifier" else "kiln-current"
    assert faults == [f"bank.toml: {here}: {line}"]
    assert problems == {}


@pytest.mark.parametrize(
    ("rows", "line"),
    [
        ("[]", "together.rows = []: is a list of rows with 2 values each"),
        ("[[1]]", "together.rows = [[1]]: is a list of rows with 2 values each"),
        ("3", "together.rows = 3: is a list of rows with 2 values each"),
        ('[[1, "two"]]', "together.upper = two: is a number"),
        ("[[inf, 2]]", "together.lower = inf: is a number"),
    ],
)
def test_rows_of_together(read, rows, line):
    more = f'together = [{{ givens = ["lower", "upper"], rows = {rows} }}]'
    _, faults = read(entry(givens={"lower": None, "upper": None}, more=more))
    assert faults == [f"bank.toml: kiln-current: {line}"]


@pytest.mark.parametrize(
    ("names", "line"),
    [
        ('["lower", "uper"]', "together.givens = uper: is not known; did you mean upper?"),
        ('["lower", "lower"]', "together.givens = lower: is drawn already in together"),
        ("3", "together.givens = 3: is a list of givens"),
        ("[[1], [2]]", "together.givens = [[1], [2]]: is a list of givens"),
    ],
)
def test_names_of_together(read, names, line):
    _, faults = read(entry(givens={"lower": None}, more=f"together = [{{ givens = {names}, rows = [[1, 2]] }}]"))
    assert f"bank.toml: kiln-current: {line}" in faults


def test_drawn_twice(read):
    _, faults = read(entry(more='together = [{ givens = ["lower"], rows = [[1], [2]] }]'))
    assert faults == ["bank.toml: kiln-current: givens.lower = 0: is drawn already in together"]


def test_choices_and_rows_of_numbers_have_their_kind(read):
    text = """
[[problem]]
id = "reset"
worksheet = "relay-states"
title = "T"
text = "T"
level = "F"
place = "P"
keep = { states = [1, 2], direction = [1, 2] }
tolerance = { states = 1 }
[problem.givens]
direction = "upwards"
set_point = { low = 3, high = 9, step = 1 }
deadband = 1
on_delay = [1, 2]
off_delay = 3
times = 7
excursion = [1, "two"]
asked = { low = 1, high = 2, step = 1 }
[problem.units]
on_delay = "min"
"""
    _, faults = read(text)
    assert faults == [
        "bank.toml: reset: givens.direction = upwards: is not known (rising, falling)",
        "bank.toml: reset: givens.on_delay = [1, 2]: is a number",
        "bank.toml: reset: givens.times = 7: is a list of numbers",
        "bank.toml: reset: givens.excursion = [1, 'two']: is a list of numbers",
        "bank.toml: reset: givens.asked = {'low': 1, 'high': 2, 'step': 1}: needs choose, or value",
        faults[5],
        faults[6],
        faults[7],
        "bank.toml: reset: units.on_delay = min: is s by its worksheet",
    ]
    assert [line.split(" = ")[1].split(":")[0] for line in faults[5:8]] == ["states", "direction", "states"]


def test_every_fault_is_told_at_once(read):
    names = [
        "level",
        "brace in the text",
        "text for a number",
        "missing given",
        "unknown unit",
        "tolerance",
        "caution",
        "identifier",
    ]
    changes = {"head": {}, "givens": {}, "units": {}, "more": ""}
    for name in names:
        for key, value in ONE_FAULT[name][0].items():
            changes[key] = changes[key] + value + "\n" if key == "more" else changes[key] | value
    changes["givens"]["upper"] = '"high"'
    _, faults = read(entry(**changes) + entry(head={"id": '"other"', "title": None}))
    told = [ONE_FAULT[name][1] for name in names if name != "text for a number"] + ["givens.upper = high: is a number"]
    assert sorted(faults) == sorted(
        [f"bank.toml: Kiln 1: {line}" for line in told] + ["bank.toml: other: title = nothing: is required"]
    )


def test_a_fault_is_one_line_whatever_was_written(read):
    text = entry(head={"id": '"two\\nlines\\u001b[2J' + "x" * 500 + '"', "title": '"a"', "level": '"\\n\\t"'})
    _, faults = read(text)
    assert len(faults) == 2
    assert all(line.isprintable() and len(line) < 300 for line in faults)
