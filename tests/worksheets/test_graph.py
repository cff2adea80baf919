"""The calculation graph: worked as it stands, with a value pinned, with a wrong method in place of a node."""

import math

import pytest

from trainer.errors import OutOfRange
from trainer.worksheets.kinds import alike, is_plain, keeps, same
from trainer.worksheets.tolerance import decimals_for, of_span, relative, share_of
from trainer.worksheets.worksheet import Node, NotMade, Worksheet

GIVENS = {"current": 11.2, "lower": 0.0, "upper": 250.0}


def reading():
    """4-20 mA to a process value, as IEC 60381-1 has it."""
    sheet = Worksheet("reading", "Reading from a current", "S3.2")
    sheet.given("current", "Current", unit="mA")
    sheet.given("lower", "Lower range value")
    sheet.given("upper", "Upper range value")

    @sheet.step("Fraction of span", tolerance=0.001)
    def fraction(current):
        return (current - 4) / 16

    @fraction.slip("Take the live zero off.")
    def no_live_zero(current):
        return current / 20

    @sheet.step("Span", tolerance=0.1)
    def span(lower, upper):
        return upper - lower

    @sheet.step("Value", tolerance=of_span(0.3))
    def value(fraction, span, lower):
        return lower + fraction * span

    @value.slip("Add the lower range value.")
    def lower_forgotten(fraction, span, lower):
        return fraction * span if lower else None

    return sheet


# marking.md check by hand: (11.2 - 4) / 16 = 0.45; 0.45 x 250 = 112.5
def test_solves_every_step_from_the_givens():
    values = reading().solve(GIVENS)
    assert values["fraction"] == pytest.approx(0.45, abs=1e-12)
    assert values["value"] == pytest.approx(112.5, abs=1e-9)
    assert list(values) == ["current", "lower", "upper", "fraction", "span", "value"]


def test_a_pinned_value_stands_for_its_step_and_is_carried_on():
    values = reading().solve(GIVENS, {"fraction": 0.56})
    assert (values["fraction"], values["span"]) == (0.56, 250.0)
    assert values["value"] == pytest.approx(140.0)


def test_a_replaced_step_is_worked_by_the_other_function():
    values = reading().solve(GIVENS, replaced={"span": Node.of(lambda upper: upper / 2)})
    assert values["value"] == pytest.approx(0.45 * 125)


def test_a_replaced_given_is_worked_from_the_true_givens():
    values = reading().solve(GIVENS, replaced={"upper": Node.of(lambda upper, lower: upper + lower + 10)})
    assert (values["upper"], values["span"]) == (260.0, 260.0)


def test_pinned_beats_replaced():
    values = reading().solve(GIVENS, {"fraction": 0.5}, {"fraction": Node.of(lambda current: current / 20)})
    assert values["fraction"] == 0.5


def test_solving_leaves_the_givens_alone():
    givens = dict(GIVENS)
    reading().solve(givens, replaced={"upper": Node.of(lambda: 1.0)})
    assert givens == GIVENS


def test_a_slip_runs_on_to_the_answer():
    sheet = reading()
    values = sheet.solve_slip(sheet.slips["no_live_zero"], GIVENS)
    assert (values["fraction"], values["value"]) == (pytest.approx(0.56), pytest.approx(140.0))


def test_a_slip_after_a_pinned_step_is_worked_from_the_pinned_value():
    sheet = reading()
    values = sheet.solve_slip(sheet.slips["lower_forgotten"], GIVENS | {"lower": 50.0}, {"fraction": 0.1})
    assert values["value"] == pytest.approx(20.0)


def test_a_slip_may_decline():
    sheet = reading()
    assert sheet.solve_slip(sheet.slips["lower_forgotten"], GIVENS) is None
    assert sheet.solve_slip(sheet.slips["lower_forgotten"], GIVENS | {"lower": 50.0})["value"] == pytest.approx(90.0)
    with pytest.raises(NotMade):
        sheet.solve(GIVENS, replaced=sheet.slips["lower_forgotten"].replaces)


