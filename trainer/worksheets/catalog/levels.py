"""Worksheets of strand S3: ranges of level transmitters by pressure."""

from __future__ import annotations

from trainer.worksheets.tolerance import relative, share_of
from trainer.worksheets.worksheet import Worksheet

# Range of a level transmitter with a filled leg

wet_leg = Worksheet(
    "wet-leg-range",
    "Range of a level transmitter with a filled leg",
    "S3.4",
    sources=(
        "Pressure of a column in a water column: height times density relative to water",
        "ISA-51.1: a range with its zero above the lower range value is an elevated-zero range (from memory)",
    ),
)
wet_leg.given("height", "Level at 100 %", symbol="h")
wet_leg.given("density", "Density of the liquid relative to water", symbol="d")
wet_leg.given("leg", "Height of the filled leg", symbol="h_f", unit="as height")
wet_leg.given("fill_density", "Density of the fill relative to water", symbol="d_f")
wet_leg.given("largest_span", "Largest span of the transmitter", symbol="p_{max}")


@wet_leg.step(
    "Span",
    name="span",
    symbol=r"\Delta p",
    formula=r"<density> \times <height>",
    rule="The level changes the pressure by its own liquid only: density times height.",
    unit="as largest_span",
    tolerance=share_of("largest_span", 0.001),
)
def span_of_level(density: float, height: float) -> float:
    return density * height


@span_of_level.slip("A lighter liquid presses less: multiply the height by the density.")
def density_left_out(height: float, density: float) -> float | None:
    return height if density != 1.0 else None


@span_of_level.slip("The level moves over its own height; the leg stays full and belongs to the lower range value.")
def leg_for_height(density: float, leg: float) -> float:
    return density * leg


@wet_leg.step(
    "Turndown",
    symbol="t",
    formula=r"\frac{<largest_span>}{<span>}",
    rule="Largest span of the transmitter over the span that is set.",
    tolerance=relative(1.0, 0.01),
)
def turndown(largest_span: float, span: float) -> float:
    return largest_span / span


@turndown.slip("That is the set span as a share of the largest: turndown is the other way up, one or more.")
def turndown_upside_down(largest_span: float, span: float) -> float:
    return span / largest_span


@wet_leg.step(
    "Lower range value",
    name="lower",
    symbol="p_0",
    formula=r"-<fill_density> \times <leg>",
    rule="At no level only the filled leg presses, on the low side: a negative pressure.",
    unit="as largest_span",
    tolerance=share_of("largest_span", 0.001),
)
def lower_with_leg(fill_density: float, leg: float) -> float:
    return -fill_density * leg


@lower_with_leg.slip("The leg presses on the low side of the transmitter: at no level the difference is negative.")
def leg_on_high_side(fill_density: float, leg: float) -> float:
    return fill_density * leg


@lower_with_leg.slip("The leg holds its own fill: take the density of the fill.")
def liquid_in_leg(density: float, leg: float, fill_density: float) -> float | None:
    return -density * leg if density != fill_density else None


@wet_leg.step(
    "Upper range value",
    name="upper",
    symbol="p_{100}",
    formula="<lower> + <span>",
    rule="The upper range value is one span above the lower one; it may still be negative.",
    unit="as largest_span",
    tolerance=share_of("largest_span", 0.001),
)
def upper_with_leg(lower: float, span: float) -> float:
    return lower + span


@upper_with_leg.slip("That is the span: the leg presses at 100 % level as it does at 0 %.", name="span_as_upper")
def leg_forgotten(span: float) -> float:
    return span


@upper_with_leg.slip("A rising level makes the difference less negative: add the span.")
def span_taken_off(lower: float, span: float) -> float:
    return lower - span
