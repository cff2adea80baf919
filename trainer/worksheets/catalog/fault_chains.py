"""Worksheets of strand S5: a fault followed from the sensor to the controller, and which way to let it drive."""

from __future__ import annotations

from trainer.calculations.signals import MA_4_20, Signal, fraction, value_at
from trainer.worksheets.tolerance import of_span
from trainer.worksheets.worksheet import FigureUse, Worksheet

SOURCES = (
    "IEC 60381-1: 4 to 20 mA; NAMUR NE 43: fault at 3.6 mA and below or 21.0 mA and above",
    "A scaling block without limits goes on past both ends of its range: common practice",
)
CAUTIONS = (
    "The direction of a fault is settled loop by loop in the hazard review; nobody changes it alone.",
    "Holding the last value hides a break until someone is hurt or a product lost: only with a fault alarm of its own.",
)
HEATS, COOLS = "heats", "cools"
RISING_FULL, RISING_ZERO = "rising alarm, output to full", "rising alarm, output to zero"
FALLING_FULL, FALLING_ZERO = "falling alarm, output to full", "falling alarm, output to zero"
OUTCOMES = (RISING_FULL, RISING_ZERO, FALLING_FULL, FALLING_ZERO)

# What trend, alarm and controller make of a fault current

BARS = {name: name for name in ("lower", "upper", "signal_low", "signal_high")}
fault_on_trend = Worksheet(
    "fault-on-trend",
    "A sensor fault on trend, alarm and controller",
    "S5.2",
    figure=FigureUse("range bars", BARS | {"signal": "fault_current", "value": "trend"}),
    sources=SOURCES,
    cautions=CAUTIONS,
)
fault_on_trend.given("lower", "Lower range value", symbol="x_0")
fault_on_trend.given("upper", "Upper range value", symbol="x_{100}")
fault_on_trend.given("signal_low", "Signal at the lower range value", symbol="I_0", unit="mA")
fault_on_trend.given("signal_high", "Signal at the upper range value", symbol="I_{100}", unit="mA")
fault_on_trend.given("fault_current", "Fault current", symbol=r"I_\mathrm{f}", unit="mA")
fault_on_trend.given("controller", "The controller", kind="choice", options=(HEATS, COOLS))


@fault_on_trend.step(
    "Fraction of span",
    name="share",
    symbol="f",
    formula=r"\frac{<fault_current> - <signal_low>}{<signal_high> - <signal_low>}",
    rule="Take the live zero off and divide by the moving part; nothing stops it at 0 or 1.",
    tolerance=0.001,
)
def share(fault_current: float, signal_low: float, signal_high: float) -> float:
    return fraction(fault_current, signal_low, signal_high)


@share.slip("This block does not limit: it goes on past the end of its range.")
def clamped(fault_current: float, signal_low: float, signal_high: float) -> float:
    return min(1.0, max(0.0, fraction(fault_current, signal_low, signal_high)))


@share.slip("The live zero is still in: take it off before dividing.")
def live_zero_left_in(fault_current: float, signal_low: float, signal_high: float) -> float:
    return fault_current / Signal(signal_low, signal_high, "").span


@share.slip("The signal starts at its live zero: take that off first, then divide by the moving part of the signal.")
def no_live_zero(fault_current: float, signal_high: float) -> float:
    return fault_current / signal_high


@fault_on_trend.step(
    "Value on the trend",
    name="trend",
    symbol=r"x_\mathrm{f}",
    formula="<lower> + <share> (<upper> - <lower>)",
    rule="Go that fraction of the span from the lower range value, past the end too.",
    unit="as lower",
    tolerance=of_span(0.3),
)
def trend(share: float, lower: float, upper: float) -> float:
    return value_at(share, lower, upper)


@trend.slip("The fraction counts from the lower range value: add it.")
def lower_left_out(share: float, lower: float, upper: float) -> float | None:
    return share * (upper - lower) if lower else None


@trend.slip("The block scales what it is given: a fault current is a number to it, not zero.")
def reads_zero() -> float:
    return 0.0


def _outcome(high: bool, full: bool) -> str:
    if high:
        return RISING_FULL if full else RISING_ZERO
    return FALLING_FULL if full else FALLING_ZERO


def _high(trend: float, lower: float, upper: float) -> bool:
    return trend > (lower + upper) / 2


@fault_on_trend.step(
    "Which alarm comes, and what the controller does",
    name="outcome",
    kind="choice",
    options=OUTCOMES,
    rule=(
        "A value past the top brings the rising alarm, one past the bottom the falling alarm. "
        "A heating controller adds heat when it reads low, a cooling one cools when it reads high."
    ),
)
def outcome(trend: float, lower: float, upper: float, controller: str) -> str:
    high = _high(trend, lower, upper)
    return _outcome(high, full=high == (controller == COOLS))