def test_a_slip_of_a_given_shows_at_the_first_step_that_takes_it_and_may_decline():
    sheet = reading()

    @sheet.givens["lower"].slip("The range does not begin at zero.")
    def zero_for_lower(lower):
        return 0.0 if lower else None

    slip = sheet.slips["zero_for_lower"]
    assert slip.step == "span"
    assert sheet.solve_slip(slip, GIVENS) is None
    with pytest.raises(NotMade):
        sheet.solve(GIVENS, replaced=slip.replaces)
    values = sheet.solve_slip(slip, GIVENS | {"lower": 50.0})
    assert (values["span"], values["value"]) == (250.0, pytest.approx(112.5))


def test_a_slip_may_replace_several_nodes_and_name_where_it_shows():
    sheet = reading()
    slip = sheet.slip("Two at once.", "both", "value", fraction=lambda current: current / 20, span=lambda upper: upper)
    assert (slip.step, sheet.solve_slip(slip, GIVENS)["value"]) == ("value", pytest.approx(140.0))


@pytest.mark.parametrize("impossible", [complex(0, 1), math.inf, math.nan, (1.0, math.nan)])
def test_a_slip_without_a_plain_value_at_its_own_step_is_not_made(impossible):
    sheet = reading()
    slip = sheet.slip("Impossible.", "impossible", "value", value=lambda fraction: impossible)
    assert sheet.solve_slip(slip, GIVENS) is None


@pytest.mark.parametrize("fault", [OutOfRange("x", 1, 2, 3), ZeroDivisionError(), OverflowError()])
def test_a_slip_whose_value_cannot_be_carried_on_still_stands_at_its_own_step(fault):
    sheet = reading()

    def refuses(fraction):
        if fraction > 0.5:
            raise fault
        return fraction

    sheet.add_step("last", "Last", Node.of(refuses), tolerance=lambda values, right: 0.1)
    values = sheet.solve_slip(sheet.slips["no_live_zero"], GIVENS)
    assert values["fraction"] == pytest.approx(0.56)
    assert "last" not in values
    assert sheet.solve(GIVENS)["last"] == pytest.approx(0.45)
    slip = sheet.slip("Own step.", "own", "last", last=lambda fraction: refuses(fraction + 1))
    assert sheet.solve_slip(slip, GIVENS) is None


def test_a_plain_value_error_is_a_bug_and_shows_as_one():
    sheet = reading()
    slip = sheet.slip("Bug.", "bug", "value", value=lambda fraction: math.sqrt(-fraction))
    with pytest.raises(ValueError, match=r"math domain|nonnegative"):
        sheet.solve_slip(slip, GIVENS)


def test_needs_names_the_earlier_steps_in_order():
    sheet = reading()
    assert sheet.needs("value") == ("fraction", "span")
    assert sheet.needs("fraction") == ()
    sheet.add_step("twice", "Twice", Node.of(lambda value: 2 * value))
    assert sheet.needs("twice") == ("fraction", "span", "value")
    assert sheet.answer.name == "twice"


@pytest.mark.parametrize("name", ["current", "fraction"])
def test_a_name_is_declared_once(name):
    sheet = reading()
    with pytest.raises(ValueError, match=f"{name} is declared twice"):
        sheet.given(name, "Again")
    with pytest.raises(ValueError, match=f"{name} is declared twice"):
        sheet.step("Again", name=name)(lambda upper: upper)
    with pytest.raises(ValueError, match="slip no_live_zero is declared twice"):
        sheet.slip_of("fraction", "Again", name="no_live_zero")(lambda current: current)


