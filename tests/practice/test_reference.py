"""Reference tables and conversions against what is printed elsewhere."""

import pytest

from trainer.calculations import rtd, thermocouples
from trainer.calculations.curves import IEC_60751, NICKEL_120
from trainer.errors import TrainerError
from trainer.practice.reference import read_in
from trainer.practice.reference_signals import read_range
from trainer.practice.reference_thermometers import (
    KINDS,
    RESISTANCE_CURVES,
    emf_rows,
    emf_ways,
    read_r0,
    read_terminal,
    resistance_rows,
    resistance_ways,
)
from trainer.practice.reference_units import unit_ways
from trainer.practice.reference_wires import conductors, read_conductor_temperature, wire_ways


def at(rows, temperature):
    """The value of a table by the degree."""
    head = 10 * (temperature // 10)
    return next(row.values[temperature - head] for row in rows if row.celsius == head)


def lines(ways, unit):
    """Lines of the way read in a unit, by title."""
    return {line.title: line.value for way in ways if way.unit == unit for line in way.lines}


# IEC 60751:2022 (ITS-90), table of 100 Ω platinum resistors.
PT100 = [
    (-200, 18.52),
    (-170, 31.34),
    (-40, 84.27),
    (0, 100.0),
    (20, 107.79),
    (120, 146.07),
    (600, 313.71),
    (850, 390.48),
]


@pytest.mark.parametrize(("t", "ohms"), PT100)
def test_resistance_by_the_degree(t, ohms):
    assert at(resistance_rows(IEC_60751, 100.0), t) == pytest.approx(ohms, abs=0.005001)


@pytest.mark.parametrize(("t", "ohms"), PT100)
def test_resistance_both_ways(t, ohms):
    ways = resistance_ways(f"{t}", IEC_60751, 100.0)
    assert lines(ways, "°C")["Resistance"] == pytest.approx(ohms, abs=0.005001)
    back = lines(resistance_ways(f"{ohms} ohm", IEC_60751, 100.0), "Ω")["Temperature"]
    assert back == pytest.approx(t, abs=0.013)


# Pt1000 basic values to DIN EN 60751, a sensor maker's table.
@pytest.mark.parametrize(("t", "ohms"), [(-200, 185.2), (25, 1097.3), (100, 1385.1), (850, 3904.8)])
def test_resistance_of_another_r0(t, ohms):
    assert at(resistance_rows(IEC_60751, 1000.0), t) == pytest.approx(ohms, abs=0.05)


# NIST Monograph 175 (1993), reference tables.
EMF = [
    ("B", 1820, 13.820), ("E", -270, -9.835), ("J", 760, 42.919), ("K", 100, 4.096), ("K", 1372, 54.886),
    ("N", 25, 0.659), ("R", 1064, 11.361), ("S", -50, -0.236), ("S", 1065, 10.344), ("T", 400, 20.872),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "t", "mv"), EMF)
def test_emf_by_the_degree(kind, t, mv):
    assert at(emf_rows(kind), t) == pytest.approx(mv, abs=0.0005001)


@pytest.mark.parametrize(("kind", "t", "mv"), EMF)
def test_emf_both_ways(kind, t, mv):
    assert lines(emf_ways(f"{t} °C", kind), "°C")["Emf at the terminals"] == pytest.approx(mv, abs=0.0005001)
    back = lines(emf_ways(f"{mv} mV", kind), "mV")["Temperature"]
    end = thermocouples.reference_function(kind).domain[0]
    assert back == pytest.approx(t, abs=0.4 if t == end else 0.1)


# Worked examples in the documentation of two open thermocouple packages: 4.096 mV at 25 °C, 1.1 mV at 23 °C (rounded).
@pytest.mark.parametrize(("mv", "terminal", "t", "half_digit"), [(4.096, 25.0, 124.3, 0.05), (1.1, 23.0, 50, 0.5)])
def test_warm_terminals(mv, terminal, t, half_digit):
    found = lines(emf_ways(f"{mv} mV", "K", terminal), "mV")
    assert found["Temperature"] == pytest.approx(t, abs=half_digit)
    assert found["Emf referred to 0 °C"] == pytest.approx(mv + thermocouples.emf(terminal, "K"))


@pytest.mark.parametrize("name", RESISTANCE_CURVES)
def test_every_resistance_table_is_the_curve_and_ends_with_it(name):
    curve = RESISTANCE_CURVES[name]
    rows = resistance_rows(curve, curve.nominal)
    shown = [(row.celsius + ones, value) for row in rows for ones, value in enumerate(row.values) if value is not None]
    assert (shown[0][0], shown[-1][0]) == (curve.lowest, curve.highest)
    assert shown == [(t, rtd.resistance(t, curve.nominal, curve)) for t, _value in shown]


