"""Problem sets, what they hold, and how they were edited."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session

from trainer.errors import NotFound
from trainer.storage.ids import new_id
from trainer.storage.models import Membership, ProblemSet, SetEdit, SetProblem, SetTry, StudyGroup

DRAFT, OPEN, CLOSED = "draft", "open", "closed"
PRACTICE, ASSESSED = "practice", "assessed"
SAME, OWN = "same", "own"


@dataclass(frozen=True)
class SetLine:
    """A set in a group's list: problems in it, learners who have handed in, tries that run."""

    problem_set: ProblemSet
    problems: int
    handed_in: int
    running: int


@dataclass(frozen=True)
class OpenSet:
    """A set with its group and how many problems it has."""

    problem_set: ProblemSet
    group: StudyGroup
    problems: int


@dataclass(frozen=True)
class ProblemRow:
    """A problem as it is to stand in a set; ``id`` where it stands there already."""

    problem: str
    mode: str
    weight: float
    seed: int | None
    id: UUID | None = None


def add_set(session: Session, group_id: UUID, at: datetime, values: Mapping[str, Any]) -> ProblemSet:
    """Add a draft; ``values`` are its columns from title to note."""
    made = ProblemSet(
        id=new_id(at),
        group_id=group_id,
        state=DRAFT,
        solutions_released=False,
        created=at,
        changed=at,
        version=1,
        **values,
    )
    session.add(made)
    session.flush()
    return made


def get_set(session: Session, set_id: UUID, *, lock: bool = False) -> ProblemSet:
    """The set of an id; ``lock`` keeps other writers off it to the end of the session.

    Raises
    ------
    NotFound
        If there is none.
    """
    found = session.get(ProblemSet, set_id, with_for_update=lock)
    if found is None:
        raise NotFound("there is no such problem set")
    return found


def problems_of(session: Session, set_id: UUID) -> list[SetProblem]:
    """The problems of a set in their order."""
    wanted = select(SetProblem).where(SetProblem.set_id == set_id).order_by(SetProblem.position, SetProblem.id)
    return list(session.scalars(wanted))


def put_problems(session: Session, set_id: UUID, rows: Sequence[ProblemRow], at: datetime) -> None:
    """Put problems into a set in this order; those that stood there and are not named go."""
    there = {each.id: each for each in problems_of(session, set_id)}
    stay = {row.id for row in rows if row.id in there}
    for gone in there.keys() - stay:
        session.delete(there[gone])
    for position, row in enumerate(rows, 1):
        values = {"problem": row.problem, "mode": row.mode, "weight": row.weight, "seed": row.seed}
        if row.id in there:
            for name, value in (values | {"position": position}).items():
                setattr(there[row.id], name, value)
        else:
            session.add(SetProblem(id=new_id(at), set_id=set_id, position=position, **values))
    session.flush()


def title_taken(session: Session, group_id: UUID, title: str, but: UUID | None = None) -> bool:
    """Whether another set of a group has a title, capitals aside."""
    rows = session.execute(select(ProblemSet.id, ProblemSet.title).where(ProblemSet.group_id == group_id))
    return any(row.title.casefold() == title.casefold() and row.id != but for row in rows)


def sets_of_group(session: Session, group_id: UUID) -> list[SetLine]:
    """The sets of a group, the newest first, with counts, in one query."""
    rows = session.execute(_set_lines().where(ProblemSet.group_id == group_id))
    return [SetLine(*row) for row in rows]


def sets_by_group(session: Session) -> dict[UUID, list[SetLine]]:
    """The sets of all groups that are not archived, the newest first, with counts, in one query."""
    wanted = _set_lines().join(StudyGroup, StudyGroup.id == ProblemSet.group_id)
    found: dict[UUID, list[SetLine]] = {}
    for row in session.execute(wanted.where(StudyGroup.archived.is_(False))):
        found.setdefault(row[0].group_id, []).append(SetLine(*row))
    return found


def _set_lines() -> Select[Any]:
    of_set = SetTry.set_id == ProblemSet.id
    problems = select(func.count()).where(SetProblem.set_id == ProblemSet.id)
    handed = select(func.count(SetTry.learner_id.distinct())).where(of_set, SetTry.handed_in.is_not(None))
    running = select(func.count()).where(of_set, SetTry.handed_in.is_(None))
    wanted = select(ProblemSet, problems.scalar_subquery(), handed.scalar_subquery(), running.scalar_subquery())
    return wanted.order_by(ProblemSet.created.desc(), ProblemSet.id.desc())


def list_sets(session: Session) -> list[OpenSet]:
    """The sets of all groups, the newest first, in one query."""
    problems = select(func.count()).where(SetProblem.set_id == ProblemSet.id).scalar_subquery()
    wanted = select(ProblemSet, StudyGroup, problems).join(StudyGroup, StudyGroup.id == ProblemSet.group_id)
    return [OpenSet(*row) for row in session.execute(wanted.order_by(ProblemSet.created.desc(), ProblemSet.id.desc()))]


def sets_given_to(session: Session, learner_id: UUID) -> list[OpenSet]:
    """The sets, drafts aside, of the groups that a learner is in; those due first come first."""
    problems = select(func.count()).where(SetProblem.set_id == ProblemSet.id).scalar_subquery()
    wanted = (
        select(ProblemSet, StudyGroup, problems)
        .join(StudyGroup, StudyGroup.id == ProblemSet.group_id)
        .join(Membership, Membership.group_id == StudyGroup.id)
        .where(Membership.learner_id == learner_id, Membership.ended.is_(None))
        .where(StudyGroup.archived.is_(False), ProblemSet.state != DRAFT)
        .order_by(ProblemSet.due.is_(None), ProblemSet.due, ProblemSet.created, ProblemSet.id)
    )
    return [OpenSet(*row) for row in session.execute(wanted)]


def keep_edit(session: Session, edited: ProblemSet, plan: Mapping[str, Any], by_name: str, at: datetime) -> None:
    """Keep a set as it was saved at its version."""
    session.add(SetEdit(set_id=edited.id, version=edited.version, plan=dict(plan), by_name=by_name, made=at))
    session.flush()


def edits_of(session: Session, set_id: UUID) -> list[SetEdit]:
    """A set as it was saved at each version, the first one first."""
    return list(session.scalars(select(SetEdit).where(SetEdit.set_id == set_id).order_by(SetEdit.version)))


def edit_at(session: Session, set_id: UUID, version: int) -> SetEdit | None:
    """A set as it was saved at a version."""
    return session.get(SetEdit, (set_id, version))
