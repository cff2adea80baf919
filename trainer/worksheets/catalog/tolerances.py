"""Worksheets of strand S1: how far a good sensor may be off."""

from __future__ import annotations

from trainer.calculations.rtd import GRADES
from trainer.calculations.temperatures import convert, convert_difference
from trainer.calculations.thermocouple_tolerances import LIMITS
from trainer.calculations.thermocouples import KINDS
from trainer.worksheets.worksheet import FigureUse, Worksheet

RTD_SOURCES = ("IEC 60751: tolerance classes, ±(base + slope × |t|), t in °C",)
THERMOCOUPLE_SOURCES = (
    "IEC 60584-1: tolerance classes 1, 2 and 3",
    "ASTM E230: standard and special limits of error",
)
OTHER_CLASS = {"AA": "A", "A": "B", "B": "A", "C": "B"}
OTHER_GRADE = {"1": "2", "2": "1", "3": "2", "standard": "special", "special": "standard"}
DEGREES, DEGREES_F = "°C (difference)", "°F (difference)"
INSIDE, OUTSIDE = "inside its class: leave it alone", "outside its class: replace it"


# Steps that several worksheets share; each calls its temperature in °C `temperature`


def _in_celsius(sheet: Worksheet) -> None:
    sheet.given("fahrenheit", "Temperature", symbol="t_F", unit="°F")

    @sheet.step(
        "Temperature in °C",
        symbol="t",
        formula=r"\frac{<fahrenheit> - 32}{1.8}",
        rule="The class is written for degrees Celsius: take 32 off, then divide by 1.8.",
        unit="°C",
        tolerance=0.1,
    )
    def temperature(fahrenheit: float) -> float:
        return convert(fahrenheit, "°F", to="°C")

    @temperature.slip("The class is written for degrees Celsius: convert the reading first.")
    def fahrenheit_put_in(fahrenheit: float) -> float:
        return fahrenheit

    @temperature.slip("The 32 is still in: take it off before you divide by 1.8.")
    def thirty_two_left_in(fahrenheit: float) -> float:
        return fahrenheit / 1.8


def _in_fahrenheit(sheet: Worksheet) -> None:
    @sheet.step(
        "Permitted error in °F",
        symbol="e_F",
        formula=r"1.8 \times <permitted>",
        rule="A permitted error is a difference: multiply by 1.8 and add nothing.",
        unit=DEGREES_F,
        tolerance=0.02,
        decimals=2,
    )
    def permitted_in_fahrenheit(permitted: float) -> float:
        return convert_difference(permitted, "°C", to="°F")

    @permitted_in_fahrenheit.slip("The 32 moves a point on the scale; a tolerance has no point, so nothing is added.")
    def thirty_two_added(permitted: float) -> float:
        return 1.8 * permitted + 32.0

    @permitted_in_fahrenheit.slip("The number is still in °C: 1 °C of tolerance is 1.8 °F.")
    def left_in_celsius(permitted: float) -> float:
        return permitted


# Resistance thermometers: a base, and a part that grows on both sides of 0 °C


def _rtd_class(sheet: Worksheet) -> None:
    sheet.given("grade", "Tolerance class", kind="choice", options=tuple(OTHER_CLASS))

    @sheet.prepared("Base of the class", symbol="a", unit=DEGREES)
    def base(grade: str) -> float:
        return GRADES[grade, "wire-wound"].base

    @sheet.prepared("Slope of the class", symbol="b")
    def slope(grade: str) -> float:
        return GRADES[grade, "wire-wound"].per_degree


def _rtd_permitted(sheet: Worksheet) -> None:
    @sheet.step(
        "Part that grows with temperature",
        symbol="e_t",
        formula="<slope> \\times |<temperature>|",
        rule="Multiply the slope of the class by the distance from 0 °C, on either side.",
        unit=DEGREES,
        tolerance=0.005,
        decimals=3,
    )
    def growing(slope: float, temperature: float) -> float:
        return slope * abs(temperature)

    @growing.slip("The class counts the distance from 0 °C: below zero the permitted error grows again.")
    def sign_kept(slope: float, temperature: float) -> float | None:
        return slope * temperature if temperature < 0 else None

    @sheet.step(
        "Permitted error",
        symbol="e_{max}",
        formula="<base> + <growing>",
        rule="Add the base of the class.",
        unit=DEGREES,
        tolerance=0.01,
        decimals=2,
    )
    def permitted(base: float, growing: float) -> float:
        return base + growing

    @permitted.slip("That is the permitted error at 0 °C: it grows with the distance from there.")
    def base_only(base: float) -> float:
        return base

    @permitted.slip("That is the growing part alone: the base of the class comes on top.")
    def slope_only(growing: float) -> float:
        return growing

    sheet.slip(
        "Those are the two numbers of another class: read the tag, then take the pair of that class.",
        name="other_class",
        step="growing",
        base=lambda grade: GRADES[OTHER_CLASS[grade], "wire-wound"].base,
        slope=lambda grade: GRADES[OTHER_CLASS[grade], "wire-wound"].per_degree,
    )

    @sheet.refuse
    def beyond_class(grade: str, temperature: float) -> bool:
        """The class makes no promise at this temperature."""
        held = GRADES[grade, "wire-wound"]
        return not held.lowest <= temperature <= held.highest


