"""Worksheets of strand S2 on the cable between a thermocouple and its input: copper, crossed, of another letter."""

from __future__ import annotations

from collections.abc import Callable

from trainer.calculations import thermocouples
from trainer.calculations.thermocouples import COPPER, Section
from trainer.worksheets.worksheet import FigureUse, Worksheet

SOURCES = (
    "Reference functions of IEC 60584-1 and ASTM E230 (NIST Monograph 175), reference junction at 0 °C",
    "Each length of a circuit adds the emf between its own two ends: law of successive temperatures, common practice",
)
CAUTION = (
    "A thermocouple may touch a live heating element: measure its voltage to ground before a hand or a meter goes on, "
    "and work on it under the site's own procedure."
)
DEGREES = "°C (difference)"
LETTERS = ("E", "J", "K", "N", "T")
NO_EXTENSION, CROSSED, OTHER_LETTER = "copper cable", "extension crossed at both ends", "extension of type J"
FAULTS = {NO_EXTENSION: (COPPER, False), CROSSED: ("", True), OTHER_LETTER: ("J", False)}  # letter, crossed


# Steps that the worksheets share


def sensor(kind: str, hot: float, head: float) -> float:
    return thermocouples.terminal_emf(hot, head, kind)


def head_left_out(kind: str, hot: float) -> float:
    return thermocouples.emf(hot, kind)


def degrees_subtracted(kind: str, hot: float, head: float) -> float | None:
    # Type K is so nearly straight that this often gives the right millivolts.
    return thermocouples.emf(hot - head, kind) if kind != "K" else None


def compensated(kind: str, sensor: float, cable: float, panel: float) -> float:
    return sensor + cable + thermocouples.emf(panel, kind)


def panel_left_out(sensor: float, cable: float) -> float:
    return sensor + cable


def indicated(kind: str, compensated: float) -> float:
    return thermocouples.temperature(compensated, kind)


def error(indicated: float, hot: float) -> float:
    return indicated - hot


def true_less_shown(indicated: float, hot: float) -> float:
    return hot - indicated


def _declare_sensor(sheet: Worksheet) -> None:
    sheet.given("kind", "Type of the thermocouple", kind="choice", options=LETTERS)
    sheet.given("hot", "Temperature of the measuring junction", symbol="t", unit="°C")
    sheet.given("head", "Temperature of the connection head", symbol="t_h", unit="°C")
    sheet.given("panel", "Temperature of the panel terminals", symbol="t_p", unit="°C")
    sheet.step(
        "Emf of the thermocouple, junction to head",
        symbol="E_1",
        formula=r"E(<hot>) - E(<head>)",
        rule="A length gives the table value at its hot end less the one at its cold end.",
        unit="mV",
        tolerance=0.02,
        decimals=3,
    )(sensor)
    sheet.slip_of("sensor", "The thermocouple ends at the head: take the table value at the head off.")(head_left_out)
    sheet.slip_of("sensor", "The curve bends: subtract millivolts, not degrees.")(degrees_subtracted)


def _declare_reading(sheet: Worksheet, formula: str, sum_up: Callable[..., float]) -> None:
    sheet.step(
        "Emf that the input looks up",
        name="compensated",
        symbol="E_m",
        formula=formula,
        rule="The input adds the table value of its own terminals, in the type that it is set to.",
        unit="mV",
        tolerance=0.02,
        decimals=3,
    )(sum_up)
    sheet.step(
        "Temperature shown",
        symbol="t_m",
        formula=r"E^{-1}(<compensated>)",
        rule="Look the millivolts up in the table of the type that the input is set to.",
        unit="°C",
        tolerance=1.0,
        skill="S1.6",
    )(indicated)
    sheet.step(
        "Error of the reading",
        symbol=r"\Delta t",
        formula="<indicated> - <hot>",
        rule="Error is shown less true.",
        unit=DEGREES,
        tolerance=1.0,
    )(error)
    sheet.slip_of("error", "Error is shown less true: mind which one is larger.")(true_less_shown)


# Copper from the head to the panel

