"""Rows of a learner's record by table, read to be carried to another PC and written where it arrives."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from typing import Any
from uuid import UUID

from sqlalchemy import and_, bindparam, delete, insert, select, update
from sqlalchemy.orm import Session

from trainer.storage.models import Attempt, Base, ProblemSet, SetProblem, SetTry, StudyGroup

Row = dict[str, Any]
AT_ONCE = 500  # ids in one statement
_TABLES = Base.metadata.tables


@dataclass(frozen=True)
class SetWork:
    """What a problem set says of one attempt in a try at it."""

    attempt_id: UUID
    title: str
    group: str
    kind: str
    number: int
    started: datetime
    handed_in: datetime | None
    pass_mark: float
    weight: float
    released: bool


def set_work(session: Session, learner_id: UUID) -> dict[UUID, SetWork]:
    """The attempts of a learner that are part of a try at a set, with the facts of the try."""
    wanted = (
        select(
            Attempt.id,
            ProblemSet.title,
            StudyGroup.name,
            ProblemSet.kind,
            SetTry.number,
            SetTry.started,
            SetTry.handed_in,
            ProblemSet.pass_mark,
            SetProblem.weight,
            ProblemSet.solutions_released,
        )
        .join(SetTry, SetTry.id == Attempt.set_try_id)
        .join(SetProblem, SetProblem.id == Attempt.set_problem_id)
        .join(ProblemSet, ProblemSet.id == SetTry.set_id)
        .join(StudyGroup, StudyGroup.id == ProblemSet.group_id)
        .where(Attempt.learner_id == learner_id)
    )
    return {row[0]: SetWork(*tuple(row)) for row in session.execute(wanted)}


def running_attempts(session: Session, attempts: Collection[UUID]) -> set[UUID]:
    """Those of some attempts that are part of a try under way here."""
    found: set[UUID] = set()
    for some in _parts(attempts):
        wanted = select(Attempt.id).join(SetTry, SetTry.id == Attempt.set_try_id)
        found |= set(session.scalars(wanted.where(Attempt.id.in_(some), SetTry.handed_in.is_(None))))
    return found


def rows_with(session: Session, name: str, column: str, values: Collection[Any]) -> list[Row]:
    """The rows of a table that have one of some values in a column."""
    table = _TABLES[name]
    found: list[Any] = []
    for some in _parts(values):
        found += session.execute(select(*table.columns).where(table.c[column].in_(some))).mappings().all()
    return [dict(row) for row in found]


def add_rows(session: Session, name: str, rows: Sequence[Row]) -> None:
    """Add rows to a table."""
    if rows:
        session.execute(insert(_TABLES[name]), list(rows))


def change_rows(session: Session, name: str, rows: Sequence[Row]) -> None:
    """Write rows over those with the same key."""
    table = _TABLES[name]
    keys = [column.name for column in table.primary_key]
    for row in rows:
        same = and_(*(table.c[key] == row[key] for key in keys))
        session.execute(update(table).where(same).values({key: row[key] for key in row if key not in keys}))


def drop_rows(session: Session, name: str, rows: Sequence[Mapping[str, Any]]) -> None:
    """Delete rows by their keys."""
    table = _TABLES[name]
    keys = [column.name for column in table.primary_key]
    gone = delete(table).where(and_(*(table.c[key] == bindparam(f"the_{key}") for key in keys)))
    for row in rows:
        session.execute(gone, {f"the_{key}": row[key] for key in keys})


def _parts(values: Collection[Any]) -> Iterator[list[Any]]:
    left = iter(values)
    while some := list(islice(left, AT_ONCE)):
        yield some