rtd_tolerance = Worksheet(
    "rtd-tolerance",
    "Permitted error of an RTD",
    "S1.4",
    figure=FigureUse(
        "error band", {"base": "base", "per_degree": "slope", "temperature": "temperature", "permitted": "permitted"}
    ),
    sources=RTD_SOURCES,
)
rtd_tolerance.given("temperature", "Temperature", symbol="t", unit="°C")
_rtd_class(rtd_tolerance)
_rtd_permitted(rtd_tolerance)


@rtd_tolerance.givens["temperature"].slip("The class is written for degrees Celsius: put that number in.")
def fahrenheit_put_in(temperature: float) -> float:
    return convert(temperature, "°C", to="°F")


rtd_tolerance_fahrenheit = Worksheet(
    "rtd-tolerance-fahrenheit",
    "Permitted error of an RTD in °F",
    "S1.4",
    figure=FigureUse(
        "error band", {"base": "base", "per_degree": "slope", "temperature": "fahrenheit", "permitted": "permitted"}
    ),
    sources=RTD_SOURCES,
)
_in_celsius(rtd_tolerance_fahrenheit)
_rtd_class(rtd_tolerance_fahrenheit)
_rtd_permitted(rtd_tolerance_fahrenheit)
_in_fahrenheit(rtd_tolerance_fahrenheit)


# A check against a reference: is the sensor inside its class?

rtd_within_class = Worksheet(
    "rtd-within-class",
    "Whether a deviation is inside the class",
    "S1.4",
    figure=FigureUse(
        "error band",
        {
            "base": "base",
            "per_degree": "slope",
            "temperature": "temperature",
            "permitted": "permitted",
            "error": "deviation",
        },
    ),
    sources=RTD_SOURCES,
    cautions=(
        "Dry blocks and baths stay hot or cold for long after the test: wear what your site's rules ask for, "
        "and let the sensor cool before you hand it on.",
    ),
)
rtd_within_class.given("temperature", "Reference temperature", symbol="t", unit="°C")
_rtd_class(rtd_within_class)
rtd_within_class.given("share", "Deviation as a part of the permitted error", hidden=True)


@rtd_within_class.prepared("Temperature from the sensor", symbol="t_s", unit="°C", decimals=2)
def sensor_reading(temperature: float, base: float, slope: float, share: float) -> float:
    return round(temperature + share * (base + slope * abs(temperature)), 2)


@rtd_within_class.step(
    "Deviation",
    symbol=r"\Delta t",
    formula="<sensor_reading> - <temperature>",
    rule="Deviation is the sensor less the reference.",
    unit=DEGREES,
    tolerance=0.005,
    decimals=2,
)
def deviation(sensor_reading: float, temperature: float) -> float:
    return sensor_reading - temperature


@deviation.slip("The size is right. Deviation is the sensor less the reference: a sensor that reads low has a minus.")
def reference_less_sensor(sensor_reading: float, temperature: float) -> float:
    return temperature - sensor_reading


_rtd_permitted(rtd_within_class)


@rtd_within_class.step(
    "What follows",
    kind="choice",
    options=(INSIDE, OUTSIDE),
    rule="Compare the size of the deviation, without its sign, with the permitted error.",
)
def verdict(deviation: float, permitted: float) -> str:
    return INSIDE if abs(deviation) <= permitted else OUTSIDE


@verdict.slip("A sensor that reads low is as far off as one that reads high: compare the size without the sign.")
def sign_compared(deviation: float, permitted: float) -> str | None:
    return INSIDE if deviation < -permitted else None


@verdict.slip("The class allows this much: adjusting it away would hide the sensor you have.")
def any_deviation_rejected(deviation: float, permitted: float) -> str | None:
    return OUTSIDE if abs(deviation) <= permitted else None


