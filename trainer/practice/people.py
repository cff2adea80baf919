"""People: who there is, making their accounts one by one or from a list, new codes, disabling."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from io import StringIO
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.errors import Conflict, TrainerError
from trainer.language import gettext
from trainer.practice import accounts
from trainer.practice.accounts import NewPerson, check_name
from trainer.storage import accounts as kept
from trainer.storage import groups as kept_groups
from trainer.storage.accounts import INSTRUCTOR, LEARNER, name_key
from trainer.storage.learners import change_learner
from trainer.storage.models import Account

MOST_LINES = 500
LONGEST_LIST = 100_000  # characters
COLUMNS = ("name", "group")
GUEST = "guest"
WAITING, EXPIRED, ACTIVE, DISABLED = "waiting", "code expired", "active", "disabled"


class ListRefused(TrainerError):
    """A list of people that cannot be taken as it is; ``faults`` are all there are, by line."""

    def __init__(self, faults: Sequence[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(faults))


@dataclass(frozen=True)
class ListLine:
    """A person on a list: the line, the name tidied, and the group by its name, empty for none."""

    line: int
    name: str
    group: str


@dataclass(frozen=True)
class PeopleList:
    """What a list holds, and every fault of it."""

    lines: tuple[ListLine, ...]
    faults: tuple[str, ...]


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
    """Make one person's account, in a group if one is named; the code is shown once."""
    if role not in (LEARNER, INSTRUCTOR):
        raise TrainerError(gettext("A person is a learner or an instructor."))
    made = accounts.add_person(session, name, role, at)
    if group_id is not None:
        kept_groups.put_member(session, kept_groups.get_group(session, group_id).id, made.account.learner_id, at)
    return made


def read_list(session: Session, text: str) -> PeopleList:
    """Read a list of people without making any: CSV with the columns name and, if wanted, group.

    Commas, semicolons and tabs part the cells; groups are to be there. Every fault is told, with its line.
    """
    if len(text) > LONGEST_LIST:
        return PeopleList((), (gettext("The list is longer than {n} characters.").format(n=LONGEST_LIST),))
    rows, broken = _rows(text.removeprefix("\ufeff"))
    if not rows:
        return PeopleList((), broken or (gettext("Line 1: there is no column name."),))
    (first, head), *rest = rows
    columns = [cell.strip().casefold() for cell in head]
    faults = [*_head_faults(first, columns)]
    if len(rest) > MOST_LINES:
        faults.append(gettext("There are {n} people; at most {most} go at once.").format(n=len(rest), most=MOST_LINES))
    if faults:
        return PeopleList((), (*faults, *broken))
    if not rest and not broken:
        faults.append(gettext("There is nobody on the list."))
    lines = [_line(number, row, columns, faults) for number, row in rest]
    read = [line for line in lines if line is not None]
    faults += [*_taken(read, kept.names_taken(session)), *_unknown_groups(read, session)]
    return PeopleList(tuple(read), (*sorted(faults, key=_line_of), *broken))


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


def list_people(session: Session, at: datetime) -> list[PersonRow]:
    """Everybody with an account, and the guests in groups, by name; in as many queries whoever there is."""
    groups, codes, worked = kept.groups_by_learner(session), kept.codes_waiting(session, at), kept.last_worked(session)
    people = [
        PersonRow(
            account.learner_id,
            account.id,
            account.name,
            account.role,
            _state(account, account.id in codes),
            tuple(groups.get(account.learner_id, ())),
            codes.get(account.id),
            worked.get(account.learner_id),
        )
        for account in kept.list_accounts(session)
    ]
    for guest in kept.guests_in_groups(session):
        own = tuple(groups.get(guest.id, ()))
        people.append(PersonRow(guest.id, None, guest.name, GUEST, ACTIVE, own, None, worked.get(guest.id)))
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
    account = kept.get_account(session, account_id)
    if role not in (LEARNER, INSTRUCTOR):
        raise TrainerError(gettext("A person is a learner or an instructor."))
    if role == LEARNER:
        check_not_last(session, account)
    account.role, account.changed = role, at
    session.flush()
    return account


def rename(session: Session, account_id: UUID, name: str, at: datetime) -> Account:
    """Give a person another name, in the record too."""
    account, tidy = kept.get_account(session, account_id), check_name(name)
    found = kept.find_account(session, tidy)
    if found is not None and found is not account:
        raise Conflict(gettext("The name {name} is taken.").format(name=found.name))
    account.name, account.name_key, account.changed = tidy, name_key(tidy), at
    change_learner(session, account.learner_id, at, name=tidy)
    return account


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


def _state(account: Account, code: bool) -> str:
    if account.disabled:
        return DISABLED
    if account.passphrase_hash is not None:
        return ACTIVE
    return WAITING if code else EXPIRED


def _rows(text: str) -> tuple[list[tuple[int, list[str]]], tuple[str, ...]]:
    """The lines that hold anything, with their numbers, and what could not be read."""
    head = text.lstrip().partition("\n")[0]
    reader = csv.reader(StringIO(text, newline=""), delimiter=max(",;\t", key=head.count), strict=True)
    rows: list[tuple[int, list[str]]] = []
    begun = 1
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                rows.append((begun, row))
            begun = reader.line_num + 1
    except csv.Error:
        return rows, (gettext("Line {line}: a quotation mark is not closed or stands alone.").format(line=begun),)
    return rows, ()


def _head_faults(line: int, columns: Sequence[str]) -> Iterator[str]:
    if "name" not in columns:
        yield gettext("Line {line}: there is no column name.").format(line=line)
    for column in dict.fromkeys(columns):
        if column not in COLUMNS:
            said = gettext("Line {line}: the column {column!r} is not known; the columns are name and group.")
            yield said.format(line=line, column=column)
        elif columns.count(column) > 1:
            yield gettext("Line {line}: the column {column} is there twice.").format(line=line, column=column)


def _line(line: int, row: Sequence[str], columns: Sequence[str], faults: list[str]) -> ListLine | None:
    if len(row) > len(columns):
        said = gettext("Line {line}: there are {found} cells for {wanted} columns.")
        faults.append(said.format(line=line, found=len(row), wanted=len(columns)))
        return None
    cells = dict(zip(columns, row, strict=False))
    try:
        return ListLine(line, check_name(cells.get("name", "")), " ".join(cells.get("group", "").split()))
    except TrainerError as error:
        faults.append(gettext("Line {line}: {sentence}").format(line=line, sentence=error))
        return None


def _taken(lines: Sequence[ListLine], taken: set[str]) -> Iterator[str]:
    seen: dict[str, int] = {}
    for line in lines:
        key = name_key(line.name)
        if key in taken:
            yield gettext("Line {line}: {name} has an account already.").format(line=line.line, name=line.name)
        if key in seen:
            said = gettext("Line {line}: {name} stands in line {first} already.")
            yield said.format(line=line.line, name=line.name, first=seen[key])
        seen.setdefault(key, line.line)


def _unknown_groups(lines: Sequence[ListLine], session: Session) -> Iterator[str]:
    known = {name_key(row.group.name) for row in kept_groups.list_groups(session)} | {""}
    for line in lines:
        if name_key(line.group) not in known:
            yield gettext("Line {line}: there is no group {group}.").format(line=line.line, group=line.group)


def _line_of(fault: str) -> int:
    digits = "".join(sign for sign in fault.partition(":")[0] if sign.isdigit())
    return int(digits or 0)
