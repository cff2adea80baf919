"""More time for one person, and when tries under way are over."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.language import gettext
from trainer.practice.plans import MOST_MINUTES, Fault, PlanRefused
from trainer.storage import problem_sets as kept
from trainer.storage import set_tries as kept_tries
from trainer.storage.learners import get_learner
from trainer.storage.models import ProblemSet
from trainer.storage.problem_sets import OPEN
from trainer.storage.set_tries import Allowance, ends_at


def extend(
    session: Session,
    set_id: UUID,
    learner_id: UUID,
    *,
    reason: str,
    by_name: str,
    at: datetime,
    minutes: int = 0,
    due: datetime | None = None,
) -> None:
    """Give one person more minutes, a later date, or both; a try under way goes on accordingly.

    Raises
    ------
    PlanRefused
        If nothing is given, or no reason.
    """
    extended = kept.get_set(session, set_id, lock=True)
    faults: list[Fault] = []
    learner_id = get_learner(session, learner_id).id
    if not reason.strip():
        faults.append(("reason", gettext("More time needs a reason.")))
    if minutes < 0 or (minutes == 0 and due is None):
        faults.append(("minutes", gettext("Give more minutes, a later date, or both.")))
    if minutes > MOST_MINUTES:
        faults.append(("minutes", gettext("At most {n} minutes are given at once.").format(n=MOST_MINUTES)))
    if minutes and extended.minutes is None:
        faults.append(("minutes", gettext("This set has no time limit to extend.")))
    if due is not None and (extended.due is None or due <= extended.due):
        faults.append(("due", gettext("The date is not later than that of the set.")))
    if faults:
        raise PlanRefused(faults)
    kept_tries.add_extension(
        session, set_id, learner_id, minutes=minutes, due=due, reason=reason.strip(), by_name=by_name, at=at
    )
    retime(session, extended, learner_id)


def retime(session: Session, problem_set: ProblemSet, learner_id: UUID | None = None) -> None:
    """Work the ends of running tries out anew; those of a closed set stay as they are."""
    if problem_set.state == OPEN:
        allowed = kept_tries.allowances(session, set_id=problem_set.id)
        for each in kept_tries.running_tries(session, problem_set.id, learner_id):
            own = allowed.get((problem_set.id, each.learner_id), Allowance())
            each.ends = ends_at(problem_set, each.started, own)
    session.flush()
