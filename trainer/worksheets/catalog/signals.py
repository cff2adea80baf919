"""Worksheets of strand S3: signals and scaling."""

from __future__ import annotations

from trainer.worksheets.tolerance import of_span
from trainer.worksheets.worksheet import FigureUse, Worksheet

SOURCES = (
    "IEC 60381-1: analog direct current signals, 4 to 20 mA",
    "IEC 60381-2: analog direct voltage signals, 1 to 5 V",
)
BARS = {
    "lower": "lower",
    "upper": "upper",
    "signal_low": "signal_low",
    "signal_high": "signal_high",
    "value": "value",
    "signal": "signal",
}


def _range_givens(sheet: Worksheet) -> None:
    sheet.given("lower", "Lower range value", symbol="x_0")
    sheet.given("upper", "Upper range value", symbol="x_{100}")
    sheet.given("signal_low", "Signal at the lower range value", symbol="S_0")
    sheet.given("signal_high", "Signal at the upper range value", symbol="S_{100}")


# Signal to process value

value_from_signal = Worksheet(
    "value-from-signal",
    "Process value from a measured signal",
    "S3.2",
    figure=FigureUse("range bars", BARS),
    sources=SOURCES,
)
_range_givens(value_from_signal)
value_from_signal.given("signal", "Measured signal", symbol="S")


@value_from_signal.step(
    "Fraction of span",
    symbol="f",
    formula=r"\frac{<signal> - <signal_low>}{<signal_high> - <signal_low>}",
    rule="Take the live zero off the signal, then divide by the moving part of the signal.",
    tolerance=0.001,
    possible=(0.0, 1.0),
)
def fraction(signal: float, signal_low: float, signal_high: float) -> float:
    return (signal - signal_low) / (signal_high - signal_low)


@fraction.slip(
    "Live zero forgotten: the signal is divided by {signal_high}. Take {signal_low} off first, then divide by the "
    "moving part of the signal."
)
def no_live_zero(signal: float, signal_low: float, signal_high: float) -> float | None:
    return signal / signal_high if signal_low else None


@fraction.slip("The span of the signal is right, but its live zero is still in: take it off before dividing.")
def live_zero_left_in(signal: float, signal_low: float, signal_high: float) -> float | None:
    return signal / (signal_high - signal_low) if signal_low else None


@fraction.slip("The live zero is off, but it is still in the divisor: only the moving part of the signal is the span.")
def top_used_as_span(signal: float, signal_low: float, signal_high: float) -> float | None:
    return (signal - signal_low) / signal_high if signal_low else None


@fraction.slip("That is the fraction counted from the top: is the loop direct or reverse acting?")
def backwards(signal: float, signal_low: float, signal_high: float) -> float:
    return (signal_high - signal) / (signal_high - signal_low)


@value_from_signal.step(
    "Process value",
    symbol="x",
    formula="<lower> + <fraction> (<upper> - <lower>)",
    rule="Go that fraction of the span up from the lower range value.",
    unit="as lower",
    tolerance=of_span(0.3),
)
def value(fraction: float, lower: float, upper: float) -> float:
    return lower + fraction * (upper - lower)


@value.slip("That is the distance above the lower range value: add the lower range value to it.")
def lower_forgotten(fraction: float, lower: float, upper: float) -> float | None:
    return fraction * (upper - lower) if lower else None


@value.slip("Span is the upper range value less the lower one.")
def upper_used_as_span(fraction: float, lower: float, upper: float) -> float | None:
    return lower + fraction * upper if lower else None


# Process value to signal

signal_from_value = Worksheet(
    "signal-from-value",
    "Signal for a process value",
    "S3.1",
    figure=FigureUse("range bars", BARS),
    sources=SOURCES,
)
_range_givens(signal_from_value)
signal_from_value.given("value", "Process value", symbol="x")


@signal_from_value.step(
    "Fraction of span",
    name="fraction",
    symbol="f",
    formula=r"\frac{<value> - <lower>}{<upper> - <lower>}",
    rule="Measure from the bottom of the range, then divide by the span.",
    tolerance=0.001,
    possible=(0.0, 1.0),
)
def fraction_of_range(value: float, lower: float, upper: float) -> float:
    return (value - lower) / (upper - lower)


@fraction_of_range.slip("Measure from the bottom of the range, not from zero.", name="measured_from_zero")
def measured_from_zero(value: float, lower: float, upper: float) -> float | None:
    return value / (upper - lower) if lower else None


