"""Where a sampled trace lies against an alarm: due, clear, or between, with every change at its exact time.

A trace is linear between its samples, so it meets a level inside a segment at a time that can be computed.
The trace is cut at its samples, at these crossings and at both ends of every sensor break; of each cut and of
each stretch between two cuts the zone is known, and what is kept are the changes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from enum import IntEnum
from typing import NamedTuple

import numpy as np

from trainer.calculations.ranges import Array

Interval = tuple[float, float]


class Zone(IntEnum):
    """Where the process value lies: past the set point, past the reset value, neither, or unknown."""

    BETWEEN = 0
    DUE = 1
    CLEAR = 2
    BROKEN = 3


class Change(NamedTuple):
    """From this time on [s] the trace is in this zone."""

    time: float
    zone: Zone


def changes(
    times: Array, heights: Array, due_from: float, clear_to: float, breaks: Sequence[Interval] = ()
) -> list[Change]:
    """Follow a trace that is due at the top: list its zones, each with the time at which it begins.

    Parameters
    ----------
    times : ndarray, shape (n,)
        Times of the samples, rising [s].
    heights : ndarray, shape (n,)
        Process value, negated for a falling alarm [unit of the alarm].
    due_from, clear_to : float
        Set point and reset value, negated for a falling alarm; both belong to their zone, the set point to
        being due if there is no deadband [unit of the alarm].
    breaks : sequence of (start, end)
        When the sensor is broken, from the start until just before the end [s].

    Returns
    -------
    list of Change
        The first one at the first sample.
    """
    cuts, at = _cut(times, heights, {due_from, clear_to}, breaks)
    zone = np.empty(2 * cuts.size - 1, int)
    zone[0::2] = _zone(at, at, due_from, clear_to)
    zone[1::2] = _zone(np.minimum(at[1:], at[:-1]), np.maximum(at[1:], at[:-1]), due_from, clear_to)
    # A stretch is open at both ends: it begins at the next number after its cut.
    starts = np.empty(zone.size)
    starts[0::2] = cuts
    starts[1::2] = np.nextafter(cuts[:-1], math.inf)
    for start, end in breaks:
        zone[(start <= starts) & (starts < end)] = Zone.BROKEN
    kept = np.flatnonzero(np.diff(zone, prepend=-1))
    return [Change(time, Zone(index)) for time, index in zip(starts[kept].tolist(), zone[kept], strict=True)]


def _zone(lowest: Array, highest: Array, due_from: float, clear_to: float) -> Array:
    """Zones of stretches by their lowest and highest points."""
    due, clear = lowest >= due_from, highest <= clear_to
    return np.where(due, Zone.DUE, np.where(clear, Zone.CLEAR, Zone.BETWEEN))


def _cut(times: Array, heights: Array, levels: Iterable[float], breaks: Sequence[Interval]) -> tuple[Array, Array]:
    """Times of all cuts and the trace there.

    A crossing comes before a sample of the same time: where the two agree to the last digit, the trace is
    taken to be exactly on the level.
    """
    at, value = [], []
    for level in levels:
        before, after = heights[:-1] - level, heights[1:] - level
        crossed = np.flatnonzero(np.sign(before) * np.sign(after) < 0.0)
        share = before[crossed] / (before[crossed] - after[crossed])
        at.append(times[crossed] + share * (times[crossed + 1] - times[crossed]))
        value.append(np.full(crossed.size, level))
    edges = np.array([edge for interval in breaks for edge in interval if times[0] < edge < times[-1]])
    cuts, first = np.unique(np.concatenate([*at, times, edges]), return_index=True)
    return cuts, np.concatenate([*value, heights, np.interp(edges, times, heights)])[first]
