"""Alarm relays run over a sampled trace: when they act, let go, are silenced and are reset.

A rising alarm is due while the process value is at the set point or above, a falling one while it is there or
below. The on-delay runs while the alarm is due without interruption and acts once it has elapsed; the
off-delay likewise while the value is at the reset value or past it. The relay is normal at the start.

A sensor break is known at once: it does not wait for the filter, and reaches the delays as the condition that
the relay is told to make of it. Acknowledging silences. Resetting releases a latch, and only while the value
is at the reset value or past it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from operator import itemgetter
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from trainer.calculations.alarms import Alarm
from trainer.calculations.ranges import Array
from trainer.calculations.zones import Interval, Zone, changes

HAIR = 1e-9  # s: what rounding does to a time
Happening = Literal["alarm", "normal", "acknowledged", "reset", "reset refused"]


class Event(NamedTuple):
    """What happened at a time [s]."""

    time: float
    what: Happening


@dataclass(frozen=True, eq=False)
class History:
    """What an alarm relay did over a trace.

    Attributes
    ----------
    times : ndarray, shape (n,)
        Times of the samples [s].
    events : tuple of Event
        All that happened, in order, at its exact time.
    """

    times: Array
    events: tuple[Event, ...]

    @property
    def states(self) -> NDArray[np.bool_]:
        """Whether the relay is in alarm at each sample."""
        return self._since("alarm", until={"normal"})

    @property
    def sounding(self) -> NDArray[np.bool_]:
        """Whether the relay is in alarm at each sample and nobody has acknowledged it."""
        return self._since("alarm", until={"normal", "acknowledged"})

    @property
    def intervals(self) -> list[Interval]:
        """Start and end of every alarm; one that lasts ends with the trace [s]."""
        ends = [*self.times_of("normal"), float(self.times[-1])]
        return list(zip(self.times_of("alarm"), ends, strict=False))

    def times_of(self, what: Happening) -> list[float]:
        """Times at which something happened [s]."""
        return [event.time for event in self.events if event.what == what]

    def _since(self, start: Happening, until: set[Happening]) -> NDArray[np.bool_]:
        marks = [event for event in self.events if event.what == start or event.what in until]
        after = np.array([False] + [event.what == start for event in marks])
        return after[np.searchsorted([event.time for event in marks], self.times, side="right")]


class Relay:
    """An alarm relay on its way through time: told of every change, it keeps what it did.

    Parameters
    ----------
    alarm : Alarm
        Settings of the relay.
    """

    def __init__(self, alarm: Alarm) -> None:
        self.alarm = alarm
        self.zone = Zone.BETWEEN
        self.in_alarm = False
        self.silenced = False
        self.armed = not alarm.inhibited
        self.expiry = math.inf  # of the delay that runs
        self.events: list[Event] = []

    @property
    def due(self) -> bool:
        """Whether there is reason to alarm."""
        if self.zone is Zone.BROKEN:
            return self.alarm.on_break == "alarm"
        return self.zone is Zone.DUE and self.armed

    @property
    def clear(self) -> bool:
        """Whether there is reason to let go."""
        if self.zone is Zone.BROKEN:
            return self.alarm.on_break == "normal"
        return self.zone is Zone.CLEAR

    @property
    def timing(self) -> bool:
        """Whether a delay starts now, or goes on."""
        if self.in_alarm:
            return self.clear and not self.alarm.latching
        started = self.expiry < math.inf and self.alarm.timer == "until reset"
        return self.due or (started and self.zone is Zone.BETWEEN)

    def enter(self, zone: Zone, time: float) -> None:
        """Let the process value enter a zone [s]."""
        # A stay past a level holds its last moment: one just as long as the delay is long enough, rounding apart.
        left = zone is Zone.BETWEEN and self.zone is not Zone.BROKEN
        if self.expiry < time + (HAIR if left else 0.0):
            self._switch(min(self.expiry, time))
        self.zone = zone
        self.armed = self.armed or zone is Zone.CLEAR
        if not self.timing:
            self.expiry = math.inf
        elif self.expiry == math.inf:
            self.expiry = time + (self.alarm.off_delay if self.in_alarm else self.alarm.on_delay)
        self.wait(time)

    def wait(self, time: float) -> None:
        """Let time pass in the same zone [s]."""
        if self.expiry <= time:
            self._switch(self.expiry)

    def acknowledge(self, time: float) -> None:
        """Silence an alarm, whatever the process value [s]."""
        self.wait(time)
        if self.in_alarm and not self.silenced:
            self.silenced = True
            self.events.append(Event(time, "acknowledged"))

    def reset(self, time: float) -> None:
        """Release the latch, or refuse to [s]."""
        self.wait(time)
        if self.in_alarm and self.alarm.latching:
            self.events.append(Event(time, "reset" if self.clear else "reset refused"))
            if self.clear:
                self._switch(time)

    def _switch(self, time: float) -> None:
        self.in_alarm = not self.in_alarm
        self.silenced = False
        self.expiry = math.inf
        self.events.append(Event(time, "alarm" if self.in_alarm else "normal"))


def run(
    alarm: Alarm,
    times: Array,
    values: Array,
    *,
    breaks: Sequence[Interval] = (),
    acknowledge: Sequence[float] = (),
    reset: Sequence[float] = (),
) -> History:
    """Run an alarm relay over a sampled trace, linear between the samples.

    Parameters
    ----------
    alarm : Alarm
        Settings of the relay.
    times : ndarray, shape (n,)
        Times of the samples, rising [s].
    values : ndarray, shape (n,)
        Process value after the filter; during a break it is not looked at [unit of the range].
    breaks : sequence of (start, end)
        When the sensor is broken, from the start until just before the end [s].
    acknowledge, reset : sequence of float
        When somebody acknowledges, and resets; what lies outside the trace is left out [s].

    Returns
    -------
    History
        States at the samples and exact times of all events.

    References
    ----------
    OPC UA Part 9 (release 1.05), annex B: the condition must last for the whole on-delay, and be gone for the
    whole off-delay.

    Examples
    --------
    A milk cooler fails at 21 °C and warms by 0.8 °C a minute; the alarm at 30 °C has a delay of 45 s.

    >>> alarm = Alarm(direction="rising", set_point=30.0, on_delay=45.0)
    >>> history = run(alarm, np.array([0.0, 1200.0]), np.array([21.0, 37.0]))
    >>> history.times_of("alarm"), history.states
    ([720.0], array([False,  True]))
    """
    _check_trace(times, values)
    sign = 1.0 if alarm.direction == "rising" else -1.0
    relay = Relay(alarm)
    course = changes(times, sign * values, sign * alarm.set_point, sign * alarm.reset_value, breaks)
    steps: list[tuple[float, Callable[[float], None]]]
    steps = [(time, partial(relay.enter, zone)) for time, zone in course]
    steps += [(time, relay.acknowledge) for time in acknowledge]
    steps += [(time, relay.reset) for time in reset]
    first, last = float(times[0]), float(times[-1])
    # The sort keeps the order of what comes at one time: first the change of zone, then the orders given.
    for time, step in sorted(steps, key=itemgetter(0)):
        if first <= time <= last:
            step(time)
    relay.wait(last)
    return History(times, tuple(relay.events))


def _check_trace(times: Array, values: Array) -> None:
    if times.ndim != 1 or times.shape != values.shape or not times.size:
        raise ValueError(f"a trace needs one value for each time, not {values.shape} for {times.shape}")
    if not (np.diff(times) > 0.0).all():
        raise ValueError("the times of a trace must rise")
    if not (np.isfinite(times).all() and np.isfinite(values).all()):
        raise ValueError("the times and values of a trace must be finite numbers")
