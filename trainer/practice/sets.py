"""Problem sets: make and edit a draft, open, close, copy."""

from __future__ import annotations

import secrets
from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.errors import Conflict
from trainer.language import gettext
from trainer.practice.attempts import SEEDS
from trainer.practice.plans import (
    LONGEST_TITLE,
    Outdated,
    Plan,
    PlanRefused,
    faults_of,
    opening_faults,
    plan_of,
    tidied,
)
from trainer.practice.time_limits import retime
from trainer.storage import problem_sets as kept
from trainer.storage import set_tries as kept_tries
from trainer.storage.groups import get_group
from trainer.storage.models import ProblemSet, SetProblem
from trainer.storage.problem_sets import CLOSED, DRAFT, OPEN, SAME, ProblemRow


def make_set(
    session: Session, group_id: UUID, plan: Plan, problems: Collection[str], by_name: str, at: datetime
) -> ProblemSet:
    """Make a draft; ``problems`` are the ids of those in the library.

    Raises
    ------
    PlanRefused
        With every fault of the plan.
    """
    group, plan = get_group(session, group_id), tidied(plan)
    _check(session, group.id, plan, problems)
    made = kept.add_set(session, group.id, at, plan.columns())
    _put_problems(session, made, plan, [], at)
    _keep_edit(session, made, by_name, at)
    return made


def edit_set(
    session: Session,
    set_id: UUID,
    plan: Plan,
    version: int,
    problems: Collection[str],
    by_name: str,
    at: datetime,
) -> ProblemSet:
    """Change a set; ``version`` is that of the set as the editor saw it. Running tries keep to the new limits.

    Raises
    ------
    Outdated
        If somebody else has edited it meanwhile; nothing typed is lost.
    Conflict
        If learners have started it and the plan changes what they work on.
    PlanRefused
        With every fault of the plan.
    """
    edited, plan = kept.get_set(session, set_id, lock=True), tidied(plan)
    there = kept.problems_of(session, set_id)
    now = plan_of(edited, there)
    if version != edited.version:
        seen = kept.edit_at(session, set_id, version)
        raise Outdated(Plan.from_json(seen.plan) if seen else now, now, plan, edited.version)
    if kept_tries.tries_of(session, set_id):
        _check_started(now, plan)
        problems = {*problems, *(each.problem for each in there)}  # one that is gone cannot be taken out any more
    opening = at if edited.state == OPEN and (plan.due, plan.problems) != (now.due, now.problems) else None
    _check(session, edited.group_id, plan, problems, edited, opening)
    for name, value in plan.columns().items():
        setattr(edited, name, value)
    edited.version, edited.changed = edited.version + 1, at
    _put_problems(session, edited, plan, there, at)
    _keep_edit(session, edited, by_name, at)
    retime(session, edited)
    return edited


def open_set(session: Session, set_id: UUID, problems: Collection[str], at: datetime) -> ProblemSet:
    """Give a set to its group; a closed one can be opened again.

    Raises
    ------
    PlanRefused
        With everything that keeps it from being given.
    """
    opened = kept.get_set(session, set_id, lock=True)
    if opened.state != OPEN:
        plan = plan_of(opened, kept.problems_of(session, set_id))
        _check(session, opened.group_id, plan, problems, opened, at)
        opened.state, opened.changed = OPEN, at
        retime(session, opened)
    return opened


def close_set(session: Session, set_id: UUID, at: datetime, release_solutions: bool = False) -> ProblemSet:
    """Close a set: the time of running tries is over now, and solutions may be shown to who has handed in.

    Raises
    ------
    Conflict
        If it was never opened.
    """
    closed = kept.get_set(session, set_id, lock=True)
    if closed.state == DRAFT:
        raise Conflict(gettext("This set has not been opened."))
    if closed.state == OPEN:
        closed.state, closed.changed = CLOSED, at
        for each in kept_tries.running_tries(session, set_id):
            each.ends = at if each.ends is None else min(each.ends, at)
    closed.solutions_released = closed.solutions_released or release_solutions
    session.flush()
    return closed


