"""Overrides, remarks, complaints, re-marking, sign-offs and what was witnessed: add and read."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, TypeVar
from uuid import UUID

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session, undefer

from trainer.errors import NotFound
from trainer.storage.ids import new_id
from trainer.storage.models import (
    Attempt,
    Complaint,
    Entry,
    Learner,
    Mark,
    Override,
    Remark,
    Remarking,
    SetTry,
    SignOff,
    Witnessed,
)
from trainer.storage.models.base import Base

Row = TypeVar("Row", bound=Base)


@dataclass(frozen=True)
class ComplaintRow:
    """A complaint with the variant it is about and who made it."""

    complaint: Complaint
    problem: str
    seed: int
    learner_id: UUID
    name: str
    set_id: UUID | None
    snapshot: Mapping[str, Any]


@dataclass(frozen=True)
class MarkRow:
    """One of the marks of an entry, the reason for it and when it was given."""

    entry_id: UUID
    verdict: str
    mark: float | None
    message: str
    slip: str | None
    reason: str
    made: datetime


def add_override(session: Session, attempt_id: UUID, value: float, reason: str, by_name: str, at: datetime) -> Override:
    """Give an attempt another value; the ones before stay."""
    row = Override(id=new_id(at), attempt_id=attempt_id, value=value, reason=reason, by_name=by_name, made=at)
    return _added(session, row)


def add_remark(session: Session, attempt_id: UUID, text: str, by_name: str, at: datetime) -> Remark:
    """Add a word to the learner."""
    return _added(session, Remark(id=new_id(at), attempt_id=attempt_id, text=text, by_name=by_name, made=at))


def add_complaint(session: Session, attempt_id: UUID, text: str, at: datetime) -> Complaint:
    """Keep that a problem looks wrong."""
    row = Complaint(
        id=new_id(at), attempt_id=attempt_id, text=text, made=at, answer=None, answered_by=None, settled=None
    )
    return _added(session, row)


def get_complaint(session: Session, complaint_id: UUID) -> Complaint:
    """The complaint of an id, to be answered.

    Raises
    ------
    NotFound
        If there is none.
    """
    found = session.get(Complaint, complaint_id, with_for_update=True)
    if found is None:
        raise NotFound("there is no such complaint")
    return found


def list_complaints(session: Session, *, settled: bool = False) -> list[ComplaintRow]:
    """Complaints, open or settled, the oldest first."""
    wanted = (
        select(Complaint, Attempt.source, Attempt.seed, Learner.id, Learner.name, SetTry.set_id, Attempt.snapshot)
        .join(Attempt, Attempt.id == Complaint.attempt_id)
        .join(Learner, Learner.id == Attempt.learner_id)
        .outerjoin(SetTry, SetTry.id == Attempt.set_try_id)
        .where(Complaint.settled.is_not(None) if settled else Complaint.settled.is_(None))
    )
    return [ComplaintRow(*row) for row in session.execute(wanted.order_by(Complaint.made, Complaint.id))]


def count_complaints(session: Session) -> int:
    """How many complaints wait for an answer."""
    return session.scalar(select(func.count()).select_from(Complaint).where(Complaint.settled.is_(None))) or 0


def added_to(session: Session, model: type[Row], attempts: Collection[UUID]) -> list[Row]:
    """The overrides, remarks, complaints or re-markings of attempts, the first one first."""
    columns = model.__table__.c
    wanted = select(model).where(columns.attempt_id.in_(attempts)).order_by(columns.made, columns.id)
    return list(session.scalars(wanted))


def anything_said(session: Session, attempt_id: UUID) -> bool:
    """Whether an attempt has any override, remark, complaint or re-marking."""
    said = (
        select(each.id).where(each.attempt_id == attempt_id).exists()
        for each in (Override, Remark, Complaint, Remarking)
    )
    return bool(session.scalar(select(or_(*said))))


def marks_of_attempt(session: Session, attempt_id: UUID) -> dict[UUID, list[MarkRow]]:
    """All marks of the entries of an attempt by entry, the newest last."""
    columns = [getattr(Mark, name) for name in MarkRow.__dataclass_fields__]
    wanted = select(*columns).join(Entry, Entry.id == Mark.entry_id).where(Entry.attempt_id == attempt_id)
    grouped: dict[UUID, list[MarkRow]] = {}
    for row in session.execute(wanted.order_by(Mark.made, Mark.id)):
        grouped.setdefault(row[0], []).append(MarkRow(*row))
    return grouped


def add_remarking(
    session: Session,
    attempt_id: UUID,
    *,
    value_before: float | None,
    value_after: float,
    snapshot: Mapping[str, Any],
    reason: str,
    by_name: str,
    at: datetime,
) -> Remarking:
    """Keep that an attempt was marked again, from what to what."""
    row = Remarking(
        id=new_id(at),
        attempt_id=attempt_id,
        value_before=value_before,
        value_after=value_after,
        reason=reason,
        by_name=by_name,
        made=at,
        snapshot=dict(snapshot),
    )
    return _added(session, row)


def newest_remarking(session: Session, attempt_id: UUID) -> Remarking | None:
    """The newest re-marking of an attempt, with its snapshot."""
    wanted = select(Remarking).where(Remarking.attempt_id == attempt_id).options(undefer(Remarking.snapshot))
    return session.scalars(wanted.order_by(Remarking.made.desc(), Remarking.id.desc()).limit(1)).one_or_none()


def corrected_snapshots(session: Session, set_id: UUID) -> dict[UUID, Mapping[str, Any]]:
    """What the attempts of a set that were marked again were last marked against, by attempt."""
    wanted = (
        select(Remarking.attempt_id, Remarking.snapshot)
        .join(Attempt, Attempt.id == Remarking.attempt_id)
        .join(SetTry, SetTry.id == Attempt.set_try_id)
        .where(SetTry.set_id == set_id)
        .order_by(Remarking.made, Remarking.id)
    )
    return {row[0]: row[1] for row in session.execute(wanted)}  # of several the last one holds


def add_sign_off(
    session: Session,
    learner_id: UUID,
    skill: str,
    *,
    by_name: str,
    remark: str,
    evidence: Mapping[str, Any],
    at: datetime,
) -> SignOff:
    """Keep an instructor's word, with the evidence in plain JSON values."""
    row = SignOff(
        id=new_id(at),
        learner_id=learner_id,
        skill=skill,
        by_name=by_name,
        remark=remark,
        made=at,
        withdrawn=None,
        withdrawn_by=None,
        withdrawn_reason=None,
        evidence=dict(evidence),
    )
    return _added(session, row)


