"""A reservoir that is filled by its own level relay: the level follows from what the relay does, step by step."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from trainer.calculations.ranges import Array
from trainer.calculations.relays import Relay
from trainer.calculations.zones import Zone
from trainer.channel.conditioner import RelaySetting, break_action, measured_value
from trainer.channel.simulation import Channel, Course, inside

HOUR = 3600.0
CELLS = 4096  # of the table from level to reading: an input has no memory before its filter
Reading = tuple[list[float], float, float]


@dataclass(frozen=True)
class Reservoir:
    """A basin with a steady draw-off.

    Attributes
    ----------
    start : float
        Level at the start [unit of the process].
    outflow : float
        How fast the level falls while the pump rests [unit of the process per hour].
    inflow : float
        How fast it rises while the pump runs, outflow taken off [unit of the process per hour].
    highest : float
        Level beyond which nothing is measured here [unit of the process].
    """

    start: float
    outflow: float
    inflow: float
    highest: float


def level_course(channel: Channel, course: Course, reservoir: Reservoir, step: float) -> Course:
    """The course of the level: relay 1 calls the pump by its closed contact.

    Parameters
    ----------
    channel : Channel
        As it is set; without a relay the pump never runs.
    course : Course
        How long it lasts, its ripple and its events; the values of its points are not looked at.
    reservoir : Reservoir
        The basin.
    step : float
        Between samples [s].

    Returns
    -------
    Course
        One point a sample with the ripple in it, and the events of `course`.
    """
    times = course.times(step)
    ripple = replace(course, points=tuple((time, 0.0) for time, _ in course.points)).value(times)
    broken = inside(times, course.sensor_open).tolist()
    powered = (~inside(times, course.supply_off)).tolist()
    table = _readings(channel, reservoir)
    pump = Pump(channel, channel.relays[0]) if channel.relays else None
    level, points = reservoir.start, []
    clock, swing = times.tolist(), ripple.tolist()
    for index, time in enumerate(clock):
        points.append((time, level + swing[index]))
        runs = False
        if pump:
            value = math.nan if broken[index] else _reading(table, level + swing[index])
            runs = pump.told(time, value, powered[index])
        after = clock[index + 1] if index + 1 < len(clock) else time
        level += (reservoir.inflow if runs else -reservoir.outflow) * (after - time) / HOUR
        level = min(max(level, 0.0), reservoir.highest)
    return replace(course, points=tuple(points), ripple=None)


def _readings(channel: Channel, reservoir: Reservoir) -> Reading:
    """What the input makes of levels, before the filter."""
    lowest, highest = -1.0, reservoir.highest + 1.0
    levels: Array = np.linspace(lowest, highest, CELLS)
    _, values = measured_value(channel.input, channel.sensor, levels, np.zeros(levels.shape, bool))
    return values.tolist(), lowest, (CELLS - 1) / (highest - lowest)


def _reading(table: Reading, level: float) -> float:
    values, lowest, scale = table
    place = min(max((level - lowest) * scale, 0.0), CELLS - 1.001)
    cell = int(place)
    return values[cell] + (place - cell) * (values[cell + 1] - values[cell])


class Pump:
    """A pump called by the contact of a relay, told of the level sample by sample."""

    def __init__(self, channel: Channel, setting: RelaySetting) -> None:
        on_break = break_action(setting.on_break, setting.alarm.direction, channel.output.on_break)
        self.setting, self.alarm = setting, replace(setting.alarm, on_break=on_break)
        self.sign = 1.0 if self.alarm.direction == "rising" else -1.0
        self.time_constant = channel.filter
        self.relay: Relay | None = None
        self.before, self.shown, self.value = 0.0, math.nan, math.nan

    def told(self, time: float, value: float, powered: bool) -> bool:
        """Whether the pump runs from this sample on; `value` is NaN for a sensor fault."""
        if not powered:
            self.relay, self.shown = None, math.nan
            return self.setting.contact == "NC"
        before, shown_before = self.before, self.shown
        shown = self._filtered(time, value)
        if self.relay is None:
            self.relay = Relay(self.alarm)
        elif not (math.isnan(shown) or math.isnan(shown_before)):
            self._cross(self.relay, before, self._height(shown_before), time, self._height(shown))
        zone = self._zone(shown)
        if zone is not self.relay.zone:
            self.relay.enter(zone, time)
        else:
            self.relay.wait(time)
        energized = self.relay.in_alarm == self.setting.energized_in_alarm
        return energized == (self.setting.contact == "NO")

    def _cross(self, relay: Relay, start: float, low: float, end: float, high: float) -> None:
        """Tell the relay of the levels that a straight stretch crosses, each at its exact time."""
        rises = high > low
        levels = (-self.alarm.deadband, 0.0) if rises else (0.0, -self.alarm.deadband)
        zones = (Zone.BETWEEN, Zone.DUE) if rises else (Zone.BETWEEN, Zone.CLEAR)
        for level, zone in zip(levels, zones, strict=True):
            if (low - level) * (high - level) < 0.0:
                relay.enter(zone, start + (level - low) / (high - low) * (end - start))

    def _filtered(self, time: float, value: float) -> float:
        if math.isnan(self.shown) or math.isnan(value) or self.time_constant == 0.0:
            self.shown = value
        else:
            passed = time - self.before
            lag = (value - self.value) / passed * self.time_constant
            self.shown = value - lag + (self.shown - self.value + lag) * math.exp(-passed / self.time_constant)
        self.before, self.value = time, value
        return self.shown

    def _height(self, shown: float) -> float:
        return self.sign * (shown - self.alarm.set_point)

    def _zone(self, shown: float) -> Zone:
        if math.isnan(shown):
            return Zone.BROKEN
        height = self._height(shown)
        if height >= 0.0:
            return Zone.DUE
        return Zone.CLEAR if height <= -self.alarm.deadband else Zone.BETWEEN
