"""What came of a set: the attempts of its tries with their entries and values, each question in one query."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import ColumnElement, Select, and_, func, or_, select
from sqlalchemy.orm import Session, aliased, undefer

from trainer.storage.entries import KeptEntry
from trainer.storage.models import (
    Attempt,
    Complaint,
    Draft,
    Entry,
    Learner,
    Mark,
    Membership,
    Override,
    SetProblem,
    SetTry,
)


@dataclass(frozen=True)
class PersonOfSet:
    """Somebody whose results a set has or will have; ``member`` is false for who has left the group."""

    learner_id: UUID
    name: str
    member: bool


@dataclass(frozen=True)
class ValueRow:
    """What one attempt of a try is worth: by its entries, and by the newest word of an instructor."""

    attempt_id: UUID
    set_try_id: UUID
    set_problem_id: UUID
    weight: float
    value: float | None
    override: float | None
    complaint: bool


@dataclass(frozen=True)
class SlipCount:
    """A slip that was met: in which worksheet, how often, by how many learners, its sentence for one, its skill."""

    worksheet: str
    slip: str
    message: str
    entries: int
    learners: int
    skill: str


@dataclass(frozen=True)
class ItemRow:
    """A problem in a try that was handed in; ``worked`` says that something in it could be marked."""

    learner_id: UUID
    number: int
    set_problem_id: UUID
    value: float | None
    aided: bool
    worked: bool


@dataclass(frozen=True)
class JudgedEntry:
    """An entry with what its newest mark rests on."""

    entry: KeptEntry
    basis: Mapping[str, Any]


def attempts_of_try(session: Session, try_id: UUID) -> list[Attempt]:
    """The attempts of a try with their snapshots, in the order of the set."""
    wanted = select(Attempt).join(SetProblem, SetProblem.id == Attempt.set_problem_id)
    wanted = wanted.where(Attempt.set_try_id == try_id).options(undefer(Attempt.snapshot))
    return list(session.scalars(wanted.order_by(SetProblem.position, Attempt.id)))


def attempt_at(session: Session, try_id: UUID, number: int, learner_id: UUID) -> Attempt | None:
    """The attempt that stands at a place, counted from 1, in a learner's own try; with its snapshot."""
    wanted = select(Attempt).join(SetProblem, SetProblem.id == Attempt.set_problem_id)
    wanted = wanted.where(Attempt.set_try_id == try_id, Attempt.learner_id == learner_id)
    wanted = wanted.options(undefer(Attempt.snapshot)).order_by(SetProblem.position, Attempt.id)
    return session.scalars(wanted.offset(number - 1).limit(1)).one_or_none()


def not_begun(session: Session, learner_id: UUID) -> dict[UUID, int]:
    """How many problems of each try under way hold nothing yet, by try; tries without such a problem are left out."""
    held = (select(each.attempt_id).where(each.attempt_id == Attempt.id).exists() for each in (Draft, Entry))
    wanted = (
        select(SetTry.id, func.count())
        .join(Attempt, Attempt.set_try_id == SetTry.id)
        .where(SetTry.learner_id == learner_id, SetTry.handed_in.is_(None), *(~each for each in held))
        .group_by(SetTry.id)
    )
    return {row[0]: row[1] for row in session.execute(wanted)}


def attempts_handed_in(session: Session, set_id: UUID) -> list[tuple[Attempt, SetTry, str]]:
    """The attempts of every try at a set that was handed in, with their snapshots and the learner's name."""
    wanted = (
        select(Attempt, SetTry, Learner.name)
        .join(SetTry, SetTry.id == Attempt.set_try_id)
        .join(SetProblem, SetProblem.id == Attempt.set_problem_id)
        .join(Learner, Learner.id == Attempt.learner_id)
        .where(SetTry.set_id == set_id, SetTry.handed_in.is_not(None))
        .options(undefer(Attempt.snapshot))
        .order_by(Learner.name, Learner.id, SetTry.number, SetProblem.position)
    )
    return [(row[0], row[1], row[2]) for row in session.execute(wanted)]


