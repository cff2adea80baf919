"""Worksheets of strand S1: which curve a resistance thermometer has, and what a wrong one costs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from trainer.calculations import rtd
from trainer.calculations.curves import CURVES, IEC_60751, PLATINUM_3911, PLATINUM_3916, PLATINUM_3920, Polynomial
from trainer.calculations.elementary import clip
from trainer.calculations.temperatures import convert_difference
from trainer.worksheets.tolerance import share_of
from trainer.worksheets.worksheet import Worksheet

SOURCES = (
    "IEC 60751: platinum, alpha 0.003851",
    "Older national platinum curves 0.003911 to 0.003920 as listed in open thermometry software",
)
PLATINUM: Mapping[str, Polynomial] = {
    curve.name: curve for curve in (IEC_60751, PLATINUM_3911, PLATINUM_3916, PLATINUM_3920)
}
ELEMENTS = {curve.name: curve for curve in CURVES}
OLDER = "older platinum, 0.003911 to 0.003920"
ALPHA = (0.0038, 0.0068)  # between these lie all the elements of the trade
MARGIN = 0.00001


# Which element is it: resistance in ice and at 100 °C

curve_identity = Worksheet("curve-identity", "Curve of a sensor from two baths", "S1.3", sources=SOURCES)
curve_identity.given("element", "Element", kind="choice", options=tuple(ELEMENTS), hidden=True)
curve_identity.given("at_zero", "Resistance at 0 °C", unit="Ω", hidden=True)


@curve_identity.prepared("Resistance in ice", symbol="R_0", unit="Ω", decimals=2)
def ice(at_zero: float) -> float:
    return round(at_zero, 2)


@curve_identity.prepared("Resistance at 100 °C", symbol="R_{100}", unit="Ω", decimals=2)
def boiling(ice: float, element: str) -> float:
    return round(rtd.resistance(100.0, ice, ELEMENTS[element]), 2)


@curve_identity.step(
    "Rise from 0 to 100 °C",
    symbol=r"\Delta R",
    formula="<boiling> - <ice>",
    rule="Take the resistance in ice off the resistance at 100 °C.",
    unit="Ω",
    tolerance=0.005,
    decimals=2,
)
def rise(boiling: float, ice: float) -> float:
    return boiling - ice


@curve_identity.step(
    "Alpha",
    symbol=r"\alpha",
    formula=r"\frac{<rise>}{100 \times <ice>}",
    rule="Alpha is the mean rise of one degree as a part of the resistance in ice.",
    unit="1/°C",
    tolerance=0.000005,
    possible=ALPHA,
)
def alpha(rise: float, ice: float) -> float:
    return rtd.alpha(ice, ice + rise)


@alpha.slip("That is the rise of one degree in ohms: divide by the resistance in ice as well.")
def ohms_a_degree(rise: float) -> float:
    return rise / 100.0


@alpha.slip("That is the rise over all hundred degrees: alpha is that of one degree.")
def hundred_degrees(rise: float, ice: float) -> float:
    return rise / ice


@alpha.slip("Alpha is a part of the resistance in ice, not of that at 100 °C.")
def part_of_hot(rise: float, boiling: float) -> float:
    return rise / boiling / 100.0


@alpha.slip("That is the ratio spread over 100 degrees: take one off it first, only the rise counts.")
def ratio_for_rise(boiling: float, ice: float) -> float:
    return boiling / ice / 100.0


def _family(alpha: float) -> str:
    inside = clip(alpha, ALPHA[0] + MARGIN, ALPHA[1] - MARGIN)
    found = rtd.identify(1.0, 1.0 + 100.0 * inside).name
    return OLDER if found in PLATINUM and found != IEC_60751.name else found


FAMILIES = tuple(dict.fromkeys(_family(curve.alpha) for curve in CURVES))


@curve_identity.step(
    "Curve to set",
    kind="choice",
    options=FAMILIES,
    rule="Take the curve whose alpha is nearest to yours.",
)
def curve(alpha: float) -> str:
    return _family(alpha)


@curve.slip("That is the most common curve, but alpha says otherwise: compare your number with the list.")
def common_curve(alpha: float) -> str | None:
    return None if _family(alpha) == IEC_60751.name else IEC_60751.name


@curve.slip("Both platinum curves have the same resistance in ice; alpha parts them: 0.00385 here, 0.0039 there.")
def older_curve(alpha: float) -> str | None:
    return OLDER if _family(alpha) == IEC_60751.name else None


# The wrong curve set: what the display shows, and the error


def _coefficients(name: str) -> str:
    return f"A = {PLATINUM[name].a * 1e3:.5g}e-3, B = {PLATINUM[name].b * 1e7:.6g}e-7"


def _in_tex(name: str) -> tuple[str, str]:
    """A and the size of B, which is negative for all platinum."""
    chosen = PLATINUM[name]
    return rf"{chosen.a * 1e3:.6g} \times 10^{{-3}}", rf"{-chosen.b * 1e7:.6g} \times 10^{{-7}}"


def _forward(values: Mapping[str, Any]) -> str:
    a, b = _in_tex(values["fitted"])
    return rf"<r0> (1 + {a} \times <temperature> - {b} \times <temperature>^2)"


def _backward(values: Mapping[str, Any]) -> str:
    a, b = _in_tex(values["chosen"])
    root = rf"\sqrt{{({a})^2 + 4 \times {b} (1 - \frac{{<resistance>}}{{<r0>}})}}"
    return rf"\frac{{-{a} + {root}}}{{-2 \times {b}}}"


def _wrong_curve(name: str, title: str) -> Worksheet:
    sheet = Worksheet(name, title, "S1.3", sources=SOURCES)
    sheet.given("r0", "Resistance at 0 °C", symbol="R_0", unit="Ω", decimals=0)
    sheet.given("temperature", "True temperature", symbol="t", unit="°C")
    sheet.given("fitted", "Curve of the sensor", kind="choice", options=tuple(PLATINUM))
    sheet.given("chosen", "Curve set at the input", kind="choice", options=tuple(PLATINUM))
    _add_coefficients(sheet)
    _add_reading(sheet)
    _add_error(sheet)
    return sheet


def _add_coefficients(sheet: Worksheet) -> None:
    @sheet.prepared("Coefficients of the sensor's curve", kind="choice")
    def of_sensor(fitted: str) -> str:
        return _coefficients(fitted)

    @sheet.prepared("Coefficients of the curve set", kind="choice")
    def of_input(chosen: str) -> str:
        return _coefficients(chosen)


def _add_reading(sheet: Worksheet) -> None:
    @sheet.step(
        "True resistance of the sensor",
        symbol="R",
        formula=_forward,
        rule="The sensor has the resistance of its own curve, whatever is set at the input.",
        unit="Ω",
        tolerance=share_of("r0", 0.0002),
    )
    def resistance(temperature: float, r0: float, fitted: str) -> float:
        return rtd.resistance(temperature, r0, PLATINUM[fitted])

    @resistance.slip(
        "Both curves start at the same resistance in ice and then part: the sensor follows its own, not the one set."
    )
    def no_difference(temperature: float, r0: float, chosen: str) -> float:
        return rtd.resistance(temperature, r0, PLATINUM[chosen])

    @sheet.step(
        "Temperature shown",
        symbol="t_{ind}",
        formula=_backward,
        rule="The input turns the resistance back with the curve that is set.",
        unit="°C",
        tolerance=0.1,
    )
    def shown(resistance: float, r0: float, chosen: str) -> float:
        return rtd.temperature(resistance, r0, PLATINUM[chosen])

    # Read the other way round the error has the same size, to within its second order, and the other sign.
    @shown.slip("The curves are exchanged: the sensor makes the ohms, the input makes the degrees.", coincides=True)
    def exchanged(temperature: float, r0: float, fitted: str, chosen: str) -> float:
        return rtd.temperature(rtd.resistance(temperature, r0, PLATINUM[chosen]), r0, PLATINUM[fitted])


def _add_error(sheet: Worksheet) -> None:
    @sheet.step(
        "Error of the display",
        symbol="e",
        formula="<shown> - <temperature>",
        rule="Error is what is shown less what is true.",
        unit="°C (difference)",
        tolerance=0.1,
        decimals=2,
    )
    def error(shown: float, temperature: float) -> float:
        return shown - temperature

    @error.slip("Error is shown less true: a sensor flatter than the curve set reads low, a steeper one high.")
    def true_less_shown(shown: float, temperature: float) -> float:
        return temperature - shown

    @error.slip("That is the difference in ohms: it still has to be turned into degrees with the curve set.")
    def ohms_for_degrees(resistance: float, temperature: float, r0: float, chosen: str) -> float:
        return resistance - rtd.resistance(temperature, r0, PLATINUM[chosen])


wrong_curve_error = _wrong_curve("wrong-curve-error", "Error when the wrong platinum curve is set")
wrong_curve_error_fahrenheit = _wrong_curve(
    "wrong-curve-error-fahrenheit", "Error in °F when the wrong platinum curve is set"
)


@wrong_curve_error_fahrenheit.step(
    "Error in °F",
    symbol="e_F",
    formula=r"1.8 \times <error>",
    rule="An error is a difference: multiply by 1.8 and add nothing.",
    unit="°F (difference)",
    tolerance=0.2,
    decimals=2,
)
def error_in_fahrenheit(error: float) -> float:
    return convert_difference(error, "°C", to="°F")


@error_in_fahrenheit.slip("The 32 moves a point on the scale; an error has no point, so nothing is added.")
def thirty_two_added(error: float) -> float:
    return 1.8 * error + 32.0


@error_in_fahrenheit.slip("The number is still in °C: 1 °C of error is 1.8 °F.")
def left_in_celsius(error: float) -> float:
    return error
