"""Units against pint, published conversion factors and the spellings people use."""

import warnings
from itertools import groupby, permutations

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.errors import TrainerError
from trainer.units import (
    LONGEST_SPELLING,
    NO_BREAK_SPACE,
    UNITS,
    convert,
    format_number,
    format_quantity,
    same_but_prefix,
    spelled,
    unit,
)

# The referee's names for the units that are not one unit over another.
PINT = {
    "°C": "degC",
    "°F": "degF",
    "K": "kelvin",
    "°C (difference)": "delta_degC",
    "°F (difference)": "delta_degF",
    "K (difference)": "kelvin",
    "": "dimensionless",
    "%": "percent",
    "ppm": "ppm",
    "bar": "bar",
    "mbar": "millibar",
    "psi": "psi",
    "mH2O": "meter*g_0*kilogram/liter",
    "cmH2O": "centimeter*g_0*kilogram/liter",
    "mmH2O": "millimeter*g_0*kilogram/liter",
    "inH2O": "inch*g_0*kilogram/liter",
    "mmHg": "mmHg",
    "min": "minute",
    "h": "hour",
    "ft": "foot",
    "in": "inch",
    "mm²": "millimeter**2",
    "m³": "meter**3",
    "gpm": "gallon/minute",
    "t": "metric_ton",
    "lb": "pound",
    "Ω/1000 ft": "ohm/kilofoot",
    "counts": "count",
}
SYMBOLS = {"Ω": "ohm", "V": "volt", "A": "ampere", "W": "watt", "F": "farad", "H": "henry", "S": "siemens"}
SYMBOLS |= {
    "Hz": "hertz",
    "Pa": "pascal",
    "s": "second",
    "m": "meter",
    "L": "liter",
    "g": "gram",
    "N": "newton",
}
PREFIXES = {"": "", "p": "pico", "n": "nano", "µ": "micro", "m": "milli", "c": "centi", "h": "hecto"}
PREFIXES |= {"k": "kilo", "M": "mega"}
PINT |= {p + s: prefix + word for s, word in SYMBOLS.items() for p, prefix in PREFIXES.items() if p + s not in PINT}
ALONE = {"bits", "rpm", "% RH", "% of span", "% of reading", "pH"}  # nothing to convert to


def pint_name(name: str) -> str:
    if name in PINT:
        return PINT[name]
    top, _, bottom = name.rpartition(" per " if " per " in name else "/")
    parts = ["count" if part == "count" else pint_name("" if part == "1" else part) for part in (top, bottom)]
    parts = [part.replace("degC", "delta_degC").replace("degF", "delta_degF") for part in parts]
    return f"({parts[0]})/({parts[1]})"


def by_dimension() -> list[tuple[str, list[str]]]:
    listed = sorted((each.dimension, name) for name, each in UNITS.items() if name not in ALONE)
    return [(key, [name for _, name in group]) for key, group in groupby(listed, key=lambda pair: pair[0])]


@pytest.fixture(scope="module")
def referee() -> pint.UnitRegistry:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


# Referee: pint, an independent table of units.
@pytest.mark.parametrize(("dimension", "names"), by_dimension())
def test_every_pair_of_a_dimension_converts_as_pint_has_it(referee, dimension, names):
    theirs = {name: referee.Unit(pint_name(name)) for name in names}
    for start, end in permutations(names, 2):
        expected = referee.Quantity(7.3, theirs[start]).to(theirs[end]).magnitude
        assert convert(7.3, start, end) == pytest.approx(expected, rel=1e-12), f"{start} to {end}"


def test_units_without_a_partner_have_a_dimension_of_their_own():
    for name in ALONE:
        assert [each.name for each in UNITS.values() if each.dimension == unit(name).dimension] == [name]


# Conversion factors of NIST SP 811 (2008), appendix B.8, seven figures printed; from memory.
@pytest.mark.parametrize(
    ("start", "end", "factor"),
    [
        ("psi", "Pa", 6.894757e3),
        ("inH2O", "Pa", 2.490889e2),
        ("mH2O", "Pa", 9.80665e3),
        ("mmHg", "Pa", 1.333224e2),
        ("bar", "Pa", 1.0e5),
        ("gpm", "m³/s", 6.309020e-5),
        ("m³/h", "m³/s", 2.777778e-4),
        ("ft", "m", 3.048e-1),
        ("in", "m", 2.54e-2),
        ("lb", "kg", 4.535924e-1),
        ("t", "kg", 1.0e3),
        ("min", "s", 60.0),
    ],
)
def test_published_factors(start, end, factor):
    assert convert(1.0, start, end) == pytest.approx(factor, rel=5e-7)


