"""Worksheets of strand S1: choosing a sensor by numbers.

Each lists sensors from the cheapest on. The numbers of all of them are worked first; the choice is the first one
whose number serves, so that every other choice meets its own number.
"""

from __future__ import annotations

from collections.abc import Sequence

from trainer.calculations import rtd, thermocouple_tolerances
from trainer.calculations.thermocouple_tolerances import LIMITS
from trainer.worksheets.worksheet import FigureUse, Worksheet

DEGREES = "°C (difference)"
NONE = "none of them"
FIRST_THAT_SERVES = "Go down the list from the cheapest and stop at the first whose number serves."
Row = tuple[float, ...]


def first(numbers: Sequence[float], allowed: float, names: Sequence[str]) -> str:
    """The first of the names whose number is within what is allowed."""
    return next((name for name, number in zip(names, numbers, strict=False) if number <= allowed), names[-1])


# By accuracy

SENSORS = ("thermocouple type K, class 2", "RTD, class B", "RTD, class A", NONE)

sensor_by_accuracy = Worksheet(
    "sensor-by-accuracy",
    "Choosing a sensor by its permitted error",
    "S1.12",
    figure=FigureUse(
        "candidates", {"allowed": "allowed", "first": "thermocouple", "second": "class_b", "third": "class_a"}
    ),
    sources=("IEC 60751 and IEC 60584-1: tolerance classes", "Order of price: common practice"),
)
sensor_by_accuracy.given("temperature", "Temperature", symbol="t", unit="°C")
sensor_by_accuracy.given("allowed", "Error allowed to the sensor", symbol="e_{max}", unit=DEGREES)


@sensor_by_accuracy.step(
    "Permitted error of type K, class 2",
    symbol="e_K",
    formula=r"\max(2.5, 0.0075 \times |<temperature>|)",
    rule="Class 2 allows the greater of 2.5 °C and 0.75 % of the temperature.",
    unit=DEGREES,
    tolerance=0.02,
    decimals=2,
)
def thermocouple(temperature: float) -> float:
    return thermocouple_tolerances.tolerance(temperature, "K", "2")


@sensor_by_accuracy.step(
    "Permitted error of class B",
    symbol="e_B",
    formula=r"0.3 + 0.005 \times |<temperature>|",
    rule="Class B allows 0.3 °C and 0.005 for each degree from zero.",
    unit=DEGREES,
    tolerance=0.01,
    decimals=2,
)
def class_b(temperature: float) -> float:
    return rtd.tolerance(temperature, "B")


@sensor_by_accuracy.step(
    "Permitted error of class A",
    symbol="e_A",
    formula=r"0.15 + 0.002 \times |<temperature>|",
    rule="Class A allows 0.15 °C and 0.002 for each degree from zero.",
    unit=DEGREES,
    tolerance=0.01,
    decimals=2,
)
def class_a(temperature: float) -> float:
    return rtd.tolerance(temperature, "A")


@class_b.slip("That is the permitted error at 0 °C: it grows with the distance from there.")
def base_of_b() -> float:
    return 0.3


@class_a.slip("That is the permitted error at 0 °C: it grows with the distance from there.")
def base_of_a() -> float:
    return 0.15


@sensor_by_accuracy.step(
    "Cheapest sensor that serves",
    kind="choice",
    options=SENSORS,
    rule=FIRST_THAT_SERVES,
)
def sensor(thermocouple: float, class_b: float, class_a: float, allowed: float) -> str:
    return first((thermocouple, class_b, class_a), allowed, SENSORS)


@sensor.slip("Its permitted error, worked in step 1, is more than is allowed.")
def thermocouple_too_wide(thermocouple: float, allowed: float) -> str | None:
    return SENSORS[0] if thermocouple > allowed else None


@sensor.slip("Its permitted error, worked in step 2, is more than is allowed.")
def class_b_too_wide(class_b: float, allowed: float) -> str | None:
    return SENSORS[1] if class_b > allowed else None


@sensor.slip("It serves, but so does the thermocouple above it: compare step 1 with what is allowed.")
def class_b_not_needed(thermocouple: float, allowed: float) -> str | None:
    return SENSORS[1] if thermocouple <= allowed else None


