"""Groups: make, name, archive; their codes; who is in them."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.errors import Conflict, NotFound
from trainer.language import gettext
from trainer.practice.accounts import check_name, new_code, plain_code
from trainer.storage import groups as kept
from trainer.storage.accounts import name_key
from trainer.storage.learners import change_learner, get_learner
from trainer.storage.models import Learner, StudyGroup


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


def join(session: Session, learner: Learner, code: str, at: datetime, name: str = "") -> StudyGroup:
    """Let a learner into the group of a code; a guest without a name gives one, so that results can be told apart.

    Raises
    ------
    NotFound
        If the code admits to no group.
    TrainerError
        If a name is wanted and this cannot be one.
    """
    group = kept.group_by_code(session, plain_code(code))
    if group is None:
        raise NotFound(gettext("That code admits to no group. Ask your instructor for the one in use."))
    if not learner.name:
        change_learner(session, learner.id, at, name=check_name(name))
    kept.put_member(session, group.id, learner.id, at)
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
