"""Worksheets of strand S3: burden resistors."""

from __future__ import annotations

from trainer.calculations.burdens import burden_voltage, parallel
from trainer.calculations.signals import MA_4_20, fraction, value_at
from trainer.worksheets.tolerance import of_span, relative, share_of
from trainer.worksheets.worksheet import Worksheet

SOURCES = (
    "IEC 60381-1 and IEC 60381-2: 4 to 20 mA through 250 Ω is 1 to 5 V",
    "Ohm's law: the voltage is the whole current times the resistance",
)
CAUTION = (
    "A burden resistor taken out opens the current loop, and every instrument in series loses its signal. Inform the "
    "operator and have the bypass in place first, under the site's own procedure."
)
USUAL = 250.0


def _signal_ends(burden: float) -> tuple[float, float]:
    """Voltages that a burden makes of both ends of the current signal."""
    return burden_voltage(MA_4_20.low, burden), burden_voltage(MA_4_20.high, burden)


# Voltage across a burden

voltage_of_current = Worksheet(
    "burden-voltage", "Voltage across a burden resistor", "S3.3", sources=SOURCES, cautions=(CAUTION,)
)
voltage_of_current.given("current", "Loop current", symbol="I", unit="mA")
voltage_of_current.given("burden", "Burden resistor", symbol="R", unit="Ω")


@voltage_of_current.step(
    "Current in amperes",
    symbol="I_A",
    formula=r"\frac{<current>}{1000}",
    rule="A thousand milliamperes are one ampere.",
    unit="A",
    tolerance=0.000005,
    decimals=5,
)
def amperes(current: float) -> float:
    return current / 1000.0


@amperes.slip("That is still in milliamperes: volts are amperes times ohms, or milliamperes times kilohms.")
def still_milliamperes(current: float) -> float:
    return current


@voltage_of_current.step(
    "Voltage",
    symbol="U",
    formula=r"<amperes> \times <burden>",
    rule="Multiply the whole current, in amperes, by the resistance.",
    unit="V",
    tolerance=0.005,
)
def voltage(amperes: float, burden: float) -> float:
    return burden_voltage(1000.0 * amperes, burden)


@voltage.slip("The live zero goes through the resistor like the rest: take the whole current.")
def live_zero_taken_off(current: float, burden: float) -> float:
    return burden_voltage(current - MA_4_20.low, burden)


@voltage.slip("Voltage is current times resistance: larger resistor, larger voltage.")
def divided(amperes: float, burden: float) -> float:
    return burden / amperes


@voltage.slip("That is the voltage across 250 Ω: read the color bands or measure the resistor that is fitted.")
def usual_burden(current: float, burden: float) -> float | None:
    return burden_voltage(current, USUAL) if burden != USUAL else None


# Error of the value shown when the burden is off

burden_error = Worksheet(
    "burden-error",
    "Error of the value shown with a burden that is off",
    "S3.3",
    sources=SOURCES,
    cautions=(CAUTION,),
)
burden_error.given("current", "Loop current", symbol="I", unit="mA")
burden_error.given("nominal", "Burden that the scaling is made for", symbol="R_0", unit="Ω", decimals=0)
burden_error.given("measured", "Burden as measured", symbol="R", unit="Ω")
burden_error.given("lower", "Lower range value", symbol="x_0")
burden_error.given("upper", "Upper range value", symbol="x_{100}")


@burden_error.step(
    "Voltage at the card",
    name="voltage",
    symbol="U",
    formula=r"\frac{<current>}{1000} \times <measured>",
    rule="Multiply the whole current by the resistance that is really there.",
    unit="V",
    tolerance=share_of("nominal", 0.000002),
    decimals=4,
)
def voltage_as_fitted(current: float, measured: float) -> float:
    return burden_voltage(current, measured)


@burden_error.step(
    "Voltage error",
    symbol=r"\Delta U",
    formula=r"<voltage> - \frac{<current>}{1000} \times <nominal>",
    rule="Take off the voltage that the nominal resistor would give: real less nominal.",
    unit="V",
    tolerance=relative(2.0, 0.0002),
    decimals=4,
)
def difference(voltage: float, current: float, nominal: float) -> float:
    return voltage - burden_voltage(current, nominal)


@burden_error.step(
    "Error in percent of span",
    symbol="e",
    formula=r"\frac{100 \times <difference>}{0.016 \times <nominal>}",
    rule="Divide by the moving part of the voltage: 16 mA times the nominal resistor.",
    unit="% of span",
    tolerance=relative(2.0, 0.005),
    decimals=3,
)
def percent(difference: float, nominal: float) -> float:
    low, high = _signal_ends(nominal)
    return 100.0 * difference / (high - low)


@burden_error.step(
    "Error of the process value",
    symbol=r"\Delta x",
    formula=r"\frac{<percent>}{100} (<upper> - <lower>)",
    rule="Take that percentage of the span of the range.",
    unit="difference as lower",
    tolerance=relative(2.0, 0.002),
)
def error(percent: float, lower: float, upper: float) -> float:
    return percent / 100.0 * (upper - lower)


@burden_error.givens["current"].slip("The current is still in milliamperes: volts are amperes times ohms.")
def milliamperes_put_in(current: float) -> float:
    return 1000.0 * current


