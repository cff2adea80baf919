"""Worksheets of strand S4: alarms and relays."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from trainer.calculations.alarms import Alarm, Direction, reset_value
from trainer.calculations.ranges import within
from trainer.calculations.relays import run
from trainer.worksheets.worksheet import FigureUse, Worksheet

DIRECTIONS = ("rising", "falling")
SOURCES = (
    "Deadband on the normal side of the set point, as in OPC UA Part 9, annex B, and common practice",
    "On-delay runs while the value is past the set point without a break: OPC UA Part 9, annex B",
)
CAUTION = "An alarm tells a person who must act; it is not a safety function."
NORMAL, ALARM = "normal", "alarm"
Row = tuple[float, ...]
TRACE = ("times", "trace", "set_point", "direction", "deadband", "on_delay", "off_delay", "asked", "reset", "states")
OTHER: Mapping[str, Direction] = {"rising": "falling", "falling": "rising"}


def reset_formula(values: Mapping[str, Any]) -> str:
    """The formula of the reset value, on the normal side of the set point."""
    return "<set_point> - <deadband>" if values["direction"] == "rising" else "<set_point> + <deadband>"


# State of the relay at asked times of a trace

relay_states = Worksheet(
    "relay-states",
    "Alarm state over a trace",
    "S4.3",
    figure=FigureUse("alarm trace", {name: name for name in TRACE}),
    sources=SOURCES,
    cautions=(CAUTION,),
)
relay_states.given("direction", "Direction", kind="choice", options=DIRECTIONS)
relay_states.given("set_point", "Set point", symbol=r"x_\mathrm{SP}")
relay_states.given("deadband", "Deadband", symbol="d", unit="difference as set_point")
relay_states.given("on_delay", "On-delay", symbol=r"T_\mathrm{on}", unit="s")
relay_states.given("off_delay", "Off-delay", symbol=r"T_\mathrm{off}", unit="s")
relay_states.given("times", "Times of the trace", unit="s", kind="row")
relay_states.given("excursion", "Trace in deadbands past the set point", kind="row", hidden=True)
relay_states.given("asked", "Times asked", unit="s", kind="row")


@relay_states.prepared("Trace", unit="as set_point", kind="row")
def trace(direction: Direction, set_point: float, deadband: float, excursion: tuple[float, ...]) -> tuple[float, ...]:
    sign = 1.0 if direction == "rising" else -1.0
    return tuple(round(set_point + sign * past * deadband, 3) for past in excursion)


@relay_states.step(
    "Reset value",
    name="reset",
    symbol=r"x_\mathrm{r}",
    formula=reset_formula,
    rule="Go the whole deadband from the set point to the normal side.",
    unit="as set_point",
    tolerance=0.05,
)
def reset_of_trace(direction: Direction, set_point: float, deadband: float) -> float:
    return reset_value(set_point, deadband, direction)


@reset_of_trace.slip("That is further into danger: the deadband lies on the normal side.", name="other_side")
def reset_of_trace_on_other_side(direction: Direction, set_point: float, deadband: float) -> float:
    return reset_value(set_point, deadband, OTHER[direction])


def _states(
    times: Row, trace: Row, asked: Row, direction: Direction, set_point: float, reset: float, *delays: float
) -> tuple[str, ...]:
    """State at each time asked, with the on-delay and the off-delay [s]."""
    deadband = set_point - reset if direction == "rising" else reset - set_point
    on_delay, off_delay = delays
    alarm = Alarm(direction=direction, set_point=set_point, deadband=deadband, on_delay=on_delay, off_delay=off_delay)
    history = run(alarm, np.array(times), np.array(trace))
    return tuple(ALARM if on else NORMAL for on in replace(history, times=np.array(asked)).states)


@relay_states.step(
    "State at each time asked",
    kind="states",
    options=(NORMAL, ALARM),
    over="asked",
    rule=(
        "The alarm comes when the value has been past the set point for the whole on-delay without a break, "
        "and goes when it has been past the reset value for the whole off-delay."
    ),
)
def states(
    direction: Direction,
    set_point: float,
    on_delay: float,
    off_delay: float,
    times: Row,
    trace: Row,
    asked: Row,
    reset: float,
) -> tuple[str, ...]:
    return _states(times, trace, asked, direction, set_point, reset, on_delay, off_delay)


@states.slip("The deadband is left out: once on, the alarm stays until the value is back past the reset value.")
def deadband_ignored(
    direction: Direction,
    set_point: float,
    on_delay: float,
    off_delay: float,
    times: Row,
    trace: Row,
    asked: Row,
) -> tuple[str, ...]:
    return _states(times, trace, asked, direction, set_point, set_point, on_delay, off_delay)


@states.slip("The on-delay is left out: an excursion shorter than it gives no alarm.")
def on_delay_ignored(
    direction: Direction, set_point: float, off_delay: float, times: Row, trace: Row, asked: Row, reset: float
) -> tuple[str, ...]:
    return _states(times, trace, asked, direction, set_point, reset, 0.0, off_delay)


@states.slip("The off-delay is left out: the alarm stays until the value has been past the reset value that long.")
def off_delay_ignored(
    direction: Direction, set_point: float, on_delay: float, times: Row, trace: Row, asked: Row, reset: float
) -> tuple[str, ...]:
    return _states(times, trace, asked, direction, set_point, reset, on_delay, 0.0)


@states.slip("Both delays are left out: read them beside the trace.")
def delays_ignored(
    direction: Direction, set_point: float, times: Row, trace: Row, asked: Row, reset: float
) -> tuple[str, ...]:
    return _states(times, trace, asked, direction, set_point, reset, 0.0, 0.0)


@states.slip("That is the alarm of the other direction: which side of the set point is dangerous here?")
def other_direction(
    direction: Direction, set_point: float, deadband: float, on_delay: float, off_delay: float,
    times: Row, trace: Row, asked: Row,
) -> tuple[str, ...]:  # fmt: skip
    other = OTHER[direction]
    return _states(times, trace, asked, other, set_point, reset_value(set_point, deadband, other), on_delay, off_delay)


@relay_states.refuse
def too_close_to_call(
    direction: Direction, set_point: float, deadband: float, on_delay: float, off_delay: float,
    times: Row, trace: Row, asked: Row,
) -> bool:  # fmt: skip
    """A change of state within a second of a time asked cannot be read off the figure."""
    early, late = tuple(time - 1.0 for time in asked), tuple(time + 1.0 for time in asked)
    settings = (direction, set_point, reset_value(set_point, deadband, direction), on_delay, off_delay)
    return _states(times, trace, early, *settings) != _states(times, trace, late, *settings)


@relay_states.refuse
def longer_than_the_trace(times: Row, on_delay: float, off_delay: float) -> None:
    """A delay that cannot end within the trace leaves nothing to be seen."""
    for name, delay in (("on-delay", on_delay), ("off-delay", off_delay)):
        within(f"{name} on a trace of {times[-1] - times[0]:g} s:", delay, 0.0, times[-1] - times[0], "s")
