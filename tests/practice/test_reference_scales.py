"""Reference tables and conversions of signals, wire and units against what is printed elsewhere."""

import pytest

from trainer.calculations import leads, signals
from trainer.practice.reference_signals import ProcessRange, level_rows, read_range, signal_rows, signal_ways
from trainer.practice.reference_units import choices, decimals_for, temperature_rows, unit_tables, unit_ways
from trainer.practice.reference_wires import conductors, wire_rows, wire_ways


def lines(ways, unit):
    """Lines of the way read in a unit, by title."""
    return {line.title: line.value for way in ways if way.unit == unit for line in way.lines}


# Worked 4-20 mA examples of an instrumentation training page: range, value, percent, current.
@pytest.mark.parametrize(
    ("lower", "upper", "value", "percent", "current", "half_digit"),
    [("-88", "145", "41", 55.36, 12.86, 0.005), ("3", "11 pH", "9.32", 79.0, 16.64, 0.005)],
)
def test_process_value_to_signals(lower, upper, value, percent, current, half_digit):
    process = read_range(lower, upper)
    found = lines(signal_ways(value, process), process.unit)
    assert found["% of span"] == pytest.approx(percent, abs=half_digit)
    assert found["4-20 mA"] == pytest.approx(current, abs=half_digit)
    assert set(found) == {"% of span", *(each.name for each in signals.SIGNALS)}


# The same source and two other published scaling examples.
@pytest.mark.parametrize(
    ("lower", "upper", "text", "value"),
    [("150", "400 psi", "10.6 mA", 253.125), ("-50", "50 mbar", "12 mA", 0.0), ("-1", "5 bar", "13 mA", 2.375)],
)
def test_signal_to_process_value(lower, upper, text, value):
    (way,) = signal_ways(text, read_range(lower, upper))
    assert {line.title: line.value for line in way.lines}["4-20 mA"] == pytest.approx(value)


# Formula page of the trade: 40 % is 10.4 mA, and -0.2 bar of a range from -1 to 1 bar.
def test_percent_is_read_only_where_typed():
    (way,) = signal_ways("40 %", read_range("-1", "1 bar"))
    found = {line.title: line.value for line in way.lines}
    assert (found["Process value"], found["4-20 mA"]) == pytest.approx((-0.2, 10.4))
    assert [way.unit for way in signal_ways("40", read_range("-1", "1 bar"))] == ["bar", "mA", "V"]


def test_a_range_in_percent_reads_percent_once():
    assert [way.unit for way in signal_ways("40 %", ProcessRange())] == ["%"]


def test_the_unit_of_a_range_stands_behind_either_end():
    assert read_range("32 °F", "100 °C") == ProcessRange(0.0, 100.0, "°C")
    assert read_range("1000 mbar", "3") == ProcessRange(1000.0, 3.0, "mbar")
    assert read_range("0", "10").unit == ""


# NAMUR NE 43 (2003): 3.6, 3.8, 20.5, 21.0 mA. IEC 60381: 4-20 mA gives 1-5 V across 250 Ω.
def test_fault_levels_with_volts():
    rows = level_rows(ProcessRange(-30.0, 50.0, "°C"))
    assert [row.current for row in rows] == [3.6, 3.8, 4.0, 20.0, 20.5, 21.0]
    assert [row.volts for row in rows] == pytest.approx([0.9, 0.95, 1.0, 5.0, 5.125, 5.25])
    assert [row.value for row in rows] == pytest.approx([-32.0, -31.0, -30.0, 50.0, 52.5, 55.0])


def test_a_loop_current_outside_measuring_is_named():
    (way,) = signal_ways("3.5 mA", ProcessRange())
    assert {line.title: line.note for line in way.lines} == {"4-20 mA": "fault low", "0-20 mA": ""}


# IEC 60381-1 and -2, ends of the standard signals; midpoints are common practice.
def test_signals_at_parts_of_span():
    assert {row.name: row.values for row in signal_rows()} == {
        "4-20 mA": (4, 8, 12, 16, 20),
        "0-20 mA": (0, 5, 10, 15, 20),
        "1-5 V": (1, 2, 3, 4, 5),
        "0-5 V": (0, 1.25, 2.5, 3.75, 5),
        "0-10 V": (0, 2.5, 5, 7.5, 10),
        "2-10 V": (2, 4, 6, 8, 10),
    }


# NBS Handbook 100 (1966), solid copper at 20 °C [Ω/1000 ft], four figures; last-digit steps between editions.
@pytest.mark.parametrize(
    ("gauge", "ohms"), [(8, 0.6282), (12, 1.588), (14, 2.525), (18, 6.385), (22, 16.14), (24, 25.67), (30, 103.2)]
)
def test_american_gauges(gauge, ohms):
    row = next(row for row in wire_rows() if row.conductor.name == f"{gauge} AWG")
    assert row.per_thousand_feet == pytest.approx(ohms, rel=2.5e-4)


