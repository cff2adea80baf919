"""Worksheets of strand S4: the state of an alarm after each of a run of readings."""

from __future__ import annotations

import numpy as np

from trainer.calculations.alarms import Alarm, Direction, reset_value
from trainer.calculations.relays import run
from trainer.worksheets.catalog.alarms import ALARM, CAUTION, DIRECTIONS, NORMAL, OTHER, SOURCES, reset_formula
from trainer.worksheets.worksheet import FigureUse, Worksheet

Row = tuple[float, ...]
States = tuple[str, ...]
HAIR = 1e-6  # past the set point, not at it


alarm_readings = Worksheet(
    "alarm-readings",
    "Alarm state after each reading",
    "S4.1",
    figure=FigureUse(
        "alarm trace",
        {name: name for name in ("set_point", "direction", "deadband", "reset", "states")} | {"trace": "readings"},
    ),
    sources=SOURCES[:1],
    cautions=(CAUTION,),
)
alarm_readings.given("direction", "Direction", kind="choice", options=DIRECTIONS)
alarm_readings.given("set_point", "Set point", symbol=r"x_\mathrm{SP}")
alarm_readings.given("deadband", "Deadband", symbol="d", unit="difference as set_point")
alarm_readings.given("excursion", "Readings in deadbands past the set point", kind="row", hidden=True)


@alarm_readings.prepared("Readings", unit="as set_point", kind="row", decimals=1)
def readings(direction: Direction, set_point: float, deadband: float, excursion: Row) -> Row:
    sign = 1.0 if direction == "rising" else -1.0
    return tuple(round(set_point + sign * past * deadband, 3) for past in excursion)


@alarm_readings.step(
    "Reset value",
    symbol=r"x_\mathrm{r}",
    formula=reset_formula,
    rule="Go the whole deadband from the set point to the normal side.",
    unit="as set_point",
    tolerance=0.05,
)
def reset(direction: Direction, set_point: float, deadband: float) -> float:
    return reset_value(set_point, deadband, direction)


@reset.slip("An alarm that resets further into danger has no deadband: the reset lies on the normal side.")
def other_side(direction: Direction, set_point: float, deadband: float) -> float:
    return reset_value(set_point, deadband, OTHER[direction])


@reset.slip("The whole deadband lies on the normal side; it is not shared around the set point.")
def half_each_side(direction: Direction, set_point: float, deadband: float) -> float:
    return reset_value(set_point, deadband / 2, direction)


def _states(direction: Direction, set_point: float, reset: float, readings: Row) -> States:
    """State after each reading; of a reset value on the wrong side only the distance is taken."""
    alarm = Alarm(direction=direction, set_point=set_point, deadband=abs(set_point - reset))
    history = run(alarm, np.arange(1.0, len(readings) + 1.0), np.array(readings))
    return tuple(ALARM if on else NORMAL for on in history.states)


@alarm_readings.step(
    "State after each reading",
    kind="states",
    options=(NORMAL, ALARM),
    over="readings",
    rule=(
        "At the set point or past it: alarm. At the reset value or past it: normal. In between, or in doubt, "
        "the alarm stays as it was."
    ),
)
def states(direction: Direction, set_point: float, reset: float, readings: Row) -> States:
    return _states(direction, set_point, reset, readings)


@states.slip("The deadband is left out: between set point and reset the alarm stays as it was.")
def deadband_ignored(direction: Direction, set_point: float, readings: Row) -> States:
    return _states(direction, set_point, set_point, readings)


@states.slip("The alarm comes at the set point; the reset value counts on the way back only.")
def trips_at_reset(direction: Direction, reset: float, readings: Row) -> States:
    hair = HAIR if direction == "rising" else -HAIR
    return _states(direction, reset + hair, reset + hair, readings)


@states.slip("At the set point the alarm comes: the value need not be past it.")
def at_set_point_left_out(direction: Direction, set_point: float, reset: float, readings: Row) -> States:
    return _states(direction, set_point + (HAIR if direction == "rising" else -HAIR), reset, readings)


@states.slip("At the reset value the alarm goes: the value need not be past it.")
def at_reset_left_out(direction: Direction, set_point: float, reset: float, readings: Row) -> States:
    return _states(direction, set_point, reset - (HAIR if direction == "rising" else -HAIR), readings)


@states.slip("That is the alarm of the other direction: which side of the set point is dangerous here?")
def other_direction(direction: Direction, set_point: float, deadband: float, readings: Row) -> States:
    other = OTHER[direction]
    return _states(other, set_point, reset_value(set_point, deadband, other), readings)