def drafts_of_try(session: Session, try_id: UUID) -> dict[UUID, dict[str, str]]:
    """The texts kept for the attempts of a try, by attempt and step."""
    wanted = select(Draft.attempt_id, Draft.step, Draft.text).join(Attempt, Attempt.id == Draft.attempt_id)
    drafts: dict[UUID, dict[str, str]] = {}
    for attempt_id, step, text in session.execute(wanted.where(Attempt.set_try_id == try_id)):
        drafts.setdefault(attempt_id, {})[step] = text
    return drafts


def entries_of_try(session: Session, try_id: UUID) -> dict[UUID, list[KeptEntry]]:
    """The entries of a try by attempt, each with its newest mark."""
    rows = session.execute(_with_marks().where(Attempt.set_try_id == try_id))
    newest = {row[0]: KeptEntry(*row) for row in rows}
    return _by_attempt(newest)


def entries_of_set(session: Session, set_id: UUID) -> dict[UUID, list[JudgedEntry]]:
    """The entries of all tries handed in by attempt, each with its newest mark and what that rests on."""
    wanted = _with_marks(Mark.basis).join(SetTry, SetTry.id == Attempt.set_try_id)
    rows = session.execute(wanted.where(SetTry.set_id == set_id, SetTry.handed_in.is_not(None)))
    newest = {row[0]: JudgedEntry(KeptEntry(*row[:-1]), row[-1]) for row in rows}
    grouped: dict[UUID, list[JudgedEntry]] = {}
    for each in newest.values():
        grouped.setdefault(each.entry.attempt_id, []).append(each)
    return grouped


def people_of_set(session: Session, set_id: UUID, group_id: UUID) -> list[PersonOfSet]:
    """Who is in the group of a set, and who has tried it and left, by name."""
    tried = select(SetTry.learner_id).where(SetTry.set_id == set_id)
    wanted = (
        select(Learner.id, Learner.name, Membership.learner_id.is_not(None))
        .outerjoin(
            Membership,
            and_(Membership.learner_id == Learner.id, Membership.group_id == group_id, Membership.ended.is_(None)),
        )
        .where(or_(Membership.learner_id.is_not(None), Learner.id.in_(tried)))
        .order_by(Learner.name, Learner.id)
    )
    return [PersonOfSet(row[0], row[1], bool(row[2])) for row in session.execute(wanted)]


def values_of(session: Session, *, set_id: UUID | None = None, learner_id: UUID | None = None) -> list[ValueRow]:
    """The attempts of all tries at a set, or by a learner, with what they are worth."""
    override = (
        select(Override.value)
        .where(Override.attempt_id == Attempt.id)
        .order_by(Override.made.desc(), Override.id.desc())
        .limit(1)
        .scalar_subquery()
    )
    complaint = select(Complaint.id).where(Complaint.attempt_id == Attempt.id, Complaint.settled.is_(None)).exists()
    wanted = (
        select(
            Attempt.id,
            SetTry.id,
            SetProblem.id,
            SetProblem.weight,
            Attempt.value,
            override,
            complaint,
        )
        .join(SetTry, SetTry.id == Attempt.set_try_id)
        .join(SetProblem, SetProblem.id == Attempt.set_problem_id)
        .order_by(SetTry.id, SetProblem.position)
    )
    wanted = wanted if set_id is None else wanted.where(SetTry.set_id == set_id)
    wanted = wanted if learner_id is None else wanted.where(SetTry.learner_id == learner_id)
    return [ValueRow(*row) for row in session.execute(wanted)]


def slip_counts(
    session: Session,
    *,
    group_id: UUID | None = None,
    set_id: UUID | None = None,
    since: datetime | None = None,
) -> list[SlipCount]:
    """Slips by the newest mark of each entry, the most frequent first.

    Of the members of a group in all their work, or of the tries at one set.
    """
    entries = func.count().label("entries")
    learners = func.count(Attempt.learner_id.distinct())
    columns = (func.min(Mark.message), entries, learners, func.min(Entry.step_skill))
    asked: Any = select(Attempt.worksheet, Mark.slip, *columns)
    wanted = _entered(asked, group_id, set_id, since)
    wanted = wanted.where(Mark.slip.is_not(None), _newest()).group_by(Attempt.worksheet, Mark.slip)
    rows = session.execute(wanted.order_by(entries.desc(), Attempt.worksheet, Mark.slip))
    return [SlipCount(row[0], row[1] or "", *row[2:]) for row in rows]


