"""Expressions of a bank: what they may use, and that working one ends soon whatever it says."""

import time

import pytest

from trainer.worksheets.expressions import CELLS_AT_MOST, ExpressionFault, node

SOON = 1.0  # s; the slowest of these takes a few milliseconds


def worked(text, **values):
    started = time.perf_counter()
    try:
        return node(text)(values)
    finally:
        assert time.perf_counter() - started < SOON


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("__import__('os').system('true')", "is no calculation here"),
        ("open('bank.toml')", "is no calculation here"),
        ("eval('1')", "is no calculation here"),
        ("getattr(a, 'b')", "is no calculation here"),
        ("a.__class__", "is no calculation here"),
        ("(1).__class__.__bases__", "is no calculation here"),
        ("a.append(1)", "is no calculation here"),
        ("'{0.__class__}'.format(a)", "is no calculation here"),
        ("loops.__builtins__", "is no calculation here"),
        ("loops._made(1)", "is no calculation here"),
        ("counts.scaling(1, 2, 3, 4).__class__", "is no calculation here"),
        ("counts.scaling(1, 2, 3, 4)._made", "is no calculation here"),
        ("a[0].__class__.__base__", "is no calculation here"),
        ("os.getcwd()", "is no calculation here"),
        ("f'{a}'", "is not allowed"),
        ("lambda: 1", "is not allowed"),
        ("[x for x in a]", "is not allowed"),
        ("(x for x in a)", "is not allowed"),
        ("[1, 2]", "is not allowed"),
        ("{1: 2}", "is not allowed"),
        ("(a := 1)", "is not allowed"),
        ("min(*a)", "is not allowed"),
        ("loops.saturation_current(**a)", "** is not allowed"),
        ("a[1:2]", "is not allowed"),
        ("await a", "is not allowed"),
        ("a @ b", "is no operator here"),
        ("a // b", "is no operator here"),
        ("a % b", "is no operator here"),
        ("a << b", "is no operator here"),
        ("~a", "is no operator here"),
        ("a is b", "is no operator here"),
        ("True", "neither a number nor a word"),
        ("b'x'", "neither a number nor a word"),
        ("...", "neither a number nor a word"),
        ("2j", "neither a number nor a word"),
        ("a = 1", "is no expression near column 3"),
        ("import os", "is no expression near column 1"),
        ("a; b", "is no expression near column 2"),
        ("", "is no expression"),
    ],
)
def test_what_is_not_on_the_list_is_refused(text, told):
    with pytest.raises(ExpressionFault) as fault:
        node(text)
    assert told in str(fault.value)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("a + " * 200 + "a", "at most 600 characters"),
        ("(" * 299 + "1" + ")" * 299, "is no expression"),
        ("-" * 590 + "1", "at most 200 parts"),
        ("a" + "[0]" * 190, "at most 200 parts"),
        ("a if a else " * 49 + "a", "at most 200 parts"),
        ("abs(" * 31 + "a" + ")" * 31, "calls at most 30 functions"),
        ("9" * 400, "a number is too large"),
        ("0x" + "f" * 500, "a number is too large"),
        ("\0", "is no expression"),
    ],
)
def test_long_and_deep_expressions_are_refused_at_once(text, told):
    started = time.perf_counter()
    with pytest.raises(ExpressionFault) as fault:
        node(text)
    assert told in str(fault.value)
    assert time.perf_counter() - started < SOON


# Numbers are floats: IEEE 754 ends at about 1.8e308. floor and ceil give whole numbers, which have no end.
@pytest.mark.parametrize(
    "text",
    [
        "10**10**10",
        "floor(10.0)**floor(1e9)",
        "floor(1e15) * floor(1e15)",
        "floor(9.9)**floor(9.9)**floor(9.9)",
        "(0 - 8)**0.5",
        "1 / 0",
        "exp(1000)",
        "sqrt(0 - 1)",
        "log(0)",
        "log10(0 - 1)",
        "floor(1e999)",
    ],
)
def test_numbers_that_grow_without_end_are_an_error_of_arithmetic(text):
    with pytest.raises(ArithmeticError):
        worked(text)


@pytest.mark.parametrize(
    "text", ["a * floor(1e9)", "floor(1e9) * a", "a + a", "'ab' * floor(1e9)", "'ab' + 'ab'", "(1, 2) + (3, 4)"]
)
def test_rows_and_texts_do_not_grow(text):
    with pytest.raises(TypeError, match="only numbers"):
        worked(text, a=(1.0, 2.0))


def test_rows_in_rows_are_two_deep_and_short():
    assert worked("(('lock', 'try'), ('tell', 'work'))") == (("lock", "try"), ("tell", "work"))
    with pytest.raises(TypeError, match="hold no rows"):
        worked("(a, a)", a=((1.0, 2.0), (3.0, 4.0)))
    with pytest.raises(TypeError, match="cells together"):
        worked("(a, a)", a=(1.0,) * CELLS_AT_MOST)


def test_cells_are_worked_from_a_plain_row_alone():
    for strange in (((1.0, 2.0), (3.0, 4.0)), (1.0,) * (CELLS_AT_MOST + 1), ("a", "b")):
        with pytest.raises(TypeError, match="a row of at most"):
            worked("row(each(a))", a=strange)


def test_parts_are_those_of_calculations_alone():
    for strange in ("ab", (1.0,), {"b": 1.0}, 2.0, pytest):
        with pytest.raises(TypeError, match="no part of a calculation"):
            worked("a[0].real", a=(strange,))
    assert worked("a[0].real", a=(None,)) is None


# IEC 60751: class A is ±(0.15 + 0.002 |t|) °C. 819 to 4095 counts over -40 to 40: by hand.
@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("rtd.GRADES[grade, 'wire-wound'].base", 0.15),
        ("rtd.GRADES['D', 'wire-wound'].base", None),
        ("counts.scaling(819, 4095, -40, 40).slope", 80 / 3276),
        ("counts.scaling(819, 4095, -40, 40).value(2457)", 0.0),
    ],
)
def test_what_a_calculation_gives_has_parts(text, value):
    assert worked(text, grade="A") == (value if value is None else pytest.approx(value))


def test_constants_stand_in_place_of_their_names():
    own = {"sizes": {"small": 1.0, "large": 2.0}, "limit": 5.0, "word": "large"}
    expression = node("sizes[word] * x if x < limit else none", own)
    assert expression.arguments == ("x",)
    assert (expression({"x": 4.0}), expression({"x": 5.0})) == (8.0, None)
    assert node("last_up_to(sizes, x)", own)({"x": 1.9}) == "small"
    assert node("first_from(sizes, x, word)", own)({"x": 9.0}) == "large"


# Worked by hand.
@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("2**3**2", 512.0),
        ("-2**2", -4.0),
        ("7 - 2 - 1", 4.0),
        ("a[1] if 1 < 2 <= 2 else none", 20.0),
        ("'rising' in ('rising', 'falling')", True),
        ("floor(2.7) * 2 + ceil(0.2)", 5),
        ("floor(3.0)**2", 9.0),
        ("row(each(a) / 10, 1)", (1.0, 2.0)),
        ("round(2 * pi, 2)", 6.28),
    ],
)
def test_arithmetic_is_as_usual(text, value):
    assert worked(text, a=(10.0, 20.0)) == value
