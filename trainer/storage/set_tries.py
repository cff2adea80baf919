"""Tries at problem sets, and the extensions given for them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from trainer.errors import NotFound
from trainer.storage.ids import new_id
from trainer.storage.models import Extension, ProblemSet, SetTry


@dataclass(frozen=True)
class Allowance:
    """What one person has been given beyond a set's own limits."""

    minutes: int = 0
    due: datetime | None = None


def add_try(
    session: Session, set_id: UUID, learner_id: UUID, number: int, at: datetime, ends: datetime | None
) -> SetTry:
    """Begin a try."""
    begun = SetTry(
        id=new_id(at), set_id=set_id, learner_id=learner_id, number=number, started=at, ends=ends, handed_in=None
    )
    session.add(begun)
    session.flush()
    return begun


def get_try(session: Session, try_id: UUID, *, learner_id: UUID | None = None, lock: bool = False) -> SetTry:
    """The try of an id; with ``learner_id``, somebody else's does not exist.

    Raises
    ------
    NotFound
        If there is none.
    """
    found = session.get(SetTry, try_id, with_for_update=lock)
    if found is None or learner_id not in (None, found.learner_id):
        raise NotFound("there is no such try")
    return found


def tries_of(session: Session, set_id: UUID, learner_id: UUID | None = None) -> list[SetTry]:
    """The tries at a set, of all or of one learner, in order."""
    wanted = select(SetTry).where(SetTry.set_id == set_id).order_by(SetTry.learner_id, SetTry.number)
    return list(session.scalars(wanted if learner_id is None else wanted.where(SetTry.learner_id == learner_id)))


def tries_by(session: Session, learner_id: UUID) -> list[SetTry]:
    """All tries of a learner, in order."""
    wanted = select(SetTry).where(SetTry.learner_id == learner_id)
    return list(session.scalars(wanted.order_by(SetTry.set_id, SetTry.number)))


def running_tries(session: Session, set_id: UUID, learner_id: UUID | None = None) -> list[SetTry]:
    """The tries at a set that have not been handed in."""
    wanted = select(SetTry).where(SetTry.set_id == set_id, SetTry.handed_in.is_(None))
    return list(session.scalars(wanted if learner_id is None else wanted.where(SetTry.learner_id == learner_id)))


def ended_tries(
    session: Session, before: datetime, *, set_id: UUID | None = None, learner_id: UUID | None = None
) -> list[SetTry]:
    """Tries whose time was over before a moment and that nobody has handed in."""
    wanted = select(SetTry).where(SetTry.handed_in.is_(None), SetTry.ends < before)
    for column, value in ((SetTry.set_id, set_id), (SetTry.learner_id, learner_id)):
        wanted = wanted if value is None else wanted.where(column == value)
    return list(session.scalars(wanted.order_by(SetTry.ends, SetTry.id)))


def add_extension(
    session: Session,
    set_id: UUID,
    learner_id: UUID,
    *,
    minutes: int,
    due: datetime | None,
    reason: str,
    by_name: str,
    at: datetime,
) -> Extension:
    """Give one person more time for a set."""
    given = Extension(
        id=new_id(at),
        set_id=set_id,
        learner_id=learner_id,
        minutes=minutes,
        due=due,
        reason=reason,
        by_name=by_name,
        made=at,
    )
    session.add(given)
    session.flush()
    return given


def extensions_of(session: Session, set_id: UUID) -> list[Extension]:
    """The extensions given for a set, the first one first."""
    return list(session.scalars(select(Extension).where(Extension.set_id == set_id).order_by(Extension.id)))


def allowances(
    session: Session, *, set_id: UUID | None = None, learner_id: UUID | None = None
) -> dict[tuple[UUID, UUID], Allowance]:
    """What has been given, by set and learner: all minutes together, and the latest date."""
    wanted = select(Extension.set_id, Extension.learner_id, func.sum(Extension.minutes), func.max(Extension.due))
    for column, value in ((Extension.set_id, set_id), (Extension.learner_id, learner_id)):
        wanted = wanted if value is None else wanted.where(column == value)
    rows = session.execute(wanted.group_by(Extension.set_id, Extension.learner_id))
    return {(row[0], row[1]): Allowance(row[2], row[3]) for row in rows}


def ends_at(problem_set: ProblemSet, started: datetime, allowed: Allowance) -> datetime | None:
    """When a try that was started at a moment is over: its minutes are, or the set is due, whichever is first."""
    limits = [due_for(problem_set, allowed)]
    if problem_set.minutes is not None:
        limits.append(started + timedelta(minutes=problem_set.minutes + allowed.minutes))
    return min((limit for limit in limits if limit is not None), default=None)


def due_for(problem_set: ProblemSet, allowed: Allowance) -> datetime | None:
    """When a set is due for one person."""
    if problem_set.due is None or allowed.due is None:
        return problem_set.due
    return max(problem_set.due, allowed.due)