# Thermocouples: the greater of a fixed error and a percentage


def _thermocouple_class(sheet: Worksheet) -> None:
    sheet.given("kind", "Thermocouple type", kind="choice", options=KINDS)
    sheet.given("grade", "Tolerance class", kind="choice", options=tuple(OTHER_GRADE))

    @sheet.prepared("Fixed error of the class", symbol="c", unit=DEGREES)
    def fixed(kind: str, grade: str) -> float:
        return LIMITS[grade, kind].fixed

    @sheet.prepared("Percentage of the class", symbol="p", unit="%")
    def percent(kind: str, grade: str) -> float:
        return round(100.0 * LIMITS[grade, kind].fraction, 6)


def _thermocouple_permitted(sheet: Worksheet) -> None:
    @sheet.step(
        "Percentage of the temperature",
        symbol="e_p",
        formula=r"\frac{<percent>}{100} \times |<temperature>|",
        rule="Take the percentage of the temperature in °C, its sign left out.",
        unit=DEGREES,
        tolerance=0.02,
        decimals=2,
    )
    def proportional(percent: float, temperature: float) -> float:
        return percent / 100.0 * abs(temperature)

    # With the sign kept the fixed error is the greater one: the same number as that of the lesser.
    @proportional.slip("A tolerance has no sign: take the percentage of the distance from 0 °C.", coincides=True)
    def sign_kept(percent: float, temperature: float) -> float | None:
        return percent / 100.0 * temperature if temperature < 0 else None

    @sheet.step(
        "Permitted error",
        symbol="e_{max}",
        formula=r"\max(<fixed>, <proportional>)",
        rule="The class allows the greater of the two.",
        unit=DEGREES,
        tolerance=0.05,
        decimals=2,
    )
    def permitted(fixed: float, proportional: float) -> float:
        return max(fixed, proportional)

    @permitted.slip("The class allows the greater of the two, not the lesser.")
    def lesser(fixed: float, proportional: float) -> float:
        return min(fixed, proportional)

    @permitted.slip("The class allows one of the two, the greater; they are not added.")
    def added(fixed: float, proportional: float) -> float:
        return fixed + proportional

    sheet.slip(
        "Those are the numbers of another class: read which one the order or the tag states.",
        name="other_grade",
        step="proportional",
        fixed=lambda kind, grade: _of_other(kind, grade, "fixed"),
        percent=lambda kind, grade: _of_other(kind, grade, "fraction"),
    )

    @sheet.refuse
    def beyond_class(kind: str, grade: str, temperature: float) -> bool:
        """The class makes no promise at this temperature, or has a third number."""
        limit = LIMITS[grade, kind]
        return bool(limit.above) or not limit.lowest <= temperature <= limit.highest


def _of_other(kind: str, grade: str, part: str) -> float | None:
    limit = LIMITS.get((OTHER_GRADE[grade], kind))
    if limit is None:
        return None
    return limit.fixed if part == "fixed" else 100.0 * limit.fraction


thermocouple_tolerance = Worksheet(
    "thermocouple-tolerance",
    "Permitted error of a thermocouple",
    "S1.4",
    figure=FigureUse(
        "error band", {"fixed": "fixed", "percent": "percent", "temperature": "temperature", "permitted": "permitted"}
    ),
    sources=THERMOCOUPLE_SOURCES,
)
thermocouple_tolerance.given("temperature", "Temperature", symbol="t", unit="°C")
_thermocouple_class(thermocouple_tolerance)
_thermocouple_permitted(thermocouple_tolerance)


@thermocouple_tolerance.givens["temperature"].slip(
    "The percentage is one of degrees Celsius: put that number in.", name="fahrenheit_put_in"
)
def percent_of_fahrenheit(temperature: float) -> float:
    return convert(temperature, "°C", to="°F")


thermocouple_tolerance_fahrenheit = Worksheet(
    "thermocouple-tolerance-fahrenheit",
    "Permitted error of a thermocouple in °F",
    "S1.4",
    figure=FigureUse(
        "error band", {"fixed": "fixed", "percent": "percent", "temperature": "fahrenheit", "permitted": "permitted"}
    ),
    sources=THERMOCOUPLE_SOURCES,
)
_in_celsius(thermocouple_tolerance_fahrenheit)
_thermocouple_class(thermocouple_tolerance_fahrenheit)
_thermocouple_permitted(thermocouple_tolerance_fahrenheit)
_in_fahrenheit(thermocouple_tolerance_fahrenheit)
