"""Worksheets of strand S4: an alarm as it is seen on the signal."""

from __future__ import annotations

from trainer.calculations.alarms import Direction, reset_value
from trainer.calculations.signals import Signal, signal_from_value
from trainer.worksheets.catalog.alarms import CAUTION, DIRECTIONS, OTHER, SOURCES, outside_range, reset_formula
from trainer.worksheets.tolerance import of_span
from trainer.worksheets.worksheet import FigureUse, Worksheet

alarm_signals = Worksheet(
    "alarm-signals",
    "Signals at which an alarm comes and goes",
    "S4.2",
    figure=FigureUse(
        "range bars",
        {name: name for name in ("lower", "upper", "signal_low", "signal_high")}
        | {"value": "set_point", "signal": "trip"},
    ),
    sources=("IEC 60381-1 and IEC 60381-2: analog signals with a live zero", *SOURCES[:1]),
    cautions=(
        CAUTION,
        "Driving a signal through a set point moves real relays: tell the operator and have the bypass in place first.",
    ),
)
alarm_signals.given("direction", "Direction", kind="choice", options=DIRECTIONS)
alarm_signals.given("set_point", "Set point", symbol=r"x_\mathrm{SP}")
alarm_signals.given("deadband", "Deadband", symbol="d", unit="difference as set_point")
alarm_signals.given("lower", "Lower range value", symbol="x_0")
alarm_signals.given("upper", "Upper range value", symbol="x_{100}")
alarm_signals.given("signal_low", "Signal at the lower range value", symbol="S_0")
alarm_signals.given("signal_high", "Signal at the upper range value", symbol="S_{100}")


@alarm_signals.step(
    "Signal at the set point",
    symbol=r"S_\mathrm{SP}",
    formula=r"<signal_low> + \frac{<set_point> - <lower>}{<upper> - <lower>} (<signal_high> - <signal_low>)",
    rule="The set point is a value of the range: fraction of span, times the moving part, on top of the live zero.",
    unit="as signal_low",
    tolerance=of_span(0.125, "signal_low", "signal_high"),
)
def trip(set_point: float, lower: float, upper: float, signal_low: float, signal_high: float) -> float:
    return signal_from_value(set_point, lower, upper, Signal(signal_low, signal_high, ""))


@trip.slip("0 % sits at the live zero: the wire is alive at the lower range value.")
def live_zero_not_added(
    set_point: float, lower: float, upper: float, signal_low: float, signal_high: float
) -> float | None:
    zero_based = Signal(0.0, signal_high - signal_low, "")
    return signal_from_value(set_point, lower, upper, zero_based) if signal_low else None


@trip.slip("Measure the set point from the bottom of the range, not from zero.")
def measured_from_zero(
    set_point: float, lower: float, upper: float, signal_low: float, signal_high: float
) -> float | None:
    return signal_low + set_point / (upper - lower) * (signal_high - signal_low) if lower else None


@trip.slip("That is a signal that starts at zero: this one has a live zero.")
def zero_based_habit(set_point: float, lower: float, upper: float, signal_high: float) -> float:
    return signal_from_value(set_point, lower, upper, Signal(0.0, signal_high, ""))


@alarm_signals.step(
    "Deadband as a signal",
    symbol=r"\Delta S",
    formula=r"\frac{<deadband>}{<upper> - <lower>} (<signal_high> - <signal_low>)",
    rule="A deadband is a difference: its share of the span, times the moving part, and no live zero.",
    unit="as signal_low",
    tolerance=of_span(0.05, "signal_low", "signal_high"),
)
def band(deadband: float, lower: float, upper: float, signal_low: float, signal_high: float) -> float:
    return deadband / (upper - lower) * (signal_high - signal_low)


@band.slip("A difference has no live zero: it is the distance between two signals.", coincides=True)
def live_zero_added(deadband: float, lower: float, upper: float, signal_low: float, signal_high: float) -> float | None:
    return signal_low + deadband / (upper - lower) * (signal_high - signal_low) if signal_low else None


@band.slip("That is the signal of a reading of that size; a deadband is a distance and lies at no place of the range.")
def taken_as_reading(
    deadband: float, lower: float, upper: float, signal_low: float, signal_high: float
) -> float | None:
    return signal_from_value(deadband, lower, upper, Signal(signal_low, signal_high, "")) if lower else None


@band.slip("The moving part of the signal is its top less its live zero.")
def top_for_moving_part(deadband: float, lower: float, upper: float, signal_high: float) -> float:
    return deadband / (upper - lower) * signal_high


@band.slip("Its share is taken of the span, upper range value less lower one.")
def upper_for_span(deadband: float, lower: float, upper: float, signal_low: float, signal_high: float) -> float | None:
    return abs(deadband / upper) * (signal_high - signal_low) if lower and upper else None


@alarm_signals.step(
    "Signal at which the alarm may go",
    name="clear",
    symbol=r"S_\mathrm{r}",
    formula=lambda values: reset_formula(values).replace("set_point", "trip").replace("deadband", "band"),
    rule="Go the whole deadband from the signal at the set point to the normal side.",
    unit="as signal_low",
    tolerance=of_span(0.125, "signal_low", "signal_high"),
)
def clear(direction: Direction, trip: float, band: float) -> float:
    return reset_value(trip, abs(band), direction)


@clear.slip("That is further into danger: the reset lies on the normal side.")
def other_side(direction: Direction, trip: float, band: float) -> float:
    return reset_value(trip, abs(band), OTHER[direction])


@clear.slip("The whole deadband lies on the normal side; it is not shared around the set point.")
def half_each_side(direction: Direction, trip: float, band: float) -> float:
    return reset_value(trip, abs(band) / 2, direction)


@clear.slip("At that signal the alarm comes; it goes a deadband further back.")
def no_deadband(trip: float) -> float:
    return trip


alarm_signals.refuse(outside_range)
