"""The formulas of a worked solution, in symbols and with numbers."""

from dataclasses import replace

import pytest

from trainer.content.formulas import mathml
from trainer.content.library import read_library
from trainer.worksheets.draw import Fixed
from trainer.worksheets.problem import Problem
from trainer.worksheets.snapshot import snapshot
from trainer.worksheets.solution import in_symbols, with_numbers
from trainer.worksheets.worksheet import Worksheet


@pytest.fixture
def kept():
    sheet = Worksheet("s", "S", "S3.2")
    sheet.given("lower", "Lower range value", symbol="x_0")
    sheet.given("upper", "Upper range value")
    sheet.given("acting", "Action", kind="choice", options=("direct",))
    sheet.step("Fraction", name="fraction", symbol="f", tolerance=0.001, formula=r"\frac{<lower> - <upper>}{16}")(
        lambda lower, upper: (lower - upper) / 16
    )
    sheet.step("Value", name="value", tolerance=0.1, formula="<lower> + <fraction> <lower> + <acting>")(
        lambda lower, fraction, acting: lower + fraction * lower
    )
    sheet.step("By words", name="words", kind="choice", options=("a",))(lambda: "a")
    draws = (Fixed("lower", -30.5), Fixed("upper", -20.0), Fixed("acting", "direct"))
    return snapshot(Problem("p", sheet, "P", "{lower}", "F", "dairy", draws).variant(0))


def test_in_symbols_or_in_the_title_where_there_is_none(kept):
    assert in_symbols(kept, kept.step("fraction")) == r"f = \frac{x_0 - \text{Upper range value}}{16}"
    assert in_symbols(kept, kept.step("value")) == r"\text{Value} = x_0 + f x_0 + \text{Action}"


def test_with_numbers_negative_ones_in_parentheses(kept):
    assert with_numbers(kept, kept.step("fraction")) == r"f = \frac{(-30.5) - (-20)}{16}"
    assert with_numbers(kept, kept.step("value")) == r"\text{Value} = -30.5 + (-0.656) (-30.5) + \text{direct}"


def test_a_decimal_comma_is_no_list(kept):
    assert with_numbers(kept, kept.step("fraction"), ",") == r"f = \frac{(-\text{30,5}) - (-20)}{16}"


def test_a_step_without_formula_has_none(kept):
    assert in_symbols(kept, kept.step("words")) == with_numbers(kept, kept.step("words")) == ""


def test_both_render(kept):
    for name in ("fraction", "value"):
        assert "<mfrac>" in mathml(in_symbols(kept, kept.step("fraction")))
        assert "<mn>30.5</mn>" in mathml(with_numbers(kept, kept.step(name)))


@pytest.fixture
def rows():
    """A row worked from a row: four points of a range, then their greatest."""
    sheet = Worksheet("r", "R", "S8.1")
    sheet.given("points", "Points", symbol="p", unit="%", kind="row")
    sheet.given("lower", "Lower range value", symbol="x_0")
    sheet.given("routes", "Routes", kind="several")
    where = r"<lower> + \frac{<points>}{100} \times 80"
    sheet.step("Value", name="value", symbol="x", tolerance=0.1, kind="row", over="points", formula=where)(
        lambda points, lower: tuple(lower + point / 100 * 80 for point in points)
    )
    sheet.step("Twice", name="twice", tolerance=0.1, kind="row", over="routes", formula="2 <value>")(
        lambda value: tuple(2 * each for each in value)
    )
    sheet.step("Nothing put in", name="bare", tolerance=0.1, kind="row", formula="2 x")(
        lambda value: tuple(2 * each for each in value)
    )
    sheet.step("Greatest", name="greatest", tolerance=0.1, formula=r"\left| <value> \right|_\mathrm{max}")(
        lambda value: max(map(abs, value))
    )
    draws = (Fixed("points", (0.0, 12.5, 50.0)), Fixed("lower", -30.5), Fixed("routes", ("A", "B {$x}", "C")))
    return snapshot(Problem("p", sheet, "P", "{lower}", "F", "dairy", draws).variant(0))


def test_a_row_is_worked_for_its_second_cell(rows):
    # by hand: -30.5 + 0.125 × 80 = -20.5
    assert in_symbols(rows, rows.step("value")) == r"x = x_0 + \frac{p}{100} \times 80"
    worked = with_numbers(rows, rows.step("value")).replace("\N{NO-BREAK SPACE}", " ")
    assert worked == r"\text{12.5 \%: } x = -30.5 + \frac{12.5}{100} \times 80 = -20.5"
    assert with_numbers(rows, rows.step("value"), ",").endswith(r"\frac{\text{12,5}}{100} \times 80 = -\text{20,5}")


def test_a_cell_is_named_by_a_word_or_by_its_number(rows):
    assert with_numbers(rows, rows.step("twice")) == r"\text{B x: } \text{Twice} = 2 (-20.5) = -41.0"
    alone = replace(rows.step("value"), over="", value=(-30.5,))
    kept = replace(rows, givens=(replace(rows.givens[0], value=(0.0,)), *rows.givens[1:]), steps=(alone,))
    assert with_numbers(kept, alone) == r"\text{1: } x = -30.5 + \frac{0.0}{100} \times 80 = -30.5"


def test_a_row_stays_a_symbol_where_no_cell_of_it_is_meant(rows):
    assert with_numbers(rows, rows.step("bare")) == r"\text{Nothing put in} = 2 x"
    assert with_numbers(rows, rows.step("greatest")) == r"\text{Greatest} = \left| x \right|_\mathrm{max}"


def test_rows_render(rows):
    for step in rows.steps:
        assert "<mo>=</mo>" in mathml(with_numbers(rows, step))
    assert "<mtext>" in mathml(with_numbers(rows, rows.step("value")))


def test_no_shipped_row_is_put_in_whole():
    """A row as text would be a list of numbers in parentheses."""
    seen = set()
    for problem in read_library().problems.values():
        kept = snapshot(problem.variant(3))
        for step in kept.steps:
            worked = with_numbers(kept, step)
            assert r"\text{(" not in worked, (problem.id, step.name)
            if step.kind == "row" and step.formula:
                seen.add((kept.worksheet, step.name))
                figures = f"{step.value[1]:.{step.decimals}f}"
                assert worked.endswith(f"= {figures}"), (problem.id, step.name)
    assert len(seen) >= 13
