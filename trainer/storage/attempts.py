"""Attempts: start, find, list, note what was opened, finish."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import bindparam, delete, func, insert, select, tuple_
from sqlalchemy.orm import Session, undefer

from trainer.errors import NotFound
from trainer.storage.ids import new_id
from trainer.storage.models import Attempt, Evidence
from trainer.storage.models.base import table_of

PROBLEM, HUNT, BRIEF = "problem", "hunt", "brief"
BENCH = (HUNT, BRIEF)  # what is worked on the bench, not on a sheet

# Building a statement takes as long as running it, so those of the hot path are built once.
_ONE = select(Attempt).where(Attempt.id == bindparam("attempt_id")).options(undefer(Attempt.snapshot))
_ONE_TO_CHANGE = _ONE.with_for_update()


def start_attempt(
    session: Session,
    learner_id: UUID,
    at: datetime,
    *,
    source: str,
    seed: int,
    worksheet: str,
    worksheet_version: int,
    skill: str,
    mode: str,
    snapshot: Mapping[str, Any],
    source_kind: str = PROBLEM,
) -> Attempt:
    """Start an attempt on a variant; ``snapshot`` is in plain JSON values."""
    attempt = Attempt(
        id=new_id(at),
        learner_id=learner_id,
        source_kind=source_kind,
        source=source,
        worksheet=worksheet,
        worksheet_version=worksheet_version,
        seed=seed,
        mode=mode,
        skill=skill,
        started=at,
        finished=None,
        aided=False,
        solution_opened=None,
        value=None,
        evidence=False,
        snapshot=dict(snapshot),
    )
    session.add(attempt)
    session.flush()
    return attempt


def get_attempt(
    session: Session, attempt_id: UUID, *, learner_id: UUID | None = None, lock: bool = False, kind: str | None = None
) -> Attempt:
    """Find an attempt with its snapshot.

    With ``learner_id``, somebody else's attempt does not exist. ``lock`` keeps other writers off this attempt to the
    end of the session: ask for it before adding an entry (on SQLite a writing session is alone anyway). ``kind`` is
    what the attempt is worked on; without it that is a sheet, whatever set it.

    Raises
    ------
    NotFound
        If there is none.
    """
    wanted = _ONE_TO_CHANGE if lock else _ONE
    attempt = session.scalars(wanted, {"attempt_id": attempt_id}).one_or_none()
    if attempt is None or learner_id not in (None, attempt.learner_id):
        raise NotFound("there is no such attempt")
    if attempt.source_kind != kind if kind else attempt.source_kind in BENCH:
        raise NotFound("there is no such attempt")
    return attempt


def attempts_of(
    session: Session, learner_id: UUID, *, before: UUID | None = None, limit: int = 50, of_sets: bool = True
) -> list[Attempt]:
    """A page of a learner's attempts, newest first, without snapshots; without those of problem sets if so wanted.

    ``before`` is the id of the last attempt of the page before; an id that is not the learner's gives nothing.
    """
    wanted = select(Attempt).where(Attempt.learner_id == learner_id)
    if not of_sets:
        wanted = wanted.where(Attempt.set_try_id.is_(None))
    if before is not None:
        place = select(Attempt.started, Attempt.id).where(Attempt.id == before, Attempt.learner_id == learner_id)
        wanted = wanted.where(tuple_(Attempt.started, Attempt.id) < place.scalar_subquery())
    return list(session.scalars(wanted.order_by(Attempt.started.desc(), Attempt.id.desc()).limit(limit)))


def every_attempt(session: Session) -> Iterator[Attempt]:
    """All attempts with their snapshots, a few at a time."""
    wanted = select(Attempt).options(undefer(Attempt.snapshot)).order_by(Attempt.id)
    for attempt in session.scalars(wanted.execution_options(yield_per=200)):
        yield attempt
        session.expunge(attempt)


def attempts_named(session: Session, learner_id: UUID, ids: Collection[UUID]) -> list[Attempt]:
    """Those of some attempts that are a learner's own, in the order in which they were begun, without snapshots."""
    wanted = select(Attempt).where(Attempt.learner_id == learner_id, Attempt.id.in_(ids))
    return list(session.scalars(wanted.order_by(Attempt.started, Attempt.id)))


def seeds_seen(session: Session, learner_id: UUID, source: str, *, source_kind: str = PROBLEM) -> set[int]:
    """The seeds a learner has met in a problem: a variant is fresh if its seed is not among them."""
    wanted = select(Attempt.seed).where(
        Attempt.source_kind == source_kind, Attempt.source == source, Attempt.learner_id == learner_id
    )
    return set(session.scalars(wanted))


def times_worked(session: Session, sources: Collection[str], *, source_kind: str = PROBLEM) -> dict[str, int]:
    """How many attempts each of some problems has had, those without any left out."""
    wanted = (
        select(Attempt.source, func.count())
        .where(Attempt.source_kind == source_kind, Attempt.source.in_(sources))
        .group_by(Attempt.source)
    )
    return {row[0]: row[1] for row in session.execute(wanted)}


def is_worked(session: Session, source: str, *, source_kind: str = PROBLEM) -> bool:
    """Whether a problem has had an attempt, finished or not."""
    wanted = select(Attempt.id).where(Attempt.source_kind == source_kind, Attempt.source == source).limit(1)
    return session.scalar(wanted) is not None


def skills_tried(session: Session, learner_id: UUID) -> set[str]:
    """The skills of all attempts of a learner, finished or not."""
    return set(session.scalars(select(Attempt.skill).where(Attempt.learner_id == learner_id).distinct()))


def note_aid(session: Session, attempt_id: UUID) -> None:
    """Note that a hint was opened; after the end it helps nobody and is not noted."""
    attempt = _to_change(session, attempt_id)
    attempt.aided = attempt.aided or attempt.finished is None
    session.flush()


def note_solution(session: Session, attempt_id: UUID, at: datetime) -> None:
    """Note when the solution was first opened, and as an aid if the attempt was not at its end."""
    attempt = _to_change(session, attempt_id)
    attempt.aided = attempt.aided or attempt.finished is None
    attempt.solution_opened = attempt.solution_opened or at
    session.flush()


def finish_attempt(
    session: Session,
    attempt_id: UUID,
    at: datetime,
    *,
    value: float,
    evidence: bool,
    skills: Mapping[str, float] | None = None,
) -> Attempt:
    """Close an attempt with what it is worth; closing it again values it anew and keeps the time.

    ``skills`` are the values for each skill inside a composite; without it the attempt's own skill has ``value``.
    """
    attempt = _to_change(session, attempt_id)
    attempt.finished = attempt.finished or at
    attempt.value, attempt.evidence = value, evidence
    session.flush()
    _keep_evidence(session, attempt, attempt.finished, {attempt.skill: value} if skills is None else skills)
    return attempt


def _to_change(session: Session, attempt_id: UUID) -> Attempt:
    attempt = session.get(Attempt, attempt_id, with_for_update=True)
    if attempt is None:
        raise NotFound("there is no such attempt")
    return attempt


def _keep_evidence(session: Session, attempt: Attempt, made: datetime, skills: Mapping[str, float]) -> None:
    table = table_of(Evidence)
    session.execute(delete(table).where(table.c.attempt_id == attempt.id))
    shared = {
        "attempt_id": attempt.id,
        "learner_id": attempt.learner_id,
        "made": made,
        "counts": attempt.evidence,
    }
    if skills:
        session.execute(insert(table), [shared | {"skill": name, "value": part} for name, part in skills.items()])
