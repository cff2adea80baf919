"""Copies of an SQLite database while it is in use, and what a file must hold to be such a copy."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Mapping
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from trainer.clock import as_utc
from trainer.errors import TrainerError
from trainer.storage.database import Database

KEPT = 10
_OWN = {"alembic_version", "learner", "attempt"}


@dataclass(frozen=True)
class Sound:
    """A sound database file: the revision of its schema, and how many rows stand in each table."""

    schema: str
    tables: Mapping[str, int]

    @property
    def rows(self) -> int:
        """How many rows there are in all."""
        return sum(self.tables.values())


def backup(database: Database, target: Path) -> Sound:
    """Copy the database to a file, in one piece and as of one moment; a file of that name is replaced.

    The copy goes through SQLite's own interface: opening a live database file by other means drops its locks. It
    takes the name only once it has been found sound, with every row that was there at that moment.
    """
    if database.file is None:
        raise TrainerError("a PostgreSQL database is backed up with PostgreSQL's own tools, such as pg_dump")
    partial = target.with_name(f"{target.name}.partial")
    try:
        os.close(os.open(partial, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600))
        there = _copy(database, partial)
        found = look_into(partial)
        if found.tables != there:
            raise TrainerError("rows are missing in the copy")
        partial.replace(target)
    except (OSError, sqlite3.Error, TrainerError) as error:
        partial.unlink(missing_ok=True)
        raise TrainerError(f"the backup {target} cannot be written: {error}") from error
    return found


def backup_before_upgrade(database: Database, folder: Path, at: datetime) -> Path:
    """Put a copy named by the time into a folder, and keep the newest ten there."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    target = folder / f"before-upgrade-{as_utc(at):%Y%m%dT%H%M%S.%fZ}.db"
    backup(database, target)
    for old in sorted(folder.glob("before-upgrade-*.db"))[:-KEPT]:
        old.unlink()
    return target


def look_into(file: Path) -> Sound:
    """Look whether a file that nobody has open is a sound database of the trainer; it is not changed.

    Raises
    ------
    TrainerError
        If it is damaged, or something else.
    """
    try:
        with closing(sqlite3.connect(f"{file.absolute().as_uri()}?mode=ro", uri=True)) as connection:
            return _look(connection)
    except sqlite3.Error as error:
        raise TrainerError(f"it is no database, or a damaged one: {error}") from error


def copy_file(source: Path, target: Path) -> None:
    """Copy a database file that nobody has open, with what stands in the journal beside it."""
    read_only = f"{source.absolute().as_uri()}?mode=ro"
    try:
        with closing(sqlite3.connect(read_only, uri=True)) as old, closing(sqlite3.connect(target)) as new:
            old.backup(new)
            new.execute("PRAGMA journal_mode = DELETE").close()
    except sqlite3.Error as error:
        raise TrainerError(f"it is no database, or a damaged one: {error}") from error


def _look(connection: sqlite3.Connection) -> Sound:
    names = {name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    schema = connection.execute("SELECT version_num FROM alembic_version").fetchone() if names >= _OWN else None
    if schema is None:
        raise TrainerError("it is no database of the trainer")
    for (line,) in connection.execute("PRAGMA integrity_check"):
        if line != "ok":
            raise TrainerError(f"the database is damaged: {line}")
    for table, row, parent, _ in connection.execute("PRAGMA foreign_key_check"):
        raise TrainerError(f"the database is damaged: row {row} of {table} refers to a missing row of {parent}")
    return Sound(str(schema[0]), _counts(connection))


def _counts(connection: sqlite3.Connection) -> dict[str, int]:
    names = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
    quoted = {name: name.replace('"', '""') for (name,) in names.fetchall()}
    return {name: connection.execute(f'SELECT count(*) FROM "{safe}"').fetchone()[0] for name, safe in quoted.items()}  # noqa: S608


def _copy(database: Database, target: Path) -> dict[str, int]:
    """Copy as of the moment of one reading, which holds up no writer, and count its rows."""
    raw = database.readers.raw_connection()
    source: Any = raw.driver_connection
    try:
        with closing(sqlite3.connect(target)) as copy:
            source.execute("BEGIN").close()
            there = _counts(source)
            source.backup(copy, pages=-1)  # in steps it would only last longer: the others go on meanwhile
            copy.execute("PRAGMA journal_mode = DELETE").close()  # the copy is one file, with nothing beside it
    finally:
        if source.in_transaction:
            source.execute("ROLLBACK").close()
        raw.close()
    return there
