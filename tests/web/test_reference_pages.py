"""Reference pages: what is typed comes back with every way it can be meant, or with the sentence that says why not."""

import re
from html import unescape

import pytest
from web_visitors import services_of

from trainer.calculations import rtd, thermocouples
from trainer.units import format_number
from trainer.web import app as web_app

PAGES = ("rtd", "thermocouple", "signals", "wire", "units")
CHECK = "Check against the standard before relying on it."


@pytest.fixture(scope="module")
def app(tmp_path_factory, library):
    """One application for all: a reference page keeps nothing."""
    with pytest.MonkeyPatch.context() as patch:
        for name in ("DATA", "DATABASE", "HOST"):
            patch.delenv(f"TRAINER_{name}", raising=False)
        patch.setattr(web_app, "read_library", lambda _folder: library)
        made = web_app.create_app(tmp_path_factory.mktemp("reference"))
    yield made
    services_of(made).database.close()


@pytest.fixture
def page(app):
    """Get a reference page: status and text with single spaces."""
    client = app.test_client()

    def page(name="", **typed):
        answer = client.get(f"/reference/{name}", query_string=typed)
        return answer.status_code, re.sub(r"\s+", " ", unescape(answer.text))

    return page


def words(text):
    """A page as a reader has it."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", text))


def rows_of(text, at=0):
    """Cells of a table of values, row by row."""
    table = re.findall(r'<table class="plain values.*?</table>', text)[at]
    return [re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row) for row in re.findall(r"<tr>.*?</tr>", table)]


def test_the_first_page_leads_to_every_table(page):
    status, text = page()
    assert status == 200
    assert all(f'href="/reference/{name}"' in text for name in PAGES)
    assert 'href="/reference/" aria-current="page"' in text


@pytest.mark.parametrize("name", PAGES)
def test_each_page_has_table_box_and_source(page, name):
    status, text = page(name)
    assert status == 200
    assert CHECK in text
    assert 'name="value"' in text
    assert len(rows_of(text)) > 5
    assert "<thead>" in text


# IEC 60751:2022, table of 100 Ω: 146.07 Ω at 120 °C. Read backwards 51.57 °C, which is 124.82 °F.
def test_one_number_both_ways(page):
    status, text = page("rtd", value="120")
    assert status == 200
    assert "Read as 120 °C Resistance 146.07 Ω" in words(text)
    assert "Read as 120 Ω Temperature 51.57 °C = 124.82 °F" in words(text)


def test_a_unit_leaves_one_way(page):
    assert "Read as 120 °C" not in page("rtd", value="120 Ω")[1].replace("\xa0", " ")
    assert "Read as 120 Ω" not in page("rtd", value="120 °C")[1].replace("\xa0", " ")


# A sensor maker's table of the 120 Ω nickel curve, and of Pt1000 to DIN EN 60751.
def test_curve_and_r0_are_chosen(page):
    assert "Resistance 200.64 Ω" in words(page("rtd", curve="nickel 0.00672", value="100 °C")[1])
    assert "Resistance 1385.06 Ω" in words(page("rtd", r0="1000", value="100 °C")[1])
    assert "Resistance 1385.06 Ω" in words(page("rtd", r0="1 kΩ", value="100 °C")[1])


def test_table_and_calculation_agree(page):
    rows = rows_of(page("rtd", r0="500")[1])
    assert rows[0] == ["°C", "°F", *(f"+{ones}" for ones in range(10))]
    row = next(row for row in rows if row[0] == "−30")
    assert row[1:] == ["−22", *(format_number(rtd.resistance(ones - 30.0, 500.0), 2) for ones in range(10))]
    row = next(row for row in rows_of(page("thermocouple", type="N")[1]) if row[0] == "1300")
    assert row == ["1300", "2372", format_number(thermocouples.emf(1300.0, "N"), 3), *[""] * 9]


# Documentation of an open thermocouple package: 4.096 mV at terminals of 25 °C is 124.3 °C.
def test_terminals_are_taken_into_account(page):
    said = words(page("thermocouple", value="4.096", terminal="25")[1])
    assert re.search(r"Read as 4\.096 mV Temperature 124\.3\d °C = 255\.\d\d °F", said)
    assert "Read as 4.096 °C Emf at the terminals −0.838 mV" in said
    assert words(page("thermocouple", value="4.096", terminal="77 °F")[1]).count("124.3") == 1


# NAMUR NE 43 (2003) and volts across 250 Ω; worked example of a training page: 10.6 mA of 150 to 400 psi.
def test_signals_and_fault_levels(page):
    text = page("signals", lower="150", upper="400 psi", value="10.6")[1]
    assert "Read as 10.6 mA 4-20 mA 253.13 psi" in words(text)
    assert [row[1:3] for row in rows_of(text, 1)[1:]] == [
        ["3.6", "0.900"],
        ["3.8", "0.950"],
        ["4.0", "1.000"],
        ["20.0", "5.000"],
        ["20.5", "5.125"],
        ["21.0", "5.250"],
    ]
    assert [row[0] for row in rows_of(text)[2:]] == ["4-20 mA", "0-20 mA", "1-5 V", "0-5 V", "0-10 V", "2-10 V"]


def test_a_range_in_celsius_has_fahrenheit_beside(page):
    text = page("signals", lower="-30", upper="50 °C")[1]
    assert rows_of(text)[2] == ["Process value °F", "−22.000", "14.000", "50.000", "86.000", "122.000"]
    assert rows_of(text, 1)[0][-2:] == ["Process value °C", "°F"]
    assert rows_of(text, 1)[1][-2:] == ["−32.000", "−25.600"]


# IEC 60228:2004: 1.5 mm² has 12.1 Ω/km, so 100 m have 1.21 Ω one way and 2.42 Ω there and back.
def test_length_and_ohms(page):
    said = words(page("wire", size="1.5-mm2", value="100")[1])
    assert "Read as 100 m One conductor 1.210 Ω There and back 2.420 Ω" in said
    assert "Read as 100 Ω Cable, one conductor 8264.46 m = 27114.38 ft Cable, there and back 4132.23 m" in said


# NIST SP 811 (2008): 1 bar is 14.50377 psi; 25 °C is 77 °F, a difference of 25 °C one of 45 °F.
def test_all_units_at_once(page):
    assert re.search(r"kPa 100 .*psi 14\.50377 ", words(page("units", value="1 bar")[1]))
    said = words(page("units", value="25 °C")[1])
    assert "Read as 25 °C °C 25 °F 77 K 298.15" in said
    assert "Read as 25 °C (difference) °C (difference) 25 °F (difference) 45" in said
    assert "Read as 25 bar" in words(page("units", value="25", unit="bar")[1])


@pytest.mark.parametrize(
    ("name", "box", "typed", "sentence"),
    [
        ("rtd", "value", {"value": "warm"}, "warm is not a number. Write it like 12.5, -3 or 1.2e3."),
        ("rtd", "value", {"value": "851 °C"}, "temperature 851 °C is outside -200 to 850 °C"),
        ("rtd", "value", {"value": "1,250"}, "1,250 can be read in two ways. Write 1.250 or 1250."),
        ("rtd", "r0", {"r0": "0 Ω", "value": "5"}, "resistance at 0 °C 0 Ω is outside 1 to 10000 Ω"),
        ("thermocouple", "value", {"value": "60 mV"}, "emf 60 mV is outside -6.457"),
        ("thermocouple", "terminal", {"type": "B", "terminal": "-1"}, "temperature -1 °C is outside 0 to 1820 °C"),
        ("signals", "upper", {"lower": "5", "upper": "5 bar"}, "range 5 to 5 has no span"),
        ("signals", "lower", {"lower": "low", "upper": "5 bar"}, "low is not a number."),
        ("wire", "value", {"value": "-20 m"}, "length -20 m is outside 0 to 100000 m"),
        ("wire", "temperature", {"temperature": "400"}, "temperature 400 °C is outside -60 to 200 °C"),
        ("units", "value", {"value": "3 flurbs"}, "there is no unit 'flurbs'"),
    ],
)
def test_bad_input_stands_beside_its_box(page, name, box, typed, sentence):
    status, text = page(name, **typed)
    assert status == 400
    assert re.search(rf'id="error-{box}">[^/]*</span> {re.escape(sentence)}', text)
    assert f'value="{typed[box]}"' in text
    assert CHECK in text


def test_markup_is_shown_as_text(app):
    answer = app.test_client().get("/reference/units", query_string={"value": "<b>3</b>"})
    raw = answer.text
    assert answer.status_code == 400
    assert "<b>3" not in raw
    assert raw.count("&lt;b&gt;3&lt;/b&gt;") == 2


@pytest.mark.parametrize(
    ("name", "key"), [("rtd", "curve"), ("thermocouple", "type"), ("wire", "size"), ("units", "unit")]
)
def test_an_option_that_is_not_there(page, name, key):
    status, text = page(name, **{key: "Q"})
    assert status == 400
    assert "Choose one of the options shown." in text


@pytest.mark.parametrize("name", PAGES)
def test_nothing_typed_is_no_fault(page, name):
    status, text = page(name, value="  ")
    assert status == 200
    assert "aria-invalid" not in text


def test_a_decimal_comma_is_read_and_written(make_app):
    text = make_app(decimal_sign=",").test_client().get("/reference/rtd?value=138,51").text
    assert re.search(r"Temperature\s*</th><td[^>]*>100,01<", text)
    assert "18,52" in text
    assert "18.52" not in text


def test_one_who_thinks_in_fahrenheit_has_it_read_so_too(make_app):
    text = make_app(temperature_unit="°F").test_client().get("/reference/rtd?value=120").text
    assert [unit for unit in ("°C", "°F", "Ω") if f"Read as 120\xa0{unit}" in text] == ["°C", "°F", "Ω"]
