"""Accounts: add, find, change; their one-time codes; failed tries to sign in."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from hashlib import sha256
from unicodedata import normalize
from uuid import UUID

from sqlalchemy import delete, func, insert, select, update
from sqlalchemy.orm import Session

from trainer.errors import Conflict, NotFound
from trainer.storage.ids import new_id
from trainer.storage.models import (
    Account,
    Attempt,
    Evidence,
    Extension,
    Learner,
    Membership,
    SetTry,
    SignInCode,
    SignInFailure,
    SignOff,
    StudyGroup,
    Witnessed,
)
from trainer.storage.models.base import table_of

INSTRUCTOR, LEARNER = "instructor", "learner"

_code, _failure = table_of(SignInCode), table_of(SignInFailure)
_try, _member = table_of(SetTry), table_of(Membership)
_instructing = select(Account.id).where(
    Account.role == INSTRUCTOR, Account.disabled.is_(False), Account.passphrase_hash.is_not(None)
)


def name_key(name: str) -> str:
    """A name as it is compared: without outer or double spaces, and by no capitals."""
    return " ".join(normalize("NFKC", name).split()).casefold()


def add_account(session: Session, learner: Learner, name: str, role: str, at: datetime) -> Account:
    """Give a learner's record an account that a code opens.

    Raises
    ------
    Conflict
        If the name is taken.
    """
    if find_account(session, name) is not None:
        raise Conflict(f"the name {name} is taken")
    account = Account(
        id=new_id(at),
        learner_id=learner.id,
        name=" ".join(name.split()),
        name_key=name_key(name),
        role=role,
        passphrase_hash=None,
        disabled=False,
        created=at,
        changed=at,
    )
    session.add(account)
    session.flush()
    return account


def find_account(session: Session, name: str) -> Account | None:
    """The account of a name."""
    return session.scalars(select(Account).where(Account.name_key == name_key(name))).one_or_none()


def get_account(session: Session, account_id: UUID) -> Account:
    """The account of an id.

    Raises
    ------
    NotFound
        If there is none.
    """
    account = session.get(Account, account_id)
    if account is None:
        raise NotFound("there is no such account")
    return account


def account_of(session: Session, learner_id: UUID) -> Account | None:
    """The account of a learner, if the learner has one."""
    return session.scalars(select(Account).where(Account.learner_id == learner_id)).one_or_none()


def list_accounts(session: Session) -> Sequence[Account]:
    """All accounts by name."""
    return session.scalars(select(Account).order_by(Account.name_key)).all()


def has_instructor(session: Session) -> bool:
    """Whether anybody can instruct already: an instructor who has chosen a passphrase and is not disabled."""
    return session.scalars(_instructing.limit(1)).first() is not None


def add_code(session: Session, code: str, account_id: UUID | None, at: datetime, valid: timedelta) -> None:
    """Keep a code by its hash; it ends the one before it."""
    earlier = _code.c.account_id.is_(None) if account_id is None else _code.c.account_id == account_id
    session.execute(delete(_code).where(earlier))
    session.execute(
        insert(_code),
        {
            "id": new_id(at),
            "code_hash": _hash(code),
            "account_id": account_id,
            "made": at,
            "expires": at + valid,
            "used": None,
        },
    )


def use_code(session: Session, code: str, at: datetime) -> SignInCode | None:
    """The code if it is valid; it is spent from the commit on."""
    valid = select(SignInCode).where(
        SignInCode.code_hash == _hash(code), SignInCode.used.is_(None), SignInCode.expires > at
    )
    found = session.scalars(valid.with_for_update()).one_or_none()
    if found is not None:
        found.used = at
        session.flush()
    return found


def note_failure(session: Session, who: str, at: datetime) -> None:
    """Write down a failed try."""
    session.execute(insert(_failure), {"id": new_id(at), "who": _hash(who), "at": at})


def failures_since(session: Session, who: str, since: datetime) -> tuple[int, datetime | None]:
    """How many failed tries there were, and when the first of them was."""
    wanted = select(func.count(), func.min(_failure.c.at)).where(_failure.c.who == _hash(who), _failure.c.at > since)
    number, first = session.execute(wanted).one()
    return number, first


def clear_failures(session: Session, who: str, before: datetime) -> None:
    """Forget the tries of somebody who has signed in, and all that are old."""
    session.execute(delete(_failure).where((_failure.c.who == _hash(who)) | (_failure.c.at < before)))


def own_work(session: Session, guest: UUID, learner: UUID) -> None:
    """Make a guest's work a learner's own: attempts, evidence, tries, places in groups and what was seen of it."""
    _own_tries(session, guest, learner)
    _own_memberships(session, guest, learner)
    for model in (Attempt, Evidence, Extension, SignOff, Witnessed):
        table = table_of(model)
        session.execute(update(table).where(table.c.learner_id == guest).values(learner_id=learner))


def _own_tries(session: Session, guest: UUID, learner: UUID) -> None:
    """Tries are numbered on after the learner's own at the same set."""
    own, theirs = (
        select(_try.c.set_id, func.max(_try.c.number)).where(_try.c.learner_id == it) for it in (learner, guest)
    )
    last = {row[0]: row[1] for row in session.execute(own.group_by(_try.c.set_id))}
    for set_id, _ in session.execute(theirs.group_by(_try.c.set_id)).all():
        moved = update(_try).where(_try.c.learner_id == guest, _try.c.set_id == set_id)
        session.execute(moved.values(learner_id=learner, number=_try.c.number + last.get(set_id, 0)))


