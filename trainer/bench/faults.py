"""Rigs and the faults that can be in them: healthy channels, and what is changed in them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product
from random import Random
from typing import Any

from trainer.channel.simulation import Channel, Course
from trainer.channel.tables import changed, value_at
from trainer.errors import TrainerError

Changes = Mapping[str, Any]
OPERATIONS = ("plus", "times")


@dataclass(frozen=True)
class Grid:
    """Values that may be drawn: from `low` to `high` in steps [unit of what is drawn]."""

    low: float
    high: float
    step: float

    def draw(self, rng: Random) -> float:
        """One of the values, each as likely."""
        return round(self.low + self.step * int(rng.random() * self.number), 9)

    @property
    def number(self) -> int:
        """How many values there are."""
        return round((self.high - self.low) / self.step) + 1


@dataclass(frozen=True)
class Rig:
    """A healthy channel of an invented plant.

    Attributes
    ----------
    name, title, place, text : str
        What it is called, where it is, and its loop sheet in prose.
    channel : Channel
        As it was approved.
    unit : str
        Unit of its process.
    value : Grid
        Where the process may stand.
    gauge : float
        How well a local gauge tells the process [unit of the process].
    shift : Course
        A shift of running, with everything that an event list can show.
    draws : tuple of (paths, Grid)
        Details that differ from hunt to hunt.
    cautions : tuple of str
    """

    name: str
    title: str
    place: str
    text: str
    channel: Channel
    unit: str
    value: Grid
    gauge: float
    shift: Course
    draws: tuple[tuple[tuple[str, ...], Grid], ...] = ()
    cautions: tuple[str, ...] = ()

    def drawn(self, rng: Random) -> tuple[Channel, float]:
        """A channel of this kind, and where its process stands [unit of the process]."""
        changes: dict[str, float] = {}
        for paths, grid in self.draws:
            changes |= dict.fromkeys(paths, grid.draw(rng))
        return changed(self.channel, changes), self.value.draw(rng)


@dataclass(frozen=True)
class Fault:
    """Something that can be wrong with a channel.

    `changes` are alternatives of place and size; each gives values by path: a value, or ``{"plus": x}``,
    ``{"times": x}``, ``{"one_of": [...]}``. The texts are what people say and what is to be done.
    """

    name: str
    number: int
    title: str
    rigs: tuple[str, ...]
    symptom: str
    changes: tuple[Changes, ...]
    remedy: str
    proof: str
    tell_tale: str
    other_remedies: tuple[str, ...] = ()
    source: str = field(default="", compare=False)

    def alternatives(self) -> Iterator[Changes]:
        """Every place and size that this fault can have."""
        for each in self.changes:
            many = [value["one_of"] if _is(value, "one_of") else [value] for value in each.values()]
            for chosen in product(*many):
                yield dict(zip(each, chosen, strict=True))


def injected(channel: Channel, changes: Changes) -> Channel:
    """A channel with a fault in it.

    Raises
    ------
    TableFault
        Where a path leads nowhere, or a value cannot stand there.
    """
    return changed(channel, {path: _value(channel, path, value) for path, value in changes.items()})


def _value(channel: Channel, path: str, value: Any) -> Any:
    for operation in OPERATIONS:
        if _is(value, operation):
            before = value_at(channel, path)
            if not isinstance(before, float):
                raise TrainerError(f"{path}: {operation} needs a number there")
            return before + value[operation] if operation == "plus" else before * value[operation]
    return value


def _is(value: Any, operation: str) -> bool:
    return isinstance(value, Mapping) and operation in value


@dataclass(frozen=True)
class Suspect:
    """One place and size of one fault in a channel; `weight` is its probability before anything was measured."""

    fault: Fault
    channel: Channel
    weight: float


def suspects_of(healthy: Channel, faults: Sequence[Fault]) -> list[Suspect]:
    """All that could be wrong: every fault as likely, and within a fault every alternative."""
    found = []
    for fault in faults:
        channels = [injected(healthy, changes) for changes in fault.alternatives()]
        found += [Suspect(fault, channel, 1.0 / len(faults) / len(channels)) for channel in channels]
    if not math.isclose(sum(each.weight for each in found), 1.0):
        raise ValueError("a rig needs at least one fault, and a fault at least one alternative")
    return found