@difference.slip("Real less nominal: a larger resistor makes a larger voltage, and the display reads high.")
def nominal_less_real(voltage: float, current: float, nominal: float) -> float:
    return burden_voltage(current, nominal) - voltage


@percent.slip(
    "The resistor is off by that percentage, and so is the voltage: it is a share of the voltage, not of span."
)
def share_of_resistor(measured: float, nominal: float) -> float:
    return 100.0 * (measured - nominal) / nominal


@percent.slip("The moving part of the signal is its top less its live zero.")
def top_as_span(difference: float, nominal: float) -> float:
    return 100.0 * difference / _signal_ends(nominal)[1]


@error.slip("The 4 mA goes through the resistor too: take the whole current, not the part above the live zero.")
def moving_part_only(current: float, measured: float, nominal: float, lower: float, upper: float) -> float:
    above = fraction(current, MA_4_20.low, MA_4_20.high)
    return (measured - nominal) / nominal * above * (upper - lower)


@error.slip("The resistor is off by a share of the voltage, which is not that share of the process value.")
def share_of_value(current: float, measured: float, nominal: float, lower: float, upper: float) -> float | None:
    if lower == 0.0:
        return None  # the same number as the moving part only
    value = value_at(fraction(current, MA_4_20.low, MA_4_20.high), lower, upper)
    return (measured - nominal) / nominal * value


@error.slip("The percentage is of span: upper range value less lower one.")
def percent_of_upper(percent: float, lower: float, upper: float) -> float | None:
    return percent / 100.0 * upper if lower else None


# Two burdens side by side

two_burdens = Worksheet(
    "two-burdens", "Value shown with a second burden in parallel", "S3.3", sources=SOURCES, cautions=(CAUTION,)
)
two_burdens.given("current", "Loop current", symbol="I", unit="mA")
two_burdens.given("burden", "Burden inside the card", symbol="R_1", unit="Ω", decimals=0)
two_burdens.given("second", "Resistor across the terminals", symbol="R_2", unit="Ω", decimals=0)
two_burdens.given("lower", "Lower range value", symbol="x_0")
two_burdens.given("upper", "Upper range value", symbol="x_{100}")


@two_burdens.step(
    "Resistance of both together",
    symbol="R",
    formula=r"\frac{<burden> \times <second>}{<burden> + <second>}",
    rule="Side by side: product over sum; two equal ones make half of one.",
    unit="Ω",
    tolerance=0.1,
)
def together(burden: float, second: float) -> float:
    return parallel(burden, second)


@together.slip("That is for one after the other; side by side the current has two ways, so the resistance falls.")
def one_after_the_other(burden: float, second: float) -> float:
    return burden + second


@together.slip("The second resistor is a second way for the current: together they have less resistance than either.")
def second_ignored(burden: float) -> float:
    return burden


@two_burdens.step(
    "Voltage at the card",
    name="voltage",
    symbol="U",
    formula=r"\frac{<current>}{1000} \times <together>",
    rule="The whole current goes through the two of them together.",
    unit="V",
    tolerance=0.005,
)
def voltage_of_both(current: float, together: float) -> float:
    return burden_voltage(current, together)


@voltage_of_both.slip("Split the current or the resistance, not both: whole current times the resistance of both.")
def split_twice(current: float, together: float, burden: float) -> float:
    return burden_voltage(current * together / burden, together)


@two_burdens.step(
    "Fraction of span that the card sees",
    name="share",
    symbol="f",
    formula=r"\frac{<voltage> - 0.004 \times <burden>}{0.016 \times <burden>}",
    rule="The card is scaled for its own burden: take off its voltage at 4 mA, divide by its voltage for 16 mA.",
    tolerance=0.002,
)
def share_seen(voltage: float, burden: float) -> float:
    return fraction(voltage, *_signal_ends(burden))


@share_seen.slip("The signal starts at its live zero: take that off first, then divide by the moving part.")
def no_live_zero(voltage: float, burden: float) -> float:
    return voltage / _signal_ends(burden)[1]


@share_seen.slip(
    "The live zero is off, but it is still in the divisor: only the moving part of the signal is the span."
)
def top_of_signal_as_span(voltage: float, burden: float) -> float:
    low, high = _signal_ends(burden)
    return (voltage - low) / high


@two_burdens.step(
    "Value shown",
    name="shown",
    symbol="x",
    formula="<lower> + <share> (<upper> - <lower>)",
    rule="Go that fraction of the span up from the lower range value.",
    unit="as lower",
    tolerance=of_span(0.3),
)
def value_shown(share: float, lower: float, upper: float) -> float:
    return value_at(share, lower, upper)


@value_shown.slip(
    "The voltage falls by that share, but the live zero falls with it: work the fraction from the voltage."
)
def value_falls_by_share(current: float, together: float, burden: float, lower: float, upper: float) -> float:
    above = fraction(current, MA_4_20.low, MA_4_20.high)
    return lower + above * together / burden * (upper - lower)


@value_shown.slip("That is the distance above the lower range value: add the lower range value to it.")
def lower_forgotten(share: float, lower: float, upper: float) -> float | None:
    return share * (upper - lower) if lower else None