def slip_people(session: Session, group_id: UUID, since: datetime | None = None) -> dict[tuple[str, str], list[str]]:
    """The names of those in a group who made a slip, by worksheet and slip."""
    asked: Any = select(Attempt.worksheet, Mark.slip, Learner.name, Learner.id)
    wanted = _entered(asked, group_id, None, since)
    wanted = wanted.join(Learner, Learner.id == Attempt.learner_id).where(Mark.slip.is_not(None), _newest())
    names: dict[tuple[str, str], list[str]] = {}
    for worksheet, slip, name, _ in session.execute(wanted.distinct().order_by(Learner.name, Learner.id)):
        names.setdefault((worksheet, slip), []).append(name)
    return names


def people_at_work(session: Session, group_id: UUID, since: datetime | None = None) -> int:
    """How many members of a group have had an entry marked."""
    asked: Any = select(func.count(Attempt.learner_id.distinct())).where(Mark.mark.is_not(None))
    return session.scalar(_entered(asked, group_id, None, since)) or 0


def item_rows(session: Session, set_id: UUID) -> list[ItemRow]:
    """The problems of every try at a set that was handed in, the first try of each learner first."""
    worked = select(Entry.id).where(Entry.attempt_id == Attempt.id, Entry.first.is_(True)).exists()
    wanted = (
        select(SetTry.learner_id, SetTry.number, SetProblem.id, Attempt.value, Attempt.aided, worked)
        .select_from(Attempt)
        .join(SetTry, SetTry.id == Attempt.set_try_id)
        .join(SetProblem, SetProblem.id == Attempt.set_problem_id)
        .where(SetTry.set_id == set_id, SetTry.handed_in.is_not(None))
        .order_by(SetTry.learner_id, SetTry.number)
    )
    return [ItemRow(*row) for row in session.execute(wanted)]


_MARK_COLUMNS = ("verdict", "mark", "message", "slip")


def _with_marks(*more: Any) -> Select[Any]:
    """Entries with all their marks, the newest of each last."""
    names = KeptEntry.__dataclass_fields__
    columns = [getattr(Mark if name in _MARK_COLUMNS else Entry, name) for name in names]
    wanted = select(*columns, *more).join(Mark, Mark.entry_id == Entry.id).join(Attempt, Attempt.id == Entry.attempt_id)
    return wanted.order_by(Entry.made, Entry.id, Mark.made, Mark.id)


def _by_attempt(entries: Mapping[UUID, KeptEntry]) -> dict[UUID, list[KeptEntry]]:
    grouped: dict[UUID, list[KeptEntry]] = {}
    for entry in entries.values():
        grouped.setdefault(entry.attempt_id, []).append(entry)
    return grouped


def _entered(wanted: Any, group_id: UUID | None, set_id: UUID | None, since: datetime | None) -> Any:
    """What is asked of marks, among those of a group's members, of the tries at a set, in work begun since a moment."""
    wanted = wanted.select_from(Mark).join(Entry, Entry.id == Mark.entry_id)
    wanted = wanted.join(Attempt, Attempt.id == Entry.attempt_id)
    if set_id is not None:
        wanted = wanted.join(SetTry, SetTry.id == Attempt.set_try_id).where(SetTry.set_id == set_id)
    if group_id is not None:
        members = select(Membership.learner_id).where(Membership.group_id == group_id, Membership.ended.is_(None))
        wanted = wanted.where(Attempt.learner_id.in_(members))
    return wanted if since is None else wanted.where(Attempt.started >= since)


def _newest() -> ColumnElement[bool]:
    later = aliased(Mark)
    after = or_(later.made > Mark.made, and_(later.made == Mark.made, later.id > Mark.id))
    return ~select(later.id).where(later.entry_id == Mark.entry_id, after).exists()