# Fixed points of the scales: the ice point, -40, body heat, the boiling point by definition; common practice.
@pytest.mark.parametrize(
    ("celsius", "fahrenheit", "kelvin"),
    [(0, 32, 273.15), (-40, -40, 233.15), (37, 98.6, 310.15), (100, 212, 373.15)],
)
def test_temperature_scales(celsius, fahrenheit, kelvin):
    assert convert(celsius, "°C", "°F") == pytest.approx(fahrenheit, abs=1e-12)
    assert convert(fahrenheit, "°F", "K") == pytest.approx(kelvin, abs=1e-12)
    assert convert(kelvin, "K", "°C") == pytest.approx(celsius, abs=1e-12)


def test_a_deadband_of_2_degrees_celsius_is_3_point_6_fahrenheit():
    assert convert(2.0, "°C (difference)", "°F (difference)") == pytest.approx(3.6)
    assert convert(2.0, "°C (difference)", "K (difference)") == 2.0
    with pytest.raises(TrainerError, match="temperature difference"):
        convert(2.0, "°C (difference)", "°F")


@given(st.floats(-1e9, 1e9), st.sampled_from([names for _, names in by_dimension() if len(names) > 1]), st.data())
def test_there_and_back_is_the_same_value(value, names, data):
    start, end = data.draw(st.sampled_from(names)), data.draw(st.sampled_from(names))
    assert convert(convert(value, start, end), end, start) == pytest.approx(value, rel=1e-12, abs=1e-9)


# Spellings people use; common practice.
FORMS = {
    "Ω": "Ω|\u2126|ohm|ohms|Ohm|OHMS|R",
    "kΩ": "kΩ|k\u2126|kohm|kohms|KOHM|kilohm|kiloohms|k|K|k Ω",
    "MΩ": "MΩ|M\u2126|Mohm|megohm|Megaohms|M",
    "mΩ": "mΩ|m\u2126|mohm|milliohm|Milliohms",
    "mV": "mV|mv|millivolt|millivolts|m V",
    "MV": "MV|Mv|megavolt",
    "µV": "µV|\u03bcV|uV|UV|microvolts",
    "V": "V|v|volt|volts",
    "mA": "mA|ma|milliamps|milliamp|milliamperes",
    "A": "A|a|amp|amps",
    "µA": "µA|\u03bcA|uA",
    "°C": "°C|degC|deg C|deg. C|C|c|\u2103|º C|celsius|degrees C|degree Celsius",
    "°F": "°F|degF|deg F|F|f|\u2109|Fahrenheit",
    "K": "K|k|kelvin|\u212a",
    "°C (difference)": "°C (difference)|°C|deg C|C",
    "°F (difference)": "°F (difference)|°F|F",
    "K (difference)": "K (difference)|K|kelvin",
    "%": "%|percent|pct|% of span",
    "% of span": "% of span|%|% span|percent of span",
    "% RH": "% RH|%RH|%",
    "counts": "counts|count|cts",
    "s": "s|S|sec|sec.|seconds",
    "min": "min|MIN|minutes|Min.",
    "h": "h|hr|hours|H",
    "ms": "ms|msec|milliseconds",
    "kPa": "kPa|kpa|KPA|kilopascals",
    "MPa": "MPa|Mpa|megapascal",
    "mbar": "mbar|millibar",
    "psi": "psi|PSI|lb/in²|lbf/in^2",
    "mH2O": "mH2O|m H2O|mH₂O|MWC",
    "inH2O": "inH2O|in H₂O|inWC|IN WC",
    "m": "m|M|meter|metres",
    "mm": "mm|millimeters",
    "in": 'in|in.|inch|"',
    "m³/h": "m³/h|m3/h|m^3/h|m3/hr|m³ / h|m³ per hour",
    "L/min": "L/min|l/min|lpm|LPM|liters per minute",
    "gpm": "gpm|GPM|gal/min",
    "Hz": "Hz|hz|HZ|hertz",
    "µF": "µF|uF|\u03bcf|microfarad",
    "kg": "kg|Kg|KG|kilos",
    "mV/V": "mV/V|mv/v|mV per V",
    "°C/min": "°C/min|C/min|deg C/min|degC per minute",
    "°C/count": "°C/count|C/counts|deg C per count",
    "Ω/°C": "Ω/°C|ohm/C|ohms per degC",
    "1/°C": "1/°C|/°C|1/C",
    "m³/h per mA": "m³/h per mA|m3/h/mA",
    "counts per m³/h": "counts per m³/h|count per m3/h",
}


@pytest.mark.parametrize(("name", "form"), [(name, form) for name, forms in FORMS.items() for form in forms.split("|")])
def test_usual_spellings(name, form):
    assert spelled(form, name) is unit(name)


@pytest.mark.parametrize("name", [name for name in UNITS if name])
def test_a_unit_is_understood_as_it_is_shown(name):
    assert spelled(name, name) is unit(name)
    assert spelled(f"  {name.replace(' ', NO_BREAK_SPACE)} ", name) is unit(name)


