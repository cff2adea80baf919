"""Groups: make, name, archive; their codes; who is in them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.errors import Conflict, NotFound
from trainer.language import gettext
from trainer.practice.accounts import WINDOW, check_name, check_throttle, new_code, note_failures, plain_code
from trainer.storage import groups as kept
from trainer.storage.accounts import clear_failures, name_key
from trainer.storage.database import Database
from trainer.storage.groups import GroupLine
from trainer.storage.learners import change_learner, get_learner
from trainer.storage.models import Learner, StudyGroup
from trainer.storage.problem_sets import CLOSED, DRAFT, OPEN, SetLine, sets_by_group
from trainer.storage.reviews import count_complaints

ORDER = (OPEN, DRAFT, CLOSED)


@dataclass(frozen=True)
class Overview:
    """What an instructor has to look after: groups with their sets, those put away, complaints without an answer."""

    groups: tuple[tuple[GroupLine, tuple[SetLine, ...]], ...]
    archived: tuple[GroupLine, ...]
    complaints: int


def make_group(session: Session, name: str, at: datetime) -> StudyGroup:
    """Make a group with a code to join it.

    Raises
    ------
    TrainerError
        If the name cannot be one.
    Conflict
        If another group has it.
    """
    tidy = check_name(name)
    _check_free(session, tidy)
    return kept.add_group(session, tidy, _free_code(session), at)


def in_order(sets: Iterable[SetLine]) -> tuple[SetLine, ...]:
    """Sets that are open first, then drafts, then closed ones."""
    return tuple(sorted(sets, key=lambda line: ORDER.index(line.problem_set.state)))


def overview(session: Session) -> Overview:
    """All groups with their sets, and what waits for an answer; four queries, whatever there is."""
    sets = sets_by_group(session)
    groups = tuple((line, in_order(sets.get(line.group.id, ()))) for line in kept.list_groups(session))
    return Overview(groups, tuple(kept.list_groups(session, archived=True)), count_complaints(session))


def rename_group(session: Session, group_id: UUID, name: str, at: datetime) -> StudyGroup:
    """Give a group another name."""
    group, tidy = kept.get_group(session, group_id), check_name(name)
    _check_free(session, tidy, group)
    group.name, group.name_key, group.changed = tidy, name_key(tidy), at
    session.flush()
    return group


def archive_group(session: Session, group_id: UUID, at: datetime, archived: bool = True) -> StudyGroup:
    """Put a group away, or take it out again: its sets are given to nobody meanwhile and its code admits nobody."""
    group = kept.get_group(session, group_id)
    group.archived, group.changed = archived, at
    session.flush()
    return group


def renew_code(session: Session, group_id: UUID, at: datetime) -> StudyGroup:
    """Give a group a new code; the one before admits nobody any more."""
    group = kept.get_group(session, group_id)
    group.join_code, group.changed = _free_code(session), at
    session.flush()
    return group


def admit(database: Database, code: str, address: str, at: datetime) -> None:
    """See that a code admits to a group before anything is made for who has typed it.

    Raises
    ------
    Throttled
        After five failed tries in a quarter of an hour from that address.
    NotFound
        If the code admits to no group; the try is written down.
    """
    keys = (_door(address),)
    with database.reading() as session:
        check_throttle(session, keys, at)
        found = kept.group_by_code(session, plain_code(code))
    if found is None:
        note_failures(database, keys, at)
        raise _no_group()


def join(session: Session, learner: Learner, code: str, at: datetime, name: str = "", address: str = "") -> StudyGroup:
    """Let a learner into the group of a code; a guest without a name gives one, so that results can be told apart.

    Failed tries from the address are forgotten: on a shared PC a mistyped code is the next one's nuisance.

    Raises
    ------
    NotFound
        If the code admits to no group.
    TrainerError
        If a name is wanted and this cannot be one.
    Conflict
        If a member has that name.
    """
    group = kept.group_by_code(session, plain_code(code))
    if group is None:
        raise _no_group()
    if not learner.name:
        tidy = check_name(name)
        if name_key(tidy) in {name_key(member.name) for member in kept.members_of(session, group.id)}:
            raise Conflict(gettext("{name} is in this group already; add something to the name.").format(name=tidy))
        change_learner(session, learner.id, at, name=tidy)
    kept.put_member(session, group.id, learner.id, at)
    clear_failures(session, _door(address), at - WINDOW)
    return group


def add_member(session: Session, group_id: UUID, learner_id: UUID, at: datetime) -> None:
    """Put a learner into a group; who is there already stays."""
    kept.put_member(session, kept.get_group(session, group_id).id, get_learner(session, learner_id).id, at)


def remove_member(session: Session, group_id: UUID, learner_id: UUID, at: datetime) -> None:
    """Take a learner out of a group; what was worked in it stays readable."""
    kept.end_membership(session, kept.get_group(session, group_id).id, learner_id, at)


def _check_free(session: Session, name: str, but: StudyGroup | None = None) -> None:
    found = kept.find_group(session, name)
    if found is not None and found is not but:
        said = gettext("There is a group {name} already.")
        if found.archived:
            said = gettext("There is an archived group {name}; take it out of the archive or choose another name.")
        raise Conflict(said.format(name=found.name))


def _free_code(session: Session) -> str:
    return next(code for code in iter(new_code, "") if kept.group_by_code(session, code) is None)


def _door(address: str) -> str:
    """Under what failed tries to join are counted: apart from those to sign in, which they must not hold up."""
    return f"join {address}"


def _no_group() -> NotFound:
    return NotFound(gettext("That code admits to no group. Ask your instructor for the one in use."))
