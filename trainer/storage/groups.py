"""Groups and who is in them: add, find, change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from trainer.errors import NotFound
from trainer.storage.accounts import name_key
from trainer.storage.ids import new_id
from trainer.storage.models import Learner, Membership, ProblemSet, StudyGroup


@dataclass(frozen=True)
class GroupLine:
    """A group in a list, with how many are in it and how many sets are open."""

    group: StudyGroup
    members: int
    open_sets: int


@dataclass(frozen=True)
class Member:
    """A learner in a group; ``ended`` is set for who has left."""

    learner_id: UUID
    name: str
    joined: datetime
    ended: datetime | None


def add_group(session: Session, name: str, join_code: str, at: datetime) -> StudyGroup:
    """Add a group; its name and its code are to be free."""
    group = StudyGroup(
        id=new_id(at), name=name, name_key=name_key(name), join_code=join_code, archived=False, created=at, changed=at
    )
    session.add(group)
    session.flush()
    return group


def get_group(session: Session, group_id: UUID) -> StudyGroup:
    """The group of an id.

    Raises
    ------
    NotFound
        If there is none.
    """
    group = session.get(StudyGroup, group_id)
    if group is None:
        raise NotFound("there is no such group")
    return group


def find_group(session: Session, name: str) -> StudyGroup | None:
    """The group of a name, archived or not."""
    return session.scalars(select(StudyGroup).where(StudyGroup.name_key == name_key(name))).one_or_none()


def group_by_code(session: Session, join_code: str) -> StudyGroup | None:
    """The group that a code admits to; an archived one admits nobody."""
    wanted = select(StudyGroup).where(StudyGroup.join_code == join_code, StudyGroup.archived.is_(False))
    return session.scalars(wanted).one_or_none()


def list_groups(session: Session, *, archived: bool = False) -> list[GroupLine]:
    """Groups by name, with counts, in one query."""
    members = select(func.count()).where(Membership.group_id == StudyGroup.id, Membership.ended.is_(None))
    sets = select(func.count()).where(ProblemSet.group_id == StudyGroup.id, ProblemSet.state == "open")
    wanted = select(StudyGroup, members.scalar_subquery(), sets.scalar_subquery())
    rows = session.execute(wanted.where(StudyGroup.archived.is_(archived)).order_by(StudyGroup.name_key))
    return [GroupLine(*row) for row in rows]


def members_of(session: Session, group_id: UUID, *, past: bool = False) -> list[Member]:
    """Who is in a group, by name; with ``past`` those who have left too."""
    wanted = (
        select(Learner.id, Learner.name, Membership.joined, Membership.ended)
        .join(Membership, Membership.learner_id == Learner.id)
        .where(Membership.group_id == group_id)
        .order_by(Learner.name, Learner.id)
    )
    return [Member(*row) for row in session.execute(wanted if past else wanted.where(Membership.ended.is_(None)))]


def members_by_group(session: Session) -> dict[str, list[Member]]:
    """Who is in each group that is not archived, by its name; one query."""
    wanted = (
        select(StudyGroup.name, Learner.id, Learner.name, Membership.joined, Membership.ended)
        .join(Membership, Membership.group_id == StudyGroup.id)
        .join(Learner, Learner.id == Membership.learner_id)
        .where(Membership.ended.is_(None), StudyGroup.archived.is_(False))
        .order_by(StudyGroup.name_key, Learner.name, Learner.id)
    )
    found: dict[str, list[Member]] = {}
    for row in session.execute(wanted):
        found.setdefault(row[0], []).append(Member(*row[1:]))
    return found


def groups_of(session: Session, learner_id: UUID) -> Sequence[StudyGroup]:
    """The groups that a learner is in, by name."""
    wanted = (
        select(StudyGroup)
        .join(Membership, Membership.group_id == StudyGroup.id)
        .where(Membership.learner_id == learner_id, Membership.ended.is_(None), StudyGroup.archived.is_(False))
    )
    return session.scalars(wanted.order_by(StudyGroup.name_key)).all()


def is_member(session: Session, group_id: UUID, learner_id: UUID) -> bool:
    """Whether a learner is in a group now."""
    found = session.get(Membership, (group_id, learner_id))
    return found is not None and found.ended is None


def was_member(session: Session, learner_id: UUID) -> bool:
    """Whether a learner is or ever was in a group."""
    found = select(Membership.learner_id).where(Membership.learner_id == learner_id).limit(1)
    return session.scalars(found).first() is not None


def put_member(session: Session, group_id: UUID, learner_id: UUID, at: datetime) -> Membership:
    """Put a learner into a group; who comes back has the row from before."""
    found = session.get(Membership, (group_id, learner_id))
    if found is None:
        found = Membership(group_id=group_id, learner_id=learner_id, joined=at, ended=None)
        session.add(found)
    found.ended = None
    session.flush()
    return found


def end_membership(session: Session, group_id: UUID, learner_id: UUID, at: datetime) -> None:
    """Take a learner out of a group; the row stays, so that past results can be read."""
    found = session.get(Membership, (group_id, learner_id))
    if found is not None and found.ended is None:
        found.ended = at
        session.flush()