def _own_memberships(session: Session, guest: UUID, learner: UUID) -> None:
    there = select(_member.c.group_id).where(_member.c.learner_id == learner)
    session.execute(delete(_member).where(_member.c.learner_id == guest, _member.c.group_id.in_(there)))
    session.execute(update(_member).where(_member.c.learner_id == guest).values(learner_id=learner))


def other_instructors(session: Session, account_id: UUID) -> bool:
    """Whether anybody else can instruct: has chosen a passphrase and is not disabled."""
    return session.scalars(_instructing.where(Account.id != account_id).limit(1)).first() is not None


def names_taken(session: Session) -> set[str]:
    """The names of all accounts as they are compared."""
    return set(session.scalars(select(Account.name_key)))


def guests_in_groups(session: Session) -> Sequence[Learner]:
    """Learners without an account who have joined a group, by name."""
    joined = select(_member.c.learner_id)
    without = ~select(Account.id).where(Account.learner_id == Learner.id).exists()
    return session.scalars(
        select(Learner).where(Learner.id.in_(joined), without).order_by(Learner.name, Learner.id)
    ).all()


def guests_outside_groups(session: Session) -> Sequence[Learner]:
    """Learners with a name but neither an account nor any group, by name: records that have come from elsewhere."""
    account = select(Account.id).where(Account.learner_id == Learner.id)
    member = select(_member.c.group_id).where(_member.c.learner_id == Learner.id)
    wanted = select(Learner).where(Learner.name != "", ~account.exists(), ~member.exists())
    return session.scalars(wanted.order_by(Learner.name, Learner.id)).all()


def learners_outside(session: Session, group_id: UUID) -> Sequence[Account]:
    """Accounts of learners who may sign in and are not in a group, by name."""
    inside = select(_member.c.learner_id).where(_member.c.group_id == group_id, _member.c.ended.is_(None))
    wanted = select(Account).where(Account.role == LEARNER, Account.disabled.is_(False))
    return session.scalars(wanted.where(Account.learner_id.not_in(inside)).order_by(Account.name_key)).all()


def groups_by_learner(session: Session) -> dict[UUID, list[tuple[UUID, str]]]:
    """The groups that each learner is in, by id and name."""
    wanted = (
        select(Membership.learner_id, StudyGroup.id, StudyGroup.name)
        .join(StudyGroup, StudyGroup.id == Membership.group_id)
        .where(Membership.ended.is_(None), StudyGroup.archived.is_(False))
        .order_by(StudyGroup.name_key)
    )
    found: dict[UUID, list[tuple[UUID, str]]] = {}
    for learner_id, group_id, name in session.execute(wanted):
        found.setdefault(learner_id, []).append((group_id, name))
    return found


def codes_waiting(session: Session, at: datetime, account_id: UUID | None = None) -> dict[UUID, datetime]:
    """Until when the code of each account, or of one, is valid that has one."""
    valid = select(SignInCode.account_id, SignInCode.expires).where(SignInCode.used.is_(None), SignInCode.expires > at)
    valid = valid if account_id is None else valid.where(SignInCode.account_id == account_id)
    return {account_id: until for account_id, until in session.execute(valid) if account_id is not None}


def last_worked(session: Session, learner_id: UUID | None = None) -> dict[UUID, datetime]:
    """When each learner, or one, last started an attempt."""
    wanted = select(Attempt.learner_id, func.max(Attempt.started)).group_by(Attempt.learner_id)
    wanted = wanted if learner_id is None else wanted.where(Attempt.learner_id == learner_id)
    return {row[0]: row[1] for row in session.execute(wanted)}


def _hash(text: str) -> bytes:
    """Enough for a random code; for names and addresses it only keeps them out of the table."""
    return sha256(text.encode("utf-8", "backslashreplace")).digest()
