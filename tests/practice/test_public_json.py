"""The public JSON of a variant and of marking: its keys are fixed."""

import json

import pytest

from trainer.errors import NotFound, TrainerError
from trainer.practice.public import mark_texts, problem_of, statement, summary
from trainer.worksheets.draw import Fixed
from trainer.worksheets.problem import Problem
from trainer.worksheets.worksheet import Worksheet


def of_all_kinds():
    made = Worksheet("kinds", "Kinds", "S4.3")
    made.given("x", "X", unit="mA")
    made.given("points", "Points", kind="row", unit="mA")
    made.given("direction", "Direction", kind="choice", options=("rising", "falling"))
    made.given("secret", "Secret", hidden=True)
    made.step("Number", name="number", tolerance=0.1, unit="as x")(lambda x: 2 * x)
    made.step("Row", name="row", kind="row", tolerance=0.02, unit="mA")(lambda points: tuple(p + 1 for p in points))
    made.step("Choice", name="choice", kind="choice", options=("a", "b"))(lambda: "a")
    made.step("Order", name="order", kind="order", options=("a", "b"))(lambda: (("a", "b"),))
    made.step("States", name="states", kind="states", options=("on", "off"))(lambda: ("on", "off"))
    made.slip_of("row", "Add one.", name="as_given")(lambda points: points)
    draws = (Fixed("x", 3.0), Fixed("points", (4.0, 8.0)), Fixed("direction", "rising"), Fixed("secret", 1.0))
    return Problem("kinds", made, "K", "At {x}.", "F", "dairy", draws, skill="S4.3")


def in_json(value):
    return json.loads(json.dumps(value, allow_nan=False))


def test_a_number_problem(booster):
    found = in_json(statement(booster.variant(7)))
    assert list(found) == ["problem", "seed", "worksheet", "text", "givens", "steps", "slips"]
    assert (found["problem"], found["seed"], found["worksheet"]) == ("booster", 7, "value-from-signal")
    assert found["givens"]["signal"] == {"value": 11.2, "unit": "mA"}
    assert list(found["givens"]) == ["lower", "upper", "signal_low", "signal_high", "signal"]
    first, last = found["steps"]
    assert first == {
        "name": "fraction",
        "title": "Fraction of span",
        "unit": "",
        "value": pytest.approx(0.45),
        "tolerance": 0.001,
    }
    assert last == {
        "name": "value",
        "title": "Process value",
        "unit": "kPa",
        "value": pytest.approx(112.5),
        "tolerance": 0.75,
    }
    slip = next(slip for slip in found["slips"] if slip["name"] == "no_live_zero")
    assert list(slip) == ["step", "name", "message", "values"]
    assert (slip["step"], slip["values"]) == (
        "fraction",
        {"fraction": pytest.approx(0.56), "value": pytest.approx(140.0)},
    )


def test_other_kinds(tmp_path):
    found = in_json(statement(of_all_kinds().variant(1)))
    assert found["givens"] == {
        "x": {"value": 3.0, "unit": "mA"},
        "points": {"value": [4.0, 8.0], "unit": "mA"},
        "direction": {"value": "rising", "unit": ""},
    }
    assert [(step["name"], step["value"], step["tolerance"]) for step in found["steps"]] == [
        ("number", 6.0, 0.1),
        ("row", [5.0, 9.0], 0.02),
        ("choice", "a", None),
        ("order", [["a", "b"]], None),
        ("states", ["on", "off"], None),
    ]
    assert found["slips"] == [{"step": "row", "name": "as_given", "message": "Add one.", "values": {"row": [4.0, 8.0]}}]


def test_every_problem_makes_json_that_is_the_same_again(library):
    for problem in library.problems.values():
        assert in_json(statement(problem.variant(3))) == in_json(statement(problem.variant(3)))


def test_marking(booster):
    found = in_json(mark_texts(booster.variant(7), {"value": "140", "fraction": "0.56"}))
    assert list(found) == ["steps", "right"]
    assert list(found["steps"]) == ["fraction", "value"]
    assert found["steps"]["fraction"] == {
        "verdict": "slip",
        "mark": 0.0,
        "message": (
            "Live zero forgotten: the signal is divided by 20\N{NO-BREAK SPACE}mA. "
            "Take 4\N{NO-BREAK SPACE}mA off first, then divide by the moving part of the signal."
        ),
        "slip": "no_live_zero",
    }
    assert found["steps"]["value"] == {
        "verdict": "follows",
        "mark": 1.0,
        "message": "Follows from your value in step 1; step 1 is the one to mend.",
        "slip": None,
    }
    assert found["right"] is False


@pytest.mark.parametrize(
    ("texts", "right"),
    [
        ({"fraction": "0.45", "value": "112.5"}, True),
        ({"value": "112.5 kPa"}, True),
        ({"fraction": "0.45"}, False),
        ({"fraction": "0.46", "value": "112.5"}, False),
        ({"fraction": "0.45", "value": "1.125 bar"}, False),
        ({"fraction": "0.45", "value": ""}, False),
        ({}, False),
    ],
)
def test_right_is_the_answer_and_every_step_given(booster, texts, right):
    assert mark_texts(booster.variant(7), texts)["right"] is right


def test_what_is_not_marked_has_mark_0(booster):
    assert mark_texts(booster.variant(7), {"value": "x"})["steps"]["value"]["mark"] == 0
    assert mark_texts(booster.variant(7), {"value": "11.25"})["steps"]["value"]["verdict"] == "scale"


def test_an_unread_step_is_not_followed(booster):
    found = mark_texts(booster.variant(7), {"fraction": "2/4", "value": "140"})["steps"]
    assert (found["fraction"]["verdict"], found["value"]["slip"]) == ("unread", "no_live_zero")


def test_half_for_another_unit_once():
    made = Worksheet("two", "Two", "S1.7")
    made.given("x", "X", unit="°C")
    for name in "ab":
        made.step(name, name=name, unit="as x", tolerance=0.1)(lambda x: x)
    variant = Problem("two", made, "T", "T", "F", "dairy", (Fixed("x", 10.0),)).variant(0)
    steps = mark_texts(variant, {"a": "50 °F", "b": "50 °F"})["steps"]
    assert [steps[name]["mark"] for name in "ab"] == [0.5, 0.0]


def test_unknown_steps_and_problems_are_told(booster, library):
    with pytest.raises(TrainerError, match=r"^booster has no step valeu; its steps are fraction, value$"):
        mark_texts(booster.variant(7), {"valeu": "3"})
    with pytest.raises(NotFound, match=r"^no problem is called boster; did you mean booster\?$"):
        problem_of({"booster": booster}, "boster")
    with pytest.raises(NotFound, match=r"^no problem is called zzz$"):
        problem_of({"booster": booster}, "zzz")
    assert problem_of({"booster": booster}, "booster") is booster


def test_a_row_of_the_list(booster):
    assert summary(booster) == {
        "id": "booster",
        "strand": "S3",
        "skill": "S3.2",
        "level": "F",
        "title": "Booster pump",
        "worksheet": "value-from-signal",
    }