copper_extension = Worksheet(
    "copper-extension",
    "Thermocouple wired on in copper",
    "S2.5",
    figure=FigureUse(
        "thermocouple loop on copper", {"kind": "kind", "hot": "hot", "head": "head", "terminal": "panel"}
    ),
    cautions=(CAUTION,),
    sources=SOURCES,
)
_declare_sensor(copper_extension)


def compensated_after_copper(kind: str, sensor: float, panel: float) -> float:
    return compensated(kind, sensor, Section(COPPER, panel).emf_from(0.0), panel)


_declare_reading(copper_extension, r"<sensor> + E(<panel>)", compensated_after_copper)


@copper_extension.slip_of("compensated", "Copper gives no emf between head and panel: what lies between them is lost.")
def counted_as_extension(kind: str, sensor: float, head: float) -> float:
    return compensated(kind, sensor, 0.0, head)


@copper_extension.slip_of("compensated", "The input still adds the emf of its own terminals.", name="panel_left_out")
def panel_left_out_after_copper(sensor: float) -> float:
    return sensor


@copper_extension.slip_of("error", "The panel is warm too: it is the difference from head to panel that is lost.")
def head_alone(head: float) -> float:
    return -head


# Extension cable crossed at both ends

crossed_extension = Worksheet(
    "crossed-extension",
    "Extension cable crossed at both ends",
    "S2.5",
    figure=FigureUse("crossed thermocouple loop", {"kind": "kind", "hot": "hot", "head": "head", "terminal": "panel"}),
    cautions=(CAUTION,),
    sources=SOURCES,
)
_declare_sensor(crossed_extension)


@crossed_extension.step(
    "Emf of the cable, head to panel",
    symbol="E_2",
    formula=r"-(E(<head>) - E(<panel>))",
    rule="A crossed cable gives the emf between its ends with its sign turned.",
    unit="mV",
    tolerance=0.02,
    decimals=3,
)
def cable(kind: str, head: float, panel: float) -> float:
    return Section(kind, panel, crossed=True).emf_from(head)


@cable.slip("Crossed at the head and at the panel: the cable works against the thermocouple all the way.")
def not_crossed(kind: str, head: float, panel: float) -> float:
    return Section(kind, panel).emf_from(head)


@cable.slip("That loses the emf of the cable once, as copper does; crossed cable takes it off a second time.")
def lost_once(panel: float) -> float:
    return Section(COPPER, panel).emf_from(0.0)


_declare_reading(crossed_extension, r"<sensor> + <cable> + E(<panel>)", compensated)
crossed_extension.slip_of("compensated", "The input still adds the emf of its own terminals.")(panel_left_out)


@crossed_extension.slip_of("error", "The panel is warm too: twice the difference from head to panel is lost.")
def twice_the_head(head: float) -> float:
    return -2.0 * head


# Extension cable of another letter

other_extension = Worksheet(
    "extension-of-another-letter",
    "Extension cable of another letter",
    "S2.5",
    figure=FigureUse(
        "thermocouple loop", {"kind": "kind", "cable": "letter", "hot": "hot", "head": "head", "terminal": "panel"}
    ),
    cautions=(CAUTION,),
    sources=SOURCES,
)
other_extension.given("letter", "Letter of the extension cable", kind="choice", options=LETTERS)
_declare_sensor(other_extension)


@other_extension.step(
    "Emf of the cable, head to panel",
    name="cable",
    symbol="E_2",
    formula=r"E_w(<head>) - E_w(<panel>)",
    rule="The cable gives the difference of the table values of its own letter, whatever the thermocouple is.",
    unit="mV",
    tolerance=0.02,
    decimals=3,
)
def cable_of_letter(letter: str, head: float, panel: float) -> float:
    return Section(letter, panel).emf_from(head)


@cable_of_letter.slip("That would be the right cable: use the table of the letter that was run.")
def right_letter(kind: str, head: float, panel: float) -> float:
    return Section(kind, panel).emf_from(head)


@cable_of_letter.slip("Cable of another letter is no copper: it gives an emf of its own.")
def as_copper(panel: float) -> float:
    return Section(COPPER, panel).emf_from(0.0)


@cable_of_letter.slip("The cable is of the wrong letter but not crossed: hot end less cold end.")
def cold_less_hot(letter: str, head: float, panel: float) -> float:
    return Section(letter, panel, crossed=True).emf_from(head)


