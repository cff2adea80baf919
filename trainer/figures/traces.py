"""The trace of a process value with its alarm, read from the inputs of a figure."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np

from trainer.calculations.alarms import Alarm, Direction
from trainer.calculations.relays import History, run
from trainer.errors import TrainerError
from trainer.figures.shown import Inputs
from trainer.units import UNITS, unit

NORMAL, ALARM = "normal", "alarm"


@dataclass(frozen=True)
class Trace:
    """A trace in its own units, with its alarm and the times that are asked.

    Without times its readings are numbered from 1, and `time_unit` is empty; `seconds` is what one unit of time has.
    """

    times: tuple[float, ...]
    values: tuple[float, ...]
    unit: str
    time_unit: str
    seconds: float
    alarm: Alarm
    asked: tuple[float, ...]

    @property
    def timed(self) -> bool:
        """Whether it has times."""
        return bool(self.time_unit)

    @cached_property
    def history(self) -> History:
        """What the relay does over the trace."""
        return run(self.alarm, np.array(self.times) * self.seconds, np.array(self.values))

    @property
    def intervals(self) -> list[tuple[float, float]]:
        """Start and end of every alarm, in the unit of the times."""
        return [(start / self.seconds, end / self.seconds) for start, end in self.history.intervals]

    @property
    def states(self) -> tuple[str, ...]:
        """State of the relay at each time asked; one that acts just then has acted."""
        asked = replace(self.history, times=np.array(self.asked) * self.seconds)
        return tuple(ALARM if on else NORMAL for on in asked.states)


def read(inputs: Inputs) -> Trace:
    """Read the inputs."""
    own, timed = inputs.unit("trace", inputs.unit("set_point")), "times" in inputs
    values = inputs.row("trace", own)
    times = inputs.row("times") if timed else tuple(float(number) for number in range(1, len(values) + 1))
    if len(times) != len(values) or any(later <= earlier for earlier, later in pairwise(times)):
        raise TrainerError(
            "figure 'alarm trace': the trace needs one value for each time, and the times rise"
        )
    time_unit = inputs.unit("times", "s") if timed else ""
    asked = inputs.row("asked", time_unit) if "asked" in inputs else () if timed else times
    if any(not times[0] <= time <= times[-1] for time in asked):
        raise TrainerError("figure 'alarm trace': a time asked lies outside the trace")
    seconds = unit(time_unit).factor if timed else 1.0
    return Trace(times, values, own, time_unit, seconds, _alarm(inputs, own, timed), asked)


def _alarm(inputs: Inputs, own: str, timed: bool) -> Alarm:
    delays = [inputs.number(name, "s") if name in inputs else 0.0 for name in ("on_delay", "off_delay")]
    if any(delays) and not timed:
        raise TrainerError("figure 'alarm trace': a delay needs the times of the trace")
    return Alarm(
        direction=_direction(inputs),
        set_point=inputs.number("set_point", own),
        deadband=_deadband(inputs, own),
        on_delay=delays[0],
        off_delay=delays[1],
    )


def _direction(inputs: Inputs) -> Direction:
    word = inputs["direction"].value
    if word == "rising":
        return "rising"
    if word == "falling":
        return "falling"
    raise TrainerError(f"figure 'alarm trace': direction {word} is neither rising nor falling")


def _deadband(inputs: Inputs, own: str) -> float:
    """From the reset value, or from the deadband, a difference in the unit of the trace; none without either."""
    if "reset" in inputs:
        return round(abs(inputs.number("reset", own) - inputs.number("set_point", own)), 9)
    difference = f"{own} (difference)"
    return (
        inputs.number("deadband", difference if difference in UNITS else own) if "deadband" in inputs else 0.0
    )
