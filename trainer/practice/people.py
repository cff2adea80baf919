"""People: who there is, making their accounts one by one or from a list, new codes, disabling."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.errors import Conflict, TrainerError
from trainer.language import gettext
from trainer.practice import accounts
from trainer.practice.accounts import NewPerson, check_name
from trainer.practice.people_lists import ListRefused, read_list
from trainer.storage import accounts as kept
from trainer.storage import groups as kept_groups
from trainer.storage.accounts import INSTRUCTOR, LEARNER, name_key
from trainer.storage.learners import change_learner, get_learner
from trainer.storage.models import Account, Learner

GUEST = "guest"
WAITING, EXPIRED, ACTIVE, DISABLED = "waiting", "code expired", "active", "disabled"

__all__ = [
    "ListRefused",
    "PersonRow",
    "add_list",
    "add_person",
    "change_role",
    "disable",
    "find_person",
    "give_account",
    "list_people",
    "new_code",
    "read_list",
    "rename",
]


@dataclass(frozen=True)
class PersonRow:
    """A person in the list of all: ``role`` is guest for who has joined a group and has no account.

    ``state`` is waiting while a first code is valid, active, or disabled; ``code_until`` is set while a code is valid.
    """

    learner_id: UUID
    account_id: UUID | None
    name: str
    role: str
    state: str
    groups: tuple[tuple[UUID, str], ...]
    code_until: datetime | None
    last_worked: datetime | None


def add_person(
    session: Session, name: str, at: datetime, *, role: str = LEARNER, group_id: UUID | None = None
) -> NewPerson:
    """Make one person's account, in a group if one is named; the code is shown once.

    Raises
    ------
    TrainerError
        If the name or the role cannot be one.
    Conflict
        If the name is taken.
    """
    _check_role(role)
    _check_free(session, check_name(name))
    made = accounts.add_person(session, name, role, at)
    if group_id is not None:
        kept_groups.put_member(session, kept_groups.get_group(session, group_id).id, made.account.learner_id, at)
    return made


def add_list(session: Session, text: str, at: datetime, group_id: UUID | None = None) -> list[NewPerson]:
    """Make all the people on a list, or none; the codes are shown once.

    ``group_id`` is the group of those for whom the list names none.

    Raises
    ------
    ListRefused
        With every fault of the list.
    """
    found = read_list(session, text)
    if found.faults:
        raise ListRefused(found.faults)
    groups = {name_key(row.group.name): row.group.id for row in kept_groups.list_groups(session)}
    made = []
    for line in found.lines:
        group = groups[name_key(line.group)] if line.group else group_id
        made.append(add_person(session, line.name, at, group_id=group))
    return made


def give_account(session: Session, learner_id: UUID, at: datetime) -> NewPerson:
    """Make an account for a guest's record; the code is shown once.

    Raises
    ------
    Conflict
        If the learner has one already, or the name is taken.
    """
    record = get_learner(session, learner_id)
    if kept.account_of(session, learner_id) is not None:
        raise Conflict(gettext("{name} has an account already.").format(name=record.name))
    _check_free(session, check_name(record.name))
    return accounts.add_person(session, record.name, LEARNER, at, learner=record)


def find_person(session: Session, learner_id: UUID, at: datetime) -> PersonRow:
    """One person as in the list of all.

    Raises
    ------
    NotFound
        If there is no such learner.
    """
    learner, account = get_learner(session, learner_id), kept.account_of(session, learner_id)
    codes = kept.codes_waiting(session, at, account.id) if account else {}
    groups = tuple((each.id, each.name) for each in kept_groups.groups_of(session, learner_id))
    worked = kept.last_worked(session, learner_id).get(learner_id)
    return _row(learner_id, learner.name, account, groups, codes, worked)


def list_people(session: Session, at: datetime) -> list[PersonRow]:
    """Everybody with an account, and the guests in groups, by name; in as many queries whoever there is."""
    groups, codes, worked = kept.groups_by_learner(session), kept.codes_waiting(session, at), kept.last_worked(session)
    known: list[tuple[UUID, str, Account | None]] = [
        *((account.learner_id, account.name, account) for account in kept.list_accounts(session)),
        *((guest.id, guest.name, None) for guest in kept.guests_in_groups(session)),
    ]
    people = [
        _row(learner_id, name, account, tuple(groups.get(learner_id, ())), codes, worked.get(learner_id))
        for learner_id, name, account in known
    ]
    return sorted(people, key=lambda row: (name_key(row.name), row.learner_id))


def new_code(session: Session, account_id: UUID, at: datetime) -> str:
    """A new code for who has forgotten the passphrase or lost the code; shown once.

    Raises
    ------
    Conflict
        If the account is disabled.
    """
    account = kept.get_account(session, account_id)
    if account.disabled:
        raise Conflict(gettext("This account is disabled; enable it first."))
    return accounts.give_code(session, account, at)


def disable(session: Session, account_id: UUID, at: datetime, disabled: bool = True) -> Account:
    """Let an account in no more, or again; its work stays.

    Raises
    ------
    Conflict
        If nobody would be left who can instruct.
    """
    account = kept.get_account(session, account_id)
    if disabled:
        check_not_last(session, account)
    accounts.disable(session, account, at, disabled)
    return account


def change_role(session: Session, account_id: UUID, role: str, at: datetime) -> Account:
    """Make a learner an instructor, or the other way round."""
    _check_role(role)
    account = kept.get_account(session, account_id)
    if role == LEARNER:
        check_not_last(session, account)
    account.role, account.changed = role, at
    session.flush()
    return account


def rename(session: Session, learner_id: UUID, name: str, at: datetime) -> Learner:
    """Give a person another name, in the record and in the account.

    Raises
    ------
    TrainerError
        If the name cannot be one.
    Conflict
        If somebody else has it.
    """
    tidy, account = check_name(name), kept.account_of(session, learner_id)
    if account is not None:
        _check_free(session, tidy, account)
        account.name, account.name_key, account.changed = tidy, name_key(tidy), at
    return change_learner(session, learner_id, at, name=tidy)


def check_not_last(session: Session, account: Account) -> None:
    """See that somebody else can instruct where this account can.

    Raises
    ------
    Conflict
        If nobody else can.
    """
    instructs = account.role == INSTRUCTOR and not account.disabled and account.passphrase_hash is not None
    if instructs and not kept.other_instructors(session, account.id):
        raise Conflict(gettext("This is the only instructor. Make another one first."))


def _check_role(role: str) -> None:
    if role not in (LEARNER, INSTRUCTOR):
        raise TrainerError(gettext("A person is a learner or an instructor."))


def _check_free(session: Session, name: str, but: Account | None = None) -> None:
    found = kept.find_account(session, name)
    if found is not None and found is not but:
        raise Conflict(gettext("The name {name} is taken.").format(name=found.name))


def _row(
    learner_id: UUID,
    name: str,
    account: Account | None,
    groups: tuple[tuple[UUID, str], ...],
    codes: Mapping[UUID, datetime],
    worked: datetime | None,
) -> PersonRow:
    if account is None:
        return PersonRow(learner_id, None, name, GUEST, ACTIVE, groups, None, worked)
    state, until = _state(account, account.id in codes), codes.get(account.id)
    return PersonRow(learner_id, account.id, account.name, account.role, state, groups, until, worked)


def _state(account: Account, code: bool) -> str:
    if account.disabled:
        return DISABLED
    if account.passphrase_hash is not None:
        return ACTIVE
    return WAITING if code else EXPIRED
