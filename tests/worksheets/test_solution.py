"""The formulas of a worked solution, in symbols and with numbers."""

import pytest

from trainer.content.formulas import mathml
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