def test_what_is_not_in_the_graph_is_refused():
    sheet = reading()
    with pytest.raises(ValueError, match="takes pressure, which is no given or earlier step"):
        sheet.step("Next", name="next")(lambda pressure: pressure)
    with pytest.raises(ValueError, match="takes pressure"):
        sheet.slip_of("value", "No.", name="no")(lambda pressure: pressure)
    with pytest.raises(ValueError, match="no step takes pressure"):
        sheet.slip_of("pressure", "No.", name="no")(lambda fraction: fraction)
    with pytest.raises(ValueError, match="pressure, which is no step"):
        sheet.slip("No.", "no", "pressure", value=lambda fraction: fraction)
    with pytest.raises(ValueError, match="replaces pressure"):
        sheet.slip("No.", "no", "value", pressure=lambda fraction: fraction)
    with pytest.raises(ValueError, match="takes value, which is worked later than fraction"):
        sheet.slip_of("fraction", "No.", name="no")(lambda value: value)
    with pytest.raises(ValueError, match="takes fraction, which is worked later than upper"):
        sheet.slip_of("upper", "No.", name="no")(lambda fraction: fraction)
    assert set(sheet.slips) == {"no_live_zero", "lower_forgotten"}


def test_a_worksheet_can_be_built_from_data():
    sheet = Worksheet("doubled", "Doubled", "S1.1", version=3)
    sheet.given("a", "A")
    sheet.add_step("b", "B", Node(lambda x: 2 * x, ("a",)), unit="mV")
    sheet.add_slip("Half.", "half", "b", {"b": Node(lambda x: x / 2, ("a",))})
    assert sheet.solve({"a": 3.0})["b"] == 6.0
    assert sheet.solve_slip(sheet.slips["half"], {"a": 3.0})["b"] == 1.5
    assert (sheet.version, sheet.steps["b"].skill, sheet.steps["b"].unit) == (3, "S1.1", "mV")


def test_a_step_is_still_the_plain_function():
    assert reading().steps["fraction"](20) == 1.0
    assert reading().steps["value"](fraction=0.5, span=100.0, lower=-20.0) == 30.0


def test_same_by_kind():
    assert same("number", 112.9, 112.5, 0.5)
    assert not same("number", 113.1, 112.5, 0.5)
    assert not same("row", (4.0,), (4.0, 8.0), 1.0)
    assert not same("row", (4.0, 8.3), (4.0, 8.0), 0.2)
    assert same("choice", "rising", "rising", 0.0)
    assert not same("states", ("alarm", "normal"), ("normal", "alarm"), 0.0)
    assert not same("several", ("a",), ("a", "b"), 0.0)
    assert not same("order", ("lock", "tell", "work", "try"), (("lock", "try", "work"), ("tell", "work")), 0.0)
    assert keeps("abcd", "ad")
    assert not keeps("abcd", "da")
    assert alike("order", (("a", "b"),), (("a", "b"),), 0.0)
    assert not alike("order", (("a", "b"),), (("b", "a"),), 0.0)


def test_plain_values():
    assert all(map(is_plain, (0.0, -1e30, "rising", (1.0, 2.0), (("a", "b"), ("c",)))))
    assert not any(map(is_plain, (None, 1j, math.nan, -math.inf, (1.0, math.inf), [1.0])))


def test_tolerances_are_absolute_and_printed_with_two_figures():
    values = {"lower": -30.0, "upper": 51.3, "r0": 1000.0}
    assert of_span(0.3)(values, 0.0) == 0.24  # 0.2439
    assert of_span(1, "upper", "lower")(values, 0.0) == 0.81
    assert share_of("r0", 0.0002)(values, 0.0) == 0.2


# A tolerance that is a share of the answer is printed beside the box: in steps of 1, 2 and 5 it tells no answer.
def test_a_relative_tolerance_goes_in_steps_that_tell_little():
    given = relative(0.5, 0.01)
    assert [given({}, value) for value in (-123.4, 0.0, 99.9, 100.0, 3.0)] == [0.5, 0.01, 0.5, 0.5, 0.02]
    printed = {given({}, value) for value in range(300, 600)}
    assert printed == {2.0}


# The rounding of a value written with that many decimals, half a unit of the last, stays inside the tolerance.
@pytest.mark.parametrize("tolerance", [0.0004, 0.001, 0.01, 0.04, 0.24, 0.5, 0.6, 1.0, 2.0, 75.0])
def test_decimals_keep_the_rounding_inside_the_tolerance(tolerance):
    assert 0.5 * 10.0 ** -decimals_for(tolerance) <= tolerance
