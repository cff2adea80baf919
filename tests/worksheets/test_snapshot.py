"""What an attempt keeps of a variant: plain values that survive JSON and changes of the code."""

import json

import pytest

from trainer.units import NO_BREAK_SPACE
from trainer.worksheets.draw import Choice, Fixed, Grid
from trainer.worksheets.problem import Problem
from trainer.worksheets.snapshot import Snapshot, snapshot
from trainer.worksheets.worksheet import FigureUse, Worksheet


def sheet_of_all_kinds():
    sheet = Worksheet(
        "kinds",
        "Kinds",
        "S4.3",
        version=2,
        figure=FigureUse("range bars", {"value": "x"}),
        cautions=("Care.",),
        sources=("S",),
    )
    sheet.given("x", "X", symbol="x")
    sheet.given("direction", "Direction", kind="choice", options=("rising", "falling"))
    sheet.given("points", "Points", kind="row", unit="mA")
    sheet.given("secret", "Secret", hidden=True)
    sheet.step(
        "Ratio", name="ratio", tolerance=0.001, possible=(0.0, 1.0), rule="Divide.", formula=r"<x> / 16", ask_unit=True
    )(lambda x: (x - 4) / 16)
    sheet.step("Row", name="row", kind="row", over="points", tolerance=0.02)(
        lambda points: tuple(2 * p for p in points)
    )
    sheet.step("Side", name="side", kind="choice", options=("above", "below"), formula=lambda v: v["direction"])(
        lambda direction: "below"
    )
    sheet.step("Some", name="some", kind="several", options=("a", "b", "c"))(lambda: ("a", "c"))
    sheet.step("Order", name="order", kind="order", options=("lock", "try", "work"))(
        lambda: (("lock", "try"), ("lock", "work"))
    )
    sheet.step("States", name="states", kind="states", options=("on", "off"))(lambda points: ("on", "off"))
    sheet.step("Value", name="value", unit="as x", tolerance=0.75)(lambda ratio: 250 * ratio)
    sheet.slip_of("ratio", "Live zero.", name="no_live_zero")(lambda x: x / 20)
    sheet.slip_of("row", "Once.", name="once")(lambda points: points)
    sheet.slip_of("order", "Lock first.", name="late")(lambda: (("try", "lock"),))
    return sheet


@pytest.fixture
def problem():
    return Problem(
        id="all-kinds",
        worksheet=sheet_of_all_kinds(),
        title="All kinds",
        text="At {x}, that is {x:bare}, {direction} over {points}.",
        level="W",
        place="brewery",
        draws=(
            Grid("x", 5.5, 19, 0.5),
            Fixed("direction", "rising"),
            Fixed("points", (4.0, 8.25)),
            Choice(("secret",), ((1.0,), (2.125,))),
        ),
        skill="S4.1",
        units={"x": "°C"},
        cautions=("More care.",),
    )


def test_survives_json(problem):
    for seed in range(20):
        kept = snapshot(problem.variant(seed))
        again = Snapshot.from_json(json.loads(json.dumps(kept.to_json(), allow_nan=False)))
        assert again == kept
        assert again.to_json() == kept.to_json()


def test_keeps_what_marking_needs(problem):
    kept = snapshot(problem.variant(3))
    x = kept.given_values["x"]
    ratio, value = kept.step("ratio"), kept.answer
    assert (kept.problem, kept.seed, kept.worksheet, kept.version, kept.skill) == ("all-kinds", 3, "kinds", 2, "S4.1")
    assert ratio.value == pytest.approx((x - 4) / 16)
    assert (ratio.tolerance, ratio.decimals, ratio.possible, ratio.ask_unit, ratio.rule) == (
        0.001,
        3,
        (0.0, 1.0),
        True,
        "Divide.",
    )
    assert (value.name, value.unit, value.needs, value.decimals) == ("value", "°C", ("ratio",), 1)
    assert (kept.step("side").formula, kept.step("row").over, kept.step("side").tolerance) == ("rising", "points", 0.0)
    assert kept.cautions == ("Care.", "More care.")
    assert (kept.figure.name, dict(kept.figure.values)) == ("range bars", {"value": "x"})
    with pytest.raises(KeyError):
        kept.step("nothing")


def test_a_slip_is_kept_where_it_can_be_seen(problem):
    kept = snapshot(problem.variant(3))
    x = kept.given_values["x"]
    slips = {slip.name: slip for slip in kept.slips}
    assert slips["no_live_zero"].values == {"ratio": pytest.approx(x / 20), "value": pytest.approx(250 * x / 20)}
    assert slips["once"].values == {"row": (4.0, 8.25)}


# One digit fewer than 0.001 needs is 0.01, so a rounding off by at most 0.005; times 250 that is 1.25.
def test_the_band_of_rounding_too_early(problem):
    kept = snapshot(problem.variant(3))
    assert kept.answer.rounding == pytest.approx(1.25)
    assert (kept.step("ratio").rounding, kept.step("states").rounding) == (0.0, 0.0)


def test_the_band_adds_up_over_the_earlier_steps():
    sheet = Worksheet("s", "S", "S1.1")
    sheet.given("x", "X")
    sheet.step("A", name="a", tolerance=0.01)(lambda x: x)  # 2 decimals, so 0.05 off
    sheet.step("B", name="b", tolerance=0.1)(lambda x: x)  # 1 decimal, so 0.5 off
    sheet.step("C", name="c", tolerance=0.1)(lambda a, b: 4 * a - 2 * b)
    kept = snapshot(Problem("p", sheet, "P", "{x}", "F", "dairy", (Fixed("x", 3.0),)).variant(0))
    assert kept.answer.rounding == pytest.approx(4 * 0.05 + 2 * 0.5)


def test_the_text_has_the_drawn_numbers(problem):
    kept = snapshot(problem.variant(3))
    x = f"{kept.given_values['x']:.1f}"
    assert kept.text().replace(NO_BREAK_SPACE, " ") == f"At {x} °C, that is {x}, rising over 4.00; 8.25."
    comma = x.replace(".", ",")
    assert kept.text(",").replace(NO_BREAK_SPACE, " ") == f"At {comma} °C, that is {comma}, rising over 4,00; 8,25."


def test_a_hidden_given_is_kept_but_not_shown(problem):
    kept = snapshot(problem.variant(3))
    assert "secret" in kept.given_values
    assert [given.name for given in kept.shown_givens] == ["x", "direction", "points"]


def test_what_is_drawn_from_rows_has_the_digits_of_the_finest_row():
    sheet = Worksheet("s", "S", "S1.1")
    sheet.given("x", "X")
    sheet.given("y", "Y")
    sheet.step("A", name="a")(lambda x, y: x + y)
    draws = (Choice(("x", "y"), ((1.6, 1.0), (2.0, 3.0), (2.25, 4.0))),)
    problem = Problem("p", sheet, "P", "{x} and {y}", "F", "dairy", draws)
    texts = {snapshot(problem.variant(seed)).text() for seed in range(30)}
    assert texts == {"1.60 and 1", "2.00 and 3", "2.25 and 4"}


def test_changing_the_worksheet_leaves_what_was_kept(problem):
    stored = json.dumps(snapshot(problem.variant(3)).to_json())
    problem.worksheet.steps.clear()
    problem.worksheet.slips.clear()
    kept = Snapshot.from_json(json.loads(stored))
    assert [step.name for step in kept.steps] == ["ratio", "row", "side", "some", "order", "states", "value"]
    assert [slip.name for slip in kept.slips] == ["no_live_zero", "once", "late"]
