"""Worksheets of strand S1: from thermocouple millivolts to temperature."""

from __future__ import annotations

from trainer.calculations import thermocouples
from trainer.calculations.temperatures import convert
from trainer.calculations.thermocouples import KINDS
from trainer.worksheets.worksheet import FigureUse, Node, Worksheet

SOURCES = ("NIST Monograph 175, the reference functions of IEC 60584-1 and ASTM E230, reference junction at 0 °C",)
CAUTION = (
    "A thermocouple can touch a live heating element: measure its circuit to ground before you put a hand or a "
    "meter lead on it, under the site's rules for work on electrical equipment."
)
# The table a hurried hand turns to instead.
OTHER_KIND = {"B": "S", "E": "J", "J": "K", "K": "J", "N": "K", "R": "S", "S": "R", "T": "K"}
# One figure in mV per degree, as it is carried in the head; J and K are too straight for it to be caught out.
RULE_OF_THUMB = {"N": 0.039, "R": 0.0064, "S": 0.0064, "T": 0.043}


def _reading(sheet: Worksheet) -> None:
    """Steps from the terminal temperature in °C, called `terminal`, to the temperature of the junction."""

    @sheet.step(
        "Emf of the terminals",
        symbol="E(t_r)",
        formula=r"\mathrm{table}(<terminal>)",
        rule="Look up the emf of the terminal temperature in the table of the type.",
        unit="mV",
        tolerance=0.005,
        decimals=3,
    )
    def reference_emf(kind: str, terminal: float) -> float:
        return thermocouples.emf(terminal, kind)

    @sheet.step(
        "Emf referred to 0 °C",
        symbol="E",
        formula="<measured> + <reference_emf>",
        rule="Add the emf of the terminals to the measured emf: millivolts first, then the table.",
        unit="mV",
        tolerance=0.005,
        decimals=3,
    )
    def total(measured: float, reference_emf: float) -> float:
        return measured + reference_emf

    @total.slip("The terminals are a junction too: what they take away has to be added before the table is used.")
    def not_compensated(measured: float) -> float:
        return measured

    @total.slip("Warm terminals make the measured emf smaller: theirs is added, not taken off.")
    def taken_off(measured: float, reference_emf: float) -> float:
        return measured - reference_emf

    @total.slip("The emf of the terminals is in twice: is the input doing it already?")
    def compensated_twice(measured: float, reference_emf: float) -> float:
        return measured + 2.0 * reference_emf

    @sheet.step(
        "Temperature of the measuring junction",
        symbol="t",
        formula=r"\mathrm{table}^{-1}(<total>)",
        rule="Read the table of the type backwards, between its two nearest lines.",
        unit="°C",
        tolerance=0.5,
    )
    def temperature(kind: str, total: float) -> float:
        return thermocouples.temperature(total, kind)

    @temperature.slip("Degrees were added after the table; the curve bends, so add millivolts before it.")
    def degrees_added(kind: str, measured: float, terminal: float) -> float:
        return thermocouples.temperature(measured, kind) + terminal

    @temperature.slip("One figure for millivolts per degree is a sanity check at best: use the table.")
    def one_slope(kind: str, measured: float, terminal: float) -> float | None:
        return measured / RULE_OF_THUMB[kind] + terminal if kind in RULE_OF_THUMB else None

    # Near room temperature the letters lie close together: the wrong page shows at the temperature only.
    sheet.slip(
        "That is the table of another letter: check the tag and the head of the page.",
        name="other_letter",
        step="temperature",
        kind=lambda kind: OTHER_KIND[kind],
    )


thermocouple_temperature = Worksheet(
    "thermocouple-temperature",
    "Temperature from thermocouple millivolts",
    "S1.6",
    figure=FigureUse(
        "thermocouple loop", {"kind": "kind", "hot": "temperature", "terminal": "terminal", "emf": "measured"}
    ),
    sources=SOURCES,
    cautions=(CAUTION,),
)
thermocouple_temperature.given("kind", "Thermocouple type", kind="choice", options=KINDS)
thermocouple_temperature.given("terminal", "Temperature of the terminals", symbol="t_r", unit="°C")
thermocouple_temperature.given("true_temperature", "Temperature of the junction", unit="°C", hidden=True)


def measured(true_temperature: float, terminal: float, kind: str) -> float:
    return round(thermocouples.terminal_emf(true_temperature, terminal, kind), 3)


thermocouple_temperature.given("measured", "Measured emf", symbol="V", unit="mV", decimals=3, prepare=Node.of(measured))


_reading(thermocouple_temperature)


# The same with both temperatures in °F

thermocouple_temperature_fahrenheit = Worksheet(
    "thermocouple-temperature-fahrenheit",
    "Temperature in °F from thermocouple millivolts",
    "S1.6",
    figure=FigureUse(
        "thermocouple loop",
        {"kind": "kind", "hot": "temperature_in_fahrenheit", "terminal": "terminal_fahrenheit", "emf": "measured"},
    ),
    sources=SOURCES,
    cautions=(CAUTION,),
)
thermocouple_temperature_fahrenheit.given("kind", "Thermocouple type", kind="choice", options=KINDS)
thermocouple_temperature_fahrenheit.given(
    "terminal_fahrenheit", "Temperature of the terminals", symbol="t_{rF}", unit="°F"
)
thermocouple_temperature_fahrenheit.given("true_temperature", "Temperature of the junction", unit="°C", hidden=True)


def _measured(true_temperature: float, terminal_fahrenheit: float, kind: str) -> float:
    return measured(true_temperature, convert(terminal_fahrenheit, "°F", to="°C"), kind)


thermocouple_temperature_fahrenheit.given(
    "measured", "Measured emf", symbol="V", unit="mV", decimals=3, prepare=Node.of(_measured)
)


@thermocouple_temperature_fahrenheit.step(
    "Temperature of the terminals in °C",
    symbol="t_r",
    formula=r"\frac{<terminal_fahrenheit> - 32}{1.8}",
    rule="The table here is in degrees Celsius: take 32 off, then divide by 1.8.",
    unit="°C",
    tolerance=0.06,
)
def terminal(terminal_fahrenheit: float) -> float:
    return convert(terminal_fahrenheit, "°F", to="°C")


@terminal.slip("The table here is in degrees Celsius: convert the terminal temperature first.")
def fahrenheit_put_in(terminal_fahrenheit: float) -> float:
    return terminal_fahrenheit


@terminal.slip("The 32 is still in: take it off before you divide by 1.8.")
def thirty_two_left_in(terminal_fahrenheit: float) -> float:
    return terminal_fahrenheit / 1.8


_reading(thermocouple_temperature_fahrenheit)


@thermocouple_temperature_fahrenheit.step(
    "Temperature in °F",
    symbol="t_F",
    formula=r"1.8 \times <temperature> + 32",
    rule="A reading is multiplied by 1.8 and gets the 32.",
    unit="°F",
    tolerance=1.0,
)
def temperature_in_fahrenheit(temperature: float) -> float:
    return convert(temperature, "°C", to="°F")


@temperature_in_fahrenheit.slip("A reading is a point on the scale: after the 1.8 it needs the 32.")
def thirty_two_forgotten(temperature: float) -> float:
    return 1.8 * temperature


@temperature_in_fahrenheit.slip("The number is still in °C; °F was asked.")
def left_in_celsius(temperature: float) -> float:
    return temperature
