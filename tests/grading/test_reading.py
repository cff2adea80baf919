"""Typed numbers: what is read, what is refused, and that no text does worse than that."""

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from trainer.grading.reading import LONGEST_NUMBER, LONGEST_TEXT, Reading, Refusal, read, read_row
from trainer.units import UNITS, convert, format_number, format_quantity, spelled, unit

THIN, NO_BREAK, NARROW = "\u2009", "\u00a0", "\u202f"


# Forms of the marking rules; the values are what the text says by hand.
@pytest.mark.parametrize(
    ("text", "number", "decimals"),
    [
        ("12.5", 12.5, 1),
        ("12,5", 12.5, 1),
        ("0.125", 0.125, 3),
        ("0,125", 0.125, 3),
        ("1250,125", 1250.125, 3),
        ("1,25", 1.25, 2),
        ("1,2500", 1.25, 4),
        ("1.250", 1.25, 3),
        (",5", 0.5, 1),
        (".5", 0.5, 1),
        ("12.", 12.0, 0),
        ("007", 7.0, 0),
        ("12.50", 12.5, 2),
        ("1.2e3", 1200.0, 0),
        ("1.2E+3", 1200.0, 0),
        ("1,2e-3", 0.0012, 4),
        ("4.5e-1", 0.45, 2),
        ("1.2×10^3", 1200.0, 0),
        ("1.2x10^3", 1200.0, 0),
        ("1.2X10^3", 1200.0, 0),
        ("1.2*10^3", 1200.0, 0),
        ("1.2 · 10 ^ 3", 1200.0, 0),
        ("1.2*10**3", 1200.0, 0),
        ("1.2×10³", 1200.0, 0),
        ("1.2×10⁻³", 0.0012, 4),
        ("1.2×10^\u22123", 0.0012, 4),
        ("+3", 3.0, 0),
        ("+ 3", 3.0, 0),
        ("-3", -3.0, 0),
        ("\u22123", -3.0, 0),
        ("\u20133.5", -3.5, 1),
        ("  5  ", 5.0, 0),
        (f"{NO_BREAK}5{THIN}", 5.0, 0),
        ("1 250", 1250.0, 0),
        (f"1{THIN}250{NARROW}000", 1250000.0, 0),
        ("1 250,5", 1250.5, 1),
        ("1 250,500", 1250.5, 3),
        ("12 345.6", 12345.6, 1),
        ("1e30", 1e30, 0),
        ("1e-30", 1e-30, 30),
        ("9" * LONGEST_NUMBER, 1e32, 0),
    ],
)
def test_accepted_forms(text, number, decimals):
    assert read(text) == Reading(pytest.approx(number, rel=1e-15), decimals)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "empty"),
        ("   ", "empty"),
        ("\n", "empty"),
        ("1,250", "thousands"),
        ("-1,250", "thousands"),
        ("12,345 kPa", "thousands"),
        ("1,250e3", "thousands"),
        ("1,250.5", "thousands"),
        ("1.250,5", "thousands"),
        ("1,250,000", "thousands"),
        ("1.250.000", "thousands"),
        ("nan", "not a number"),
        ("inf", "not a number"),
        ("-Infinity", "not a number"),
        ("1_000", "not a number"),
        ("１２", "not a number"),
        ("1２", "not a number"),
        ("٣", "not a number"),
        ("12.5.3", "not a number"),
        ("1,2,3", "not a number"),
        ("1,250,5", "not a number"),
        ("12 5", "not a number"),
        ("1 2500", "not a number"),
        (".", "not a number"),
        ("-", "not a number"),
        ("--5", "not a number"),
        ("±5", "not a number"),
        ("e5", "not a number"),
        ("kPa", "not a number"),
        ("kPa 5", "not a number"),
        ("3-4", "not a number"),
        ("1/2", "not a number"),
        ("5 1/2", "not a number"),
        ("2*3", "not a number"),
        ("1+1", "not a number"),
        ("9**9**9", "not a number"),
        ("0x10", "not a number"),
        ("1.2×103", "not a number"),
        ("1e5e5", "not a number"),
        ("1.2e3.4", "not a number"),
        ("5³", "not a number"),
        ("5½", "not a number"),
        ("5 = 5", "not a number"),
        ("5 /", "not a number"),
        ("5\x00", "not a number"),
        ("\ud800", "not a number"),
        ("1;2", "several"),
        ("1\n250", "several"),
        ("1\t250", "several"),
        ("1e31", "power"),
        ("1e-31", "power"),
        ("1e400", "power"),
        ("1×10^99", "power"),
        ("9" * (LONGEST_NUMBER + 1), "too long"),
        ("9" * (LONGEST_NUMBER + 1) + " kPa", "too long"),
        ("5" + " " * LONGEST_TEXT, "too long"),
        ("1" * 1_000_000, "too long"),
    ],
)
def test_refused_forms(text, reason):
    refused = read(text)
    assert isinstance(refused, Refusal)
    assert refused.reason == reason
    assert refused.sentence.endswith(".")
    assert refused.sentence.isprintable()
    assert len(refused.sentence) < 140


