"""The plot of a channel that was run: its trace thinned, its relays, and what was required of it."""

from __future__ import annotations

from itertools import groupby

import numpy as np

from trainer.bench.judging import Judgment
from trainer.channel.simulation import Channel, Record, RelayRecord
from trainer.figures import Plain
from trainer.figures.channel_trace import NEVER, WIDTH, height
from trainer.figures.traces import thinned
from trainer.practice.commissioning import Kept, OpenSetup
from trainer.worksheets.draw import decimals_of

COLUMNS = 240
PIXELS = 640  # how wide a figure is on a page
HOUR, LONG = 3600.0, 43_200.0


def plot_height(relays: int, requirements: int) -> int:
    """How high the image of a plot is, in pixels of the page."""
    return round(PIXELS * height(relays, requirements) / WIDTH)


def plotted(opened: OpenSetup, kept: Kept, judged: Judgment) -> dict[str, Plain]:
    """The values of the plot; none for a setup that cannot be run."""
    trace = opened.trace(kept)
    if trace is None:
        return {}
    long = float(trace.times[-1]) >= LONG
    unit, by = ("h", HOUR) if long else ("s", 1.0)
    own = opened.task.brief.unit
    times, process = thinned(trace.times.tolist(), trace.process.tolist(), COLUMNS)
    values = {
        "process_times": _times(times, by, unit),
        "process": Plain(tuple(process), own, 1),
        "relays": Plain(float(len(trace.relays))),
        **_requirements(judged, trace, by),
    }
    channel = opened.channel(kept)
    return values | _reading(trace, by, unit, own) | _relays(trace, channel, by, own)


def _times(times: list[float], by: float, unit: str) -> Plain:
    return Plain(tuple(time / by for time in times), unit, 0 if unit == "s" else 1)


def _requirements(judged: Judgment, trace: Record, by: float) -> dict[str, Plain]:
    end = float(trace.times[-1])
    looks = [NEVER if each.time is None else each.time / by for each in judged.outcomes]
    return {
        "starts": Plain(tuple(each.start / by for each in judged.outcomes)),
        "ends": Plain(tuple(min(each.end, end) / by for each in judged.outcomes)),
        "met": Plain(tuple(float(each.passed) for each in judged.outcomes)),
        "look_at": Plain(tuple(looks)),
    }


def _reading(trace: Record, by: float, unit: str, own: str) -> dict[str, Plain]:
    """The reading where there is one, part by part."""
    times: list[float] = []
    values: list[float] = []
    parts: list[float] = []
    there = ~np.isnan(trace.reading)
    for known, group in groupby(range(there.size), key=lambda index: bool(there[index])):
        if known:
            picked = list(group)
            part = slice(picked[0], picked[-1] + 1)
            share = max(8, COLUMNS * len(picked) // there.size)
            found = thinned(trace.times[part].tolist(), trace.reading[part].tolist(), share)
            parts.append(float(len(times)))
            times, values = times + found[0], values + found[1]
    if not times:
        return {}
    return {
        "reading_times": _times(times, by, unit),
        "reading": Plain(tuple(values), own, 1),
        "reading_parts": Plain(tuple(parts)),
    }


def _relays(trace: Record, channel: Channel, by: float, own: str) -> dict[str, Plain]:
    if not trace.relays:
        return {}
    alarms = [each.alarm for each in channel.relays]
    decimals = max(decimals_of(level) for each in alarms for level in (each.set_point, each.reset_value))
    found = {
        "set_points": Plain(tuple(each.set_point for each in alarms), own, decimals),
        "resets": Plain(tuple(each.reset_value for each in alarms), own, decimals),
        "operations": Plain(tuple(float(each.operations) for each in trace.relays)),
    }
    spans = [(number, *span) for number, each in enumerate(trace.relays, 1) for span in _alarms(trace, each)]
    if spans:
        relays, starts, ends = zip(*spans, strict=True)
        found["alarm_relays"] = Plain(tuple(float(number) for number in relays))
        found["alarm_starts"] = Plain(tuple(time / by for time in starts))
        found["alarm_ends"] = Plain(tuple(time / by for time in ends))
    return found


def _alarms(trace: Record, relay: RelayRecord) -> list[tuple[float, float]]:
    """When a relay is in alarm; pauses too short to be seen are left out."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], relay.in_alarm, [False]]).astype(int)))
    last = trace.times.size - 1
    spans: list[tuple[float, float]] = []
    for start, end in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        begins, stops = float(trace.times[start]), float(trace.times[min(end, last)])
        if spans and begins - spans[-1][1] < (trace.times[-1] - trace.times[0]) / COLUMNS:
            spans[-1] = (spans[-1][0], stops)
        else:
            spans.append((begins, stops))
    return spans