@pytest.mark.parametrize(
    ("text", "wanted", "meant"),
    [
        ("°F", "°C", "°F"),
        ("°F", "°C (difference)", "°F (difference)"),
        ("K", "°C", "K"),
        ("K", "°C (difference)", "K (difference)"),
        ("K", "Ω", "kΩ"),
        ("m", "Ω", "m"),
        ("M", "Ω", "MΩ"),
        ("M", "mm", "m"),
        ("h", "s", "h"),
        ("H", "mH", "H"),
        ("s", "min", "s"),
        ("F", "µF", "F"),
        ("bar", "kPa", "bar"),
        ("mA", "°C", "mA"),
        ("°C (difference)", "°C", "°C (difference)"),
        ("% of reading", "% of span", "% of reading"),
        ("K/min", "°C/s", "K/min"),
    ],
)
def test_the_wanted_unit_settles_what_is_meant(text, wanted, meant):
    assert spelled(text, wanted) is unit(meant)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "  ",
        "mpa",
        "MM",
        "MS",
        "furlong",
        "9**9",
        "kPa*2",
        "V+V",
        "/",
        "//",
        "kPa/",
        "÷",
        "Ω" * 33,
        "per",
        "__class__",
    ],
)
def test_what_is_no_unit(text):
    assert spelled(text, "kPa") is None


@given(st.text() | st.text("mMkµu°CFKΩΩ%/ per÷^.³VA", max_size=40), st.sampled_from(sorted(UNITS)))
def test_no_text_raises_and_what_is_found_is_listed(text, wanted):
    found = spelled(text, wanted)
    assert found is None or (UNITS[found.name] is found and len(text) <= LONGEST_SPELLING)


@pytest.mark.parametrize(
    ("a", "b", "same"),
    [
        ("mA", "A", True),
        ("kΩ", "Ω", True),
        ("kPa", "Pa", True),
        ("mbar", "bar", True),
        ("ms", "s", True),
        ("mm", "m", True),
        ("kPa", "kPa", True),
        ("%", "", True),
        ("K (difference)", "°C (difference)", True),
        ("Ω/K", "Ω/°C", True),
        ("mV/°C", "V/K", True),
        ("bar", "kPa", False),
        ("°F", "°C", False),
        ("K", "°C", False),
        ("°F (difference)", "°C (difference)", False),
        ("min", "s", False),
        ("in", "mm", False),
        ("mmHg", "mmH2O", False),
        ("mV", "mA", False),
        ("% of span", "% of reading", False),
    ],
)
def test_another_prefix_is_not_another_unit(a, b, same):
    assert same_but_prefix(a, b) is same
    assert same_but_prefix(b, a) is same


def test_the_plain_number_has_two_names():
    assert unit("1") is unit("")
    assert convert(0.45, "", "%") == pytest.approx(45.0)


@pytest.mark.parametrize(
    ("name", "offer"),
    [
        ("kpa", "'kPa'"),
        ("degC", "'°C'"),
        ("ohm", "'Ω'"),
        ("counts/sec/x", "did you mean"),
        ("mbarr", "'mbar'"),
    ],
)
def test_an_unknown_name_is_answered_with_the_nearest(name, offer):
    with pytest.raises(TrainerError, match="there is no unit") as refused:
        unit(name)
    assert offer in str(refused.value)


def test_a_long_unknown_name_is_cut_short():
    with pytest.raises(TrainerError) as refused:
        unit("x" * 10_000)
    assert len(str(refused.value)) < 100


@pytest.mark.parametrize(
    ("value", "decimals", "decimal", "shown"),
    [
        (112.49999999999999, 1, ".", "112.5"),
        (2.675, 2, ".", "2.68"),
        (0.125, 2, ",", "0,13"),
        (-0.5, 0, ".", "\u22121"),
        (-12.34, 1, ",", "\u221212,3"),
        (-0.04, 1, ".", "0.0"),
        (-0.0, 0, ".", "0"),
        (1e22, 1, ".", "10000000000000000000000.0"),
        (3276, 0, ".", "3276"),
        (1.5e-7, 8, ".", "0.00000015"),
    ],
)
def test_numbers_are_shown_with_fixed_decimals(value, decimals, decimal, shown):
    assert format_number(value, decimals, decimal) == shown


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("kPa", "0.8~kPa"),
        ("°C (difference)", "0.8~°C (difference)"),
        ("%", "0.8~%"),
        ("", "0.8"),
        ("1", "0.8"),
    ],
)
def test_a_unit_follows_its_number_after_a_no_break_space(name, shown):
    assert format_quantity(0.8, 1, name) == shown.replace("~", NO_BREAK_SPACE)
    assert format_quantity(0.8, 1, unit(name), ",") == shown.replace("~", NO_BREAK_SPACE).replace(".", ",")
