"""Signing in: one-time codes, passphrases, throttling, and who may do it."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.errors import TrainerError
from trainer.language import gettext
from trainer.practice.passphrases import check_new, hashed, matches, outdated
from trainer.storage import accounts as kept
from trainer.storage.accounts import INSTRUCTOR
from trainer.storage.database import Database
from trainer.storage.learners import add_learner, change_learner, get_learner
from trainer.storage.models import Account, Learner
from trainer.storage.web_sessions import end_web_sessions_of

ALPHABET = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"  # without I, O, 0 and 1
CODE_LENGTH = 8
CODE_VALID = timedelta(days=7)
TRIES = 5
WINDOW = timedelta(minutes=15)
LONGEST_NAME = 80


class Throttled(TrainerError):
    """Too many failed tries; ``wait`` is how many seconds until the next is looked at."""

    def __init__(self, wait: int) -> None:
        self.wait = wait
        said = gettext("Too many tries. The next one is looked at in {minutes} minutes.")
        super().__init__(said.format(minutes=max(1, ceil(wait / 60))))


class SignInRefused(TrainerError):
    """A name and passphrase, or a code, that let nobody in; it does not say which was wrong."""

    def __init__(self) -> None:
        super().__init__(gettext("That name and passphrase, or that code, let nobody in."))


@dataclass(frozen=True)
class NewPerson:
    """An account just made, with the code that opens it."""

    account: Account
    code: str


def new_code() -> str:
    """A code that can be read out: 40 random bits in two groups of four."""
    code = "".join(secrets.choice(ALPHABET) for _ in range(CODE_LENGTH))
    return f"{code[:4]}-{code[4:]}"


def plain_code(typed: str) -> str:
    """A code as it is compared, however it was typed."""
    code = "".join(sign for sign in typed.upper() if sign.isalnum())[: 2 * CODE_LENGTH]
    return f"{code[:4]}-{code[4:]}"


def check_name(name: str) -> str:
    """A person's name, tidied.

    Raises
    ------
    TrainerError
        If it is empty, too long or holds control characters.
    """
    tidy = " ".join(name.split())
    if not tidy or len(tidy) > LONGEST_NAME or not tidy.isprintable():
        raise TrainerError(gettext("A name has 1 to {n} characters that can be printed.").format(n=LONGEST_NAME))
    return tidy


def first_code(session: Session, at: datetime) -> str | None:
    """A code that makes the first instructor; None where there is one."""
    if kept.has_instructor(session):
        return None
    code = new_code()
    kept.add_code(session, code, None, at, CODE_VALID)
    return code


def add_person(session: Session, name: str, role: str, at: datetime, learner: Learner | None = None) -> NewPerson:
    """Make an account, for a new learner or for a record that is there."""
    tidy = check_name(name)
    record = learner or add_learner(session, tidy, at)
    if not record.name:
        change_learner(session, record.id, at, name=tidy)
    account = kept.add_account(session, record, tidy, role, at)
    return NewPerson(account, give_code(session, account, at))


def give_code(session: Session, account: Account, at: datetime) -> str:
    """A new code for an account; it ends the one before, and the passphrase stays until it is used."""
    code = new_code()
    kept.add_code(session, code, account.id, at, CODE_VALID)
    return code


def sign_in(database: Database, name: str, passphrase: str, address: str, at: datetime) -> Account:
    """The account that a name and a passphrase open.

    Hashing takes a tenth of a second, so no writer waits for it: the database is read, left alone, then written.

    Raises
    ------
    Throttled
        After five failed tries in a quarter of an hour, for that name or from that address.
    SignInRefused
        If they open none; the try is written down.
    """
    keys = (f"name {kept.name_key(name)}", f"address {address}")
    with database.reading() as session:
        check_throttle(session, keys, at)
        account = kept.find_account(session, name)
    right = matches(account.passphrase_hash if account else None, passphrase)
    if account is None or account.disabled or not right:
        note_failures(database, keys, at)
        raise SignInRefused
    renewed = hashed(passphrase) if outdated(account.passphrase_hash or "") else None
    with database.writing() as session:
        check_throttle(session, keys, at)  # once more: of many tries at the same time the others have failed by now
        now = kept.get_account(session, account.id)
        if now.disabled or now.passphrase_hash != account.passphrase_hash:
            raise SignInRefused
        kept.clear_failures(session, keys[0], at - WINDOW)
        now.passphrase_hash = renewed or now.passphrase_hash
    return now


def redeem(
    database: Database, code: str, name: str, passphrase: str, address: str, at: datetime, guest: UUID | None = None
) -> Account:
    """Open an account by its code and choose a passphrase; a code without an account makes the first instructor.

    Raises
    ------
    TrainerError
        If the passphrase or the name cannot be one; the code is then not spent.
    Throttled
        After five failed tries in a quarter of an hour from that address.
    SignInRefused
        If the code opens nothing; the try is written down.
    """
    keys = (f"address {address}",)
    with database.reading() as session:
        check_throttle(session, keys, at)
    chosen = hashed(check_new(passphrase, name))
    with database.writing() as session:
        account = _opened(session, code, name, at, guest)
        if account is not None:
            check_new(passphrase, account.name)  # known only now
            account.passphrase_hash, account.changed = chosen, at
            end_web_sessions_of(session, account.learner_id)
    if account is None:
        note_failures(database, keys, at)
        raise SignInRefused
    return account


def _opened(session: Session, code: str, name: str, at: datetime, guest: UUID | None) -> Account | None:
    """The account behind a code, which is spent; made now where it is the first instructor's."""
    found = kept.use_code(session, plain_code(code), at)
    if found is None:
        return None
    if found.account_id is None:
        record = get_learner(session, guest) if guest else None
        if record is not None and kept.account_of(session, record.id) is not None:
            record = None
        return _first_instructor(session, name, at, record)
    account = kept.get_account(session, found.account_id)
    return None if account.disabled else account


