"""Entries and their marks: add once, mark again, read back with the mark that counts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import bindparam, insert, select
from sqlalchemy.orm import Session

from trainer.storage.ids import new_id
from trainer.storage.models import Entry, Mark
from trainer.storage.models.base import table_of

FIRST_MARKING = "first marking"

_entry, _mark = table_of(Entry), table_of(Mark)


@dataclass(frozen=True)
class NewMark:
    """A verdict to be kept, with what it rests on in plain JSON values; ``mark`` is None for what was not marked."""

    verdict: str
    mark: float | None
    message: str
    basis: Mapping[str, Any]
    slip: str | None = None


@dataclass(frozen=True)
class KeptMark:
    """A mark as kept."""

    id: UUID
    entry_id: UUID
    verdict: str
    mark: float | None
    message: str
    slip: str | None
    reason: str
    made: datetime
    basis: Mapping[str, Any]


@dataclass(frozen=True)
class KeptEntry:
    """An entry as kept, with the newest of its marks."""

    id: UUID
    attempt_id: UUID
    step: str
    step_skill: str
    number: int
    first: bool
    text: str
    form_token: str
    made: datetime
    verdict: str
    mark: float | None
    message: str
    slip: str | None


_MARK_COLUMNS = ("verdict", "mark", "message", "slip")
_ENTRY_COLUMNS = tuple(name for name in KeptEntry.__dataclass_fields__ if name not in _MARK_COLUMNS)

# Building a statement takes as long as running it, so those of the hot path are built once.
_ADD_ENTRY, _ADD_MARK = insert(_entry), insert(_mark)
_OF_ATTEMPT = (
    select(*(_entry.c[name] for name in _ENTRY_COLUMNS), *(_mark.c[name] for name in _MARK_COLUMNS))
    .join(_mark, _mark.c.entry_id == _entry.c.id)
    .where(_entry.c.attempt_id == bindparam("attempt_id"))
    .order_by(_entry.c.made, _entry.c.id, _mark.c.made, _mark.c.id)
)


def entries_of(session: Session, attempt_id: UUID) -> list[KeptEntry]:
    """The entries of an attempt as they were made, each with its newest mark."""
    # An entry has few marks, so all of them are read and the last one holds.
    newest = {row[0]: KeptEntry(*row) for row in session.execute(_OF_ATTEMPT, {"attempt_id": attempt_id})}
    return list(newest.values())


def add_entry(
    session: Session,
    attempt_id: UUID,
    step: str,
    text: str,
    mark: NewMark,
    at: datetime,
    *,
    form_token: str,
    step_skill: str,
    kept: Sequence[KeptEntry] | None = None,
) -> KeptEntry:
    """Keep an entry and its first mark; the same form sent again gives back what was kept.

    The attempt is to be read with ``get_attempt(..., lock=True)`` in the same session. ``kept`` spares a query where
    the entries of the attempt have been read since.
    """
    entries = entries_of(session, attempt_id) if kept is None else kept
    before = [entry for entry in entries if entry.step == step]
    for entry in before:
        if entry.form_token == form_token:
            return entry
    counts = mark.mark is not None
    new = KeptEntry(
        id=new_id(at),
        attempt_id=attempt_id,
        step=step,
        step_skill=step_skill,
        number=len(before) + 1,
        first=counts and not any(entry.first for entry in before),
        text=text,
        form_token=form_token,
        made=at,
        verdict=mark.verdict,
        mark=mark.mark,
        message=mark.message,
        slip=mark.slip,
    )
    session.execute(_ADD_ENTRY, {name: getattr(new, name) for name in _ENTRY_COLUMNS})
    add_mark(session, new.id, mark, at, reason=FIRST_MARKING)
    return new


def add_mark(session: Session, entry_id: UUID, mark: NewMark, at: datetime, *, reason: str) -> UUID:
    """Mark an entry once more and say why; the marks before stay."""
    mark_id = new_id(at)
    row = {name: getattr(mark, name) for name in _MARK_COLUMNS} | {"basis": dict(mark.basis)}
    session.execute(_ADD_MARK, row | {"id": mark_id, "entry_id": entry_id, "reason": reason, "made": at})
    return mark_id


def marks_of(session: Session, entry_id: UUID) -> list[KeptMark]:
    """All marks of an entry with what they rest on, the newest last."""
    names = KeptMark.__dataclass_fields__
    wanted = select(*(_mark.c[name] for name in names)).where(_mark.c.entry_id == entry_id)
    return [KeptMark(*row) for row in session.execute(wanted.order_by(_mark.c.made, _mark.c.id))]
