"""The entries by which tries at a set are valued: the first that could be marked of each step."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from sqlalchemy import func, select, tuple_
from sqlalchemy.orm import Session, aliased

from trainer.storage.models import Attempt, Entry, Mark, SetProblem, SetTry


@dataclass(frozen=True)
class WrongEntry:
    """A first entry that did not get the full mark: what was typed, the verdict, and the slip if one was named."""

    learner_id: UUID
    set_problem_id: UUID
    step: str
    text: str
    verdict: str
    slip: str | None
    message: str


def wrong_first_entries(session: Session, set_id: UUID) -> list[WrongEntry]:
    """First entries without the full mark, by their newest marks, in each learner's first try that was handed in."""
    tried, later = aliased(SetTry), aliased(Mark)
    earliest = (
        select(func.min(tried.number))
        .where(tried.set_id == set_id, tried.learner_id == SetTry.learner_id, tried.handed_in.is_not(None))
        .scalar_subquery()
    )
    newer = select(later.id).where(
        later.entry_id == Mark.entry_id, tuple_(later.made, later.id) > tuple_(Mark.made, Mark.id)
    )
    columns = (Entry.step, Entry.text, Mark.verdict, Mark.slip, Mark.message)
    wanted = (
        select(SetTry.learner_id, SetProblem.id, *columns)
        .select_from(SetTry)
        .join(Attempt, Attempt.set_try_id == SetTry.id)
        .join(SetProblem, SetProblem.id == Attempt.set_problem_id)
        .join(Entry, Entry.attempt_id == Attempt.id)
        .join(Mark, Mark.entry_id == Entry.id)
        .where(SetTry.set_id == set_id, SetTry.number == earliest)
        .where(Entry.first.is_(True), Mark.mark < 1.0, ~newer.exists())
        .order_by(Entry.made, Entry.id)
    )
    return [WrongEntry(*row) for row in session.execute(wanted)]
