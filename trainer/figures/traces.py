"""The trace of a process value with its alarm, read from the inputs of a figure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import groupby, pairwise

import numpy as np

from trainer.calculations.alarms import Alarm, Direction
from trainer.calculations.relays import History, run
from trainer.calculations.zones import Zone, changes
from trainer.errors import TrainerError
from trainer.figures.inputs import Inputs
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
    def steps(self) -> list[tuple[float, bool]]:
        """When the relay changes, in the unit of the times, and whether it is in alarm from there on."""
        changes = [event for event in self.history.events if event.what in ("alarm", "normal")]
        return [(event.time / self.seconds, event.what == "alarm") for event in changes]

    @property
    def delays(self) -> list[tuple[float, float]]:
        """Start and end of every delay that ran, whether it acted or was broken off, in the unit of the times."""
        sign = 1.0 if self.alarm.direction == "rising" else -1.0
        times, levels = np.array(self.times) * self.seconds, (self.alarm.set_point, self.alarm.reset_value)
        course = changes(times, sign * np.array(self.values), sign * levels[0], sign * levels[1])
        starts = np.array([change.time for change in course])
        ends = [*starts[1:].tolist(), float(times[-1])]
        runs = []
        for (start, zone), end, on in zip(course, ends, replace(self.history, times=starts).states, strict=True):
            wait = {(Zone.DUE, False): self.alarm.on_delay, (Zone.CLEAR, True): self.alarm.off_delay}
            length = min(end - start, wait.get((zone, bool(on)), 0.0))
            if length > 0.0:
                runs.append((start / self.seconds, (start + length) / self.seconds))
        return runs

    @property
    def states(self) -> tuple[str, ...]:
        """State of the relay at each time asked; one that acts just then has acted."""
        asked = replace(self.history, times=np.array(self.asked) * self.seconds)
        return tuple(ALARM if on else NORMAL for on in asked.states)


def thinned(times: Sequence[float], values: Sequence[float], columns: int) -> tuple[list[float], list[float]]:
    """The lowest and the highest reading of each column of a plot: a long trace looks the same with them alone.

    Examples
    --------
    >>> thinned([0, 1, 2, 3, 4, 5], [7, 9, 8, 2, 1, 3], 2)
    ([0, 1, 4, 5], [7, 9, 1, 3])
    """
    if len(times) <= 2 * columns:
        return list(times), list(values)
    width = (times[-1] - times[0]) / columns
    groups = groupby(range(len(times)), key=lambda i: min(int((times[i] - times[0]) / width), columns - 1))
    kept: set[int] = {0, len(times) - 1}
    for _, group in groups:
        column = list(group)
        kept |= {min(column, key=values.__getitem__), max(column, key=values.__getitem__)}
    return [times[i] for i in sorted(kept)], [values[i] for i in sorted(kept)]


def read(inputs: Inputs) -> Trace:
    """Read the inputs."""
    own, timed = inputs.unit("trace", inputs.unit("set_point")), "times" in inputs
    values = inputs.row("trace", own)
    times = inputs.row("times") if timed else tuple(float(number) for number in range(1, len(values) + 1))
    if timed and len(times) < 2:
        raise TrainerError("figure 'alarm trace': a trace over time has two readings or more")
    if len(times) != len(values) or any(later <= earlier for earlier, later in pairwise(times)):
        raise TrainerError("figure 'alarm trace': the trace needs one value for each time, and the times rise")
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
    return inputs.number("deadband", difference if difference in UNITS else own) if "deadband" in inputs else 0.0