@outcome.slip("The controller works the other way: what does it do when it reads a very high or very low value?")
def controller_reversed(trend: float, lower: float, upper: float, controller: str) -> str:
    high = _high(trend, lower, upper)
    return _outcome(high, full=high != (controller == COOLS))


@outcome.slip("The controller is right, the alarm is not: on which side of the range does the value lie?")
def alarm_reversed(trend: float, lower: float, upper: float, controller: str) -> str:
    high = _high(trend, lower, upper)
    return _outcome(not high, full=high == (controller == COOLS))


@outcome.slip("Both follow the value on the trend: on which side of the range does it lie?")
def side_reversed(trend: float, lower: float, upper: float, controller: str) -> str:
    high = _high(trend, lower, upper)
    return _outcome(not high, full=high != (controller == COOLS))


@fault_on_trend.refuse
def inside_the_range(share: float) -> bool:
    """A fault current lies outside the measuring band of NE 43 in the signal of the loop."""
    current = MA_4_20.low + MA_4_20.span * share
    return 3.6 < current < 21.0


# Which way to let a fault drive

HEATING, COOLING, NONE = "heating", "cooling", "none"
FULL, ZERO = "full", "zero"
HIGH, LOW, EITHER = "drive high", "drive low", "either"
APART, HOLD = "a fault alarm of its own, and the hazard review decides", "hold the last value"

fault_direction = Worksheet(
    "fault-direction", "Choosing the direction of a fault", "S5.2", sources=SOURCES[:1], cautions=CAUTIONS
)
fault_direction.given("service", "Service", kind="choice")
fault_direction.given("alarm", "Its alarm", kind="choice", options=("rising", "falling"))
fault_direction.given("controller", "Its controller", kind="choice", options=(HEATING, COOLING, NONE))
fault_direction.given("worse", "Worse output of the controller", kind="choice", options=(FULL, ZERO, NONE))


@fault_direction.step(
    "Direction that brings the alarm",
    name="for_alarm",
    kind="choice",
    options=(HIGH, LOW),
    rule="A rising alarm comes when the value is driven high, a falling one when it is driven low.",
)
def for_alarm(alarm: str) -> str:
    return HIGH if alarm == "rising" else LOW


@for_alarm.slip("Driven that way the value runs from the set point: the alarm never comes.")
def silent_way(alarm: str) -> str:
    return LOW if alarm == "rising" else HIGH


@fault_direction.step(
    "Direction in which the controller does less harm",
    name="for_controller",
    kind="choice",
    options=(HIGH, LOW, EITHER),
    rule=(
        "A heating controller that reads high goes to zero, a cooling one to full. Take the direction that does not "
        "bring the worse output; without a controller either will do."
    ),
)
def for_controller(controller: str, worse: str) -> str:
    if controller == NONE:
        return EITHER
    wanted = ZERO if worse == FULL else FULL
    output_when_high = ZERO if controller == HEATING else FULL
    return HIGH if output_when_high == wanted else LOW


@for_controller.slip("Driven that way the controller goes to the worse output: a heater that reads low goes to full.")
def harmful_way(controller: str, worse: str) -> str | None:
    return {HIGH: LOW, LOW: HIGH}.get(for_controller(controller, worse))


@for_controller.slip("There is a controller, and it acts on the value: which output does each direction bring?")
def controller_overlooked(controller: str) -> str | None:
    return EITHER if controller != NONE else None


@fault_direction.step(
    "What to write into the setup record",
    name="decision",
    kind="choice",
    options=(HIGH, LOW, HOLD, APART),
    rule="If alarm and controller want one direction, take it. If not, the fault needs an alarm of its own.",
)
def decision(for_alarm: str, for_controller: str) -> str:
    return for_alarm if for_controller in (for_alarm, EITHER) else APART


@decision.slip("Holding hides the break: the alarm does not come, and the controller works blind.")
def held() -> str:
    return HOLD


@decision.slip("Low is not safe by itself: follow what alarm and controller do with a low value.")
def low_is_safe(for_alarm: str, for_controller: str) -> str | None:
    return LOW if decision(for_alarm, for_controller) == HIGH else None


@decision.slip("The alarm would come, but the controller would go to its worse output.")
def alarm_alone(for_alarm: str, for_controller: str) -> str | None:
    return for_alarm if decision(for_alarm, for_controller) == APART else None


@decision.slip("The controller would do less harm, but the alarm would not come: nobody would know.")
def controller_alone(for_alarm: str, for_controller: str) -> str | None:
    return for_controller if decision(for_alarm, for_controller) == APART else None


@decision.slip("Alarm and controller want the same direction: it can be taken.")
def needless_alarm(for_alarm: str, for_controller: str) -> str | None:
    return APART if for_controller in (for_alarm, EITHER) else None
