"""What a figure takes: names, forms, themes, and values as lessons and problems have them."""

from dataclasses import replace

import pytest
from figure_cases import CANAL, CASES, DIGESTER, STORE, value
from work_cases import GROUNDS

from trainer.content.banks import read_banks
from trainer.content.folders import shipped
from trainer.errors import NotFound, OutOfRange, TrainerError
from trainer.figures import FIGURES, draw, shown, words
from trainer.worksheets.catalog import WORKSHEETS
from trainer.worksheets.snapshot import snapshot

PROBLEMS = {
    name: problem
    for name, problem in read_banks([shipped("question_banks")], WORKSHEETS)[0].items()
    if problem.worksheet.figure
}
DRAWN = {problem.worksheet.name: problem.worksheet for problem in PROBLEMS.values()}
CURVE = CASES["resistance asked"].given
RECORDS, ORDER = CASES["records asked"].given, CASES["order asked"].solved
LEVELS = CASES["signals of a setup asked"].given


@pytest.mark.parametrize("call", [draw, words])
def test_unknown_names_are_told_with_the_known_ones(call):
    with pytest.raises(NotFound, match="no figure 'pie chart'; there are sensor curve, range bars"):
        call("pie chart", {})
    with pytest.raises(NotFound, match="no form of a figure 'half'; there are open, solved"):
        call("range bars", STORE, "half")
    with pytest.raises(NotFound, match="no value of figure 'range bars' 'signal_lower'; there are lower, upper"):
        call("range bars", STORE | {"signal_lower": value(4, "mA")})


def test_an_unknown_theme_is_not_drawn():
    with pytest.raises(NotFound, match="no theme of a figure 'sepia'; there are light, dark, print"):
        draw("range bars", STORE, "open", "sepia")


def test_an_unknown_curve_is_told_with_the_known_ones():
    with pytest.raises(NotFound, match=r"no curve '0\.0042'; there are platinum 0\.003851, "):
        words("sensor curve", CURVE | {"curve": value("0.0042")})


@pytest.mark.parametrize("name", FIGURES)
def test_a_needed_value_that_is_missing_is_named(name):
    full = next(case for case in CASES.values() if case.name == name).given
    for needed in FIGURES[name].needs:
        with pytest.raises(TrainerError, match=f"figure '{name}' needs {needed}"):
            words(name, {key: each for key, each in full.items() if key != needed})


@pytest.mark.parametrize(
    ("name", "values", "message"),
    [
        ("range bars", STORE | {"value": value("warm")}, "value warm is no number"),
        ("range bars", STORE | {"value": value(float("nan"))}, "value nan is no number"),
        ("range bars", STORE | {"value": value(3.0, "kPa")}, "does not convert"),
        ("range bars", STORE | {"upper": value(-30.0, "°C")}, "has no span"),
        ("range bars", STORE | {"signal_low": value(30.0, "mA")}, "say reverse instead"),
        ("sensor curve", CURVE | {"temperature": value(900.0, "°C")}, "outside -200 to 850 °C"),
        ("alarm trace", CANAL | {"times": value((1.0, 2.0), "s")}, "one value for each time"),
        ("alarm trace", DIGESTER | {"times": value((1.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0))}, "the times rise"),
        ("alarm trace", DIGESTER | {"trace": value(4.0)}, "is no list of 1 to 5000 numbers"),
        ("alarm trace", DIGESTER | {"trace": value((4.0,)), "times": value((1.0,))}, "two readings or more"),
        ("alarm trace", DIGESTER | {"direction": value("sideways")}, "neither rising nor falling"),
        ("alarm trace", DIGESTER | {"on_delay": value(3.0, "s")}, "a delay needs the times"),
        ("alarm trace", DIGESTER | {"states": value(("normal",))}, "one for each time asked"),
        ("alarm trace", CANAL | {"asked": value((150.0,), "s")}, "outside the trace"),
        ("temperature scales", {"difference": value(3.0, "bar")}, "bar is no unit of temperature"),
        ("error band", {"base": value(0.3, "°C (difference)")}, "needs base and per_degree, or fixed and percent"),
        ("thermocouple loop", {"kind": value("Z"), "terminal": value(20.0, "°C")}, "kind Z is none of B; E; J"),
        ("sensor wiring", {"wires": value("five-wire")}, "wires five-wire is none of two-wire"),
        ("sensor wiring", {"wires": value("four-wire"), "readings": value((1.0, 2.0), "Ω")}, "4 leads have 6 readings"),
        ("square root", {"roots": value("three")}, "roots three is none of none; one; two"),
        ("counts staircase", {"bits": value(8.5), "full_scale": value(5.0, "V")}, "whole bits"),
        ("counts staircase", {"bits": value(8.0), "full_scale": value(5.0, "bar")}, "full scale in V, mA, mV"),
        ("loop drawing", {"open": value("the moon")}, "open the moon is none of wire out"),
        ("step response", {"start": value(5.0, "°C"), "end": value(5.0, "°C")}, "start and end are the same"),
        ("ramp lag", {"rate": value(5.0, "°C")}, "is nothing per time"),
        ("calibration errors", {"points": value((0.0, 50.0)), "up": value((0.1,))}, "one value for each point"),
        (
            "candidates",
            {"allowed": value(1.0), "numbers": value((1.0, 2.0)), "names": value(("a",))},
            "one name for each",
        ),
        ("records", RECORDS | {"first": value(("a",))}, "rows of one length: names, first, second"),
        ("records", RECORDS | {"differs": value(("tag",))}, "tag differs, but is none of fault action"),
        ("ordered steps", {"steps": value(("a",) * 11)}, "takes 1 to 10 lines, steps has 11"),
        ("ordered steps", {"steps": value(("a", "b")), "values": value(("c",))}, "rows of one length"),
        ("ordered steps", ORDER | {"after": value((1.0, 4.0))}, "the lower one before"),
        ("ordered steps", ORDER | {"before": value((1.5, 3.0))}, "are numbers of steps"),
        ("stacked parts", {"parts": value(("a", "b")), "amounts": value((1.0, 2.0, 3.0))}, "an amount of 0 or more"),
        ("stacked parts", {"parts": value(("a",)), "amounts": value((-1.0,))}, "an amount of 0 or more"),
        ("range levels", LEVELS | {"names": value(("alarm",))}, "rows of one length: names, levels"),
        ("range levels", LEVELS | {"upper": value(-30.0, "°C")}, "has no span"),
        ("two grounds", GROUNDS | {"at_card": value("perhaps")}, "at_card perhaps is none of yes; no"),
        (
            "cable route",
            {"alongside": value(5.0, "s"), "least": value(1.0), "per_meter": value(1.0)},
            "'s' \\(time\\) does not convert",
        ),
        ("relay contact", {"coil": value("on"), "contact": value("normally open")}, "coil on is none of energized"),
    ],
)
def test_values_that_make_no_figure_are_told(name, values, message):
    with pytest.raises(TrainerError, match=message):
        words(name, values, "solved")


