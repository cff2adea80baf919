"""Worksheets of strand S2 on what the leads of a two-wire connection do to the reading."""

from __future__ import annotations

from trainer.calculations import leads, rtd, temperatures
from trainer.worksheets.tolerance import relative, share_of
from trainer.worksheets.worksheet import FigureUse, Worksheet

SOURCES = (
    "IEC 60751: R(t) = R0 (1 + A t + B t^2), so the slope at t is R0 (A + 2 B t)",
    "What each connection leaves of its leads: common practice",
)
SLOPE = r"{r0} (3.9083 \times 10^{{-3}} - 2 \times 5.775 \times 10^{{-7}} \times <temperature>)"
BOTH, LARGE, NEITHER = "both are good enough", "only the 1000 Ω sensor is good enough", "neither is good enough"
DEGREES = "°C (difference)"


# Steps that several worksheets share


def two_leads(lead: float) -> float:
    return leads.lead_error("two-wire", lead, 0.0, lead)


def one_lead(lead: float) -> float:
    return lead


def four_leads(lead: float) -> float:
    return 4.0 * lead


def slope(temperature: float, r0: float) -> float:
    return rtd.sensitivity(temperature, r0)


def other_sensor(temperature: float, r0: float) -> float:
    return rtd.sensitivity(temperature, 1000.0 if r0 == 100.0 else 100.0)


def error(ohms: float, slope: float) -> float:
    return ohms / slope


def multiplied(ohms: float, slope: float) -> float:
    return ohms * slope


def ohms_as_degrees(ohms: float) -> float:
    return ohms


def reads_low(ohms: float, slope: float) -> float:
    return -ohms / slope


def _declare_two_leads(sheet: Worksheet) -> None:
    sheet.given("temperature", "Temperature of the sensor", symbol="t", unit="°C")
    sheet.given("lead", "Resistance of each lead", symbol="R_L", unit="Ω")
    sheet.step(
        "Resistance that the leads add",
        name="ohms",
        symbol=r"\Delta R",
        formula=r"2 \times <lead>",
        rule="The current goes out by one lead and back by the other, so both are in the reading.",
        unit="Ω",
        tolerance=0.01,
        possible=(0.0, 100.0),
    )(two_leads)
    sheet.slip_of("ohms", "The current goes out and back: both leads are in the reading.")(one_lead)
    sheet.slip_of("ohms", "Two wires are two leads, each counted once.")(four_leads)


def declare_slope(sheet: Worksheet) -> None:
    sheet.step(
        "Slope of the sensor",
        symbol="S",
        formula=SLOPE.format(r0="<r0>"),
        rule="About 0.385 Ω per °C for a 100 Ω sensor and ten times that for 1000 Ω; exactly, R0 (A + 2 B t).",
        unit="Ω/°C",
        tolerance=relative(2.0, 0.001),
        decimals=4,
        possible=(0.0, 10.0),
    )(slope)
    sheet.slip_of("slope", "That is the slope of the other sensor: read the resistance at 0 °C again.")(other_sensor)


def declare_error(sheet: Worksheet) -> None:
    sheet.step(
        "Error of the reading",
        symbol=r"\Delta t",
        formula=r"\frac{<ohms>}{<slope>}",
        rule="Ohms divided by ohms per degree are degrees; more resistance makes the reading high.",
        unit=DEGREES,
        tolerance=relative(3.0, 0.05),
    )(error)
    sheet.slip_of("error", "Ohms divided by ohms per degree are degrees; here they were multiplied.")(multiplied)
    sheet.slip_of("error", "Those are the ohms: divide them by the ohms per degree.")(ohms_as_degrees)


# Two wires: both leads count as sensor

