"""Everything that was entered in the tries at a set, read through from end to end however much it is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import Any
from uuid import UUID

from sqlalchemy import Select, and_, or_, select
from sqlalchemy.orm import Session, aliased

from trainer.storage.models import Attempt, Entry, Learner, Mark, Override, SetProblem, SetTry

AT_ONCE = 200


@dataclass(frozen=True)
class EntryRecord:
    """An entry that counts, with the newest of its marks and what that rests on."""

    attempt_id: UUID
    entry_id: UUID
    mark_id: UUID
    step: str
    text: str
    made: datetime
    verdict: str
    mark: float
    slip: str | None
    basis: Mapping[str, Any]


@dataclass(frozen=True)
class AttemptRecord:
    """A problem of a try that was handed in, with its learner, its snapshot and its newest mark by hand."""

    attempt_id: UUID
    try_id: UUID
    learner_id: UUID
    name: str
    number: int
    try_started: datetime
    handed_in: datetime
    weight: float
    finished: datetime | None
    value: float | None
    override: float | None
    snapshot: Mapping[str, Any]


def attempt_records(session: Session, set_id: UUID) -> Iterator[tuple[AttemptRecord, list[EntryRecord]]]:
    """The problems of all tries at a set that were handed in, try by try, each with its entries.

    Two queries that run beside each other in the same order, so that nothing but one problem is held at a time.
    """
    entries = groupby(_entries(session, set_id), key=lambda each: each.attempt_id)
    waiting = next(entries, None)
    for attempt in _attempts(session, set_id):
        own: list[EntryRecord] = []
        if waiting is not None and waiting[0] == attempt.attempt_id:
            own = list(waiting[1])
            waiting = next(entries, None)
        yield attempt, own


def _attempts(session: Session, set_id: UUID) -> Iterator[AttemptRecord]:
    override = (
        select(Override.value)
        .where(Override.attempt_id == Attempt.id)
        .order_by(Override.made.desc(), Override.id.desc())
        .limit(1)
        .scalar_subquery()
    )
    columns: list[Any] = [
        *(Attempt.id, SetTry.id, SetTry.learner_id, Learner.name, SetTry.number, SetTry.started, SetTry.handed_in),
        *(SetProblem.weight, Attempt.finished, Attempt.value, override, Attempt.snapshot),
    ]
    wanted = _of_set(select(*columns).select_from(Attempt), set_id)
    wanted = wanted.join(Learner, Learner.id == SetTry.learner_id)
    for row in session.execute(wanted.execution_options(yield_per=AT_ONCE)):
        yield AttemptRecord(*row)


def _entries(session: Session, set_id: UUID) -> Iterator[EntryRecord]:
    columns = (Mark.id, Entry.step, Entry.text, Entry.made, Mark.verdict, Mark.mark, Mark.slip, Mark.basis)
    later = aliased(Mark)
    after = or_(later.made > Mark.made, and_(later.made == Mark.made, later.id > Mark.id))
    newest = ~select(later.id).where(later.entry_id == Mark.entry_id, after).exists()
    wanted = select(Entry.attempt_id, Entry.id, *columns).select_from(Mark).join(Entry, Entry.id == Mark.entry_id)
    wanted = _of_set(wanted.join(Attempt, Attempt.id == Entry.attempt_id), set_id)
    wanted = wanted.where(newest, Mark.mark.is_not(None)).order_by(Entry.made, Entry.id)
    for row in session.execute(wanted.execution_options(yield_per=AT_ONCE)):
        yield EntryRecord(*row)


def _of_set(wanted: Select[Any], set_id: UUID) -> Select[Any]:
    """Of the tries at a set that were handed in, in one order for all that is read of them."""
    return (
        wanted.join(SetTry, SetTry.id == Attempt.set_try_id)
        .join(SetProblem, SetProblem.id == Attempt.set_problem_id)
        .where(SetTry.set_id == set_id, SetTry.handed_in.is_not(None))
        .order_by(SetTry.handed_in, SetTry.id, SetProblem.position, Attempt.id)
    )
