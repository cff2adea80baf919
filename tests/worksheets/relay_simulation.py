"""Many alarm relays run side by side in steps of a millisecond, by whole numbers and fractions: nothing is rounded.

Written from the timing rule alone. A rising alarm is due at the set point or above it; the on-delay runs while it is
due without a break and acts once it has run its length. It is clear a deadband below the set point or lower; the
off-delay runs likewise. In some devices the timer, once started, runs on until the alarm is clear. A falling alarm is
the same upside down. Without a deadband the set point itself belongs to the alarm.

The relays go together from one millisecond to the next. Corners of a trace lie on whole milliseconds, so that it is
straight in between: where it changes its zone there, or a delay ends, that millisecond is gone through in fractions.
"""

from dataclasses import dataclass
from fractions import Fraction
from math import ceil

import numpy as np

PACE = 125  # ms; corners of traces and times asked lie on multiples of it, which are exact in seconds too
NEVER = 2**62


@dataclass(frozen=True)
class Setting:
    """A relay and the trace it sees: corners [ms] and values, whole numbers all."""

    times: tuple[int, ...]
    values: tuple[int, ...]
    rising: bool
    set_point: int
    deadband: int
    on_delay: int
    off_delay: int
    until_reset: bool = False
    starts_on: bool = False


class Relay:
    """One relay: whether it is in alarm, since when its delay runs, and when it switched."""

    def __init__(self, setting):
        self.setting, self.on = setting, setting.starts_on
        self.since, self.just_after = None, False
        self.switched = []

    def runs(self, above_trip, above_reset):
        """Whether a delay runs, so far from set point and reset value."""
        due = above_trip >= 0
        clear = above_reset <= 0 and not due
        if self.on:
            return clear
        return due or (self.setting.until_reset and self.since is not None and not clear)

    def go(self, start, end, above_trip, above_reset):
        """Go through a moment, or through what lies between two moments without either of them."""
        if not self.runs(above_trip, above_reset):
            self.since = None
            return
        if self.since is None:
            self.since, self.just_after = start, start < end
        over = self.expiry
        # A delay of nothing that starts just after a moment is not over at that moment.
        if over < end or (over == end == start and (over > self.since or not self.just_after)):
            self.switched.append(over)
            self.on, self.since = not self.on, None

    def go_millisecond(self, now, start, end):
        """Go from one millisecond to the next; each end is how far it is from set point and from reset value."""
        crossed = {Fraction(a, a - b) for a, b in zip(start, end, strict=True) if a * b < 0}
        before, last = tuple(map(Fraction, start)), Fraction(now)
        for share in sorted({*crossed, Fraction(1)}):
            there = tuple(a + share * (b - a) for a, b in zip(start, end, strict=True))
            self.go(last, now + share, *((a + b) / 2 for a, b in zip(before, there, strict=True)))
            self.go(now + share, now + share, *there)
            before, last = there, now + share

    @property
    def expiry(self):
        """When the delay that runs is over."""
        return self.since + (self.setting.off_delay if self.on else self.setting.on_delay)


def simulate(settings):
    """Whether each relay is in alarm at every multiple of the pace, and the exact times at which it switched [ms]."""
    relays = [Relay(setting) for setting in settings]
    sign = np.array([1 if setting.rising else -1 for setting in settings])
    trip = sign * [setting.set_point for setting in settings]
    reset = trip - [setting.deadband for setting in settings]
    corners = max(len(setting.times) for setting in settings) + 1
    end = max(setting.times[-1] for setting in settings)
    # A trace that ends early stays at its last value.
    times = np.array(
        [[*each.times, *(end + PACE * k for k in range(1, corners - len(each.times) + 1))] for each in settings]
    )
    values = sign[:, None] * [[*each.values, *(each.values[-1:] * (corners - len(each.values)))] for each in settings]
    everyone, segment = np.arange(len(settings)), np.zeros(len(settings), int)
    expiry, states = np.full(len(settings), NEVER), []

    def take(index, act):
        relay = relays[index]
        act(relay)
        expiry[index] = NEVER if relay.since is None else ceil(relay.expiry)

    for index, first in enumerate(values[:, 0].tolist()):
        above = first - int(trip[index]), first - int(reset[index])
        take(index, lambda relay, above=above: relay.go(Fraction(0), Fraction(0), *above))
    states.append([relay.on for relay in relays])
    for begin in range(0, end, PACE):
        segment += times[everyone, segment + 1] <= begin
        start, length = times[everyone, segment], times[everyone, segment + 1] - times[everyone, segment]
        first, rise = values[everyone, segment], values[everyone, segment + 1] - values[everyone, segment]
        # Heights above set point and reset value, times the length of the segment: whole numbers.
        from_trip = (first - trip) * length + rise * (begin - start)
        from_reset = from_trip + (trip - reset) * length
        for now in range(begin, begin + PACE):
            next_trip, next_reset = from_trip + rise, from_reset + rise
            moves = (np.sign(from_trip) != np.sign(next_trip)) | (np.sign(from_reset) != np.sign(next_reset))
            for index in np.flatnonzero(moves | (expiry <= now + 1)).tolist():
                ends = [(int(a[index]), int(b[index])) for a, b in ((from_trip, from_reset), (next_trip, next_reset))]
                take(index, lambda relay, now=now, ends=ends: relay.go_millisecond(now, *ends))
            from_trip, from_reset = next_trip, next_reset
        states.append([relay.on for relay in relays])
    return np.array(states).T, [relay.switched for relay in relays]