def note_failures(database: Database, keys: tuple[str, ...], at: datetime) -> None:
    """Write a failed try down under each key, in a transaction of its own."""
    with database.writing() as session:
        for key in keys:
            kept.note_failure(session, key, at)


def _first_instructor(session: Session, name: str, at: datetime, guest: Learner | None) -> Account:
    tidy = check_name(name)
    record = guest if guest is not None else add_learner(session, tidy, at)
    change_learner(session, record.id, at, name=tidy)
    return kept.add_account(session, record, tidy, INSTRUCTOR, at)


def change_passphrase(database: Database, account: Account, old: str, new: str, at: datetime) -> None:
    """Change the passphrase of who knows the old one; every browser must sign in again.

    Raises
    ------
    Throttled
        After five wrong old ones in a quarter of an hour: an open browser is no place to guess them.
    SignInRefused
        If the old one is not right; the try is written down.
    TrainerError
        If the new one cannot be one.
    """
    keys = (f"change {account.id}",)
    with database.reading() as session:
        check_throttle(session, keys, at)
    if not matches(account.passphrase_hash, old):
        note_failures(database, keys, at)
        raise SignInRefused
    chosen = hashed(check_new(new, account.name))
    with database.writing() as session:
        found = kept.get_account(session, account.id)
        found.passphrase_hash, found.changed = chosen, at
        end_web_sessions_of(session, found.learner_id)


def disable(session: Session, account: Account, at: datetime, disabled: bool = True) -> None:
    """Let an account in no more, or again; its work stays."""
    account.disabled, account.changed = disabled, at
    session.flush()
    if disabled:
        end_web_sessions_of(session, account.learner_id)


def take_over(session: Session, guest: Learner | None, account: Account) -> None:
    """Bring what was worked as a guest in this browser into the account's record; who has an account is no guest."""
    if guest is not None and kept.account_of(session, guest.id) is None:
        kept.own_work(session, guest.id, account.learner_id)


def check_throttle(session: Session, keys: tuple[str, ...], at: datetime) -> None:
    """See that there were not too many failed tries under any key.

    Raises
    ------
    Throttled
        If there were.
    """
    for key in keys:
        number, first = kept.failures_since(session, key, at - WINDOW)
        if number >= TRIES and first is not None:
            raise Throttled(ceil((first + WINDOW - at).total_seconds()))
