"""Plots of results: nothing in them is asked, labels are legible, and their words tell readings and limits."""

import re
from importlib import import_module
from itertools import combinations
from xml.etree import ElementTree

import pytest
from figure_cases import texts, value
from matplotlib.text import Text

from trainer.errors import TrainerError
from trainer.figures import FIGURES, PLOTS, THEMES, channel_trace, draw, words
from trainer.figures.inputs import Inputs
from trainer.figures.style import WIDTH, render
from trainer.figures.totals import bars

PHONE, SMALLEST = 360, 12  # CSS pixels


def row(*numbers):
    return value(tuple(float(number) for number in numbers))


# East Carolina University, teaching example of KR-20: p and corrected item-total correlations of its ten items.
P = (0.7, 0.7, 0.6, 0.7, 0.6, 0.8, 0.7, 0.7, 0.5, 0.6)
R = (0.7059, 0.7059, 0.0, 0.4736, 0.5839, 0.2861, -0.0274, 0.7059, -0.1236, 0.4759)
SHARES = {"p": row(*P), "p_low": row(*(p - 0.18 for p in P)), "p_high": row(*(p + 0.14 for p in P))}
APART = {
    "r": row(*R),
    "r_low": row(*(r - 0.3 for r in R)),
    "r_high": row(*(r + 0.2 for r in R)),
    "r_of": row(*range(1, 11)),
}
MANY = 100
# A vat at 40 °C that gets to 60 °C between 20 s and 30 s, by hand: past 50 °C at 15 s, below 48 °C again at 46 s.
CHANNEL = {
    "process_times": value((0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0), "s"),
    "process": value((40.0, 40.0, 60.0, 60.0, 50.0, 44.0, 40.0), "°C", 1),
    "relays": value(1.0),
    "starts": row(0, 15, 20),
    "ends": row(15, 18, 40),
    "met": row(1, 0, 1),
    "look_at": row(-1, 18, -1),
    "reading_times": row(0, 15, 30, 40, 60),
    "reading": row(40, 44, 58, 56, 44),
    "reading_parts": row(0, 3),
    "set_points": value((50.0,), "°C", 1),
    "resets": value((48.0,), "°C", 1),
    "operations": row(1),
    "alarm_relays": row(1),
    "alarm_starts": row(21),
    "alarm_ends": row(46),
}
BARE = ("process_times", "process", "starts", "ends", "met")
CASES = {
    "shares alone": ("problem statistics", SHARES),
    "shares and correlations": ("problem statistics", SHARES | APART | {"flagged": row(9)}),
    "one problem": ("problem statistics", {"p": row(0.95), "p_low": row(0.76), "p_high": row(0.99)}),
    "many problems": ("problem statistics", {each: row(*[0.5] * MANY) for each in ("p", "p_low", "p_high")}),
    "far down": (
        "problem statistics",
        {"p": row(0.5), "p_low": row(0.3), "p_high": row(0.7)}
        | {"r": row(-0.6), "r_low": row(-0.9), "r_high": row(-0.1), "r_of": row(1)},
    ),
    "totals": ("totals", {"totals": row(8, 7, 7, 2, 2, 9, 8, 9, 7, 7), "full": value(10.0)}),
    "totals of many": ("totals", {"totals": row(*range(MANY + 1)), "full": value(float(MANY))}),
    "one total": ("totals", {"totals": row(1), "full": value(1.0)}),
    "evidence": (
        "evidence over time",
        {
            "days": row(-60, -41, -40, -20, -7, -1),
            "values": row(0.5, 1, 1, 0.75, 1, 1),
            "at": row(-7, -1, 0),
            "mean": row(0.7, 0.75, 0.74),
            "low": row(0.4, 0.46, 0.45),
            "high": row(0.95, 0.96, 0.96),
        },
    ),
    "channel": ("channel trace", CHANNEL),
    "channel without relays": ("channel trace", {name: CHANNEL[name] for name in BARE} | {"relays": value(0.0)}),
    "levels close together": (
        "channel trace",
        CHANNEL
        | {"relays": value(4.0), "operations": row(1, 0, 0, 0), "set_points": row(50, 50, 50.1, 900)}
        | {"resets": row(50, 50, 50, -900)},
    ),
    "little evidence": ("evidence over time", {"days": row(-0.2), "values": row(1)}),
}


@pytest.fixture(params=CASES.values(), ids=CASES.keys())
def case(request):
    return request.param


@pytest.mark.parametrize("theme", THEMES)
def test_a_plot_is_small_and_the_same_each_time(case, theme):
    svg = draw(*case, "solved", theme)
    assert len(svg) < 60_000
    assert svg == draw(*case, "solved", theme)
    assert ElementTree.fromstring(svg).tag.endswith("svg")