@pytest.mark.parametrize("kind", KINDS)
def test_every_emf_table_is_the_function_and_ends_with_it(kind):
    shown = [
        (row.celsius + ones, value)
        for row in emf_rows(kind)
        for ones, value in enumerate(row.values)
        if value is not None
    ]
    lowest, highest = thermocouples.reference_function(kind).domain
    assert shown[0][0] == lowest
    assert highest - 1.0 < shown[-1][0] <= highest
    assert shown == [(t, thermocouples.emf(t, kind)) for t, _value in shown]


def test_a_bare_number_is_read_as_both():
    ways = resistance_ways("120", IEC_60751, 100.0)
    assert [(way.number, way.unit) for way in ways] == [(120.0, "°C"), (120.0, "Ω")]
    assert [way.unit for way in resistance_ways("120", IEC_60751, 100.0, degrees=("°C", "°F"))] == ["°C", "°F", "Ω"]


@pytest.mark.parametrize(("text", "unit"), [("120 Ω", "Ω"), ("0.12 kohm", "kΩ"), ("120 °C", "°C"), ("248 F", "°F")])
def test_a_typed_unit_is_the_only_way(text, unit):
    assert [way.unit for way in resistance_ways(text, IEC_60751, 100.0)] == [unit]


def test_fahrenheit_is_converted_and_shown_beside():
    (way,) = resistance_ways("248 °F", IEC_60751, 100.0)
    assert way.lines[0].value == rtd.resistance(120.0)
    (way,) = resistance_ways("138.51 Ω", IEC_60751, 100.0)
    value, unit = way.lines[0].beside
    assert unit == "°F"
    assert value == pytest.approx(212.0, abs=0.013 * 1.8)


def test_the_way_that_cannot_be_says_why():
    ways = resistance_ways("400", IEC_60751, 100.0)
    assert [way.fault for way in ways] == ["", "resistance 400 Ω is outside 18.5201 to 390.481 Ω"]


@pytest.mark.parametrize(
    ("work", "sentence"),
    [
        (lambda: resistance_ways("900 °C", IEC_60751, 100.0), "temperature 900 °C is outside -200 to 850 °C"),
        (lambda: resistance_ways("1600 °F", IEC_60751, 100.0), "temperature 1600 °F is outside -328 to 1562 °F"),
        (lambda: resistance_ways("0.5 kΩ", IEC_60751, 100.0), "resistance 0.5 kΩ is outside 0.0185201 to 0.390481 kΩ"),
        (
            lambda: resistance_ways("1000", IEC_60751, 100.0),
            "temperature 1000 °C is outside -200 to 850 °C; resistance",
        ),
        (lambda: resistance_ways("120 bar", IEC_60751, 100.0), "bar is no unit for this box. Write it like °C, Ω"),
        (lambda: resistance_ways("warm", IEC_60751, 100.0), "warm is not a number"),
        (lambda: read_r0("0", NICKEL_120), "resistance at 0 °C 0 Ω is outside 1 to 10000 Ω"),
        (lambda: emf_ways("55 mV", "K", 25.0), "emf 55 mV is outside -7.45798 to 53.8861 mV"),
        (lambda: emf_ways("0.2 mV", "B"), "emf 0.2 mV is outside 0.2912"),
        (lambda: read_terminal("-5", "B"), "temperature -5 °C is outside 0 to 1820 °C"),
        (lambda: read_range("50", "50 °C"), "range 50 to 50 has no span"),
        (lambda: read_range("0 bar", "50 °C"), "'bar' (pressure) does not convert to '°C' (temperature)"),
        (lambda: read_range("0", "50 flurbs"), "there is no unit 'flurbs'"),
        (lambda: wire_ways("-5 m", conductors()["18-awg"]), "length -5 m is outside 0 to 100000 m"),
        (lambda: wire_ways("-5", conductors()["18-awg"]), "length -5 m is outside 0 to 100000 m; resistance -5 Ω"),
        (lambda: read_conductor_temperature("300"), "temperature 300 °C is outside -60 to 200 °C"),
        (lambda: unit_ways("3 flurbs"), "there is no unit 'flurbs'"),
    ],
)
def test_bad_input_is_told_with_value_limit_and_unit(work, sentence):
    with pytest.raises(TrainerError) as fault:
        work()
    assert sentence in str(fault.value)


def test_a_decimal_comma():
    assert read_in("0,1 kΩ", "Ω", ",") == 100.0
    assert resistance_ways("138,51 Ω", IEC_60751, 100.0, ",")[0].lines[0].value == pytest.approx(100.0, abs=0.013)
