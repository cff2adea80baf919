"""Worksheets of strand S1: readings, and differences from the other side, converted between °C and °F."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from trainer.calculations.temperatures import Unit, convert, convert_difference
from trainer.worksheets.worksheet import Step, Worksheet

SOURCES = ("Definition of the scales: t(°F) = 1.8 t(°C) + 32, so a difference of 1 °C is one of 1.8 °F",)
READING, DIFFERENCE = "a reading", "a difference"
ASK_FIRST = "A reading has a place on the thermometer; a deadband, a span, an error or a tolerance has a size only."


def _in_fahrenheit(values: Mapping[str, Any]) -> str:
    return "<scaled> + 32" if values["nature"] == READING else "<scaled>"


def _in_celsius(values: Mapping[str, Any]) -> str:
    return r"\frac{<above_ice>}{1.8}"


def _nature(sheet: Worksheet) -> Callable[[Callable[[], str]], Step]:
    return sheet.step("What is converted", name="nature", kind="choice", options=(READING, DIFFERENCE), rule=ASK_FIRST)


def _change(value: float, nature: str, unit: Unit, to: Unit) -> float:
    return convert(value, unit, to) if nature == READING else convert_difference(value, unit, to)


# A reading in °C on a display in °F

reading_in_fahrenheit = Worksheet("reading-in-fahrenheit", "A figure in °C on a °F display", "S1.7", sources=SOURCES)
reading_in_fahrenheit.given("celsius", "Figure in °C", symbol="t_C", unit="°C")


@_nature(reading_in_fahrenheit)
def nature_of_celsius() -> str:
    return READING


@nature_of_celsius.slip("It has a place on the thermometer: that is a reading, and the 32 belongs to it.")
def taken_as_difference() -> str:
    return DIFFERENCE


@reading_in_fahrenheit.step(
    "Times 1.8",
    symbol="s",
    formula=r"1.8 \times <celsius>",
    rule="Multiply by 1.8, the sign included: there are 1.8 degrees Fahrenheit in one degree Celsius.",
    tolerance=0.05,
    decimals=2,
)
def scaled(celsius: float) -> float:
    return convert_difference(celsius, "°C", "°F")


@scaled.slip("A degree Fahrenheit is the smaller step: multiply by 1.8, do not divide.")
def divided(celsius: float) -> float:
    return celsius / 1.8


@scaled.slip("Keep the sign: below 0 °C the product is negative, and the reading less than 32 °F.")
def sign_lost(celsius: float) -> float | None:
    return -1.8 * celsius if celsius < 0.0 else None


@reading_in_fahrenheit.step(
    "In °F",
    name="fahrenheit",
    symbol="t_F",
    formula=_in_fahrenheit,
    rule="A reading is moved by 32 after it has been multiplied.",
    unit="°F",
    tolerance=0.05,
    decimals=2,
)
def reading(scaled: float, nature: str) -> float:
    return scaled + 32.0 if nature == READING else scaled


@reading.slip("The ice point stands at 32 °F: add the 32, do not take it off.")
def thirty_two_off(scaled: float) -> float:
    return scaled - 32.0


@reading.slip("The 32 is added after multiplying: 0 °C must come out at 32 °F.")
def thirty_two_first(celsius: float) -> float:
    return 1.8 * (celsius + 32.0)


# A reading in °F in °C, and a difference in °F in °C: the same two steps, so that neither gives the other away


def _declare_from_fahrenheit(sheet: Worksheet, kind: str, message: str) -> None:
    other = DIFFERENCE if kind == READING else READING
    sheet.given("fahrenheit", "Figure in °F", symbol="t_F", unit="°F" if kind == READING else "°F (difference)")
    _nature(sheet)(lambda: kind)
    sheet.slip(message, f"taken_as_{other.removeprefix('a ')}", "nature", nature=lambda: other)
    sheet.step(
        "What is divided by 1.8",
        name="above_ice",
        symbol="s",
        formula="<fahrenheit> - 32" if kind == READING else "<fahrenheit>",
        rule="From a reading take off the 32 first; from a difference nothing is taken off.",
        tolerance=0.05,
        decimals=1,
    )(above_ice)
    sheet.step(
        "In °C",
        name="celsius",
        symbol="t_C",
        formula=_in_celsius,
        rule="Divide by 1.8: a degree Celsius is the greater step.",
        unit="°C" if kind == READING else "°C (difference)",
        tolerance=0.05,
        decimals=2,
    )(celsius)
    for name, slipped, told in (
        ("multiplied", multiplied, "A degree Celsius is the greater step: divide by 1.8, do not multiply."),
        ("left_as_it_was", left_as_it_was, "The number is still in °F: divide by 1.8."),
    ):
        sheet.slip(told, name, "celsius", celsius=slipped)


def above_ice(fahrenheit: float, nature: str) -> float:
    return fahrenheit - 32.0 if nature == READING else fahrenheit


def celsius(above_ice: float) -> float:
    return convert_difference(above_ice, "°F", "°C")


def multiplied(above_ice: float) -> float:
    return 1.8 * above_ice


def left_as_it_was(above_ice: float) -> float:
    return above_ice


reading_in_celsius = Worksheet("reading-in-celsius", "A figure in °F on a °C display", "S1.7", sources=SOURCES)
_declare_from_fahrenheit(
    reading_in_celsius, READING, "It has a place on the thermometer: that is a reading, and its 32 comes off first."
)
reading_in_celsius.slip(
    "The 32 comes off before dividing: 32 °F must come out at 0 °C.",
    "thirty_two_last",
    "celsius",
    celsius=lambda fahrenheit: fahrenheit / 1.8 - 32.0,
)
reading_in_celsius.slip(
    "Take the 32 off: it was added when °C became °F.",
    "thirty_two_added",
    "above_ice",
    above_ice=lambda fahrenheit: fahrenheit + 32.0,
)

difference_in_celsius = Worksheet(
    "difference-in-celsius", "A difference in °F on a °C display", "S1.7", sources=SOURCES
)
_declare_from_fahrenheit(
    difference_in_celsius, DIFFERENCE, "It has a size and no place on the thermometer: no 32 comes into a difference."
)
