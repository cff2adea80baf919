"""Worksheets of strand S4: when an alarm comes on a ramp, and when it goes on the way back."""

from __future__ import annotations

from trainer.calculations.alarm_settings import time_to_alarm
from trainer.calculations.alarms import Direction, reset_value
from trainer.worksheets.catalog.alarms import CAUTION, DIRECTIONS, OTHER, SOURCES, reset_formula
from trainer.worksheets.worksheet import Step, Worksheet

RAMP = "The value moves on a straight line: way over rate is a time"
PER_MINUTE = 60.0


def _distance(start: float, end: float) -> float:
    return abs(end - start)


def _time(way: float, rate: float) -> float:
    """Seconds that a way takes at a rate per minute."""
    return time_to_alarm(0.0, abs(rate) / PER_MINUTE, way)


def minutes_left(way: float, rate: float) -> float:
    return way / abs(rate)


def multiplied_by_rate(way: float, rate: float) -> float:
    return PER_MINUTE * way * abs(rate)


def _declare_ramp(sheet: Worksheet, title: str) -> Step:
    """The step from a way to the seconds it takes, with its slips."""
    step = sheet.step(
        title,
        name="ramp",
        symbol=r"t_\mathrm{ramp}",
        formula=r"60 \times \frac{<way>}{<rate>}",
        rule="Divide the way by the rate: that gives minutes, and each has 60 seconds.",
        unit="s",
        tolerance=1.0,
    )(_time)
    step.slip("The rate is per minute, so that is the time in minutes: turn it into seconds.")(minutes_left)
    step.slip("Way over rate is a time; multiplying the two gives none.")(multiplied_by_rate)
    return step


# The way out: from a value on a ramp to the moment the relay acts

time_to_trip = Worksheet(
    "time-to-trip", "Time until an alarm relay acts on a ramp", "S4.3", sources=(RAMP, SOURCES[1]), cautions=(CAUTION,)
)
time_to_trip.given("direction", "Direction", kind="choice", options=DIRECTIONS)
time_to_trip.given("start", "Value at the beginning", symbol="x")
time_to_trip.given("rate", "Rate of change", symbol="r")
time_to_trip.given("set_point", "Set point", symbol=r"x_\mathrm{SP}", unit="as start")
time_to_trip.given("deadband", "Deadband", symbol="d", unit="difference as start")
time_to_trip.given("on_delay", "On-delay", symbol=r"T_\mathrm{on}", unit="s")


@time_to_trip.step(
    "Way to the set point",
    name="way",
    symbol="w",
    formula="|<set_point> - <start>|",
    rule="The alarm is due at the set point: take the distance from the first value to it.",
    unit="difference as start",
    tolerance=0.05,
)
def way_out(start: float, set_point: float) -> float:
    return _distance(start, set_point)


@way_out.slip("The timer starts at the set point; the deadband acts on the way back only.")
def from_the_reset_value(direction: Direction, start: float, set_point: float, deadband: float) -> float:
    return _distance(start, reset_value(set_point, deadband, direction))


_declare_ramp(time_to_trip, "Time until the value is at the set point")


@time_to_trip.step(
    "Time until the relay acts",
    symbol="t",
    formula="<ramp> + <on_delay>",
    rule="The on-delay starts when the value reaches the set point: it comes on top.",
    unit="s",
    tolerance=1.0,
)
def trip_time(ramp: float, on_delay: float) -> float:
    return ramp + on_delay


@trip_time.slip("At that time the value is at the set point; the relay acts one on-delay later.")
def on_delay_left_out(ramp: float) -> float:
    return ramp


@trip_time.slip("A delay makes the alarm later: add it.")
def on_delay_taken_off(ramp: float, on_delay: float) -> float:
    return ramp - on_delay


@trip_time.slip("The on-delay is given in seconds already: it needs no 60.")
def on_delay_in_minutes(ramp: float, on_delay: float) -> float:
    return ramp + PER_MINUTE * on_delay


# The way back: from a value in alarm to the moment the relay lets go

time_to_clear = Worksheet(
    "time-to-clear",
    "Time until an alarm relay lets go on the way back",
    "S4.3",
    sources=(RAMP, SOURCES[0], "Off-delay runs while the value is past the reset value: OPC UA Part 9, annex B"),
    cautions=(CAUTION,),
)
time_to_clear.given("direction", "Direction", kind="choice", options=DIRECTIONS)
time_to_clear.given("start", "Value now, in alarm", symbol="x")
time_to_clear.given("rate", "Rate of change", symbol="r")
time_to_clear.given("set_point", "Set point", symbol=r"x_\mathrm{SP}", unit="as start")
time_to_clear.given("deadband", "Deadband", symbol="d", unit="difference as start")
time_to_clear.given("on_delay", "On-delay", symbol=r"T_\mathrm{on}", unit="s")
time_to_clear.given("off_delay", "Off-delay", symbol=r"T_\mathrm{off}", unit="s")


@time_to_clear.step(
    "Reset value",
    symbol=r"x_\mathrm{r}",
    formula=reset_formula,
    rule="Go the whole deadband from the set point to the normal side.",
    unit="as start",
    tolerance=0.05,
)
def reset(direction: Direction, set_point: float, deadband: float) -> float:
    return reset_value(set_point, deadband, direction)


@reset.slip("That is further into danger: the reset lies on the normal side.")
def other_side(direction: Direction, set_point: float, deadband: float) -> float:
    return reset_value(set_point, deadband, OTHER[direction])


@reset.slip("At the set point the alarm stays: it may go a deadband further back.")
def deadband_left_out(set_point: float) -> float:
    return set_point


@time_to_clear.step(
    "Way to the reset value",
    name="way",
    symbol="w",
    formula="|<start> - <reset>|",
    rule="On the way back the reset value counts: take the distance from the value now to it.",
    unit="difference as start",
    tolerance=0.05,
)
def way_back(start: float, reset: float) -> float:
    return _distance(start, reset)


_declare_ramp(time_to_clear, "Time until the value is at the reset value")


@time_to_clear.step(
    "Time until the relay lets go",
    symbol="t",
    formula="<ramp> + <off_delay>",
    rule="The off-delay starts when the value reaches the reset value: it comes on top.",
    unit="s",
    tolerance=1.0,
)
def clear_time(ramp: float, off_delay: float) -> float:
    return ramp + off_delay


@clear_time.slip("At that time the value is at the reset value; the relay lets go one off-delay later.")
def off_delay_left_out(ramp: float) -> float:
    return ramp


@clear_time.slip("That is the on-delay: on the way back the off-delay runs.")
def on_delay_taken(ramp: float, on_delay: float) -> float:
    return ramp + on_delay


@clear_time.slip("A delay makes the alarm go later: add it.")
def off_delay_taken_off(ramp: float, off_delay: float) -> float:
    return ramp - off_delay