# ASTM B258, areas, from memory.
@pytest.mark.parametrize(("gauge", "area"), [(10, 5.261), (14, 2.081), (18, 0.823), (24, 0.205)])
def test_area_of_american_gauges(gauge, area):
    assert conductors()[f"{gauge}-awg"].area == pytest.approx(area, abs=0.0005)


# IEC 60228:2004, largest resistance at 20 °C, classes 1 and 2 and classes 5 and 6 [Ω/km].
@pytest.mark.parametrize(("size", "solid", "flexible"), [("0.5", 36.0, 39.0), ("1.5", 12.1, 13.3), ("10", 1.83, 1.91)])
def test_metric_sizes(size, solid, flexible):
    sizes = conductors()
    assert (sizes[f"{size}-mm2"].per_kilometer, sizes[f"{size}-mm2-flexible"].per_kilometer) == (solid, flexible)


@pytest.mark.parametrize("key", conductors())
def test_length_and_resistance_agree(key):
    conductor = conductors()[key]
    found = lines(wire_ways("250 m", conductor, 60.0), "m")
    assert found["One conductor"] == leads.conductor_resistance(250.0, conductor.per_kilometer, 60.0)
    assert found["There and back"] == 2.0 * found["One conductor"]
    back = lines(wire_ways(f"{found['There and back']!r} Ω", conductor, 60.0), "Ω")
    assert back["Cable, there and back"] == pytest.approx(250.0)
    assert back["Cable, one conductor"] == pytest.approx(500.0)


# IEC 60228 table B.1 has 1/0.926 at 40 °C with a coefficient of 0.004; 0.00393 differs by 0.2 % at most.
def test_a_warm_conductor_has_more():
    row = next(row for row in wire_rows(40.0) if row.conductor.name == "1.5 mm²")
    assert row.warm == pytest.approx(12.1 / 0.926, rel=0.002)
    assert row.loop == 2.0 * row.warm


# NIST SP 811 (2008), appendix B: factors to seven figures.
@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("1 psi", "kPa", 6.894757), ("1 bar", "psi", 14.50377), ("1 inH2O", "Pa", 249.0889),
        ("1 mmHg", "Pa", 133.3224), ("1 gpm", "m³/s", 6.309020e-5), ("1 ft", "m", 0.3048), ("1 lb", "kg", 0.4535924),
    ],
)  # fmt: skip
def test_all_units_of_a_dimension(text, unit, value):
    (way,) = unit_ways(text)
    assert {line.unit: line.value for line in way.lines}[unit] == pytest.approx(value, rel=1e-6)


# ITS-90 and the definition of °F: 25 °C is 77 °F and 298.15 K; a difference of 25 °C is 45 °F and 25 K.
@pytest.mark.parametrize(("text", "chosen"), [("25 °C", "K"), ("25", "°C")])
def test_readings_and_differences_apart(text, chosen):
    reading, difference = unit_ways(text, chosen)
    assert [line.value for line in reading.lines] == pytest.approx([25.0, 77.0, 298.15])
    assert [line.value for line in difference.lines] == pytest.approx([25.0, 45.0, 25.0])


def test_below_absolute_zero_only_a_difference_is_left():
    reading, difference = unit_ways("-300 °C")
    assert reading.fault == "temperature -300 °C is below absolute zero, -273.15 °C"
    assert [line.value for line in difference.lines] == pytest.approx([-300.0, -540.0, -300.0])


def test_every_choice_converts():
    for name in choices():
        assert all(way.lines for way in unit_ways("1", name))


# Common practice: -40 is the same in °C and °F.
def test_temperatures_side_by_side():
    rows = {row[0]: row[1:] for row in temperature_rows()}
    assert rows[-40.0] == pytest.approx((-40.0, 233.15))
    assert rows[100.0] == pytest.approx((212.0, 373.15))
    assert rows[-273.15] == pytest.approx((-459.67, 0.0))


def test_one_of_each_unit_agrees_with_the_box():
    for rows in unit_tables().values():
        for row in rows:
            told = unit_ways("1", row.name)[0].lines
            assert {line.unit: line.value for line in told}[row.told_in] == row.value


@pytest.mark.parametrize(("value", "decimals"), [(0.0, 0), (1e6, 0), (6.894757293168361, 6), (1e-12, 12), (298.15, 2)])
def test_seven_figures_without_closing_zeros(value, decimals):
    assert decimals_for(value) == decimals