def get_sign_off(session: Session, sign_off_id: UUID) -> SignOff:
    """The sign-off of an id, to be withdrawn.

    Raises
    ------
    NotFound
        If there is none.
    """
    found = session.get(SignOff, sign_off_id, with_for_update=True)
    if found is None:
        raise NotFound("there is no such sign-off")
    return found


def sign_offs_of(session: Session, learner_id: UUID, skill: str | None = None) -> list[SignOff]:
    """The sign-offs of a learner, withdrawn ones too, the newest first."""
    wanted = select(SignOff).where(SignOff.learner_id == learner_id)
    wanted = wanted if skill is None else wanted.where(SignOff.skill == skill)
    return list(session.scalars(wanted.order_by(SignOff.made.desc(), SignOff.id.desc())))


def add_witnessed(
    session: Session,
    learner_id: UUID,
    skill: str,
    *,
    what: str,
    equipment: str,
    seen_by: str,
    seen_on: date,
    entered_by: str,
    at: datetime,
) -> Witnessed:
    """Keep what somebody has seen done on real equipment."""
    row = Witnessed(
        id=new_id(at),
        learner_id=learner_id,
        skill=skill,
        what=what,
        equipment=equipment,
        seen_by=seen_by,
        seen_on=seen_on,
        entered_by=entered_by,
        made=at,
    )
    return _added(session, row)


def witnessed_of(session: Session, learner_id: UUID, skill: str | None = None) -> list[Witnessed]:
    """What was seen of a learner's work, the newest first."""
    wanted = select(Witnessed).where(Witnessed.learner_id == learner_id)
    wanted = wanted if skill is None else wanted.where(Witnessed.skill == skill)
    return list(session.scalars(wanted.order_by(Witnessed.seen_on.desc(), Witnessed.id.desc())))


def _added(session: Session, row: Row) -> Row:
    session.add(row)
    session.flush()
    return row
