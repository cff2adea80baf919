"""Papers that were made, and the work on paper that was typed in."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from trainer.errors import NotFound
from trainer.storage.ids import new_id
from trainer.storage.models import Attempt, Entry, Evidence, Learner, Override, Paper
from trainer.storage.models.base import table_of

PAPER = "paper"  # where an attempt comes from


@dataclass(frozen=True)
class PaperAttempt:
    """One problem of a paper as one learner worked it.

    ``typed`` is when it was typed in, ``written`` whether there are answers, ``override`` the newest mark by hand.
    """

    attempt_id: UUID
    learner_id: UUID
    name: str
    problem: str
    seed: int
    worked: datetime
    typed: datetime | None
    value: float | None
    override: float | None
    written: bool


def keep_paper(session: Session, seed: int, problems: Sequence[str], title: str, at: datetime) -> Paper:
    """Keep which problems a paper has, in their order; made again it is the same one, with its newest title."""
    found = next((each for each in papers_of(session, seed) if each.problems == list(problems)), None)
    if found is None:
        found = Paper(id=new_id(at), seed=seed, problems=list(problems), title=title, made=at)
        session.add(found)
    found.title, found.made = title, at
    session.flush()
    return found


def get_paper(session: Session, paper_id: UUID) -> Paper:
    """The paper of an id.

    Raises
    ------
    NotFound
        If there is none.
    """
    found = session.get(Paper, paper_id)
    if found is None:
        raise NotFound("there is no such paper")
    return found


def papers_of(session: Session, seed: int) -> list[Paper]:
    """The papers of a seed, the newest first."""
    wanted = select(Paper).where(Paper.seed == seed)
    return list(session.scalars(wanted.order_by(Paper.made.desc(), Paper.id.desc())))


def all_papers(session: Session) -> list[Paper]:
    """Every paper made here, the newest first."""
    return list(session.scalars(select(Paper).order_by(Paper.made.desc(), Paper.id.desc())))


def paper_attempts(
    session: Session, *, seeds: tuple[int, int] | None = None, learner_id: UUID | None = None
) -> list[PaperAttempt]:
    """What was typed in from papers, the first typed first; ``seeds`` are the lowest and the highest wanted."""
    override = (
        select(Override.value)
        .where(Override.attempt_id == Attempt.id)
        .order_by(Override.made.desc(), Override.id.desc())
        .limit(1)
        .scalar_subquery()
    )
    written = select(Entry.id).where(Entry.attempt_id == Attempt.id).exists()
    wanted = (
        select(
            Attempt.id,
            Attempt.learner_id,
            Learner.name,
            Attempt.source,
            Attempt.seed,
            Attempt.started,
            Attempt.solution_opened,
            Attempt.value,
            override,
            written,
        )
        .join(Learner, Learner.id == Attempt.learner_id)
        .where(Attempt.source_kind == PAPER)
        .order_by(Attempt.id)  # made when it was typed, whatever day it was worked on
    )
    wanted = wanted if seeds is None else wanted.where(Attempt.seed.between(*seeds))
    wanted = wanted if learner_id is None else wanted.where(Attempt.learner_id == learner_id)
    return [PaperAttempt(*row) for row in session.execute(wanted)]


def end_evidence(session: Session, attempts: Collection[UUID]) -> None:
    """Let attempts count for nothing any more, since others stand in their place; they stay as they are."""
    attempt, evidence = table_of(Attempt), table_of(Evidence)
    session.execute(update(attempt).where(attempt.c.id.in_(attempts)).values(evidence=False))
    session.execute(update(evidence).where(evidence.c.attempt_id.in_(attempts)).values(counts=False))
