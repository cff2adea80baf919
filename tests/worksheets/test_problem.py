"""Problems and variants: drawn for ever by their seed, refused where they teach badly, units in words."""

import pytest

from trainer.errors import OutOfRange, TrainerError
from trainer.worksheets.draw import Choice, Fixed, Grid
from trainer.worksheets.problem import DRAWS_AT_MOST, Problem
from trainer.worksheets.tolerance import absolute
from trainer.worksheets.worksheet import Worksheet


def doubling(**step_options):
    """One given doubled; a slip adds two, so it hides at 2."""
    sheet = Worksheet("doubling", "Doubling", "S1.1")
    sheet.given("x", "X")

    @sheet.step("Double", **({"tolerance": 0.1} | step_options))
    def double(x):
        return 2 * x

    @double.slip("Multiply, do not add.")
    def added(x):
        return x + 2

    return sheet


def problem(sheet, *draws, **more):
    return Problem("p", sheet, "P", "{x}", "F", "dairy", draws, **more)


def faults_at(sheet, x, **more):
    return problem(sheet, Fixed("x", x), **more).attempt_draw(0, None).fault()


def test_the_same_seed_gives_the_same_variant():
    one = problem(doubling(), Grid("x", 3, 90, 0.1))
    assert [one.variant(seed).givens for seed in range(50)] == [one.variant(seed).givens for seed in range(50)]
    assert len({one.variant(seed).givens["x"] for seed in range(50)}) > 30


def test_a_draw_that_hides_a_slip_is_drawn_again():
    one = problem(doubling(), Choice(("x",), ((2.0,), (9.0,))))
    assert {one.variant(seed).givens["x"] for seed in range(40)} == {9.0}


# marking.md section 5: at least 2 tolerances from the right answer, here 0.2: |x + 2 - 2x| = |2 - x|
@pytest.mark.parametrize(("x", "fault"), [(2.0, True), (2.2, True), (2.21, False), (1.8, True), (1.79, False)])
def test_two_tolerances_from_the_right_answer(x, fault):
    said = faults_at(doubling(), x)
    assert said.startswith("slip added gives") if fault else said == ""


# ... and no two slips within 1 tolerance of each other: |3x - (x + 2)| = |2x - 2|
@pytest.mark.parametrize(("x", "fault"), [(1.04, True), (1.06, False), (0.96, True), (0.94, False)])
def test_two_slips_apart(x, fault):
    sheet = doubling()
    sheet.slip_of("double", "Twice, not three times.", name="tripled")(lambda x: 3 * x)
    said = faults_at(sheet, x)
    assert ("added and tripled both give" in said) == fault


def test_a_declared_coincidence_is_no_fault():
    sheet = Worksheet("s", "S", "S1.1")
    sheet.given("x", "X")
    sheet.step("Double", name="double", tolerance=0.1)(lambda x: 2 * x)
    sheet.slip_of("double", "Add.", name="added", coincides=True)(lambda x: x + 2)
    assert faults_at(sheet, 2.0) == ""


def test_a_carried_slip_must_be_told_at_the_answer_too():
    sheet = doubling()
    sheet.step("Rest", name="rest", tolerance=0.1)(lambda double: double % 5)
    assert "slip added gives" in faults_at(sheet, 7.0)  # 14 and 9, apart, but 4 left over from both
    assert faults_at(sheet, 6.0) == ""  # 12 and 8: 2 and 3


def test_slips_at_other_steps_may_come_near():
    sheet = doubling()
    sheet.step("Twice that", name="more", tolerance=0.1)(lambda double: 2 * double)
    sheet.step("Less", name="less", tolerance=0.1)(lambda more: more - 1)
    sheet.slip_of("more", "Half.", name="halved")(lambda double: double / 2)
    assert faults_at(sheet, 5.0) == ""


@pytest.mark.parametrize(
    ("kind", "right", "wrong", "fault"),
    [
        ("row", (1.0, 2.0), (1.0, 2.2), True),
        ("row", (1.0, 2.0), (1.0, 2.21), False),
        ("several", ("a", "b"), ("b", "a"), True),
        ("order", (("a", "b"),), (("b", "a"),), False),
        ("states", ("on", "off"), ("on", "off"), True),
        ("choice", "on", "off", False),
    ],
)
def test_rows_and_words_must_differ_from_the_right_ones(kind, right, wrong, fault):
    sheet = Worksheet("s", "S", "S1.1")
    sheet.given("x", "X")
    sheet.step("Row", name="row", kind=kind, tolerance=0.1)(lambda x: right)
    sheet.slip_of("row", "No.", name="no")(lambda x: wrong)
    assert faults_at(sheet, 1.0) == ("slip no gives the right row" if fault else "")
    sheet.slip_of("row", "Nor.", name="nor")(lambda x: wrong)
    told_apart = kind == "choice" or fault
    assert ("give one row" in faults_at(sheet, 1.0)) != told_apart


