"""The form of a setup: its settings by questions, with reasons offered; typed text read field by field."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from random import Random
from typing import Any, Literal

from trainer import units
from trainer.bench.briefs import Task
from trainer.bench.templates import prose, quantity, worked
from trainer.channel.laws import EmfLaw, ResistanceLaw
from trainer.channel.simulation import MOST_RELAYS
from trainer.grading.entries import read_entry
from trainer.grading.reading import LONGEST_ROW

Group = Literal["measured", "leaves", "told", "failure", "reads"]
FieldKind = Literal["number", "choice", "yes-no"]
QUESTIONS: dict[Group, str] = {
    "measured": "What is measured, and how is it wired",
    "leaves": "What leaves",
    "told": "Who is told, and when",
    "failure": "What does a failure look like",
    "reads": "How does the controller read it",
}
RELAYS = "relays"  # the field that says how many there are
EACH_RELAY = f"{RELAYS}.*."
YES_NO = ("yes", "no")


@dataclass(frozen=True)
class Offered:
    """A reason that is offered: `when`, an expression of the facts and of `own`, the setting, makes it right."""

    text: str
    when: str = ""


@dataclass(frozen=True)
class Setting:
    """One setting of a conditioner or of the block that reads it.

    Attributes
    ----------
    path : str
        Where it is in a channel; ``*`` stands for every relay.
    group : str
        The question it belongs to.
    title, kind, unit : str
        `unit` may be ``process`` or ``difference``: that of the process, or of a difference of it.
    options : Mapping, optional
        What may be chosen, and what it is in the channel.
    sensors : tuple of str
        Kinds of law it is for; all where empty.
    low, high : float
        Least and greatest number [its unit].
    reasons : tuple of Offered
    """

    path: str
    group: Group
    title: str
    kind: FieldKind
    unit: str = ""
    options: Mapping[str, Any] | None = None
    sensors: tuple[str, ...] = ()
    low: float = -math.inf
    high: float = math.inf
    reasons: tuple[Offered, ...] = ()

    def fits(self, task: Task) -> bool:
        """Whether the sensor of a task has this setting."""
        return not self.sensors or law_kind(task) in self.sensors


def law_kind(task: Task) -> str:
    """What kind of law the sensor of a task follows."""
    law = task.channel.sensor.law
    if isinstance(law, ResistanceLaw):
        return "resistance"
    return "thermocouple" if isinstance(law, EmfLaw) else "signal"


@dataclass(frozen=True)
class Field:
    """A setting of one task, as the form asks for it; `reasons` are offered in an order of their own."""

    path: str
    group: Group
    title: str
    kind: FieldKind
    unit: str
    options: tuple[str, ...]
    reasons: tuple[str, ...]
    setting: Setting

    def right_reasons(self, task: Task, own: Any) -> tuple[str, ...]:
        """The reasons that hold for a task and one's own setting."""
        facts = {**task.facts, "own": own}
        given = self.setting.reasons
        return tuple(prose(each.text, task.facts) for each in given if each.when and worked(each.when, facts))


def fields_of(settings: Sequence[Setting], task: Task, relays: int) -> tuple[Field, ...]:
    """The fields of a form with some relays, in the order of its questions.

    Raises
    ------
    ValueError
        For more relays than a conditioner has.
    """
    if not 0 <= relays <= MOST_RELAYS:
        raise ValueError(f"a conditioner has 0 to {MOST_RELAYS} relays, not {relays}")
    fitting = [each for each in settings if each.fits(task)]
    found: list[Field] = []
    for group in QUESTIONS:
        here = [each for each in fitting if each.group == group]
        found += [_field(each, task, each.path, each.title) for each in here if not _of_relay(each)]
        for index in range(relays):
            path = f"{RELAYS}.{index}."
            found += [
                _field(each, task, each.path.replace(EACH_RELAY, path), f"Relay {index + 1}: {each.title}")
                for each in here
                if _of_relay(each)
            ]
    return tuple(found)


def _of_relay(setting: Setting) -> bool:
    return setting.path.startswith(EACH_RELAY)


def _field(setting: Setting, task: Task, path: str, title: str) -> Field:
    own = task.brief.unit
    temperature = units.unit(own).dimension == "temperature"
    unit = {"process": own, "difference": f"{own} (difference)" if temperature else own}.get(setting.unit, setting.unit)
    options = YES_NO if setting.kind == "yes-no" else tuple(setting.options or ())
    shuffler = Random(f"{task.brief.name} {task.seed} {path}")
    reasons = sorted((prose(each.text, task.facts) for each in setting.reasons), key=lambda _: shuffler.random())
    return Field(path, setting.group, title, setting.kind, unit, options, tuple(reasons), setting)


@dataclass(frozen=True)
class Draft:
    """What was read of a form: values by path, and a sentence for each field that was not read."""

    values: Mapping[str, Any]
    errors: Mapping[str, str]


def read_form(fields: Sequence[Field], typed: Mapping[str, str], decimal: str = ".") -> Draft:
    """Read what was typed; empty fields are left out, so that a draft may be kept.

    Parameters
    ----------
    fields : sequence of Field
    typed : Mapping
        Text by path.
    decimal : str
        The decimal sign this person prefers.
    """
    values: dict[str, Any] = {}
    errors: dict[str, str] = {}
    for field in fields:
        text = typed.get(field.path, "")
        if not text.strip():
            continue
        value, error = _read(field, text, decimal)
        if error:
            errors[field.path] = error
        else:
            values[field.path] = value
    return Draft(values, errors)


def _read(field: Field, text: str, decimal: str) -> tuple[Any, str]:
    if field.kind != "number":
        read = read_entry(text[:LONGEST_ROW], "choice", "", field.options, decimal)
        return (read.value == "yes" if field.kind == "yes-no" else read.value), read.refusal
    read = read_entry(text, "number", field.unit, (), decimal)
    if read.refusal:
        return None, read.refusal
    name = field.unit.removesuffix(" (difference)")
    if read.foreign:
        asked = f"a value in {name}" if name else "a plain number"
        return None, f"{read.unit} is not a unit of this setting: {asked} is asked for."
    low, high = field.setting.low, field.setting.high
    if not low <= read.value <= high:
        least, greatest = quantity(low, name), quantity(high, name)
        limits = f"{least} to {greatest}" if high < math.inf else f"{least} or more"
        return None, f"{quantity(read.value, name)} cannot be set here: it may be {limits}."
    return read.value, ""