two_wire = Worksheet(
    "two-wire-error",
    "Error of a two-wire connection",
    "S2.2",
    figure=FigureUse("two-wire sensor", {"a": "lead", "c": "lead", "added": "ohms"}),
    sources=SOURCES,
)
two_wire.given("r0", "Resistance at 0 °C", symbol="R_0", unit="Ω", decimals=0)
_declare_two_leads(two_wire)
declare_slope(two_wire)
declare_error(two_wire)
two_wire.slip_of("error", "Leads add resistance, so the reading is high and its error positive.")(reads_low)


two_wire_fahrenheit = Worksheet(
    "two-wire-error-fahrenheit",
    "Error of a two-wire connection on a °F display",
    "S2.2",
    figure=FigureUse("two-wire sensor", {"a": "lead", "c": "lead", "added": "ohms"}),
    sources=SOURCES,
)
two_wire_fahrenheit.given("r0", "Resistance at 0 °C", symbol="R_0", unit="Ω", decimals=0)
_declare_two_leads(two_wire_fahrenheit)
declare_slope(two_wire_fahrenheit)
declare_error(two_wire_fahrenheit)


@two_wire_fahrenheit.step(
    "Error on the display",
    symbol=r"\Delta t_F",
    formula=r"1.8 \times <error>",
    rule="An error is a difference: multiply by 1.8 and add nothing.",
    unit="°F (difference)",
    tolerance=relative(2.0, 0.1),
    skill="S1.7",
)
def displayed(error: float) -> float:
    return temperatures.convert_difference(error, "°C", "°F")


@displayed.slip("The 32 moves a point on the scale; an error is a difference, so nothing is added.")
def thirty_two_added(error: float) -> float:
    return temperatures.convert(error, "°C", "°F")


@displayed.slip("A degree Fahrenheit is the smaller step: there are 1.8 of them in one degree Celsius.")
def divided(error: float) -> float:
    return error / 1.8


# Two wires: what the display shows, through the table

two_wire_reading = Worksheet(
    "two-wire-reading",
    "Reading of a two-wire connection",
    "S2.2",
    figure=FigureUse("sensor curve", {"r0": "r0", "temperature": "temperature", "resistance": "element"}),
    sources=SOURCES,
)
two_wire_reading.given("r0", "Resistance at 0 °C", symbol="R_0", unit="Ω", decimals=0)
two_wire_reading.given("temperature", "Temperature of the sensor", symbol="t", unit="°C")
two_wire_reading.given("lead", "Resistance of each lead", symbol="R_L", unit="Ω")


@two_wire_reading.step(
    "Resistance of the sensor",
    symbol="R",
    formula=(
        r"<r0> (1 + 3.9083 \times 10^{-3} \times <temperature>"
        r" - 5.775 \times 10^{-7} \times <temperature>^2)"
    ),
    rule="Read the table at the temperature, or put it into the equation of the curve.",
    unit="Ω",
    tolerance=share_of("r0", 0.0002),
    skill="S1.1",
)
def element(temperature: float, r0: float) -> float:
    return rtd.resistance(temperature, r0)


@two_wire_reading.step(
    "Resistance at the terminals",
    symbol="R_m",
    formula=r"<element> + 2 \times <lead>",
    rule="The input sees the sensor and both leads in series.",
    unit="Ω",
    tolerance=share_of("r0", 0.0003),
)
def at_terminals(element: float, lead: float) -> float:
    return leads.indicated_resistance(element, "two-wire", lead, 0.0, lead)


@at_terminals.slip("The current goes out and back: both leads are in the reading.")
def one_lead_seen(element: float, lead: float) -> float:
    return element + lead


@at_terminals.slip("Leads are in series with the sensor: they add to it.")
def leads_taken_off(element: float, lead: float) -> float:
    return leads.indicated_resistance(element, "two-wire", -lead, 0.0, -lead)


@two_wire_reading.step(
    "Temperature shown",
    symbol="t_m",
    formula=r"\frac{-A + \sqrt{A^2 - 4 B (1 - <at_terminals> / <r0>)}}{2 B}",
    rule="Look the resistance at the terminals up in the table, from ohms to degrees.",
    unit="°C",
    tolerance=0.2,
    skill="S1.2",
)
def shown(at_terminals: float, r0: float) -> float:
    return rtd.temperature(at_terminals, r0)


