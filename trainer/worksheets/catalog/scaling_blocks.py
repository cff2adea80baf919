"""Worksheets of strand S3: the scaling block of a PLC, slope and offset."""

from __future__ import annotations

from trainer.calculations import counts
from trainer.calculations.counts import Scaling
from trainer.calculations.signals import span_between
from trainer.worksheets.tolerance import of_span, relative
from trainer.worksheets.worksheet import FigureUse, Worksheet

FITS, OVERFLOWS = "fits", "overflows"
WORD, LARGEST_UNSIGNED = 16, 65535
SOURCES = (
    "A linear scaling is a straight line through both ends: process value = slope x count + offset",
    "The raw limits are those printed in the problem; at work they come from the data sheet of the module",
)
BARS = {
    "lower": "lower",
    "upper": "upper",
    "signal_low": "raw_low",
    "signal_high": "raw_high",
    "value": "value",
    "signal": "count",
}
TWO_COMPLEMENT = "A signed word of 16 bits holds -32768 to 32767"


def _limits(sheet: Worksheet) -> None:
    sheet.given("raw_low", "Count at the lower range value", symbol="N_0", unit="counts", decimals=0)
    sheet.given("raw_high", "Count at the upper range value", symbol="N_{100}", unit="counts", decimals=0)
    sheet.given("lower", "Lower range value", symbol="x_0")
    sheet.given("upper", "Upper range value", symbol="x_{100}")


def _slope_unit(sheet: Worksheet) -> None:
    """Carries the unit of the slope, which a problem states."""

    @sheet.prepared("Slope of one count", hidden=True)
    def slope_unit() -> float:
        return 1.0


# Slope, offset and a value

slope_and_offset = Worksheet(
    "slope-and-offset",
    "Slope and offset of a scaling block",
    "S3.7",
    figure=FigureUse("range bars", BARS),
    sources=SOURCES,
)
_limits(slope_and_offset)
slope_and_offset.given("count", "Count read", symbol="N", unit="counts", decimals=0)
_slope_unit(slope_and_offset)


@slope_and_offset.step(
    "Slope",
    symbol="m",
    formula=r"\frac{<upper> - <lower>}{<raw_high> - <raw_low>}",
    rule="Span of the process value over span of the counts, to four figures.",
    unit="as slope_unit",
    tolerance=relative(0.05, 0.0000005),
)
def slope(raw_low: float, raw_high: float, lower: float, upper: float) -> float:
    return counts.scaling(raw_low, raw_high, lower, upper).slope


@slope.slip("The counts below the lower raw limit are not part of the range: span over span.")
def top_count_as_span(raw_high: float, lower: float, upper: float) -> float:
    return counts.scaling(0.0, raw_high, lower, upper).slope


@slope.slip("That is counts for each unit of the process value: the span of the process value goes on top.")
def slope_upside_down(raw_low: float, raw_high: float, lower: float, upper: float) -> float:
    return 1.0 / counts.scaling(raw_low, raw_high, lower, upper).slope


@slope_and_offset.step(
    "Offset",
    symbol="b",
    formula=r"<lower> - <slope> \times <raw_low>",
    rule="Go from the lower range value back to no counts at all: take off slope times the lower raw limit.",
    unit="as lower",
    tolerance=of_span(0.15),
)
def offset(slope: float, raw_low: float, lower: float) -> float:
    return lower - slope * raw_low


@offset.slip("That is the value at the lower raw limit; the offset belongs to no counts at all.")
def lower_as_offset(lower: float, raw_low: float) -> float | None:
    return lower if raw_low else None


@offset.slip("The block must give the lower range value at the lower raw limit: the lower range value is missing.")
def lower_left_out(slope: float, raw_low: float, lower: float) -> float | None:
    return -slope * raw_low if lower else None


@offset.slip("From the lower raw limit back to no counts the value falls: take the product off.")
def product_added(slope: float, raw_low: float, lower: float) -> float | None:
    return lower + slope * raw_low if raw_low else None


@slope_and_offset.step(
    "Process value",
    name="value",
    symbol="x",
    formula=r"<slope> \times <count> + <offset>",
    rule="Multiply first, then add the offset.",
    unit="as lower",
    tolerance=of_span(0.3),
)
def value(slope: float, offset: float, count: float) -> float:
    return Scaling(slope, offset).value(count)


slope_and_offset.slip(
    "The count at the lower range value must come off first, in the slope and in the offset.",
    "raw_zero_forgotten",
    "value",
    slope=top_count_as_span,
    offset=lambda lower: lower,
)


# A block in service, checked at both ends

block_check = Worksheet("scaling-check", "Scaling block checked at both ends", "S3.7", sources=SOURCES)
_limits(block_check)
block_check.given("made_for", "Upper range value that the block was made for", unit="as lower", hidden=True)
_slope_unit(block_check)


@block_check.prepared("Slope in the block", symbol="m", unit="as slope_unit", decimals=5)
def slope_set(raw_low: float, raw_high: float, lower: float, made_for: float) -> float:
    return round(counts.scaling(raw_low, raw_high, lower, made_for).slope, 5)


@block_check.prepared("Offset in the block", symbol="b", unit="as lower", decimals=2)
def offset_set(raw_low: float, raw_high: float, lower: float, made_for: float) -> float:
    return round(counts.scaling(raw_low, raw_high, lower, made_for).offset, 2)


