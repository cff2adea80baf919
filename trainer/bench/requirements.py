"""What a brief requires of a channel, judged by what the channel did: passed or not, where to look, one sentence."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from trainer.bench.templates import clock, difference_of, quantity
from trainer.calculations.signals import MA_4_20, Signal
from trainer.channel.sensors import Mask
from trainer.channel.simulation import Record, RelayRecord

Kind = Literal[
    "in alarm during",
    "normal during",
    "acts between",
    "lets go between",
    "operations at most",
    "contact during",
    "shown within",
    "fault signal during",
    "latched until reset",
    "level between",
]


@dataclass(frozen=True)
class Requirement:
    """One requirement of a brief.

    Attributes
    ----------
    name, says : str
        A short name, and the requirement as the brief has it.
    kind : str
        How it is judged.
    relay : int
        Which relay it is about, counted from 1.
    start, end : float
        When it holds; to the end where left out [s].
    most : int
        Operations allowed.
    closed : bool
        Whether the contact must be closed, or open.
    within : float
        How far what is shown may be from the process [unit of the process].
    side : {'low', 'high', 'either'}
        On which side the fault signal must be.
    low, high : float
        Levels at the receiver, on the scale of 4-20 mA; or ends of the level [mA] or [unit of the process].
    """

    name: str
    says: str
    kind: Kind
    relay: int = 1
    start: float = 0.0
    end: float = math.inf
    most: int = 0
    closed: bool = False
    within: float = 0.0
    side: Literal["low", "high", "either"] = "either"
    low: float = 3.6
    high: float = 21.0

    @property
    def needs_relay(self) -> bool:
        """Whether it is about a relay at all."""
        return self.kind not in ("shown within", "fault signal during", "level between")


@dataclass(frozen=True)
class Outcome:
    """How a requirement was met: `time` is where to look on the plot, `start` to `end` what was looked at [s]."""

    name: str
    says: str
    passed: bool
    sentence: str
    start: float
    end: float
    time: float | None = None


HAIR = 1e-6  # mA or V: what rounding does to a level
Found = tuple[bool, float | None, str]  # passed, where to look [s], the sentence


@dataclass(frozen=True, eq=False)
class Run:
    """A record of a channel with the signal that its receiver expects and the unit of its process."""

    record: Record
    signal: Signal = MA_4_20
    unit: str = ""

    def outcome(self, requirement: Requirement) -> Outcome:
        """Judge one requirement."""
        end = min(requirement.end, float(self.record.times[-1]))
        if requirement.needs_relay and requirement.relay > len(self.record.relays):
            passed, time, sentence = False, None, f"There is no relay {requirement.relay}."
        else:
            passed, time, sentence = JUDGES[requirement.kind](self, requirement, end)
        return Outcome(requirement.name, requirement.says, passed, sentence, requirement.start, end, time)

    def during(self, requirement: Requirement) -> Mask:
        """The samples of its window."""
        times = self.record.times
        window: Mask = (requirement.start <= times) & (times <= requirement.end)
        return window

    def relay(self, requirement: Requirement) -> RelayRecord:
        """The relay it is about."""
        return self.record.relays[requirement.relay - 1]

    def first(self, where: Mask) -> float | None:
        """Time of the first sample of a mask [s]."""
        return float(self.record.times[np.argmax(where)]) if where.any() else None


def _span(start: float, end: float) -> str:
    return f"from {clock(start)} to {clock(end)}"


def _steady(run: Run, wanted: Requirement, end: float, right: Mask, good: str, bad: str) -> Found:
    """A state that must hold over the whole window."""
    time = run.first(run.during(wanted) & ~right)
    if time is None:
        return True, None, f"{good} {_span(wanted.start, end)}."
    return False, time, f"{bad} at {clock(time)}; wanted {_span(wanted.start, end)}."


def _in_alarm(run: Run, wanted: Requirement, end: float) -> Found:
    who = f"Relay {wanted.relay} is"
    return _steady(run, wanted, end, run.relay(wanted).in_alarm, f"{who} in alarm", f"{who} not in alarm")


def _normal(run: Run, wanted: Requirement, end: float) -> Found:
    who = f"Relay {wanted.relay} is"
    return _steady(run, wanted, end, ~run.relay(wanted).in_alarm, f"{who} normal", f"{who} in alarm")


def _contact(run: Run, wanted: Requirement, end: float) -> Found:
    state, other = ("closed", "open") if wanted.closed else ("open", "closed")
    who = f"The contact of relay {wanted.relay} is"
    right = run.relay(wanted).closed == wanted.closed
    return _steady(run, wanted, end, right, f"{who} {state}", f"{who} {other}")


def _changes(run: Run, wanted: Requirement, end: float, what: str, does: str) -> Found:
    relay, who = run.relay(wanted), f"Relay {wanted.relay}"
    times, to_alarm = run.record.times, what == "alarm"
    before = relay.in_alarm[max(0, int(np.searchsorted(times, wanted.start)) - 1)]
    if bool(before) == to_alarm:
        state = "in alarm" if to_alarm else "not in alarm"
        return False, wanted.start, f"{who} is {state} already at {clock(wanted.start)}."
    time = next((time for time in relay.times_of(what) if time >= wanted.start), None)
    if time is None:
        return False, end, f"{who} never {does} after {clock(wanted.start)}; wanted by {clock(end)}."
    if time > end:
        return False, time, f"{who} {does} at {clock(time)}, {clock(time - end)} too late: wanted by {clock(end)}."
    return True, time, f"{who} {does} at {clock(time)}; wanted {_span(wanted.start, end)}."


def _acts(run: Run, wanted: Requirement, end: float) -> Found:
    return _changes(run, wanted, end, "alarm", "goes into alarm")


def _lets_go(run: Run, wanted: Requirement, end: float) -> Found:
    return _changes(run, wanted, end, "normal", "goes back to normal")


def _operations(run: Run, wanted: Requirement, end: float) -> Found:
    times = [time for time in run.relay(wanted).times_of("alarm") if wanted.start <= time <= end]
    number = f"{len(times)} time" + ("" if len(times) == 1 else "s")
    sentence = f"Relay {wanted.relay} goes into alarm {number}; the most allowed is {wanted.most}."
    passed = len(times) <= wanted.most
    return passed, None if passed else times[wanted.most], sentence


def _latched(run: Run, wanted: Requirement, end: float) -> Found:
    relay, who = run.relay(wanted), f"Relay {wanted.relay}"
    times = run.record.times
    if not relay.in_alarm[int(np.searchsorted(times, wanted.start))]:
        return False, wanted.start, f"{who} is not in alarm at {clock(wanted.start)}: there is nothing to hold."
    gone = next((time for time in relay.times_of("normal") if time > wanted.start), None)
    if gone is None:
        return False, end, f"{who} is still in alarm after the reset at {clock(end)}."
    if gone not in relay.times_of("reset") or gone < end:
        return False, gone, f"{who} goes back at {clock(gone)}, without waiting for the reset at {clock(end)}."
    if gone > end:
        return False, end, f"{who} refuses the reset at {clock(end)} and goes back at {clock(gone)} only."
    return True, gone, f"{who} holds its alarm until it is reset at {clock(gone)}."


def _shown(run: Run, wanted: Requirement, end: float) -> Found:
    record, window = run.record, run.during(wanted)
    off = np.where(window, np.abs(record.shown - record.process), 0.0)
    worst = int(np.argmax(off))
    time = float(record.times[worst])
    pair = f"{quantity(record.shown[worst], run.unit)} shown for {quantity(record.process[worst], run.unit)}"
    passed = bool(off[worst] <= wanted.within)
    limit = quantity(wanted.within, difference_of(run.unit))
    return passed, None if passed else time, f"Worst at {clock(time)}: {pair}; at most {limit} apart is allowed."


def _fault_signal(run: Run, wanted: Requirement, end: float) -> Found:
    window, received = run.during(wanted), run.record.received
    low, high = (_on(run.signal, level) for level in (wanted.low, wanted.high))
    good = {"low": received <= low + HAIR, "high": received >= high - HAIR}
    good["either"] = good["low"] | good["high"]
    time = run.first(window & ~good[wanted.side])
    unit = run.signal.unit
    levels = {"low": f"{quantity(low, unit)} or less", "high": f"{quantity(high, unit)} or more"}
    levels["either"] = f"{levels['low']}, or {levels['high']}"
    shown = run.first(window) if time is None else time
    arrives = quantity(float(received[np.searchsorted(run.record.times, shown or 0.0)]), unit)
    return time is None, time, f"At {clock(shown or 0.0)} {arrives} arrives; wanted {levels[wanted.side]}."


def _on(signal: Signal, level: float) -> float:
    """A level on the scale of 4-20 mA as one of another signal; a voltage or a current is not below zero."""
    return max(signal.low + (level - MA_4_20.low) / MA_4_20.span * signal.span, 0.0)


def _level(run: Run, wanted: Requirement, end: float) -> Found:
    window, process = run.during(wanted), run.record.process
    inside = process[window]
    ends = f"{quantity(float(inside.min()), run.unit)} to {quantity(float(inside.max()), run.unit)}"
    limits = f"{quantity(wanted.low, run.unit)} to {quantity(wanted.high, run.unit)}"
    time = run.first(window & ((process < wanted.low) | (process > wanted.high)))
    return time is None, time, f"The level goes from {ends}; wanted is {limits}."


Judge = Callable[[Run, Requirement, float], Found]
JUDGES: dict[str, Judge] = {
    "in alarm during": _in_alarm,
    "normal during": _normal,
    "acts between": _acts,
    "lets go between": _lets_go,
    "operations at most": _operations,
    "contact during": _contact,
    "shown within": _shown,
    "fault signal during": _fault_signal,
    "latched until reset": _latched,
    "level between": _level,
}