def test_a_resistance_beyond_the_curve_is_out_of_range():
    with pytest.raises(OutOfRange, match="resistance 500 Ω"):
        draw("sensor curve", {"r0": value(100.0, "Ω"), "resistance": value(500.0, "Ω")})


@pytest.mark.parametrize(
    ("raw", "number", "unit", "decimals", "title"),
    [
        (4, 4, "", 0, ""),
        (11.25, 11.25, "", 2, ""),
        ("falling", "falling", "", 0, ""),
        ([1, 2.5], (1, 2.5), "", 1, ""),
        ({"value": 11.6, "unit": "mA"}, 11.6, "mA", 1, ""),
        ({"value": 3, "unit": "°C (difference)", "decimals": 1, "title": "Rise"}, 3, "°C (difference)", 1, "Rise"),
    ],
)
def test_a_value_of_a_lesson_is_taken_as_written(raw, number, unit, decimals, title):
    plain = shown(raw)
    assert (plain.value, plain.unit, plain.decimals, plain.title) == (number, unit, decimals, title)


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        (True, "True is no number, text or list"),
        ([[1], [2]], "is no number, text or list"),
        ({"unit": "mA"}, "has value, unit, decimals and title"),
        ({"value": 3, "color": "red"}, "has value, unit, decimals and title, not value, color"),
        ({"value": 3, "unit": "furlong"}, "there is no unit 'furlong'"),
        ({"value": 3, "decimals": 40}, "decimals 40 is no whole number from 0 to 6"),
    ],
)
def test_a_value_that_is_none_is_refused(raw, message):
    with pytest.raises(TrainerError, match=message):
        shown(raw)


@pytest.mark.parametrize("name", DRAWN)
def test_every_worksheet_feeds_its_figure(name):
    sheet = DRAWN[name]
    figure = FIGURES[sheet.figure.name]
    assert set(sheet.figure.values) <= {*figure.needs, *figure.takes}
    assert set(sheet.figure.values.values()) <= {*sheet.givens, *sheet.steps}
    for needed in figure.needs:
        assert sheet.figure.values[needed] in sheet.givens


@pytest.mark.parametrize("name", PROBLEMS)
def test_every_problem_has_its_figure_in_both_forms(name):
    kept = snapshot(PROBLEMS[name].variant(3))
    given = {each.name: each for each in kept.givens}
    solved = given | {each.name: each for each in kept.steps}
    figure = kept.figure
    opened = {key: given[node] for key, node in figure.values.items() if node in given}
    everything = {key: solved[node] for key, node in figure.values.items()}
    assert "asked" in words(figure.name, opened)
    assert "asked" not in words(figure.name, everything, "solved").replace("States asked", "")
    assert draw(figure.name, opened) != draw(figure.name, everything, "solved")


def test_a_kept_row_may_come_back_as_a_list():
    """A snapshot that was stored as JSON has lists where it had tuples."""
    back = {name: replace(each, value=list(each.value)) for name, each in CANAL.items() if name in ("times", "trace")}
    assert words("alarm trace", CANAL | back) == words("alarm trace", CANAL)