@sensor.slip("Even its permitted error, worked in step 3, is more than is allowed.")
def class_a_too_wide(class_a: float, allowed: float) -> str | None:
    return SENSORS[2] if class_a > allowed else None


@sensor.slip("It serves, but a cheaper one does too: compare steps 1 and 2 with what is allowed.")
def class_a_not_needed(class_b: float, allowed: float) -> str | None:
    return SENSORS[2] if class_b <= allowed else None


@sensor.slip("One of the three numbers is within what is allowed: compare them one by one.")
def given_up(class_a: float, allowed: float) -> str | None:
    return NONE if class_a <= allowed else None


@sensor_by_accuracy.refuse
def too_close(thermocouple: float, class_b: float, class_a: float, allowed: float) -> bool:
    """A number that meets what is allowed to a hair says more about rounding than about sensors."""
    return any(abs(number - allowed) < 0.05 for number in (thermocouple, class_b, class_a))


# By range

TYPES = ("type J", "type K", "type S")

sensor_by_range = Worksheet(
    "sensor-by-range",
    "Choosing a thermocouple by its limit",
    "S1.12",
    sources=("IEC 60584-1: upper limits of class 2", "Order of price: common practice"),
)
sensor_by_range.given("highest", "Highest process temperature", symbol="t_{max}", unit="°C")
sensor_by_range.given("margin", "Margin wanted above it", symbol="m", unit=DEGREES)


@sensor_by_range.prepared("Upper limits of J, K and S in class 2", symbol="t_L", unit="°C", kind="row", decimals=0)
def limits() -> Row:
    return tuple(LIMITS["2", kind].highest for kind in "JKS")


@sensor_by_range.step(
    "Limit needed",
    symbol="t_n",
    formula="<highest> + <margin>",
    rule="Put the margin on top of the highest process temperature.",
    unit="°C",
    tolerance=0.5,
    decimals=0,
)
def needed(highest: float, margin: float) -> float:
    return highest + margin


@needed.slip("The margin is missing: an upset goes past the highest working temperature.")
def margin_forgotten(highest: float) -> float:
    return highest


@needed.slip("The margin goes on top: the sensor must stand more than the process, not less.")
def margin_taken_off(highest: float, margin: float) -> float:
    return highest - margin


@sensor_by_range.step(
    "What each type has to spare",
    symbol=r"\Delta t",
    formula="<limits> - <needed>",
    kind="row",
    over="limits",
    rule="Take the limit needed off the limit of each type; a minus says how much is missing.",
    unit=DEGREES,
    tolerance=0.5,
    decimals=0,
)
def spare(limits: Row, needed: float) -> Row:
    return tuple(limit - needed for limit in limits)


@spare.slip("The signs are turned round: what a type has to spare is its limit less what is needed.")
def turned_round(limits: Row, needed: float) -> Row:
    return tuple(needed - limit for limit in limits)


@sensor_by_range.step(
    "Cheapest type that serves",
    kind="choice",
    options=TYPES,
    rule="Go down the list from the cheapest and stop at the first with something to spare.",
)
def kind(spare: Row) -> str:
    return first([-each for each in spare], 0.0, TYPES)


@kind.slip("Its number, the first of step 2, is below zero: its class ends before the temperature needed.")
def iron_too_hot(spare: Row) -> str | None:
    return TYPES[0] if spare[0] < 0 else None


@kind.slip("Its number, the second of step 2, is below zero: its class ends before the temperature needed.")
def type_k_too_hot(spare: Row) -> str | None:
    return TYPES[1] if spare[1] < 0 else None


@kind.slip("It serves, but type J does too: its number in step 2 is above zero.")
def type_k_not_needed(spare: Row) -> str | None:
    return TYPES[1] if spare[0] >= 0 else None


@kind.slip("It would serve, but a base metal type does too, at several times the millivolts and less cost.")
def platinum_not_needed(spare: Row) -> str | None:
    return TYPES[2] if spare[1] >= 0 else None


@sensor_by_range.refuse
def nothing_to_spare(spare: Row) -> bool:
    """A type that ends exactly at what is needed."""
    return any(abs(each) < 5.0 for each in spare) or spare[2] < 0
