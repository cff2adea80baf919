"""A channel run over the course of a process: every value along the way, and every relay, over time."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from trainer.calculations import relays
from trainer.calculations.ranges import Array
from trainer.calculations.relays import Event
from trainer.calculations.zones import Interval
from trainer.channel.conditioner import (
    Input,
    RelaySetting,
    break_action,
    measured_value,
    rooted,
    smoothed,
    stretches_of,
)
from trainer.channel.loop import Card, Loop, Output, Scaling, held, mains
from trainer.channel.sensors import Mask, Sensor

MOST_RELAYS = 4


@dataclass(frozen=True)
class Channel:
    """A whole signal path: what is there, and how it is set.

    `filter` is the time constant of the input filter [s]; `process_of_neighbor` the value that the sensor finds instead
    of its own when two channels are exchanged [unit of the process].
    """

    sensor: Sensor
    input: Input
    output: Output
    loop: Loop
    card: Card
    scaling: Scaling
    relays: tuple[RelaySetting, ...] = ()
    filter: float = 0.0
    process_of_neighbor: float | None = None

    def __post_init__(self) -> None:
        if len(self.relays) > MOST_RELAYS:
            raise ValueError(f"a conditioner has at most {MOST_RELAYS} alarm relays, not {len(self.relays)}")


@dataclass(frozen=True)
class Course:
    """What happens: the process as straight lines between points, a ripple on it, and events.

    Attributes
    ----------
    points : tuple of (time, value)
        Corners of the process [s], [unit of the process].
    ripple : (amplitude, period), optional
        A sine on top [unit of the process], [s].
    sensor_open, supply_off : tuple of (start, end)
        When the sensor is broken, and when the conditioner has no supply [s].
    acknowledge, reset : tuple of float
        When somebody acknowledges, and resets [s].
    """

    points: tuple[tuple[float, float], ...]
    ripple: tuple[float, float] | None = None
    sensor_open: tuple[Interval, ...] = ()
    supply_off: tuple[Interval, ...] = ()
    acknowledge: tuple[float, ...] = ()
    reset: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        times = [time for time, _ in self.points]
        if not times or times != sorted(times):
            raise ValueError("a course needs points, one after another in time")

    def moved(self, by: float) -> Course:
        """The same course with the process higher all along [unit of the process]."""
        return replace(self, points=tuple((time, value + by) for time, value in self.points))

    def times(self, step: float) -> Array:
        """Samples `step` apart, and the corners and events between them [s]."""
        start, end = self.points[0][0], self.points[-1][0]
        events = [edge for pair in (*self.sensor_open, *self.supply_off) for edge in pair]
        own = [time for time in (*(time for time, _ in self.points), *events) if start <= time <= end]
        grid = start + step * np.arange(int((end - start) / step) + 1)
        return np.unique(np.concatenate([grid, own]))

    def value(self, times: Array) -> Array:
        """The process at some times, shape of `times` [unit of the process]."""
        corners, values = zip(*self.points, strict=True)
        straight: Array = np.interp(times, corners, values)
        if self.ripple is None:
            return straight
        amplitude, period = self.ripple
        ripple: Array = amplitude * np.sin(2.0 * math.pi * times / period)
        return straight + ripple


def steady(value: float) -> Course:
    """A process that stands still at a value for a minute."""
    return Course(((0.0, value), (60.0, value)))


def inside(times: Array, intervals: tuple[Interval, ...]) -> Mask:
    """Which times lie in one of some intervals, each without its end."""
    found = np.zeros(times.shape, bool)
    for start, end in intervals:
        found |= (start <= times) & (times < end)
    return found


@dataclass(frozen=True, eq=False)
class RelayRecord:
    """What one relay did: its events, and at every sample its state, its coil, its contact."""

    events: tuple[Event, ...]
    in_alarm: Mask
    energized: Mask
    closed: Mask

    def times_of(self, what: str) -> list[float]:
        """Times at which something happened [s]."""
        return [event.time for event in self.events if event.what == what]

    @property
    def operations(self) -> int:
        """How often it went into alarm."""
        return len(self.times_of("alarm"))


@dataclass(frozen=True, eq=False)
class Record:
    """What a channel did over a course; every array has the shape of `times`.

    Attributes
    ----------
    times : ndarray
        [s]
    process : ndarray
        What really is [unit of the process].
    terminals : ndarray
        What is at the conditioner's terminals [Ω, mV, V, mA or a ratio]; NaN for a break.
    reading : ndarray
        Value behind the filter [unit of the process]; NaN for a sensor fault, or without supply.
    asked : ndarray
        Signal that the output tries to give [mA or V].
    received : ndarray
        Current through the card's load, or voltage at its terminals [mA or V].
    seen : ndarray
        What the card measures [its unit].
    count : ndarray
        Its raw value.
    shown : ndarray
        Value that people see [unit of the process].
    relays : tuple of RelayRecord
    """

    times: Array
    process: Array
    terminals: Array
    reading: Array
    asked: Array
    received: Array
    seen: Array
    count: Array
    shown: Array
    relays: tuple[RelayRecord, ...]

    @cached_property
    def last(self) -> dict[str, float]:
        """The values at the end, by name."""
        names = ("process", "terminals", "reading", "asked", "received", "seen", "count", "shown")
        return {name: float(getattr(self, name)[-1]) for name in names}


def run(channel: Channel, course: Course, step: float = 0.5) -> Record:
    """Run a channel over a course.

    Parameters
    ----------
    channel : Channel
        With any fault it may have.
    course : Course
        Process and events.
    step : float
        Between samples [s].

    Returns
    -------
    Record
        Everything along the way.

    Examples
    --------
    A cold store at 62.5 % of -40 to 40 °C, and 17 mA less 3 mA for what is below:

    >>> from trainer.channel.laws import ResistanceLaw
    >>> from trainer.channel.sensors import ResistanceSensor
    >>> law = ResistanceLaw(1000.0)
    >>> channel = Channel(ResistanceSensor(law), Input(law), Output(-40.0, 40.0), Loop(), Card(),
    ...                   Scaling(819, 4095, -40.0, 40.0))
    >>> run(channel, steady(10.0)).last["received"]
    14.00
    """
    times = course.times(step)
    process = course.value(times)
    powered = ~inside(times, course.supply_off)
    broken = inside(times, course.sensor_open)
    found = process if channel.process_of_neighbor is None else np.full(times.shape, channel.process_of_neighbor)
    terminals, value = measured_value(channel.input, channel.sensor, found, broken)
    if channel.input.root:
        value = rooted(value, channel.output.lower, channel.output.upper, channel.input.cut_off)
    reading = smoothed(times, value, channel.filter, stretches_of(powered & ~np.isnan(value)))
    asked = channel.output.asked(reading, powered)
    received = channel.loop.at_card(asked, channel.card.load)
    seen = channel.card.seen(received, channel.loop.powering)
    if channel.loop.noise:
        seen = seen + channel.loop.noise * mains(times.size)
    count = channel.card.counts(seen)
    shown = channel.scaling.shown(count)
    told = tuple(_relay(each, channel, course, times, reading, powered) for each in channel.relays)
    return Record(times, process, terminals, reading, asked, received, seen, count, shown, told)


def _relay(
    setting: RelaySetting, channel: Channel, course: Course, times: Array, reading: Array, powered: Mask
) -> RelayRecord:
    """One relay: it starts anew each time the supply comes back."""
    on_break = break_action(setting.on_break, setting.alarm.direction, channel.output.on_break)
    alarm = replace(setting.alarm, on_break=on_break)
    events: list[Event] = []
    in_alarm = np.zeros(times.shape, bool)
    for start, end in stretches_of(powered):
        part, values = times[start:end], reading[start:end]
        gaps = [(float(part[first]), _end(part, last)) for first, last in stretches_of(np.isnan(values))]
        history = relays.run(
            alarm, part, held(values, 0.0), breaks=gaps, acknowledge=list(course.acknowledge), reset=list(course.reset)
        )
        events += history.events
        in_alarm[start:end] = history.states
    energized = powered & (in_alarm == setting.energized_in_alarm)
    closed = energized == (setting.contact == "NO")
    return RelayRecord(tuple(events), in_alarm, energized, closed if not setting.bypassed else np.ones_like(closed))


def _end(part: Array, last: int) -> float:
    return float(part[last]) if last < part.size else math.inf