def test_labels_are_legible_and_not_on_each_other(case):
    name, values = case
    sizes = [float(size) for size in re.findall(rb"font(?:-size)?:[^;\"]*?([\d.]+)px", draw(name, values, "solved"))]
    assert min(sizes) * PHONE / WIDTH >= SMALLEST
    boxes = []

    def paint(sheet):
        module = import_module(f"trainer.figures.{PLOTS[name].module}")
        module.draw(sheet, Inputs(name, values), True)
        sheet.figure.draw_without_rendering()
        for label in sheet.figure.findobj(Text):
            if label.get_text():
                boxes.append((label.get_text(), Text.get_window_extent(label), sheet.figure.bbox))

    render(paint, "light")
    assert len(boxes) > 2
    for label, box, sheet in boxes:
        assert min(box.x0, box.y0) >= 0, label
        assert box.x1 <= sheet.x1, label
        assert box.y1 <= sheet.y1, label
    for (label, box, _), (other, over, _) in combinations(boxes, 2):
        wide = min(box.x1, over.x1) - max(box.x0, over.x0)
        high = min(box.y1, over.y1) - max(box.y0, over.y0)
        assert wide <= 1 or high <= 4, f"{label} lies on {other}"


def test_every_label_is_given_to_the_translator(case, monkeypatch):
    for plot in PLOTS.values():
        monkeypatch.setattr(f"trainer.figures.{plot.module}.gettext", lambda message: "¤" + message)
    for text in texts(draw(*case, "solved")):
        assert not re.search("[a-z]{4}", text) or "¤" in text, text


def said(name):
    return words(*CASES[name], "solved").replace("\u00a0", " ")


def test_the_words_of_problems_tell_the_ends_and_what_to_look_at():
    assert said("shares and correlations") == (
        "Share of full marks from 50 % (problem 9) to 80 % (problem 6). How well a problem tells apart: from −0.12 "
        "(problem 9) to 0.71 (problem 1). To be looked at: 9."
    )
    assert said("shares alone") == "Share of full marks from 50 % (problem 9) to 80 % (problem 6)."


# The totals of the same ten learners, counted by hand: 66 marks, two with 2, four with 7, two each with 8 and 9.
def test_the_words_of_totals_count_learners_by_marks():
    assert said("totals") == (
        "Totals of 10 learners out of 10: from 2.0 to 9.0, mean 6.6. Learners by marks: 2: 2; 7: 4; 8: 2; 9: 2."
    )


@pytest.mark.parametrize(
    ("totals", "full", "counted"),
    [
        ((0.0, 0.5, 1.0, 2.0), 2.0, [(0, 0, 2), (1, 1, 1), (2, 2, 1)]),
        ((1 / 3 + 1 / 3 + 1 / 3, 0.1 * 3 + 0.7), 1.0, [(0, 0, 0), (1, 1, 2)]),
        (
            (0.0, 1.0, 2.0, 12.0),
            12.0,
            [(0, 1, 2), (2, 3, 1), (4, 5, 0), (6, 7, 0), (8, 9, 0), (10, 11, 0), (12, 12, 1)],
        ),
    ],
)
def test_bars_count_each_learner_once(totals, full, counted):
    assert bars(Inputs("totals", {"totals": row(*totals), "full": value(full)})) == counted


def test_the_words_of_evidence_tell_how_much_when_and_how_sure():
    assert said("evidence") == (
        "Sheets that count: 6, from 60 to 1 days ago; all right: 4. Estimate today 74 %, between 45 and 96 %."
    )
    assert said("little evidence") == "Sheets that count: 1, from 0 to 0 days ago; all right: 1."


def test_the_words_of_a_channel_tell_levels_alarms_and_what_was_met():
    assert said("channel") == (
        "Process from 40.0 °C to 60.0 °C over 60 s. Reading from 40.0 °C to 58.0 °C. Set point of relay 1: 50.0 °C. "
        "Reset of relay 1: 48.0 °C. Relay 1 is in alarm first at 21.0 s; operations: 1. "
        "Requirements met: 1, 3. Not met: 2."
    )
    assert said("channel without relays").endswith("Requirements met: 1, 3. Not met: 2.")
    assert "Relay 4 is never in alarm." in said("levels close together")


def test_a_requirement_says_its_verdict_in_words():
    told = texts(draw(*CASES["channel"], "solved"))
    assert [each for each in told if "met" in each] == ["met ✓", "not met ✗", "met ✓"]
    assert channel_trace.WIDTH == WIDTH


@pytest.mark.parametrize(
    ("name", "values", "told"),
    [
        ("problem statistics", SHARES | {"p_low": row(0.1)}, "p needs a value and two ends for each problem"),
        ("evidence over time", {"days": row(-1, -2), "values": row(1)}, "one value for each day"),
        ("totals", {"totals": row(1)}, "needs full"),
        ("channel trace", CHANNEL | {"met": row(1)}, "a start, an end and a verdict"),
    ],
)
def test_values_that_make_no_plot_are_told(name, values, told):
    with pytest.raises(TrainerError, match=told):
        draw(name, values, "solved")


def test_lessons_and_problems_do_not_offer_them():
    assert not set(PLOTS) & set(FIGURES)