def test_refusals_and_limits():
    sheet = doubling()

    @sheet.refuse
    def above_a_hundred(double):
        return double > 100

    assert faults_at(sheet, 51.0) == "refused by above_a_hundred"
    assert faults_at(sheet, 50.0) == ""
    assert faults_at(sheet, 9.0, keep={"double": (20.0, 40.0)}) == "double 18 is outside 20 to 40"
    assert faults_at(sheet, 9.0, keep={"x": (9.0, 9.0), "double": (18.0, 18.0)}) == ""


def test_ranges_without_a_sound_draw_are_told():
    with pytest.raises(TrainerError, match=f"^p: no draw out of {DRAWS_AT_MOST} can be used"):
        problem(doubling(), Fixed("x", 2.0)).variant(1)


@pytest.mark.parametrize("fault", [OutOfRange("x", 1, 2, 3), ZeroDivisionError(), OverflowError()])
def test_numbers_that_cannot_be_worked_are_drawn_again(fault):
    def picky(x):
        if x == 3:
            raise fault
        return x

    sheet = Worksheet("s", "S", "S1.1")
    sheet.given("x", "X")
    sheet.step("Picky", name="picky")(picky)
    one = problem(sheet, Choice(("x",), ((3.0,), (4.0,))))
    assert {one.variant(seed).values["picky"] for seed in range(20)} == {4.0}


def test_a_prepared_given_is_worked_from_hidden_ones():
    sheet = Worksheet("s", "S", "S1.1")
    sheet.given("true", "True value", hidden=True)

    @sheet.prepared("Reading")
    def reading(true):
        return round(true * 1.1, 1)

    sheet.step("Same", name="same")(lambda reading: reading)
    variant = problem(sheet, Fixed("true", 3.0)).variant(0)
    assert (variant.givens["reading"], variant.values["same"]) == (3.3, 3.3)
    assert problem(sheet, Fixed("true", 3.0), Fixed("reading", 5.0)).variant(0).values["same"] == 5.0


def test_the_problem_s_own_tolerance_replaces_that_of_the_sheet():
    sheet = doubling(tolerance=absolute(0.1))
    own = problem(sheet, Fixed("x", 9.0), tolerances={"double": 0.5}).variant(0)
    assert own.tolerance(sheet.answer) == 0.5
    assert problem(sheet, Fixed("x", 9.0)).variant(0).tolerance(sheet.answer) == 0.1


# A temperature difference is not a temperature: 2 °C of deadband is 3.6 °F, never 35.6 °F.
@pytest.mark.parametrize(
    ("units", "words", "unit"),
    [
        ({"x": "kPa"}, "as x", "kPa"),
        ({"x": "kPa"}, "difference as x", "kPa"),
        ({"x": "°F"}, "as x", "°F"),
        ({"x": "°F"}, "difference as x", "°F (difference)"),
        ({"x": "K"}, "difference as x", "K (difference)"),
        ({"x": "°C (difference)"}, "difference as x", "°C (difference)"),
        ({"x": "V"}, "as follower", "V"),
        ({"x": "°C"}, "difference as follower", "°C (difference)"),
        ({}, "as fixed", "mA"),
        ({}, "mV", "mV"),
        ({}, "", ""),
    ],
)
def test_units_in_words(units, words, unit):
    sheet = Worksheet("s", "S", "S1.1")
    sheet.given("x", "X")
    sheet.given("follower", "Follower", unit="as x")
    sheet.given("fixed", "Fixed", unit="mA")
    sheet.step("Step", name="step", unit=words)(lambda x: x)
    draws = [Fixed(name, 1.0) for name in ("x", "follower", "fixed")]
    assert problem(sheet, *draws, units=units).variant(0).unit(words) == unit


def test_reached_names_the_slip_s_own_step_and_the_later_ones_it_changes():
    sheet = doubling()
    sheet.step("Aside", name="aside")(lambda x: 3 * x)
    sheet.step("Sum", name="sum")(lambda double, aside: double + aside)
    variant = problem(sheet, Fixed("x", 9.0)).variant(0)
    assert variant.reached(*variant.slips["added"]) == ("double", "sum")


def test_a_wrong_given_reaches_every_step_that_takes_it():
    sheet = Worksheet("s", "S", "S1.1")
    sheet.given("x", "X")
    sheet.step("First", name="first")(lambda x: 2 * x)
    sheet.step("Second", name="second")(lambda x: 3 * x)
    sheet.givens["x"].slip("Ten times.", name="ten")(lambda x: 10 * x)
    variant = problem(sheet, Fixed("x", 9.0)).variant(0)
    assert variant.reached(*variant.slips["ten"]) == ("first", "second")
    assert "slip ten gives" in faults_at(sheet, 0.0)
