"""The setup record: every setting of a channel with its reason, kept and printed with a revision and a checksum."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from hashlib import sha256
from typing import Any

from trainer.bench.briefs import Task
from trainer.bench.setup_forms import RELAYS, Field, Setting, fields_of
from trainer.channel.simulation import MOST_RELAYS, Channel
from trainer.channel.tables import changed, to_table, value_at
from trainer.errors import TrainerError

VERSION = 1
CHECKSUM_LENGTH = 8
KEYS = {"brief": str, "seed": int, "tag": str, "service": str, "values": dict, "reasons": dict, "revision": int}


class RecordFault(TrainerError):
    """A setup record that cannot be read, or that describes no channel."""


@dataclass(frozen=True)
class SetupRecord:
    """A setup as somebody wrote it down; it may be a draft.

    Attributes
    ----------
    brief, seed : str, int
        The task it answers.
    tag, service : str
        What stands on the channel.
    values, reasons : Mapping
        By path: numbers in the unit of the field, words of a choice, truths; the reasons as texts.
    revision : int
        Counted up with every change.
    """

    brief: str
    seed: int
    tag: str = ""
    service: str = ""
    values: Mapping[str, Any] = field(default_factory=dict)
    reasons: Mapping[str, str] = field(default_factory=dict)
    revision: int = 1

    @property
    def checksum(self) -> str:
        """Short sum over all but the revision: two prints with the same one say the same."""
        content = {key: value for key, value in asdict(self).items() if key != "revision"}
        plain = json.dumps(content, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
        return sha256(plain.encode()).hexdigest()[:CHECKSUM_LENGTH]

    @property
    def relays(self) -> int:
        """How many relays it speaks of; 0 where it does not say."""
        numbers = {str(number): number for number in range(MOST_RELAYS + 1)}
        return numbers.get(str(self.values.get(RELAYS)), 0)

    def revised(self, other: SetupRecord) -> SetupRecord:
        """Another content as the next revision of this record; the same content keeps its revision."""
        number = self.revision if other.checksum == self.checksum else self.revision + 1
        return replace(other, revision=number)

    def to_json(self) -> str:
        """The record as text, with its version and its checksum."""
        table = {"version": VERSION, **asdict(self), "checksum": self.checksum}
        return json.dumps(table, ensure_ascii=False, indent=2, allow_nan=False)


def from_json(text: str) -> SetupRecord:
    """The record of a text.

    Raises
    ------
    RecordFault
        It is no setup record of this version, or its checksum does not belong to it.
    """
    try:
        table = json.loads(text)
    except (ValueError, RecursionError):
        raise RecordFault("This is no setup record: it cannot be read as JSON.") from None
    if not isinstance(table, dict) or table.get("version") != VERSION:
        raise RecordFault(f"This is no setup record of version {VERSION}.")
    for key, kind in KEYS.items():
        if not isinstance(table.get(key), kind) or isinstance(table[key], bool):
            raise RecordFault(f"The setup record has no usable {key}.")
    _check_cells(table)
    record = SetupRecord(**{key: table[key] for key in KEYS})
    if table.get("checksum") != record.checksum:
        raise RecordFault(f"The checksum of the setup record is {record.checksum}, not {table.get('checksum')}.")
    return record


def _check_cells(table: Mapping[str, Any]) -> None:
    for path, value in table["values"].items():
        if not isinstance(value, bool | int | float | str) or (isinstance(value, float) and not math.isfinite(value)):
            raise RecordFault(f"The setup record has no usable value of {path}.")
    for path, reason in table["reasons"].items():
        if not isinstance(reason, str):
            raise RecordFault(f"The setup record has no usable reason of {path}.")


def reference_record(
    task: Task, settings: Sequence[Setting], tag: str = "", service: str = "", channel: Channel | None = None
) -> SetupRecord:
    """The record of a channel, with the reasons that hold; of the reference where none is given."""
    channel = channel or task.channel
    fields = fields_of(settings, task, len(channel.relays))
    values = {each.path: _said(each, channel) for each in fields}
    offered = {each.path: each.right_reasons(task, values[each.path]) for each in fields}
    reasons = {path: texts[0] for path, texts in offered.items() if texts}
    return SetupRecord(task.brief.name, task.seed, tag, service or task.brief.title, values, reasons)


def _said(field: Field, channel: Channel) -> Any:
    """The value of a channel as the form has it."""
    value = str(len(channel.relays)) if field.path == RELAYS else to_table(value_at(channel, field.path))
    if field.kind != "choice" or field.path == RELAYS:
        return value
    options = field.setting.options or {}
    for label, meant in options.items():
        if meant == value:
            return label
    raise RecordFault(f"{field.title}: {value} is none of {', '.join(options)}")


def missing(fields: Sequence[Field], record: SetupRecord) -> list[Field]:
    """The fields that a record leaves open."""
    return [each for each in fields if each.path not in record.values]


def channel_of(task: Task, settings: Sequence[Setting], record: SetupRecord) -> Channel:
    """The plant of a task set as a record says.

    Raises
    ------
    RecordFault
        Where a setting is missing.
    TableFault
        Where a value cannot stand.
    """
    fields = fields_of(settings, task, record.relays)
    if left := missing(fields, record):
        raise RecordFault(f"Not set yet: {', '.join(each.title for each in left)}.")
    timer = task.channel.relays[0].alarm.timer if task.channel.relays else "alarm condition"
    blank = {"direction": "rising", "set_point": 0.0, "timer": timer}
    changes: dict[str, Any] = {RELAYS: [{"alarm": dict(blank)} for _ in range(record.relays)]}
    for each in fields:
        meant = _meant(each, record.values[each.path])
        if each.path != RELAYS:
            changes[each.path] = meant
    return changed(task.channel, changes)


def _meant(field: Field, value: Any) -> Any:
    if field.kind == "number":
        setting = field.setting
        number = isinstance(value, int | float) and not isinstance(value, bool)
        if not (number and setting.low <= value <= setting.high):
            raise RecordFault(f"{field.title}: {value} cannot be set.")
    if field.kind != "choice":
        return value
    options = field.setting.options or {}
    if value not in options:
        raise RecordFault(f"{field.title}: {value} is none of {', '.join(options)}.")
    return options[value]