_declare_reading(other_extension, r"<sensor> + <cable> + E(<panel>)", compensated)
other_extension.slip_of("compensated", "The input still adds the emf of its own terminals.")(panel_left_out)


@other_extension.slip_of(
    "compensated", "The input knows nothing of the cable: it compensates in the type it is set to."
)
def compensated_in_letter(letter: str, sensor: float, cable: float, panel: float) -> float:
    return compensated(letter, sensor, cable, panel)


# Which cable was it?

extension_fault = Worksheet(
    "extension-fault", "Which cable makes a thermocouple read wrong", "S2.5", cautions=(CAUTION,), sources=SOURCES
)
extension_fault.given("fault", "Cable that was run", kind="choice", options=tuple(FAULTS), hidden=True)
extension_fault.given("kind", "Type of the thermocouple", kind="choice", options=LETTERS)
extension_fault.given("hot", "Temperature by the reference thermometer", symbol="t", unit="°C")
extension_fault.given("head", "Temperature of the connection head", symbol="t_h", unit="°C")
extension_fault.given("panel", "Temperature of the panel terminals", symbol="t_p", unit="°C")


@extension_fault.prepared("Temperature shown", symbol="t_m", unit="°C", decimals=0)
def shown(fault: str, kind: str, hot: float, head: float, panel: float) -> float:
    letter, crossed = FAULTS[fault]
    circuit = [Section(kind, head), Section(letter or kind, panel, crossed)]
    return round(thermocouples.indicated(thermocouples.loop_emf(hot, circuit), panel, kind))


@extension_fault.step(
    "Difference from head to panel",
    symbol=r"\Delta t_h",
    formula="<head> - <panel>",
    rule="Only the difference along the cable can make an error in it.",
    unit=DEGREES,
    tolerance=0.1,
    decimals=0,
    possible=(0.0, 200.0),
)
def along_cable(head: float, panel: float) -> float:
    return head - panel


@along_cable.slip("The panel is warm too: only the difference along the cable counts.")
def head_as_difference(head: float) -> float:
    return head


@extension_fault.step(
    "Error of the reading",
    name="error",
    symbol=r"\Delta t",
    formula="<shown> - <hot>",
    rule="Error is shown less true.",
    unit=DEGREES,
    tolerance=0.1,
    decimals=0,
)
def error_seen(shown: float, hot: float) -> float:
    return shown - hot


@error_seen.slip("Error is shown less true: a reading that is low has a negative error.", name="true_less_shown")
def error_turned_round(shown: float, hot: float) -> float:
    return hot - shown


@extension_fault.step(
    "Error for each degree along the cable",
    symbol="q",
    formula=r"\frac{<error>}{<along_cable>}",
    rule="Divide the error by the difference from head to panel, and keep its sign.",
    tolerance=0.03,
)
def quotient(error: float, along_cable: float) -> float:
    return error / along_cable


@quotient.slip("Keep the sign: a reading that is low and one that is high have different causes.")
def sign_dropped(error: float, along_cable: float) -> float | None:
    return -error / along_cable if error < 0.0 else None


@extension_fault.step(
    "Cable that was run",
    name="cause",
    kind="choice",
    options=tuple(FAULTS),
    rule="About -1 is copper, about -2 a crossed cable; type J gives more emf than this type and reads high.",
)
def cause(quotient: float) -> str:
    if quotient > 0.0:
        return OTHER_LETTER
    return CROSSED if quotient < -1.5 else NO_EXTENSION


@cause.slip("The difference along the cable is missing once, not twice.")
def once_taken_for_twice(quotient: float) -> str | None:
    return CROSSED if cause(quotient) == NO_EXTENSION else None


@cause.slip("The difference along the cable is missing twice: that hides, for the reading still moves the right way.")
def twice_taken_for_once(quotient: float) -> str | None:
    return NO_EXTENSION if cause(quotient) == CROSSED else None


@cause.slip("Copper and crossed cable make the reading low when the head is warmer than the panel; this one is high.")
def high_taken_for_low(quotient: float) -> str | None:
    return NO_EXTENSION if cause(quotient) == OTHER_LETTER else None