@pytest.mark.parametrize(
    ("text", "number", "decimals"),
    [
        ("1,250", 1.25, 3),
        ("12,5", 12.5, 1),
        ("12.5", 12.5, 1),
        ("0.125", 0.125, 3),
        ("1 250,5", 1250.5, 1),
        ("1250.125", 1250.125, 3),
    ],
)
def test_with_the_comma_as_decimal_sign(text, number, decimals):
    assert read(text, ",") == Reading(number, decimals)


@pytest.mark.parametrize("text", ["1.250", "-12.345", "1.250 kPa", "1.250.000", "1.250,5", "1,250.5"])
def test_with_the_comma_as_decimal_sign_a_point_before_three_digits_asks(text):
    refused = read(text, ",")
    assert isinstance(refused, Refusal)
    assert refused.reason == "thousands"


@pytest.mark.parametrize(
    ("text", "decimal", "sentence"),
    [
        ("12.5.3", ".", "12.5.3 is not a number. Write it like 12.5, -3 or 1.2e3."),
        ("12.5.3", ",", "12.5.3 is not a number. Write it like 12,5, -3 or 1,2e3."),
        ("{text}", ".", "{text} is not a number. Write it like 12.5, -3 or 1.2e3."),
        ("1,250 kPa", ".", "1,250 can be read in two ways. Write 1.250 or 1250."),
        ("\u22121.250", ",", "-1.250 can be read in two ways. Write -1,250 or -1250."),
        ("1,250,000", ".", "Write 1,250,000 without signs between the thousands."),
        ("\x07", ".", "This is not a number. Write it like 12.5, -3 or 1.2e3."),
        ("1e31", ".", "The power of ten is too large. It may be from -30 to 30."),
    ],
)
def test_a_refusal_says_what_to_write(text, decimal, sentence):
    refused = read(text, decimal)
    assert isinstance(refused, Refusal)
    assert refused.sentence == sentence


@pytest.mark.parametrize("text", ["1,250", "-12,345 kPa", "999,000"])
@pytest.mark.parametrize("decimal", [".", ","])
def test_both_ways_offered_are_then_read(text, decimal):
    asked = read(text.replace(",", "," if decimal == "." else "."), decimal)
    assert isinstance(asked, Refusal)
    fraction, whole = asked.sentence.partition("Write ")[2].rstrip(".").split(" or ")
    first, second = read(fraction, decimal), read(whole, decimal)
    assert isinstance(first, Reading)
    assert isinstance(second, Reading)
    assert second.number == pytest.approx(1000 * first.number)


@pytest.mark.parametrize(
    ("text", "rest"),
    [
        ("12.5 kPa", "kPa"),
        ("12.5kPa", "kPa"),
        (f"12.5{NO_BREAK}°C (difference)", "°C (difference)"),
        ("12.5 %", "%"),
        ("12.5 m3/h", "m3/h"),
        ("12.5 1/°C", "1/°C"),
        ("12.5 /K", "/K"),
        ("12.5e0 V", "V"),
        ("12,5 \u2126", "\u2126"),
        ('12.5"', '"'),
        ("12.5 things", "things"),
    ],
)
def test_what_follows_the_number_is_kept_for_the_unit(text, rest):
    assert read(text) == Reading(12.5, 1, rest)


def test_minus_nothing_is_nothing():
    nothing = read("-0.0")
    assert isinstance(nothing, Reading)
    assert math.copysign(1.0, nothing.number) == 1.0


NUMBERLIKE = st.text("0123456789+-−–.,eExX×*·^10 ³⁻\u00a0\u2009;/%°CΩkPa_\n", max_size=70)


