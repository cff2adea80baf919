"""What records, trends, lists and contacts tell: settings against those approved, events of a shift, the swing."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

import numpy as np

from trainer.bench.instruments import KEPT, Case, Finding, Findings, look, shown
from trainer.bench.titles import ABSENT, settings_of, title_of, value_words
from trainer.calculations.ranges import Array
from trainer.calculations.response import attenuation
from trainer.channel.conditioner import RelaySetting, break_action
from trainer.channel.sensors import Mask
from trainer.channel.simulation import Channel, Course, RelayRecord, inside, run

SAME = "as approved"
TREND_SECONDS, TREND_STEP = 60.0, 0.25
SWING_DOUBT = 0.3  # of a swing: nobody knows the ripple of a process better
EVENT_DOUBT = 0.1  # of the number of alarms, where they chatter
SAMPLES_A_RIPPLE = 8.0
SHORTEST_STEP, LONGEST_STEP = 0.5, 10.0  # s; relays act exactly between samples


@look("input-settings")
def _input_settings(case: Case) -> Findings:
    return _differences(case, "Input settings", "input", "filter")


@look("output-settings")
def _output_settings(case: Case) -> Findings:
    return _differences(case, "Output settings", "output")


@look("relay-settings")
def _relay_settings(case: Case) -> Findings:
    return _differences(case, "Alarm settings", "relays") if case.approved.relays else ()


@look("scaling-block")
def _scaling_block(case: Case) -> Findings:
    return _differences(case, "Scaling block", "scaling")


UNLISTED = {"output.forced", "scaling.forced"}  # stand in the list of forced values, not in a record


def _differences(case: Case, label: str, *parts: str) -> Findings:
    """Settings that are not those of the approved record."""
    other = [
        each
        for part in parts
        for each in _differing(getattr(case.channel, part), getattr(case.approved, part), part, case.unit)
    ]
    return tuple(other) or (Finding(f"{label} against the record", SAME),)


@lru_cache(KEPT)
def _differing(part: object, approved: object, path: str, unit: str) -> Findings:
    found, usual = settings_of(part, path), settings_of(approved, path)
    told = []
    for name in sorted(found.keys() | usual.keys()):
        title = title_of(name)
        if title is None or name in UNLISTED or name.endswith(".bypassed") or found.get(name) == usual.get(name):
            continue
        words = [value_words(title, each[name], unit) if name in each else ABSENT for each in (found, usual)]
        told.append(Finding(title.words.capitalize(), "differs", note=f"{words[0]}; approved {words[1]}"))
    return tuple(told)


@look("event-list")
def _event_list(case: Case) -> Findings:
    """What the relays did over a shift."""
    times, relays = _shift(_up_to_relays(case), case.shift)
    tests = {"sensor break test": case.shift.sensor_open, "supply test": case.shift.supply_off}
    told = []
    for number, relay in enumerate(relays, 1):
        name = f"Relay {number}:"
        alarms, first = float(relay.operations), relay.times_of("alarm")
        told.append(Finding(f"{name} alarms in the shift", alarms, "", 0.5, doubt=EVENT_DOUBT * alarms))
        told.append(Finding(f"{name} first alarm after", first[0] / 60.0 if first else "no alarm", "min", 0.5))
        told += [
            Finding(f"{name} contact before and in the {test}", _before_and_in(relay, inside(times, intervals)))
            for test, intervals in tests.items()
            if intervals
        ]
        told.append(Finding(f"{name} at the end of the shift", "in alarm" if relay.in_alarm[-1] else "normal"))
    return tuple(told)


def _up_to_relays(case: Case) -> Channel:
    """The channel with all that no relay feels as it was approved."""
    sound = case.approved
    output = replace(sound.output, on_break=case.channel.output.on_break) if not case.channel.input.root else None
    return replace(
        case.channel, loop=sound.loop, card=sound.card, scaling=sound.scaling, output=output or case.channel.output
    )


@lru_cache(KEPT)
def _shift(channel: Channel, shift: Course) -> tuple[Array, tuple[RelayRecord, ...]]:
    """Times of a shift, and what the relays did at them."""
    period = shift.ripple[1] if shift.ripple else LONGEST_STEP * SAMPLES_A_RIPPLE
    record = run(channel, shift, step=min(max(period / SAMPLES_A_RIPPLE, SHORTEST_STEP), LONGEST_STEP))
    return record.times, record.relays


def _before_and_in(relay: RelayRecord, during: Mask) -> str:
    """Contact just before some samples, and at the last of them before they end."""
    first, last = np.flatnonzero(during)[[0, -1]]
    before, then = ("closed" if relay.closed[index] else "open" for index in (max(first - 1, 0), last))
    return f"{before}, then {then}"


@look("trend")
def _trend(case: Case) -> Findings:
    """The swing of the last minute: the ripple of the process behind the filter, and mains on the way to the card."""
    swing = _swing(replace(case.channel, relays=()), case.value, case.shift.ripple)
    finding = shown(case, "Swing on the trend in a minute", swing)
    return (replace(finding, doubt=finding.resolution + SWING_DOUBT * swing),)


@lru_cache(KEPT)
def _swing(channel: Channel, value: float, ripple: tuple[float, float] | None) -> float:
    """From peak to peak [unit of the process]; a ripple that has gone on for long is behind the filter as before it."""
    if ripple:
        ripple = (ripple[0] * float(attenuation(1.0 / ripple[1], channel.filter)), ripple[1])
    minute = Course(((0.0, value), (TREND_SECONDS, value)), ripple)
    return float(np.ptp(run(replace(channel, filter=0.0), minute, step=TREND_STEP).shown))


@look("force-list")
def _force_list(case: Case) -> Findings:
    output, controller = case.channel.output.forced, case.channel.scaling.forced
    forced = [name for name, value in (("output", output), ("controller value", controller)) if value is not None]
    bypassed = [f"relay {number}" for number, relay in enumerate(case.channel.relays, 1) if relay.bypassed]
    return (
        Finding("Forced values", ", ".join(forced) or "none"),
        Finding("Bypasses in place", ", ".join(bypassed) or "none"),
    )


@look("fuse-out")
def _fuse_out(case: Case) -> Findings:
    """Contacts as they are now, and with the conditioner's fuse out."""
    _, relays = _shift(_up_to_relays(case), case.shift) if case.channel.relays else (None, ())
    told = []
    for number, (setting, record) in enumerate(zip(case.channel.relays, relays, strict=True), 1):
        latched = setting.alarm.latching and bool(record.in_alarm[-1])
        coil = (latched or _due(setting, case)) == setting.energized_in_alarm
        now, dead = ("closed" if _closed(setting, energized) else "open" for energized in (coil, False))
        told.append(Finding(f"Contact {number}: now, then fuse out", f"{now}, {dead}"))
    return tuple(told)


def _closed(setting: RelaySetting, energized: bool) -> bool:
    return setting.bypassed or energized == (setting.contact == "NO")


def _due(setting: RelaySetting, case: Case) -> bool:
    """Whether there is reason to alarm while the process stands."""
    alarm, reading = setting.alarm, case.now["reading"]
    if math.isnan(reading):
        return break_action(setting.on_break, alarm.direction, case.channel.output.on_break) == "alarm"
    return reading >= alarm.set_point if alarm.direction == "rising" else reading <= alarm.set_point
