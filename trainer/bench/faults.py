"""Rigs and the faults that can be in them: healthy channels, and what is changed in them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from random import Random
from typing import Any

from trainer.channel.simulation import Channel, Course
from trainer.channel.tables import TableFault, changed, value_at

Changes = Mapping[str, Any]
OPERATIONS = ("plus", "times", "between")
NOTES = ("symptom", "rigs")  # what an alternative says of itself beside its changes
PARTS = 4  # of the sizes of a fault: a measurement may rule out some and keep others


@dataclass(frozen=True)
class Grid:
    """Values that may be drawn: from `low` to `high` in steps [unit of what is drawn]."""

    low: float
    high: float
    step: float

    def __post_init__(self) -> None:
        if not (self.step > 0.0 and math.isfinite(self.low) and self.low <= self.high < math.inf):
            raise ValueError(f"there is nothing from {self.low:g} to {self.high:g} in steps of {self.step:g}")

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
    faults : tuple of str
        Names of faults that can be in it beside those that name the rig themselves.
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
    faults: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.gauge >= 0.0:
            raise ValueError(f"a gauge cannot be known to {self.gauge:g} {self.unit}")

    def drawn(self, rng: Random) -> tuple[Channel, float]:
        """A channel of this kind, and where its process stands [unit of the process]."""
        changes: dict[str, float] = {}
        for paths, grid in self.draws:
            changes |= dict.fromkeys(paths, grid.draw(rng))
        return changed(self.channel, changes), self.value.draw(rng)


@dataclass(frozen=True)
class Fault:
    """Something that can be wrong with a channel.

    `changes` are alternatives of place and kind; each gives values by path: a value, or ``{"plus": x}``,
    ``{"times": x}``, ``{"between": [a, b]}``; with a list of two numbers the size may lie anywhere between them. An
    alternative may have a `symptom` of its own, and `rigs` that it is for. A `healthy` fault is a channel that does
    as it was told and only looks wrong. The texts are what people say and what is to be done; a symptom may tell what
    the control room shows as ``{shown}``, and its ``{unit}``.
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
    healthy: bool = False

    def __post_init__(self) -> None:
        for each in self.changes:
            symptom, rigs = each.get("symptom", ""), each.get("rigs", [])
            if not isinstance(symptom, str) or not isinstance(rigs, list):
                raise ValueError("the symptom of an alternative is a text, its rigs a list of names")

    def on(self, rig: str) -> Fault:
        """The fault with those alternatives that are for a rig."""
        return replace(self, changes=tuple(each for each in self.changes if rig in each.get("rigs", (rig,))))

    def told(self, changes: Changes) -> str:
        """What people say of an alternative."""
        return str(changes.get("symptom", self.symptom))

    def fitting(self, channel: Channel) -> list[Changes]:
        """The alternatives that make a difference to a channel; a core that is not there cannot corrode."""
        return [changes for changes in self.changes if (injected(channel, changes) == channel) == self.healthy]


def injected(channel: Channel, changes: Changes, size: float = 0.5) -> Channel:
    """A channel with a fault in it, as large as `size` says: 0 to 1 between its least and its greatest.

    Raises
    ------
    TableFault
        Where a path leads nowhere, or a value cannot stand there.
    """
    paths = [path for path in changes if path not in NOTES]
    return changed(channel, {path: _value(channel, path, changes[path], size) for path in paths})


def _value(channel: Channel, path: str, value: Any, size: float) -> Any:
    if not isinstance(value, Mapping) or len(value) != 1:
        return value
    ((operation, amount),) = value.items()
    if operation not in OPERATIONS:
        return value
    low, high = _ends(path, operation, amount)
    # Sizes that span a decade are as likely in each of its parts.
    sized = low * (high / low) ** size if low * high > 0.0 else low + (high - low) * size
    before = value_at(channel, path) if operation != "between" else 0.0
    if not isinstance(before, float):
        raise TableFault(f"{path}: {operation} needs a number there")
    return before * sized if operation == "times" else before + sized


def _ends(path: str, operation: str, amount: Any) -> tuple[float, float]:
    ends = amount if isinstance(amount, (list, tuple)) else (amount, amount)
    if len(ends) != 2 or not all(isinstance(each, (int, float)) and math.isfinite(each) for each in ends):
        raise TableFault(f"{path}: {operation} takes a number, or two for the least and the greatest")
    return float(ends[0]), float(ends[1])


def _has_size(changes: Changes) -> bool:
    return any(
        isinstance(value, Mapping) and any(isinstance(each, (list, tuple)) for each in value.values())
        for value in changes.values()
    )


@dataclass(frozen=True)
class Suspect:
    """A fault of one place and a range of sizes: the channels at both ends and in the middle of that range.

    `weight` is its probability before anything was measured.
    """

    fault: Fault
    channels: tuple[Channel, ...]
    weight: float

    @property
    def middle(self) -> Channel:
        """The channel that stands for all of them."""
        return self.channels[len(self.channels) // 2]


def suspects_of(healthy: Channel, faults: Sequence[Fault]) -> list[Suspect]:
    """All that could be wrong: every fault as likely, and within a fault every alternative and part of its sizes."""
    found = []
    for fault in faults:
        fitting = fault.fitting(healthy)
        for changes in fitting:
            parts = PARTS if _has_size(changes) else 1
            ends = [index / (2 * parts) for index in range(2 * parts + 1)] if parts > 1 else [0.5]
            channels = [injected(healthy, changes, size) for size in ends]
            weight = 1.0 / len(faults) / len(fitting) / parts
            cells = [tuple(channels[2 * part : 2 * part + 3]) for part in range(parts)]
            found += [Suspect(fault, cell or (channels[0],), weight) for cell in cells]
    return found


@dataclass(frozen=True)
class Hidden:
    """What is wrong in a hunt: the fault, what people say of it, and the channel with the fault in it."""

    fault: Fault
    symptom: str
    channel: Channel


def hidden(healthy: Channel, faults: Sequence[Fault], rng: Random) -> Hidden:
    """Draw what is wrong: a fault, its place, its size."""
    fault = faults[int(rng.random() * len(faults))]
    fitting = fault.fitting(healthy)
    changes = fitting[int(rng.random() * len(fitting))]
    return Hidden(fault, fault.told(changes), injected(healthy, changes, rng.random()))
