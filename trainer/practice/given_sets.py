"""What a learner has been given to work, and what of it is still to hand in."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.errors import NotFound
from trainer.storage import problem_sets as kept
from trainer.storage import set_tries as kept_tries
from trainer.storage.models import ProblemSet, SetTry, StudyGroup
from trainer.storage.problem_sets import OPEN
from trainer.storage.set_tries import Allowance, due_for


@dataclass(frozen=True)
class GivenSet:
    """A set that a learner has been given, and how far the learner is with it.

    ``due`` and ``minutes`` hold for this learner, extensions included.
    """

    problem_set: ProblemSet
    group: StudyGroup
    problems: int
    due: datetime | None
    minutes: int | None
    tries: tuple[SetTry, ...]

    @property
    def running(self) -> SetTry | None:
        """The try under way."""
        return next((each for each in self.tries if each.handed_in is None), None)

    @property
    def handed_in(self) -> SetTry | None:
        """The newest try that has been handed in."""
        return next((each for each in reversed(self.tries) if each.handed_in is not None), None)

    def may_start(self, at: datetime) -> bool:
        """Whether another try may be started."""
        open_still = self.problem_set.state == OPEN and (self.due is None or at < self.due)
        return open_still and self.running is None and len(self.tries) < self.problem_set.tries

    def missed(self, at: datetime) -> bool:
        """Whether the date has passed with nothing handed in and nothing under way."""
        return self.due is not None and at >= self.due and self.running is None and self.handed_in is None


def sets_for(session: Session, learner_id: UUID) -> list[GivenSet]:
    """The sets of a learner's groups, open or closed, with the learner's tries; three queries."""
    tries: dict[UUID, list[SetTry]] = {}
    for each in kept_tries.tries_by(session, learner_id):
        tries.setdefault(each.set_id, []).append(each)
    allowed = kept_tries.allowances(session, learner_id=learner_id)
    given = []
    for line in kept.sets_given_to(session, learner_id):
        own = allowed.get((line.problem_set.id, learner_id), Allowance())
        minutes = line.problem_set.minutes
        given.append(
            GivenSet(
                line.problem_set,
                line.group,
                line.problems,
                due_for(line.problem_set, own),
                None if minutes is None else minutes + own.minutes,
                tuple(tries.get(line.problem_set.id, ())),
            )
        )
    return given


def given_set(session: Session, learner_id: UUID, set_id: UUID) -> GivenSet:
    """One set that a learner has been given.

    Raises
    ------
    NotFound
        If it has not been given to this learner.
    """
    for each in sets_for(session, learner_id):
        if each.problem_set.id == set_id:
            return each
    raise NotFound("there is no such problem set")


def due_list(session: Session, learner_id: UUID, at: datetime) -> list[GivenSet]:
    """What a learner has still to hand in, the first to be due first; three queries."""
    return still_due(sets_for(session, learner_id), at)


def still_due(given: Iterable[GivenSet], at: datetime) -> list[GivenSet]:
    """Those of the given sets that are still to be handed in, the first to be due first."""
    wanted = [each for each in given if each.running or (each.handed_in is None and each.may_start(at))]
    return sorted(wanted, key=lambda each: (each.due is None, each.due or at))