@fraction_of_range.slip("Span is the upper range value less the lower one.", name="upper_for_span")
def upper_for_span(value: float, lower: float, upper: float) -> float | None:
    return (value - lower) / upper if lower and upper else None


@fraction_of_range.slip("Both ends of the range count: take the lower range value off the value and off the span.")
def value_over_upper(value: float, lower: float, upper: float) -> float | None:
    return value / upper if lower and upper else None


@signal_from_value.step(
    "Signal",
    name="signal",
    symbol="S",
    formula="<signal_low> + <fraction> (<signal_high> - <signal_low>)",
    rule="Go that fraction of the moving part of the signal up from its live zero.",
    unit="as signal_low",
    tolerance=of_span(0.25, "signal_low", "signal_high"),
)
def signal(fraction: float, signal_low: float, signal_high: float) -> float:
    return signal_low + fraction * (signal_high - signal_low)


@signal.slip("0 % sits at the live zero: the wire is alive at the lower range value.")
def live_zero_not_added(fraction: float, signal_low: float, signal_high: float) -> float | None:
    return fraction * (signal_high - signal_low) if signal_low else None


@signal.slip("The moving part of the signal is its top less its live zero.")
def top_for_moving_part(fraction: float, signal_low: float, signal_high: float) -> float | None:
    return signal_low + fraction * signal_high if signal_low else None


@signal.slip("That is a signal that starts at zero: this one has a live zero.")
def zero_based_habit(fraction: float, signal_low: float, signal_high: float) -> float | None:
    return fraction * signal_high if signal_low else None


@signal.slip("That is the reverse acting signal: here the signal rises with the value.", name="backwards")
def falling_signal(fraction: float, signal_low: float, signal_high: float) -> float:
    return signal_high - fraction * (signal_high - signal_low)


# Reverse acting: the signal falls as the value rises

reverse_signal = Worksheet(
    "reverse-acting-signal",
    "Reverse acting signal for a process value",
    "S3.1",
    figure=FigureUse("range bars", BARS | {"reverse": "acting"}),
    sources=SOURCES,
)
reverse_signal.given("lower", "Lower range value", symbol="x_0")
reverse_signal.given("upper", "Upper range value", symbol="x_{100}")
reverse_signal.given("signal_low", "Signal at the upper range value", symbol=r"S_\mathrm{min}")
reverse_signal.given("signal_high", "Signal at the lower range value", symbol=r"S_\mathrm{max}")
reverse_signal.given("value", "Process value", symbol="x")
reverse_signal.given("acting", "Action", kind="choice", options=("reverse acting",))
reverse_signal.step(
    "Fraction of span",
    name="fraction",
    symbol="f",
    formula=r"\frac{<value> - <lower>}{<upper> - <lower>}",
    rule="Measure from the bottom of the range, then divide by the span.",
    tolerance=0.001,
    possible=(0.0, 1.0),
)(fraction_of_range.node.function)
for _slip in (measured_from_zero, upper_for_span):
    reverse_signal.slip_of("fraction", signal_from_value.slips[_slip.__name__].message)(_slip)


@reverse_signal.step(
    "Signal",
    name="signal",
    symbol="S",
    formula="<signal_high> - <fraction> (<signal_high> - <signal_low>)",
    rule="Come that fraction of the moving part of the signal down from its top.",
    unit="as signal_low",
    tolerance=of_span(0.25, "signal_low", "signal_high"),
)
def reversed_signal(fraction: float, signal_low: float, signal_high: float) -> float:
    return signal_high - fraction * (signal_high - signal_low)


@reversed_signal.slip("That is the direct acting signal: here the signal falls as the value rises.")
def direct_acting(fraction: float, signal_low: float, signal_high: float) -> float:
    return signal_low + fraction * (signal_high - signal_low)


@reversed_signal.slip("The moving part of the signal is its top less its live zero.", name="top_for_moving_part")
def top_for_moving_part_reversed(fraction: float, signal_low: float, signal_high: float) -> float | None:
    return signal_high - fraction * signal_high if signal_low else None


@reversed_signal.slip("The live zero is counted twice: coming down from the top already leaves it in.")
def live_zero_added_twice(fraction: float, signal_low: float, signal_high: float) -> float | None:
    return signal_high - fraction * (signal_high - signal_low) + signal_low if signal_low else None
