"""How values spread: ends, the fullest stretch and gaps in words, bars in the picture."""

import xml.etree.ElementTree as ET

import pytest

from trainer.errors import TrainerError
from trainer.figures import THEMES, Plain, draw, words
from trainer.units import NO_BREAK_SPACE


def values(counts=(3, 5, 9, 0, 0, 0, 2, 1), low=10.0, high=50.0, title="Draft"):
    return {"counts": Plain(counts), "low": Plain(low, "kPa", 1, title), "high": Plain(high, "kPa", 1)}


# Worked by hand: 20 values, eight stretches of 5 kPa from 10 kPa on.
def test_the_words_tell_ends_the_fullest_stretch_and_gaps():
    said = words("spread", values()).replace(NO_BREAK_SPACE, " ")
    assert said == (
        "20 values from 10.0 kPa to 50.0 kPa, most of them, 9, from 20.0 kPa to 25.0 kPa. "
        "None from 25.0 kPa to 40.0 kPa."
    )


def test_a_gap_of_two_bars_is_chance():
    assert "None" not in words("spread", values((3, 0, 0, 2)))


@pytest.mark.parametrize("theme", THEMES)
def test_the_picture_names_quantity_and_unit(theme):
    text = "".join(ET.fromstring(draw("spread", values(title="<b>"), "solved", theme)).itertext())
    assert "<b> (kPa)" in text
    assert "draws" in text
    assert "20" in text


@pytest.mark.parametrize(
    "wrong",
    [
        values(()),
        values((0, 0)),
        values((1, -1)),
        values((1.5,)),
        values((1,) * 41),
        values(low=5.0, high=5.0),
        values(low=float("nan")),
    ],
)
def test_what_makes_no_picture_is_refused(wrong):
    with pytest.raises(TrainerError, match="spread"):
        draw("spread", wrong, "solved")
