"""Sheets that are part of a problem set: where they stand in their try, and when their solution may be seen."""

from __future__ import annotations

from uuid import UUID

from sqlalchemy.orm import Session

from trainer.errors import NotFound
from trainer.practice.tries import solutions_shown
from trainer.storage import results as kept_results
from trainer.storage.models import Attempt
from trainer.storage.problem_sets import get_set
from trainer.storage.set_tries import get_try


def attempt_at(session: Session, learner_id: UUID, try_id: UUID, number: int) -> Attempt:
    """The attempt at a place of a learner's try, counted from 1; one query.

    Raises
    ------
    NotFound
        If there is no such try of this learner, or no such place in it.
    """
    found = kept_results.attempt_at(session, try_id, number, learner_id) if number >= 1 else None
    if found is None:
        raise NotFound("there is no such sheet")
    return found


def place_of(session: Session, attempt: Attempt) -> tuple[UUID, int] | None:
    """The try that an attempt is part of and its place in it, counted from 1; None for one that is part of none."""
    if attempt.set_try_id is None:
        return None
    in_order = [each.id for each in kept_results.attempts_of_try(session, attempt.set_try_id)]
    return attempt.set_try_id, in_order.index(attempt.id) + 1


def solution_open(session: Session, attempt: Attempt) -> bool:
    """Whether an attempt's solution may be seen: its learner has opened it, or the rules of its set show it."""
    if attempt.solution_opened is not None or attempt.set_try_id is None:
        return attempt.solution_opened is not None
    set_try = get_try(session, attempt.set_try_id)
    return solutions_shown(get_set(session, set_try.set_id), set_try)
