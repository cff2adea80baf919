"""Checks of a setup on paper: is every setting there, and do they agree with each other and with the plant?"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from trainer.bench.briefs import Task
from trainer.bench.setup_forms import QUESTIONS, RELAYS, Field
from trainer.bench.setup_records import SetupRecord, missing
from trainer.bench.templates import quantity
from trainer.calculations.alarms import check_range
from trainer.calculations.burdens import MILLI
from trainer.calculations.counts import top_count
from trainer.calculations.fault_levels import NE_43
from trainer.channel.laws import StraightLaw
from trainer.channel.sensors import ResistanceSensor
from trainer.channel.simulation import Channel
from trainer.errors import OutOfRange

COUNTS_APART = 1.5  # a raw limit may be rounded either way


@dataclass(frozen=True)
class Check:
    """One check: its name, whether it passed, one sentence, and the settings it is about by path."""

    name: str
    passed: bool
    sentence: str
    paths: tuple[str, ...] = ()


Finding = tuple[bool, str, tuple[str, ...]]


def completeness(fields: Sequence[Field], record: SetupRecord) -> list[Check]:
    """One check for every question of the form, and one for the head of the record."""
    left = missing(fields, record)
    head = bool(record.tag.strip() and record.service.strip())
    says = "Tag and service are stated." if head else "Tag or service is missing."
    found = [Check("head of the record", head, says, ("tag", "service"))]
    for group, question in QUESTIONS.items():
        open_ = [each for each in left if each.group == group]
        names = ", ".join(each.title for each in open_)
        sentence = f"Not set yet: {names}." if open_ else "Every setting is stated."
        found.append(Check(question, not open_, sentence, tuple(each.path for each in open_)))
    return found


def consistency(task: Task, record: SetupRecord, channel: Channel) -> list[Check]:
    """All checks of a complete setup, against the plant and against each other."""
    found = [Check(name, *rule(task, channel)) for name, rule in RULES.items()]
    found += [_relay(task, channel, index) for index in range(len(channel.relays))]
    found += [_coil(record, index) for index in range(len(channel.relays))]
    return found


def runs(channel: Channel) -> bool:
    """Whether a channel can be run at all: its ranges have a span."""
    output, scaling = channel.output, channel.scaling
    return output.lower != output.upper and scaling.lower != scaling.upper and scaling.raw_low != scaling.raw_high


def _ranges(task: Task, channel: Channel) -> Finding:
    output, scaling = channel.output, channel.scaling
    agree = math.isclose(output.lower, scaling.lower, abs_tol=1e-9) and math.isclose(
        output.upper, scaling.upper, abs_tol=1e-9
    )
    sent = f"{quantity(output.lower)} to {quantity(output.upper, task.brief.unit)}"
    read = f"{quantity(scaling.lower)} to {quantity(scaling.upper, task.brief.unit)}"
    paths = ("output.lower", "output.upper", "scaling.lower", "scaling.upper")
    return agree, f"The output sends {sent}, the controller reads {read}.", paths


def _rising(task: Task, channel: Channel) -> Finding:
    output = channel.output
    good = output.lower < output.upper
    says = "lies below" if good else "does not lie below"
    ends = f"{quantity(output.lower, task.brief.unit)} {says} {quantity(output.upper, task.brief.unit)}"
    return good, f"The lower range value {ends}.", ("output.lower", "output.upper")


def _wanted_range(task: Task, channel: Channel) -> Finding:
    wanted, output = task.channel.output, channel.output
    good = (wanted.lower, wanted.upper) == (output.lower, output.upper)
    ends = f"{quantity(wanted.lower)} to {quantity(wanted.upper, task.brief.unit)}"
    return good, f"The brief has {ends} as the range.", ("output.lower", "output.upper")


def _unit(task: Task, channel: Channel) -> Finding:
    shown, wanted = channel.scaling.unit, task.brief.unit
    return shown == wanted, f"The value is in {wanted}, and shown with {shown or 'no unit'}.", ("scaling.unit",)


def _signal(task: Task, channel: Channel) -> Finding:
    signal, volts = channel.output.signal, channel.loop.powering == "voltage"
    full = _at_card(channel, signal.high)
    good = (signal.unit == "V") == volts and full <= channel.card.full_scale * 1.001 and signal.has_live_zero
    card = f"0 to {quantity(channel.card.full_scale, channel.card.unit)}"
    wired = "a voltage" if volts else "a current"
    zero = "with" if signal.has_live_zero else "without"
    return good, f"{signal.name} {zero} live zero goes to a card of {card} wired for {wired}.", ("output.signal",)


def _raw(task: Task, channel: Channel) -> Finding:
    card, signal, scaling = channel.card, channel.output.signal, channel.scaling
    per_unit = top_count(card.bits) / card.full_scale
    low, high = (_at_card(channel, end) * per_unit for end in (signal.low, signal.high))
    good = abs(scaling.raw_low - low) <= COUNTS_APART and abs(scaling.raw_high - high) <= COUNTS_APART
    says = f"{signal.name} is {low:.0f} to {high:.0f} counts on this card"
    entered = f"{scaling.raw_low:.0f} to {scaling.raw_high:.0f} are entered"
    return good, f"{says}; {entered}.", ("scaling.raw_low", "scaling.raw_high")


def _at_card(channel: Channel, signal: float) -> float:
    """What the card measures of a signal, by its nominal burden."""
    if channel.card.unit == "mA" or channel.loop.powering == "voltage":
        return signal
    return signal * MILLI * channel.card.burden


def _fault_levels(task: Task, channel: Channel) -> Finding:
    output = channel.output
    good = output.fault_low <= NE_43.fault_low and output.fault_high >= NE_43.fault_high
    levels = f"{quantity(output.fault_low)} and {quantity(output.fault_high, 'mA')}"
    bounds = f"{quantity(NE_43.fault_low)} and {quantity(NE_43.fault_high, 'mA')}"
    paths = ("output.fault_low", "output.fault_high")
    return good, f"The fault levels are {levels}; outside {bounds} they cannot be taken for a value.", paths


def _wires(task: Task, channel: Channel) -> Finding:
    sensor, given = channel.sensor, channel.input
    paths = ("input.wires", "input.allowance")
    if not isinstance(sensor, ResistanceSensor):
        return True, "The sensor has no wire mode.", ()
    cores = sum(math.isfinite(sensor.core(name)) for name in "abcd")
    # Three cores of four will do; two of more leave the drop of the cores in the value.
    if given.wires > cores or (given.wires == 2) != (cores == 2):
        return False, f"The sensor comes with {cores} cores, the input is set to {given.wires} wires.", paths
    if given.wires > 2 and given.allowance:
        return False, f"With {given.wires} wires the input takes the cores off itself: no allowance is entered.", paths
    return True, f"{cores} cores, {given.wires} wires, {quantity(given.allowance, 'Ω')} allowed for.", paths


def _root(task: Task, channel: Channel) -> Finding:
    law = channel.sensor.law
    wanted = int(isinstance(law, StraightLaw) and law.squared)
    taken = channel.input.root + channel.scaling.root
    times = {0: "not taken", 1: "taken once", 2: "taken twice"}
    belongs = "it is to be taken once, in one place" if wanted else "none belongs here"
    sentence = f"The square root is {times[taken]}; {belongs}."
    return taken == wanted, sentence, ("input.root", "scaling.root")


RULES: dict[str, Callable[[Task, Channel], Finding]] = {
    "range of the brief": _wanted_range,
    "lower below upper": _rising,
    "output and scaling": _ranges,
    "unit": _unit,
    "signal and card": _signal,
    "raw limits": _raw,
    "fault levels": _fault_levels,
    "wires": _wires,
    "square root": _root,
}


def _relay(task: Task, channel: Channel, index: int) -> Check:
    alarm, output, unit = channel.relays[index].alarm, channel.output, task.brief.unit
    name, path = f"relay {index + 1} inside the range", f"{RELAYS}.{index}.alarm."
    paths = (path + "set_point", path + "deadband")
    try:
        check_range(alarm.set_point, alarm.deadband, alarm.direction, output.lower, output.upper, unit)
    except OutOfRange as fault:
        return Check(name, False, f"Relay {index + 1}: {fault}.", paths)
    both = f"{quantity(alarm.set_point, unit)} and {quantity(alarm.reset_value, unit)}"
    return Check(name, True, f"Relay {index + 1} acts and lets go at {both}, inside the range.", paths)


def _coil(record: SetupRecord, index: int) -> Check:
    path = f"{RELAYS}.{index}.energized_in_alarm"
    given = bool(record.reasons.get(path, "").strip())
    says = "is stated with its reason" if given else "needs a reason"
    sentence = f"Relay {index + 1}: what the coil does in alarm {says}."
    return Check(f"coil of relay {index + 1}", given, sentence, (path,))
