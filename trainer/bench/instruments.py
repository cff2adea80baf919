"""What instruments show on a channel: findings, the case they are made on, and where each look is registered.

A look shows only what that instrument would show at that place. What does not depend on a part of the channel is worked
out once for all channels that differ in that part alone.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from trainer.calculations.ranges import Array
from trainer.channel.simulation import Channel, Course, run
from trainer.units import format_number

OPEN, FAULT = "open", "sensor fault"
OPEN_FROM = 1e8  # Ω: what an ohmmeter of the trade calls open
KEPT = 4096  # results; those of a few rigs


@dataclass(frozen=True)
class Finding:
    """One thing an instrument shows: a number with its unit and resolution, or a word with a note beside it.

    `doubt` is how far beyond its resolution a number may lie from what a calculation says, because nobody knows the
    process so well.
    """

    label: str
    value: float | str
    unit: str = ""
    resolution: float = 0.0
    note: str = ""
    doubt: float = 0.0

    def text(self, decimal: str = ".") -> str:
        """The value as the instrument shows it, without its unit.

        Examples
        --------
        >>> Finding("DC volts at the card", 3.4833, "V", 0.001).text()
        '3.483'
        """
        if isinstance(self.value, str):
            return self.value
        decimals = max(0, round(-math.log10(self.resolution))) if self.resolution else 0
        return format_number(self.value, decimals, decimal)


Findings = tuple[Finding, ...]


@dataclass(frozen=True)
class Case:
    """A channel as it is, as it was approved, its process [unit of the process], and a shift of running."""

    channel: Channel
    approved: Channel
    value: float
    unit: str
    shift: Course

    @cached_property
    def now(self) -> dict[str, float]:
        """Everything along the way, the process standing still."""
        return standing(self.channel, self.value)

    @property
    def span(self) -> float:
        """Span of the approved range [unit of the process]."""
        return abs(self.approved.output.upper - self.approved.output.lower)


Look = Callable[[Case], Findings]
LOOKS: dict[str, Look] = {}


def look(name: str) -> Callable[[Look], Look]:
    """Register what a measurement shows under its name."""

    def register(function: Look) -> Look:
        LOOKS[name] = function
        return function

    return register


def standing(channel: Channel, value: float) -> dict[str, float]:
    """Everything along the way while the process stands still; people read the middle of a swing."""
    return _standing(replace(channel, relays=(), loop=replace(channel.loop, noise=0.0)), value)


@lru_cache(KEPT)
def _standing(channel: Channel, value: float) -> dict[str, float]:
    return run(channel, Course(((0.0, value), (60.0, value))), step=60.0).last


def after_output(channel: Channel, asked: Sequence[float]) -> tuple[Array, Array]:
    """What reaches the card of signals that the output tries to give [mA or V], and what people see of it."""
    received = channel.loop.at_card(np.array(asked, float), channel.card.load)
    count = channel.card.counts(channel.card.seen(received, channel.loop.powering))
    return received, channel.scaling.shown(count)


def ohms(label: str, value: float, resolution: float = 0.1) -> Finding:
    """A resistance, or that the path is open."""
    return Finding(label, OPEN, "Ω") if not value < OPEN_FROM else Finding(label, value, "Ω", resolution)


def shown(case: Case, label: str, value: float) -> Finding:
    """A value as displays show it: to a tenth of its unit, wide ranges to one; or a sensor fault."""
    return Finding(label, FAULT if math.isnan(value) else value, case.unit, 1.0 if case.span >= 1000.0 else 0.1)
