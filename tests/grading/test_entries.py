"""Typed texts as values of the kind that a step wants; no text raises."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.grading.entries import Typed, read_entry

STATES = ("normal", "alarm")


# Conversions: NIST SP 811 (2008), Appendix B: 1 bar = 100 kPa, 1 min = 60 s; prefixes of the SI.
@pytest.mark.parametrize(
    ("text", "unit", "value", "other_unit"),
    [
        ("12.5", "mA", 12.5, False),
        ("12,5 mA", "mA", 12.5, False),
        ("0.0125 A", "mA", 12.5, False),
        ("12500 µA", "mA", 12.5, False),
        ("1.125 bar", "kPa", 112.5, True),
        ("112.5", "kPa", 112.5, False),
        ("2 min", "s", 120.0, True),
        ("50 °F", "°C", 10.0, True),
        ("3.6 °F", "°C (difference)", 2.0, True),
        ("2 K", "°C (difference)", 2.0, False),
        ("45 %", "", 0.45, False),
        ("1 kohm", "Ω", 1000.0, False),
    ],
)
def test_a_number_comes_in_the_unit_of_its_step(text, unit, value, other_unit):
    typed = read_entry(text, "number", unit)
    assert typed.value == pytest.approx(value, rel=1e-12)
    assert (typed.refusal, typed.foreign, typed.other_unit) == ("", False, other_unit)


def test_a_unit_of_another_quantity_is_foreign_and_an_unknown_one_refused():
    assert read_entry("11.2 V", "number", "mA") == Typed(11.2, "V", foreign=True)
    assert "furlong is no unit known here" in read_entry("11.2 furlong", "number", "mA").refusal


@pytest.mark.parametrize("text", ["", "  ", "1,250", "nan", "inf", "1_000", "1e31", "4; 8", "9" * 65, "0x10", "12 14"])
def test_what_is_no_number_is_refused_in_words(text):
    assert len(read_entry(text, "number", "mA").refusal) > 10


def test_a_row():
    assert read_entry("4; 8,5 ;12 mA", "row", "mA").value == (4.0, 8.5, 12.0)
    assert read_entry("0.004 A; 8", "row", "mA").value == (4.0, 8.0)
    assert read_entry("4; eight; 12", "row", "mA").refusal.startswith("Number 2: eight is not a number")
    assert read_entry("4; ; 12", "row", "mA").refusal.startswith("Number 2: ")
    assert read_entry("4 V; 8", "row", "mA").foreign
    mixed = read_entry("10; 50 °F", "row", "°C")
    assert (mixed.value, mixed.other_unit, mixed.unit) == ((10.0, pytest.approx(10.0)), True, "°F")


def test_a_choice_in_any_case_and_spacing():
    assert read_entry("  RISING ", "choice", "", ("rising", "falling")).value == "rising"
    assert read_entry("not  this", "choice", "", ("not this",)).value == "not this"
    assert read_entry("up", "choice", "", ("rising", "falling")).refusal == "Choose one of: rising; falling."
    assert read_entry("", "choice", "", ("rising",)).refusal


def test_sequences():
    assert read_entry("alarm; NORMAL;alarm", "states", "", STATES).value == ("alarm", "normal", "alarm")
    assert read_entry("alarm; on", "states", "", STATES).refusal == "Choose one of: normal; alarm."
    assert read_entry("b;a", "several", "", ("a", "b", "c")).value == ("b", "a")
    assert read_entry("b; c ;a", "order", "", ("a", "b", "c")).value == ("b", "c", "a")


@pytest.mark.parametrize("text", ["a;b", "a;b;b", "a;b;c;c"])
def test_an_order_places_each_once(text):
    assert (
        read_entry(text, "order", "", ("a", "b", "c")).refusal == "Give every one of them its place, each place once."
    )


@pytest.mark.parametrize("kind", ["number", "row", "choice", "several", "order", "states"])
def test_a_text_without_end_is_refused(kind):
    assert read_entry("a;" * 5000, kind, "mA", ("a",)).refusal


@given(
    text=st.text() | st.text("0123456789.,;e-+ mAV°%×^/"),
    kind=st.sampled_from(["number", "row", "choice", "several", "order", "states"]),
    unit=st.sampled_from(["", "mA", "°C", "°C (difference)", "Ω/m", "% of span", "counts"]),
    decimal=st.sampled_from([".", ","]),
)
def test_no_text_raises(text, kind, unit, decimal):
    typed = read_entry(text, kind, unit, ("a", "b"), decimal)
    assert (typed.value is None) == bool(typed.refusal)