@two_wire_reading.step(
    "Error of the reading",
    name="error",
    symbol=r"\Delta t",
    formula="<shown> - <temperature>",
    rule="Error is shown less true.",
    unit=DEGREES,
    tolerance=relative(2.0, 0.2),
)
def shown_less_true(shown: float, temperature: float) -> float:
    return shown - temperature


# Two wires: does a sensor of 1000 Ω cure it?

two_wire_cure = Worksheet(
    "two-wire-cure",
    "A 100 Ω or a 1000 Ω sensor on two wires",
    "S2.2",
    figure=FigureUse("candidates", {"allowed": "allowed", "first": "error_of_100", "second": "error_of_1000"}),
    sources=SOURCES,
)
_declare_two_leads(two_wire_cure)
two_wire_cure.given("allowed", "Error allowed for the leads", symbol=r"\Delta t_{max}", unit=DEGREES)


@two_wire_cure.step(
    "Error with a sensor of 100 Ω",
    symbol=r"\Delta t_{100}",
    formula=rf"\frac{{<ohms>}}{{{SLOPE.format(r0='100')}}}",
    rule="Divide by the slope of a 100 Ω sensor, about 0.385 Ω per °C.",
    unit=DEGREES,
    tolerance=relative(2.0, 0.05),
)
def error_of_100(ohms: float, temperature: float) -> float:
    return error(ohms, slope(temperature, 100.0))


@two_wire_cure.step(
    "Error with a sensor of 1000 Ω",
    symbol=r"\Delta t_{1000}",
    formula=rf"\frac{{<ohms>}}{{{SLOPE.format(r0='1000')}}}",
    rule="Its slope is ten times as large, about 3.85 Ω per °C, so the same ohms are a tenth of the degrees.",
    unit=DEGREES,
    tolerance=relative(2.0, 0.01),
)
def error_of_1000(ohms: float, temperature: float) -> float:
    return error(ohms, slope(temperature, 1000.0))


@error_of_100.slip("Ohms divided by ohms per degree are degrees; here they were multiplied.", name="multiplied")
def multiplied_by_slope(ohms: float, temperature: float) -> float:
    return multiplied(ohms, slope(temperature, 100.0))


@error_of_1000.slip("The same ohms are fewer degrees on a sensor with more ohms per degree.")
def same_as_100(error_of_100: float) -> float:
    return error_of_100


@error_of_1000.slip("A larger sensor makes the leads count a tenth; it does not remove them.")
def cured_altogether() -> float:
    return 0.0


@error_of_1000.slip("More ohms per degree make the error smaller, not larger.")
def ten_times_more(error_of_100: float) -> float:
    return 10.0 * error_of_100


@two_wire_cure.step(
    "Which sensor is good enough",
    kind="choice",
    options=(BOTH, LARGE, NEITHER),
    rule="A sensor is good enough where its error is no larger than the one allowed.",
)
def verdict(error_of_100: float, error_of_1000: float, allowed: float) -> str:
    if error_of_100 <= allowed:
        return BOTH
    return LARGE if error_of_1000 <= allowed else NEITHER


@verdict.slip("Compare degrees with degrees: the allowed error is no resistance.")
def compared_in_ohms(ohms: float, allowed: float, error_of_100: float, error_of_1000: float) -> str | None:
    compared = BOTH if ohms <= allowed else NEITHER
    return compared if compared != verdict(error_of_100, error_of_1000, allowed) else None


@two_wire_cure.refuse
def too_close_to_call(error_of_100: float, error_of_1000: float, allowed: float) -> bool:
    """Within the tolerance of an error the verdict is open."""
    return any(abs(error - allowed) < 0.1 * allowed for error in (error_of_100, error_of_1000))