def release_solutions(session: Session, set_id: UUID, at: datetime, released: bool = True) -> ProblemSet:
    """Show the solutions of an assessed set to who has handed it in, or no more."""
    changed = kept.get_set(session, set_id, lock=True)
    changed.solutions_released, changed.changed = released, at
    session.flush()
    return changed


def copy_set(
    session: Session, set_id: UUID, group_id: UUID, by_name: str, at: datetime, title: str | None = None
) -> ProblemSet:
    """Copy a set into a draft for a group, without its date and with other numbers."""
    from_set, group = kept.get_set(session, set_id), get_group(session, group_id)
    plan = plan_of(from_set, kept.problems_of(session, set_id))
    free = title if title is not None else free_title(session, group_id, plan.title)
    chosen = tuple(replace(each, id=None) for each in plan.problems)
    plan = tidied(replace(plan, title=free, problems=chosen, due=None))
    _check(session, group.id, plan, None)
    made = kept.add_set(session, group.id, at, plan.columns())
    _put_problems(session, made, plan, [], at)
    _keep_edit(session, made, by_name, at)
    return made


def delete_draft(session: Session, set_id: UUID) -> None:
    """Delete a set that nobody has started.

    Raises
    ------
    Conflict
        If somebody has.
    """
    gone = kept.get_set(session, set_id, lock=True)
    if kept_tries.tries_of(session, set_id):
        raise Conflict(gettext("Learners have started this set; close it instead."))
    session.delete(gone)
    session.flush()


def free_title(session: Session, group_id: UUID, title: str) -> str:
    """A title that no set of a group has, as near to one as can be."""
    number = 2
    free = title
    while kept.title_taken(session, group_id, free):
        free, number = f"{title[: LONGEST_TITLE - 6]} ({number})", number + 1
    return free


def _check(
    session: Session,
    group_id: UUID,
    plan: Plan,
    problems: Collection[str] | None,
    problem_set: ProblemSet | None = None,
    opening: datetime | None = None,
) -> None:
    """Refuse a plan with all its faults; without ``problems`` it may name some that are gone."""
    faults = list(faults_of(plan, {each.problem for each in plan.problems} if problems is None else problems))
    if kept.title_taken(session, group_id, plan.title, problem_set.id if problem_set else None):
        said = gettext("There is a set {title} in this group already.")
        faults.append(("title", said.format(title=plan.title)))
    if opening is not None:
        faults += opening_faults(plan, opening)
    if faults:
        raise PlanRefused(faults)


def _check_started(now: Plan, wanted: Plan) -> None:
    work = [[(each.id, each.problem, each.mode) for each in plan.problems] for plan in (now, wanted)]
    if work[0] != work[1] or (now.kind, now.numbers) != (wanted.kind, wanted.numbers):
        raise Conflict(
            gettext(
                "Learners have started this set: its problems, kind and numbers stay as they are. "
                "Weights and limits may change; for other problems make a copy."
            )
        )


def _put_problems(
    session: Session, problem_set: ProblemSet, plan: Plan, there: Sequence[SetProblem], at: datetime
) -> None:
    """The seed of a problem is drawn once and stays while the problem does."""
    drawn = {(each.id, each.problem): each.seed for each in there}
    rows = []
    for each in plan.problems:
        seed = drawn.get((each.id, each.problem)) if each.id else None
        if seed is None:
            seed = secrets.randbelow(SEEDS)
        rows.append(ProblemRow(each.problem, each.mode, each.weight, seed if plan.numbers == SAME else None, each.id))
    kept.put_problems(session, problem_set.id, rows, at)


def _keep_edit(session: Session, problem_set: ProblemSet, by_name: str, at: datetime) -> None:
    plan = plan_of(problem_set, kept.problems_of(session, problem_set.id))
    kept.keep_edit(session, problem_set, plan.to_json(), by_name, at)