@block_check.step(
    "Value shown at the lower raw limit",
    symbol="x_a",
    formula=r"<slope_set> \times <raw_low> + <offset_set>",
    rule="Multiply the count by the slope, then add the offset.",
    unit="as lower",
    tolerance=of_span(0.2),
)
def shown_low(slope_set: float, offset_set: float, raw_low: float) -> float:
    return Scaling(slope_set, offset_set).value(raw_low)


@shown_low.slip("Multiply before you add: the offset is in units of the process value, not in counts.")
def added_before(slope_set: float, offset_set: float, raw_low: float) -> float:
    return slope_set * (raw_low + offset_set)


@shown_low.slip("The offset is missing, or its sign is lost: add it as it stands.")
def offset_left_out(slope_set: float, raw_low: float) -> float:
    return slope_set * raw_low


@block_check.step(
    "Value shown at the upper raw limit",
    symbol="x_b",
    formula=r"<slope_set> \times <raw_high> + <offset_set>",
    rule="The same with the count at the upper range value.",
    unit="as lower",
    tolerance=of_span(0.2),
)
def shown_high(slope_set: float, offset_set: float, raw_high: float) -> float:
    return Scaling(slope_set, offset_set).value(raw_high)


@shown_high.slip("Multiply by the count itself: its zero is in the offset already.")
def raw_zero_off_twice(slope_set: float, offset_set: float, raw_low: float, raw_high: float) -> float:
    return slope_set * (raw_high - raw_low) + offset_set


@block_check.step(
    "Error at the upper range value",
    name="error",
    symbol="e",
    formula="<shown_high> - <upper>",
    rule="Shown less true: the upper raw limit should show the upper range value.",
    unit="difference as lower",
    tolerance=of_span(0.2),
)
def error_at_top(shown_high: float, upper: float) -> float:
    return shown_high - upper


@error_at_top.slip("Shown less true: a display that reads high has a positive error.")
def true_less_shown(shown_high: float, upper: float) -> float:
    return upper - shown_high


# Whole numbers in a word of 16 bits

whole_numbers = Worksheet(
    "whole-number-scaling",
    "Scaling by whole numbers in words of 16 bits",
    "S3.7",
    sources=(*SOURCES, TWO_COMPLEMENT),
)
whole_numbers.given("raw_low", "Count at the lower range value", symbol="N_0", unit="counts", decimals=0)
whole_numbers.given("raw_high", "Count at the upper range value", symbol="N_{100}", unit="counts", decimals=0)
whole_numbers.given("lower", "Lower range value in tenths", symbol="X_0", decimals=0)
whole_numbers.given("upper", "Upper range value in tenths", symbol="X_{100}", decimals=0)
whole_numbers.given("count", "Count read", symbol="N", unit="counts", decimals=0)


@whole_numbers.step(
    "Counts above the lower raw limit",
    symbol="A",
    formula="<count> - <raw_low>",
    rule="Take the count at the lower range value off the count.",
    unit="counts",
    tolerance=0.0,
    decimals=0,
)
def above(count: float, raw_low: float) -> float:
    return count - raw_low


@above.slip("The count at the lower range value must come off first.")
def raw_zero_left_in(count: float) -> float:
    return count


@whole_numbers.step(
    "Product",
    symbol="P",
    formula=r"<above> \times (<upper> - <lower>)",
    rule="Multiply by the span in tenths before anything is divided.",
    tolerance=0.0,
    decimals=0,
)
def product(above: float, lower: float, upper: float) -> float:
    return above * (upper - lower)


@product.slip("The span is the upper range value less the lower one, both in tenths.")
def upper_for_span(above: float, lower: float, upper: float) -> float | None:
    return above * upper if lower else None


@whole_numbers.step(
    "Product in a signed word of 16 bits",
    kind="choice",
    options=(FITS, OVERFLOWS),
    rule="A signed word of 16 bits ends at 32767.",
)
def verdict(product: float) -> str:
    return OVERFLOWS if counts.overflows(round(product), WORD) else FITS


@verdict.slip("65535 is the end of an unsigned word; one bit of this one is the sign, so it ends at 32767.")
def unsigned_word(product: float) -> str | None:
    return FITS if product <= LARGEST_UNSIGNED and verdict(product) == OVERFLOWS else None


@whole_numbers.step(
    "Value in tenths, worked in a longer word",
    name="value",
    symbol="X",
    formula=r"<lower> + \frac{<product>}{<raw_high> - <raw_low>}",
    rule="Divide last, drop what is behind the point, then add the lower range value.",
    tolerance=1.0,
    decimals=0,
)
def whole_value(product: float, raw_low: float, raw_high: float, lower: float) -> float:
    width = round(span_between("raw range", raw_low, raw_high))
    return float(counts.whole_number_value(round(product), 0, width, 1, round(lower)))


@whole_value.slip("Divided first, the whole-number quotient is zero: multiply before you divide.")
def divided_first(lower: float) -> float:
    return lower


@whole_value.slip("That is the rise above the lower range value: add the lower range value to it.")
def rise_only(product: float, raw_low: float, raw_high: float, lower: float) -> float | None:
    return float(counts.whole_number_value(round(product), 0, round(raw_high - raw_low), 1, 0)) if lower else None


@whole_value.slip("The product is spread over the counts between the two raw limits, not over the upper one.")
def divided_by_top(product: float, raw_high: float, lower: float) -> float:
    return float(counts.whole_number_value(round(product), 0, round(raw_high), 1, round(lower)))
