"""One entry marked: every line of the table of rules in its order, follow-through, and marking again from the basis."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.content.library import read_library
from trainer.grading.marking import Basis, Earlier, KnownSlip, Mark, basis, mark
from trainer.worksheets.draw import Fixed
from trainer.worksheets.kinds import same
from trainer.worksheets.problem import Problem
from trainer.worksheets.snapshot import snapshot
from trainer.worksheets.worksheet import Worksheet

WORKSHEETS = read_library().worksheets

MARKED = {"right", "follows", "slip", "rounded early", "scale", "sign", "unit", "mend earlier", "wrong"}
NOT_MARKED = {"unread", "missing unit"}


def kept_of(sheet, units=None, **givens):
    draws = tuple(Fixed(name, value) for name, value in givens.items())
    problem = Problem("p", sheet, "P", "Text.", "F", "dairy", draws, units=units or {})
    return snapshot(problem.attempt_draw(0, None))


def booster(signal=11.2, lower=0.0, upper=250.0):
    """4-20 mA over 0-250 kPa, the signal of IEC 60381-1."""
    units = {"lower": "kPa", "upper": "kPa", "signal": "mA", "signal_low": "mA", "signal_high": "mA"}
    sheet = WORKSHEETS["value-from-signal"]
    return sheet, kept_of(sheet, units, signal_low=4.0, signal_high=20.0, lower=lower, upper=upper, signal=signal)


def against(name, earlier=None, graph=True, **more):
    sheet, kept = booster()
    return basis(kept, name, earlier, sheet if graph else None, **more)


def plain(**changes):
    """A basis for a number with what a test needs to change."""
    start = Basis("number", "kPa", False, (), ".", 112.5, 0.75, 1, 0.0, "Work it so.")
    return Basis(**({key: getattr(start, key) for key in Basis.__dataclass_fields__} | changes))


# The check values of the rules: 4-20 mA for 0-250 kPa at 11.20 mA is 0.45 and 112.5 kPa, worked by hand.
def test_the_booster_pump_right():
    assert mark("0.45", against("fraction")) == Mark("right", 1.0, "Right.")
    assert mark("112.5", against("value", {"fraction": Earlier(0.45, True)})) == Mark("right", 1.0, "Right.")


# 0.56 is 11.2 / 20, the live zero left in; 140 is 0.56 x 250.
def test_the_booster_pump_with_the_live_zero_left_in():
    first = mark("0.56", against("fraction"))
    assert (first.verdict, first.slip, first.mark) == ("slip", "no_live_zero", 0.0)
    second = mark("140", against("value", {"fraction": Earlier(0.56, False)}))
    assert (second.verdict, second.mark, second.slip) == ("follows", 1.0, None)
    assert second.message == "Follows from your value in step 1; step 1 is the one to mend."


def test_a_lone_140_names_the_live_zero():
    found = mark("140", against("value"))
    assert (found.verdict, found.slip) == ("slip", "no_live_zero")
    assert "Live zero forgotten" in found.message


# The table, line by line


@pytest.mark.parametrize("text", ["", "about 112", "1,250", "112.5 furlongs", "1e99"])
def test_cannot_be_read(text):
    found = mark(text, plain())
    assert (found.verdict, found.mark, found.counts) == ("unread", None, False)


def test_no_unit_where_one_is_asked():
    asked = plain(ask_unit=True)
    assert mark("112.5", asked) == Mark(
        "missing unit", None, "A number alone is not a value here. Which unit is it in?"
    )
    assert mark("112.5 kPa", asked).verdict == "right"
    assert mark("900", asked).verdict == "missing unit"  # before anything is said of the value
    assert mark("112.5", plain()).verdict == "right"


def test_a_unit_of_another_kind_of_quantity():
    assert mark("112.5 mA", plain()) == Mark("unit", 0.0, "A value in kPa is wanted here.")
    assert mark("0.45 mA", plain(unit="", right=0.45)).message == "A value in plain numbers is wanted here."
    assert mark("112.5 mA", plain(ask_unit=True)).verdict == "unit"


@pytest.mark.parametrize("text", ["112.5", "113.25", "111.75", "112,5 kPa", "0.1125 MPa", "112500 Pa"])
def test_within_tolerance_of_the_true_value(text):
    found = mark(text, plain())
    assert (found.verdict, found.mark) == ("right", 1.0)


def test_right_says_how_far_off():
    assert mark("112.7", plain()).message == "Right, 0.2\N{NO-BREAK SPACE}kPa from the unrounded value."
    assert mark("112.7", plain(decimal=",")).message.startswith("Right, 0,2")
    assert mark("112.54", plain()).message == "Right."
    assert mark("113.26", plain()).verdict == "wrong"


def test_right_after_converting_another_unit_is_half_once_a_problem():
    said = "The value is right, given in bar; kPa was asked."
    assert mark("1.125 bar", plain()) == Mark("unit", 0.5, said)
    assert mark("1.125 bar", plain(half_for_unit=False)) == Mark("unit", 0.0, said)
    assert mark("2 bar", plain()).verdict == "wrong"


def test_follows_from_the_learner_s_own_value():
    found = mark("50", against("value", {"fraction": Earlier(0.2, False)}))
    assert (found.verdict, found.mark) == ("follows", 1.0)
    assert mark("51", against("value", {"fraction": Earlier(0.2, False)})).verdict == "wrong"
    assert mark("112.5", against("value", {"fraction": Earlier(0.2, False)})).verdict == "right"


# 1.2 of a span lies outside the range, 0 and 1 make the step trivial.
@pytest.mark.parametrize(("fraction", "text"), [(1.2, "300"), (1.0, "250"), (0.0, "0"), (-0.1, "-25")])
def test_an_impossible_or_trivial_earlier_value_is_to_be_mended_first(fraction, text):
    found = mark(text, against("value", {"fraction": Earlier(fraction, False)}))
    assert found == Mark("mend earlier", 0.0, "Mend step 1 first; this one rests on it.")


def test_a_slip_of_this_step_or_carried_from_an_earlier_one():
    found = mark("0.55", against("fraction"))  # (20 - 11.2) / 16
    assert (found.verdict, found.mark, found.slip) == ("slip", 0.0, "backwards")
    assert mark("137.5", against("value")).slip == "backwards"


def test_a_slip_made_on_top_of_a_wrong_earlier_value_is_named():
    sheet, kept = booster(lower=50.0, upper=300.0)
    found = mark("50", basis(kept, "value", {"fraction": Earlier(0.2, False)}, sheet))
    assert (found.verdict, found.slip) == ("slip", "lower_forgotten")  # 0.2 x 250, without the 50


def test_follows_is_looked_for_before_slips():
    assert mark("140", plain(follows=140.0, mend=1, slips=(_slip("live", 140.0),))).verdict == "follows"
    assert (
        mark("140", plain(follows=140.0, mend=1, blocked=True, slips=(_slip("live", 140.0),))).verdict == "mend earlier"
    )


def test_a_slip_of_a_step_that_the_learner_had_right_is_not_looked_for():
    assert mark("140", against("value", {"fraction": Earlier(0.45, True)})).verdict == "wrong"


def test_two_slips_at_once_name_neither():
    found = mark("140", plain(slips=(_slip("one", 140.0), _slip("other", 140.5))))
    assert (found.verdict, found.mark, found.slip) == ("wrong", 0.0, None)
    assert found.message == "More than one slip leads here. Work the first step on its own and check it."
    assert mark("140", plain(slips=(_slip("one", 140.0), _slip("one", 140.5)))).slip == "one"
    assert mark("140", plain(slips=(_slip("one", 140.0), _slip("other", 141.0)))).slip == "one"


@pytest.mark.parametrize(
    "text", ["11.25", "1125", "1.125", "11250", "112500", "0.1125", "112.5e6", "0.0001125", "11.3"]
)
def test_the_right_digits_at_the_wrong_power_of_ten(text):
    assert mark(text, plain(second_look=True)).mark is None
    found = mark(text, plain())
    assert (found.verdict, found.mark) == ("scale", 0.0)


def test_what_is_no_power_of_ten():
    assert mark("11.4", plain()).verdict == "wrong"
    assert mark("0", plain()).verdict == "wrong"
    assert mark("0", plain(right=2e-4, tolerance=1e-6)).verdict == "wrong"
    assert mark("5", plain(right=0.0)).verdict == "wrong"
    assert mark("1125 mbar", plain()).verdict == "unit"  # it is the converted value that is looked at
    assert mark("112.5 Pa", plain()).verdict == "scale"


def test_a_slip_is_looked_for_before_a_power_of_ten():
    assert mark("1125", plain(slips=(_slip("kilo", 1125.0),))).slip == "kilo"


# 0.001 asks for 3 decimals; kept to 2, a fraction is off by up to 0.005, and 250 times that is 1.25.
@pytest.mark.parametrize(
    ("text", "verdict"), [("113.7", "rounded early"), ("111.3", "rounded early"), ("113.8", "wrong")]
)
def test_inside_the_band_of_rounding_too_early(text, verdict):
    found = mark(text, against("value"))
    assert (found.verdict, found.mark) == (verdict, 0.5 if verdict == "rounded early" else 0.0)
    assert mark(text, plain(rounding=0.7)).verdict == "wrong"  # a band inside the tolerance is none


def test_right_but_for_the_sign():
    found = mark("-112.5", plain())
    assert (found.verdict, found.mark) == ("sign", 0.0)
    assert mark("-113.25", plain()).verdict == "sign"
    assert mark("-113.5", plain()).verdict == "wrong"
    assert mark("-112.5", plain(slips=(_slip("turned", -112.5),))).slip == "turned"


def test_else_wrong_with_the_rule():
    assert mark("90", plain()) == Mark("wrong", 0.0, "Not this value. Work it so.")


def _slip(name, value):
    return KnownSlip(name, f"Sentence of {name}.", value)


# Follow-through


def chain():
    """Three steps, each from the one before, and a side step."""
    sheet = Worksheet("chain", "Chain", "S1.1")
    sheet.given("x", "X")
    sheet.step("A", name="a", tolerance=0.1)(lambda x: 2 * x)
    sheet.step("B", name="b", tolerance=0.1)(lambda a: 3 * a)
    sheet.step("Aside", name="aside", tolerance=0.1)(lambda x: x)
    sheet.step("C", name="c", tolerance=0.1)(lambda b, a: b - 10 / a)
    return sheet, kept_of(sheet, x=5.0)


def test_the_first_wrong_step_is_the_one_to_mend():
    sheet, kept = chain()  # 10, 30, 5, 29
    earlier = {"a": Earlier(8.0, False), "b": Earlier(24.0, False)}
    found = mark("22.75", basis(kept, "c", earlier, sheet))
    assert found.message == "Follows from your value in step 1; step 1 is the one to mend."
    assert mark("24", basis(kept, "b", earlier, sheet)).verdict == "follows"
    later = {"a": Earlier(10.0, True), "b": Earlier(20.0, False)}
    assert "step 2 is the one to mend" in mark("19", basis(kept, "c", later, sheet)).message


def test_a_step_not_worked_from_the_wrong_one_is_judged_by_itself():
    sheet, kept = chain()
    found = basis(kept, "aside", {"a": Earlier(8.0, False)}, sheet)
    assert (found.follows, found.mend, found.blocked) == (None, 0, False)


def test_right_values_are_carried_as_they_were_typed():
    sheet, kept = chain()
    earlier = {"a": Earlier(10.05, True), "b": Earlier(20.0, False)}
    assert basis(kept, "c", earlier, sheet).follows == pytest.approx(20.0 - 10 / 10.05)


@pytest.mark.parametrize("value", [0.0, 1e-320, float("1e30")])
def test_an_earlier_value_that_cannot_be_worked_is_not_followed(value):
    sheet, kept = chain()
    found = basis(kept, "c", {"a": Earlier(value, False)}, sheet)
    json.dumps(found.to_json(), allow_nan=False)
    assert mark("29", found).verdict == "right"


def test_never_with_another_worksheet_or_version():
    _, kept = chain()
    newer, other = chain()[0], chain()[0]
    newer.version, other.name = 2, "other"
    earlier = {"a": Earlier(8.0, False)}
    assert basis(kept, "b", earlier, chain()[0]).follows == 24.0
    for graph in (newer, other, None):
        found = basis(kept, "b", earlier, graph)
        assert found.follows is None
        assert mark("24", found).verdict == "wrong"
        assert mark("30", found).verdict == "right"


def test_a_choice_is_followed_too():
    sheet = WORKSHEETS["alarm-reset"]
    units = {"set_point": "°C"}
    kept = kept_of(sheet, units, direction="falling", set_point=36.0, deadband=1.5)
    earlier = {"side": Earlier("below the set point", False)}
    assert mark("34.5", basis(kept, "reset", earlier, sheet)).verdict == "follows"
    assert mark("37.5", basis(kept, "reset", earlier, sheet)).verdict == "right"


# Rows and words


def other_kind(kind, right, options=(), tolerance=0.0, unit="mA", **more):
    return plain(kind=kind, right=right, options=options, tolerance=tolerance, unit=unit, **more)


def test_rows():
    row = other_kind("row", (4.0, 8.0, 12.0), tolerance=0.05, slips=(_slip("shifted", (8.0, 12.0, 16.0)),))
    assert mark("4; 8.05; 11.95", row) == Mark("right", 1.0, "Right.")
    assert mark("0.004 A; 8; 12 mA", row).verdict == "right"
    assert mark("4; 8.1; 13", row).message == "2 of 3 differ, the first is number 2. Work it so."
    assert mark("8; 12; 16", row).slip == "shifted"
    assert mark("4; 8", row) == Mark("unread", None, "3 entries are wanted, 2 were found.")
    assert mark("4; x; 12", row).verdict == "unread"
    assert mark("4 V; 8; 12", row) == Mark("unit", 0.0, "A value in mA is wanted here.")
    degrees = other_kind("row", (10.0, 20.0), tolerance=0.1, unit="°C")
    assert mark("50 °F; 68 °F", degrees).verdict == "unit"
    assert [mark("50 °F; 20", each).mark for each in (degrees, plain(**_of(degrees) | {"half_for_unit": False}))] == [
        0.5,
        0,
    ]


def _of(basis):
    return {key: getattr(basis, key) for key in Basis.__dataclass_fields__}


def test_choices():
    choice = other_kind("choice", "rising", ("rising", "falling", "both"), slips=(_slip("turned", "falling"),))
    assert mark(" Rising", choice) == Mark("right", 1.0, "Right.")
    assert mark("falling", choice).slip == "turned"
    assert mark("both", choice) == Mark("wrong", 0.0, "Not this one. Work it so.")
    assert mark("up", choice).verdict == "unread"


def test_several():
    several = other_kind("several", ("a", "c"), ("a", "b", "c"), slips=(_slip("all", ("a", "b", "c")),))
    assert mark("c;a", several).verdict == "right"
    assert mark("a;b", several) == Mark("wrong", 0.0, "1 missing, 1 too many. Work it so.")
    assert mark("b;c;a", several).slip == "all"


def test_orders():
    order = other_kind("order", (("lock", "try", "work"), ("tell", "work")), ("lock", "try", "work", "tell"))
    assert mark("tell; lock; try; work", order).verdict == "right"
    assert mark("lock; tell; try; work", order).verdict == "right"
    assert mark("lock; try; work; tell", order) == Mark("wrong", 0.0, "Not in this order. Work it so.")
    assert mark("lock; try; work", order).verdict == "unread"


def test_states():
    states = other_kind("states", ("normal", "alarm", "normal"), ("normal", "alarm"), follows=("alarm",) * 3, mend=1)
    assert mark("normal;alarm;normal", states).verdict == "right"
    assert mark("alarm;alarm;alarm", states).verdict == "follows"
    assert mark("normal;normal;alarm", states).message == "2 of 3 differ, the first is number 2. Work it so."
    assert mark("normal;alarm", states).verdict == "unread"


# Marking again


@pytest.mark.parametrize(
    "text", ["0.45", "112.5", "140", "50", "137.5", "1.125 bar", "113.7", "-112.5", "", "3 V", "11.25"]
)
@pytest.mark.parametrize("earlier", [None, {"fraction": Earlier(0.2, False)}, {"fraction": Earlier(1.5, False)}])
def test_the_basis_marks_the_same_after_json(text, earlier):
    first = against("value", earlier)
    again = Basis.from_json(json.loads(json.dumps(first.to_json(), allow_nan=False)))
    assert again == first
    assert mark(text, again) == mark(text, first)


def test_the_basis_of_rows_and_words_survives_json():
    for kind, right, options, text in (
        ("row", (4.0, 8.0), (), "4;8"),
        ("several", ("a", "b"), ("a", "b", "c"), "b;a"),
        ("order", (("a", "b"), ("a", "c")), ("a", "b", "c"), "a;c;b"),
        ("states", ("on", "off"), ("on", "off"), "on;off"),
    ):
        first = other_kind(kind, right, options, slips=(_slip("s", right),), follows=right)
        again = Basis.from_json(json.loads(json.dumps(first.to_json())))
        assert again == first
        assert mark(text, again).verdict == "right"


KINDS = {
    "number": other_kind("number", 12.5, tolerance=0.1, follows=13.0, mend=1, slips=(_slip("s", 14.0),), rounding=0.3),
    "asked": other_kind("number", 12.5, tolerance=0.1, ask_unit=True),
    "row": other_kind("row", (4.0, 8.0), tolerance=0.1, follows=(4.0, 9.0), slips=(_slip("s", (1.0, 2.0)),)),
    "choice": other_kind("choice", "a", ("a", "b"), slips=(_slip("s", "b"),)),
    "several": other_kind("several", ("a",), ("a", "b", "c"), follows=("b",)),
    "order": other_kind("order", (("a", "b"),), ("a", "b", "c"), slips=(_slip("s", (("b", "a"),)),)),
    "states": other_kind("states", ("a", "b"), ("a", "b"), follows=("b", "b")),
}
TEXTS = (
    st.text()
    | st.text("0123456789.,;e-+ mAV°F%×^abc")
    | st.lists(st.sampled_from(["4", "8 V", "a", "b", "c", "-1e9"])).map(";".join)
)


@given(text=TEXTS, kind=st.sampled_from(sorted(KINDS)))
def test_no_text_raises_and_every_verdict_is_known(text, kind):
    found = mark(text, KINDS[kind])
    assert found.verdict in MARKED | NOT_MARKED
    assert found.mark in (None, 0.0, 0.5, 1.0)
    assert found.message
    assert (found.slip is not None) == (found.verdict == "slip")
    assert found.counts == (found.verdict in MARKED)


@given(
    right=st.floats(-1e6, 1e6).map(lambda x: round(x, 3)),
    tolerance=st.floats(1e-3, 1e3),
    off=st.floats(-5, 5),
)
def test_right_means_within_the_tolerance_that_is_printed(right, tolerance, off):
    value = round(right + off * tolerance, 12)
    found = mark(repr(value), plain(right=right, tolerance=tolerance, unit=""))
    assert (found.verdict == "right") == same("number", value, right, tolerance)
    assert (found.verdict == "right") == (abs(value - right) <= tolerance + 1e-9 * max(1, abs(right)))
