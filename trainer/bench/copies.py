"""A setup copied to a sister channel, and a setup as found beside the approved record."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from random import Random
from typing import Any, Literal

from trainer.bench.briefs import Brief, Task
from trainer.bench.setup_forms import Field, Setting, fields_of
from trainer.bench.setup_records import SetupRecord, reference_record
from trainer.bench.templates import filled, prose, quantity

HEAD = {"tag": "Tag", "service": "Service"}
Fault = Literal["copied", "wrong", "changed", "missing"]
Consequence = Literal["the number", "the alarm", "the fail direction", "only the look"]


@dataclass(frozen=True)
class Need:
    """What a sister channel needs otherwise: a setting by path or the tag, its value, and why."""

    path: str
    value: Any
    why: str


@dataclass(frozen=True)
class Sister:
    """A second channel beside that of a brief; values and texts are templates of the facts of the brief.

    Attributes
    ----------
    name, title, brief : str
    text : str
        What is known of the second channel.
    tag, service : str
        Of the first channel.
    needs : tuple of Mapping
        Templates of what must not be copied.
    tests : tuple of str
        What is tested after the copy.
    """

    name: str
    title: str
    brief: str
    text: str
    tag: str
    service: str
    needs: tuple[Mapping[str, Any], ...]
    tests: tuple[str, ...] = ()

    def drawn(self, brief: Brief, settings: Sequence[Setting], seed: int) -> SisterTask:
        """The task of a seed: the record of the first channel, and what the second one needs."""
        return self.of_task(brief.drawn(seed), settings)

    def of_task(self, task: Task, settings: Sequence[Setting]) -> SisterTask:
        """The task for a brief with its numbers drawn."""
        source = reference_record(task, settings, prose(self.tag, task.facts), prose(self.service, task.facts))
        needs = tuple(_need(each, task) for each in self.needs)
        fields = fields_of(settings, task, len(task.channel.relays))
        return SisterTask(self, task, prose(self.text, task.facts), source, needs, fields)


def _need(template: Mapping[str, Any], task: Task) -> Need:
    table = filled(template, task.facts)
    return Need(str(table["path"]), table["value"], str(table["why"]))


@dataclass(frozen=True)
class CopyFault:
    """One thing wrong with a copy: what kind of fault, on which setting, one sentence that teaches."""

    path: str
    kind: Fault
    sentence: str


@dataclass(frozen=True, eq=False)
class SisterTask:
    """A copy to be made: `source` is the record of the first channel."""

    sister: Sister
    task: Task
    text: str
    source: SetupRecord
    needs: tuple[Need, ...]
    fields: tuple[Field, ...]

    @property
    def right(self) -> SetupRecord:
        """The record that the second channel needs."""
        own = {each.path: each.value for each in self.needs}
        values = {path: own.get(path, value) for path, value in self.source.values.items()}
        head = {name: str(own[name]) for name in HEAD if name in own}
        return replace(self.source, values=values, **head)  # type: ignore[arg-type]

    def faults(self, copy: SetupRecord) -> tuple[CopyFault, ...]:
        """What is wrong with a copy by what the second channel needs."""
        needed = {each.path: each for each in self.needs}
        mine, first, right = _cells(copy), _cells(self.source), _cells(self.right)
        titles = {**HEAD, **{each.path: each.title for each in self.fields}}
        units = {each.path: each.unit.removesuffix(" (difference)") for each in self.fields}
        found = []
        for path in dict.fromkeys([*right, *mine]):
            title, unit = titles.get(path, path), units.get(path, "")
            kind = _kind(path in needed, mine.get(path), first.get(path), right.get(path))
            if kind:
                wanted, given = (quantity(cells.get(path, ""), unit) for cells in (right, mine))
                found.append(CopyFault(path, kind, _sentence(kind, title, wanted, given, needed.get(path))))
        return tuple(found)

    def score(self, copy: SetupRecord) -> float:
        """Share of what had to be adapted that is right, less what was changed without need, 0 to 1."""
        faults = self.faults(copy)
        needed = {each.path for each in self.needs}
        right = len(needed) - sum(each.path in needed for each in faults)
        needless = sum(each.path not in needed for each in faults)
        return max(0.0, (right - needless) / len(needed)) if needed else float(not needless)


def _cells(record: SetupRecord) -> dict[str, Any]:
    return {"tag": record.tag, "service": record.service, **record.values}


def _same(one: Any, other: Any) -> bool:
    if isinstance(one, int | float) and isinstance(other, int | float):
        return abs(one - other) <= 1e-9 * max(1.0, abs(one), abs(other))
    return bool(one == other)


def _kind(adapted: bool, mine: Any, first: Any, right: Any) -> Fault | None:
    if _same(mine, right):
        return None
    if mine is None or mine == "":
        return "missing"
    if not adapted:
        return "changed"
    return "copied" if _same(mine, first) else "wrong"


def _sentence(kind: Fault, title: str, wanted: str, given: str, need: Need | None) -> str:
    why = f" {need.why}" if need else ""
    return {
        "copied": f"{title}: {given} was copied, {wanted} is needed.{why}",
        "wrong": f"{title}: {given} was entered, {wanted} is needed.{why}",
        "changed": f"{title}: {given} was entered without need; the approved value is {wanted}.",
        "missing": f"{title} is missing: {wanted} is needed.{why}",
    }[kind]


@dataclass(frozen=True)
class Difference:
    """How a setting may have drifted from its record.

    Attributes
    ----------
    path : str
    change : Mapping
        ``{plus = x}``, ``{times = x}`` for numbers, ``{other = true}`` for another one of the options.
    consequence : str
        What it touches.
    says : str
        What it means on the job.
    """

    path: str
    change: Mapping[str, Any]
    consequence: Consequence
    says: str

    def applied(self, value: Any, field: Field, rng: Random) -> Any:
        """The value as it was found."""
        if "times" in self.change:
            return value * float(self.change["times"])
        if "plus" in self.change:
            return value + float(self.change["plus"])
        if field.kind == "yes-no":
            return not value
        others = [option for option in field.options if option != value]
        return others[int(rng.random() * len(others))]


@dataclass(frozen=True)
class Comparison:
    """Paths of differences that were found, missed, and marked where there is none."""

    found: tuple[str, ...]
    missed: tuple[str, ...]
    false: tuple[str, ...]

    @property
    def score(self) -> float:
        """Share found, less what was marked falsely, 0 to 1."""
        number = len(self.found) + len(self.missed)
        return max(0.0, (len(self.found) - len(self.false)) / number) if number else float(not self.false)


def as_found(
    record: SetupRecord, fields: Sequence[Field], differences: Sequence[Difference], rng: Random, number: int
) -> tuple[SetupRecord, tuple[Difference, ...]]:
    """A record with some drawn differences in it, and which they are."""
    by_path = {each.path: each for each in fields}
    values = dict(record.values)
    drawn: list[Difference] = []
    pool = [each for each in differences if each.path in by_path and each.path in values]
    while pool and len(drawn) < number:
        difference = pool.pop(int(rng.random() * len(pool)))
        value = difference.applied(values[difference.path], by_path[difference.path], rng)
        if not _same(value, values[difference.path]):
            values[difference.path] = value
            drawn.append(difference)
    return replace(record, values=values), tuple(drawn)


def compared(approved: SetupRecord, found: SetupRecord, marked: Collection[str]) -> Comparison:
    """What somebody marked as different beside what is different."""
    one, other = _cells(approved), _cells(found)
    different = [path for path in dict.fromkeys([*one, *other]) if not _same(one.get(path), other.get(path))]
    return Comparison(
        tuple(path for path in different if path in marked),
        tuple(path for path in different if path not in marked),
        tuple(path for path in marked if path not in different),
    )
