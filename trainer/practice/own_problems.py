"""Own problems: stored in banks of the data folder, so that work done on them stays as it was.

A problem that nobody has worked is changed in its place. One that has been worked stays as it is and is marked as
replaced by a new one, whose id ends in the number of its version; attempts, statistics and sets go on naming the old.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy.orm import Session

from trainer.content.bank_writer import written
from trainer.content.faults import Faults
from trainer.content.library import BANKS, Library
from trainer.content.own_banks import (
    BankChanged,
    OwnBank,
    own_banks,
    read_bank,
    store_bank,
    texts_of,
)
from trainer.errors import Conflict, NotFound, TrainerError
from trainer.language import gettext
from trainer.storage.attempts import is_worked, times_worked
from trainer.worksheets.problem import Problem
from trainer.worksheets.worksheet import Worksheet

FAULTS_SHOWN = 100
_VERSION = re.compile(r"(.+)-v([0-9]{1,4})")


@dataclass(frozen=True)
class BankRow:
    """A bank of the data folder: its problems with how often each was worked, its worksheets, its faults.

    ``open`` tells whether the pages can change it: a file laid there by hand may have a name that they do not take.
    """

    name: str
    problems: tuple[tuple[Problem, int], ...]
    worksheets: tuple[Worksheet, ...]
    faults: tuple[str, ...]
    versions: int
    open: bool


@dataclass(frozen=True)
class Stored:
    """What was stored: the id of the problem, whether it is a new version, and whether others had changed the bank."""

    problem: str
    new_version: bool = False
    merged: bool = False


class ProblemChanged(Conflict):
    """A problem that somebody else has changed since its form was opened."""


def bank_rows(session: Session, data: Path, library: Library) -> list[BankRow]:
    """The banks of the data folder, by name."""
    names = sorted(path.stem for path in (data / BANKS).glob("*.toml"))
    files = {f"{name}.toml" for name in names}
    own = [problem for problem in library.problems.values() if problem.bank in files]
    worked = times_worked(session, [problem.id for problem in own])
    open_ones = set(own_banks(data))
    return [
        BankRow(
            name,
            tuple((problem, worked.get(problem.id, 0)) for problem in own if problem.bank == f"{name}.toml"),
            tuple(sheet for sheet in library.worksheets.values() if sheet.bank == f"{name}.toml"),
            tuple(line for line in library.faults if line.startswith(f"{name}.toml: "))[:FAULTS_SHOWN],
            len(texts_of(data, name)) if name in open_ones else 0,
            name in open_ones,
        )
        for name in names
    ]


def mark_of(entry: Mapping[str, Any]) -> str:
    """What changes whenever an entry of a bank does."""
    return hashlib.sha256(written({"problem": [entry]}).encode()).hexdigest()


def entry_of(bank: OwnBank, problem: str) -> dict[str, Any]:
    """The entry of a problem in a bank.

    Raises
    ------
    NotFound
        If there is none.
    """
    for entry in _entries(bank.table()):
        if entry.get("id") == problem:
            return entry
    raise NotFound(gettext("This bank has no such problem."))


def taken_ids(library: Library, but: str = "") -> dict[str, str]:
    """The ids in use, with the bank that has each."""
    return {name: problem.bank for name, problem in library.problems.items() if name != but}


def add_problem(data: Path, name: str, entry: Mapping[str, Any], library: Library) -> Stored:
    """Add a new problem to a bank, which is begun if it is not there; what others added meanwhile stays.

    Raises
    ------
    Conflict
        The id has been taken meanwhile.
    """
    bank = read_bank(data, name)
    table = _readable(bank)
    if entry["id"] in library.problems or any(each.get("id") == entry["id"] for each in _entries(table)):
        raise Conflict(gettext("Another problem has been given this id meanwhile; choose another one."))
    table["problem"] = [*_entries(table), dict(entry)]
    store_bank(data, name, written(table), bank.seen)
    return Stored(entry["id"])


def change_problem(
    session: Session,
    data: Path,
    name: str,
    problem: str,
    entry: Mapping[str, Any],
    seen: tuple[str, str],
    library: Library,
) -> Stored:
    """Change a problem, or add its next version where it has been worked.

    ``seen`` are the marks of the bank and of the entry as they were when the form was opened. What others changed
    elsewhere in the bank stays.

    Raises
    ------
    ProblemChanged
        Somebody else has changed this problem meanwhile.
    Conflict
        It has been replaced already.
    """
    bank = read_bank(data, name)
    table = _readable(bank)
    entries = _entries(table)
    place = next((place for place, each in enumerate(entries) if each.get("id") == problem), None)
    if place is None or mark_of(entries[place]) != seen[1]:
        raise ProblemChanged(gettext("Somebody else has changed this problem since you opened it; nothing was stored."))
    old = entries[place]
    if by := old.get("replaced_by"):
        raise Conflict(gettext("This problem has been replaced by {by}: change that one.").format(by=by))
    new = dict(entry) | {"id": problem}
    stored = Stored(problem, merged=bank.seen != seen[0])
    if new != old and is_worked(session, problem):
        ids = {*library.problems, *(str(each.get("id")) for each in entries)}
        stored = Stored(next_version(problem, ids), True, stored.merged)
        entries[place : place + 1] = [old | {"replaced_by": stored.problem}, new | {"id": stored.problem}]
    else:
        entries[place] = new
    store_bank(data, name, written(table | {"problem": entries}), bank.seen)
    return stored


def next_version(problem: str, taken: Collection[str]) -> str:
    """The id of the next version of a problem.

    Examples
    --------
    >>> next_version("kiln-current", ()), next_version("kiln-current-v2", ("kiln-current-v3",))
    ('kiln-current-v2', 'kiln-current-v4')
    """
    found = _VERSION.fullmatch(problem)
    stem, number = (found[1], int(found[2])) if found else (problem, 1)
    while (name := f"{stem}-v{number + 1}") in taken:
        number += 1
    return name


def version_of(problem: str) -> int:
    """The version that an id names.

    Examples
    --------
    >>> version_of("kiln-current"), version_of("kiln-current-v3")
    (1, 3)
    """
    found = _VERSION.fullmatch(problem)
    return int(found[2]) if found else 1


def store_text(session: Session, data: Path, name: str, text: str, seen: str, library: Library) -> list[str]:
    """Store the text of a bank that has been checked; ``seen`` is the mark of the bank that it was made from.

    Returns
    -------
    list of str
        Why it was not stored: what has been worked would be changed. Empty where it was.

    Raises
    ------
    BankChanged
        Somebody else has stored the bank meanwhile.
    """
    bank = read_bank(data, name)
    if bank.seen != seen:
        raise BankChanged(name)
    faults = Faults().within(bank.file)
    new = OwnBank(name, text, "").table(faults)
    _tell_changes(session, bank.table(), new, library, faults)
    if not faults.lines:
        store_bank(data, name, text, seen)
    return faults.lines


def _tell_changes(
    session: Session, old: Mapping[str, Any], new: Mapping[str, Any], library: Library, faults: Faults
) -> None:
    """Tell which problems that have been worked are missing or others, themselves or by their worksheet."""
    now = {entry.get("id"): _without(entry, "replaced_by") for entry in _entries(new)}
    sheets = {table["name"] for table in _changed_sheets(old, new)}
    for entry in _entries(old):
        name, here = str(entry.get("id")), faults.within(str(entry.get("id")))
        same = now.get(name) == _without(entry, "replaced_by")
        if same and entry.get("worksheet") not in sheets:
            continue
        if not is_worked(session, name):
            continue
        if name not in now:
            here.add("id", "nothing", "has been worked, so it stays in the bank")
        elif not same:
            by = next_version(name, {*library.problems, *map(str, now)})
            here.add(
                "id", name, f'has been worked: leave it as it is, add replaced_by = "{by}", and write {by} below it'
            )
        else:
            here.add("worksheet", entry["worksheet"], "has been worked by this problem: raise its version")


def _changed_sheets(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    """The worksheets that are others under the same version."""
    now = {table.get("name"): table for table in _entries(new, "worksheet")}
    for table in _entries(old, "worksheet"):
        later = now.get(table.get("name"))
        if later and later != table and later.get("version", 1) <= table.get("version", 1):
            yield table


def _without(entry: Mapping[str, Any], key: str) -> dict[str, Any]:
    return {name: value for name, value in entry.items() if name != key}


def _readable(bank: OwnBank) -> dict[str, Any]:
    faults = Faults()
    table = bank.table(faults)
    if faults.lines:
        raise TrainerError(gettext("Bank {name} cannot be read as it is; mend its text first.").format(name=bank.name))
    return table


def _entries(table: Mapping[str, Any], key: str = "problem") -> list[dict[str, Any]]:
    found = table.get(key, [])
    return [entry for entry in found if isinstance(entry, dict)] if isinstance(found, list) else []
