"""Worksheets of strand S2 on the resistance of a conductor: table value, length, temperature."""

from __future__ import annotations

from trainer.calculations import leads, temperatures
from trainer.calculations.leads import METRIC
from trainer.worksheets.tolerance import relative
from trainer.worksheets.worksheet import Node, Worksheet

SOURCES = (
    "IEC 60228:2004: largest resistance of plain copper conductors, classes 1 and 2, at 20 °C",
    "ASTM B258 (diameters of American wire gauges) with the resistivity of annealed copper, NBS Handbook 100",
    "Temperature coefficient of annealed copper, 0.00393 per °C at 20 °C: common practice",
)
FOOT = 0.3048  # m
AREAS = {f"{area:g} mm²": area for area in METRIC}
GAUGES = {f"AWG {gauge}": float(gauge) for gauge in (18, 20, 22, 24)}


# Resistance of one conductor: the same steps in meters and in feet, for tables per thousand of either


def at_20(per_length: float, length: float) -> float:
    return leads.conductor_resistance(length, per_length)


def there_and_back(per_length: float, length: float) -> float:
    return 2.0 * at_20(per_length, length)


def turned_into_feet(per_length: float, length: float) -> float:
    return at_20(per_length, length / FOOT)


def turned_into_meters(per_length: float, length: float) -> float:
    return at_20(per_length, length * FOOT)


def factor(celsius: float) -> float:
    return leads.conductor_resistance(1000.0, 1.0, celsius)  # what 1 Ω at 20 °C has become


def no_correction(celsius: float) -> float:
    return 1.0


def counted_from_zero(celsius: float) -> float:
    return factor(celsius + 20.0)


def wrong_way(celsius: float) -> float:
    return factor(40.0 - celsius)


def resistance(at_20: float, factor: float) -> float:
    return at_20 * factor


def _declare_conductor(sheet: Worksheet, thousand: str, into_feet: str, into_meters: str) -> None:
    sheet.step(
        "Resistance at 20 °C",
        symbol="R_{20}",
        formula=r"\frac{<per_length> \times <length>}{1000}",
        rule=f"Multiply the table value by the length of one conductor; the table is per {thousand}.",
        unit="Ω",
        tolerance=relative(1.0, 0.01),
        possible=(0.0, 1000.0),
    )(at_20)
    sheet.slip_of("at_20", "There and back is two conductors: the resistance of one is asked.")(there_and_back)
    sheet.slip_of("at_20", into_feet)(turned_into_feet)
    sheet.slip_of("at_20", into_meters)(turned_into_meters)
    sheet.step(
        "Factor for the temperature of the cable",
        symbol="k",
        formula="1 + 0.00393 (<celsius> - 20)",
        rule="Copper gains 0.393 % for each degree Celsius above 20 °C and loses as much for each one below.",
        tolerance=0.002,
        decimals=4,
        possible=(0.5, 2.0),
    )(factor)
    for function, message in (
        (no_correction, "The table is for 20 °C, and the cable is not at 20 °C."),
        (counted_from_zero, "The table value belongs to 20 °C: count the degrees from there, not from 0 °C."),
        (wrong_way, "Warm copper has more resistance, cold copper less: on which side of 20 °C is the cable?"),
    ):
        sheet.slip_of("factor", message)(function)
    sheet.step(
        "Resistance of one conductor",
        symbol="R",
        formula=r"<at_20> \times <factor>",
        rule="Multiply the resistance at 20 °C by the factor.",
        unit="Ω",
        tolerance=relative(1.0, 0.01),
    )(resistance)


lead_resistance = Worksheet("lead-resistance", "Resistance of one conductor of a cable", "S2.1", sources=SOURCES)
lead_resistance.given("size", "Conductor", kind="choice", options=(*AREAS, *GAUGES))


@lead_resistance.prepared("Table value for one conductor at 20 °C", symbol="r", unit="Ω/km")
def per_length(size: str) -> float:
    return leads.metric_resistance(AREAS[size]) if size in AREAS else _printed(leads.awg_resistance(GAUGES[size]))


def _printed(ohms: float) -> float:
    """Four figures, as wire tables have them."""
    return float(f"{ohms:.4g}")


lead_resistance.given("length", "Length of the cable", symbol="L", unit="m")
lead_resistance.given("celsius", "Temperature of the cable", symbol="T", unit="°C")
_declare_conductor(
    lead_resistance,
    "1000 m",
    "The length was turned into feet, but the table is per kilometer.",
    "The length is in meters already; it was taken for feet.",
)


lead_resistance_feet = Worksheet(
    "lead-resistance-feet", "Resistance of one conductor, feet and °F", "S2.1", sources=SOURCES
)


def _per_1000_feet(size: str) -> float:
    return _printed(leads.awg_resistance(GAUGES[size]) * FOOT)


lead_resistance_feet.given("size", "Conductor", kind="choice", options=tuple(GAUGES))
lead_resistance_feet.given(
    "per_length",
    "Table value for one conductor at 68 °F",
    symbol="r",
    unit="Ω/1000 ft",
    prepare=Node.of(_per_1000_feet),
)
lead_resistance_feet.given("length", "Length of the cable", symbol="L", unit="ft")
lead_resistance_feet.given("fahrenheit", "Temperature of the cable", symbol="T_F", unit="°F")


@lead_resistance_feet.step(
    "Temperature of the cable in °C",
    symbol="T",
    formula=r"\frac{<fahrenheit> - 32}{1.8}",
    rule="The coefficient of copper is per degree Celsius: take 32 off, then divide by 1.8.",
    unit="°C",
    tolerance=0.2,
    skill="S1.7",
)
def celsius(fahrenheit: float) -> float:
    return temperatures.convert(fahrenheit, "°F", "°C")


@celsius.slip("The coefficient of copper takes degrees Celsius only: convert the temperature first.")
def fahrenheit_put_in(fahrenheit: float) -> float:
    return fahrenheit


# 32 °F less are 17.8 °C more, so carried on it is nearly the factor counted from 0 °C.
@celsius.slip("A reading is moved by 32 before it is divided by 1.8.", coincides=True)
def only_divided(fahrenheit: float) -> float:
    return fahrenheit / 1.8


_declare_conductor(
    lead_resistance_feet,
    "1000 ft",
    "The length is in feet already; it was taken for meters.",
    "The length was turned into meters, but the table is per 1000 feet.",
)