@given(st.text() | st.text(max_size=LONGEST_TEXT) | NUMBERLIKE, st.sampled_from([".", ","]))
@example("1" * LONGEST_TEXT, ".")
@example("1 " * 32, ".")
@example("1×10^" + "9" * 50, ".")
def test_no_text_raises_and_every_number_is_finite(text, decimal):
    each = read(text, decimal)
    if isinstance(each, Reading):
        assert math.isfinite(each.number)
        assert each.decimals >= 0
        assert each.unit == each.unit.strip()
    else:
        assert each.sentence.isprintable()


@given(st.text() | st.text("0123456789.,;\n -e", max_size=300), st.sampled_from([".", ","]))
def test_no_row_raises(text, decimal):
    row = read_row(text, decimal)
    assert row
    assert all(isinstance(each, Reading | Refusal) for each in row)


@given(st.floats(-1e9, 1e9), st.integers(0, 9), st.sampled_from([".", ","]))
def test_a_number_is_read_as_it_is_shown(value, decimals, decimal):
    shown = format_number(value, decimals, decimal)
    assert read(shown, decimal) == Reading(float(f"{shown.replace(decimal, '.').replace(chr(0x2212), '-')}"), decimals)


POWERS = ["{m}e{p}", "{m}E{p}", "{m}×10^{p}", "{m}x10^{p}", "{m}*10^{p}", " {m} × 10^{p} "]


# The referee is Python's own reading of the same digits written plainly.
@given(
    st.integers(0, 10**7),
    st.integers(0, 7),
    st.integers(-12, 12),
    st.sampled_from(POWERS),
    st.sampled_from(".,"),
)
def test_powers_of_ten_in_every_form(digits, places, power, form, decimal):
    mantissa = format_number(digits / 10**places, places, decimal)
    plain = float(f"{mantissa.replace(',', '.')}e{power}")
    assert read(form.format(m=mantissa, p=power), decimal) == Reading(plain, max(0, places - power))


PARTNERS = [(a.name, b.name) for a in UNITS.values() for b in UNITS.values() if a.dimension == b.dimension and a.name]


@given(st.integers(-(10**7), 10**7), st.sampled_from(PARTNERS), st.sampled_from([".", ","]))
def test_a_right_value_in_any_unit_of_its_dimension_comes_back(millis, pair, decimal):
    shown, wanted = pair
    typed = read(format_quantity(millis / 1000, 3, shown, decimal), decimal)
    assert isinstance(typed, Reading)
    meant = spelled(typed.unit, wanted)
    assert meant is unit(shown)
    back = convert(convert(typed.number, meant, wanted), wanted, meant)
    assert back == pytest.approx(millis / 1000, rel=1e-12, abs=1e-9)


# 112.5 kPa is the worked answer of a 4-20 mA signal at 11.20 mA on 0-250 kPa; 1 bar is 100 kPa by definition.
@pytest.mark.parametrize(
    "text",
    [
        "112.5 kPa",
        "112,5 KPA",
        "112500 Pa",
        "1.125e5 Pa",
        "0.1125 MPa",
        "1.125 bar",
        "1 125 mbar",
        "1125 hPa",
        "+112.5kilopascals",
    ],
)
def test_one_pressure_in_many_forms(text):
    typed = read(text)
    assert isinstance(typed, Reading)
    meant = spelled(typed.unit, "kPa")
    assert meant is not None
    assert convert(typed.number, meant, "kPa") == pytest.approx(112.5)


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("4; 8; 12; 16; 20", [4, 8, 12, 16, 20]),
        ("4;8,5;12", [4, 8.5, 12]),
        ("4\n8\r\n12\n", [4, 8, 12]),
        ("4;\n8;\n12;", [4, 8, 12]),
        ("4", [4]),
        ("\u22124; 1.2e1 mA;", [-4, 12]),
    ],
)
def test_rows(text, numbers):
    assert [each.number for each in read_row(text) if isinstance(each, Reading)] == numbers
    assert len(read_row(text)) == len(numbers)


def test_each_place_of_a_row_has_its_own_refusal():
    row = read_row("4; ; 1,250; x; 20")
    assert [each.reason if isinstance(each, Refusal) else each.number for each in row] == [
        4.0,
        "empty",
        "thousands",
        "not a number",
        20.0,
    ]


def test_an_empty_row_and_an_endless_row_are_refused_once():
    assert [each.reason for each in read_row(" \n") if isinstance(each, Refusal)] == ["empty"]
    assert [each.reason for each in read_row("1;" * 10_000) if isinstance(each, Refusal)] == ["too long"]
