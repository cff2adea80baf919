"""Copies of an SQLite database while it is in use."""

from __future__ import annotations

import os
import sqlite3
from datetime import datetime
from pathlib import Path

from trainer.clock import as_utc
from trainer.errors import TrainerError
from trainer.storage.database import Database

KEPT = 10


def backup(database: Database, target: Path) -> None:
    """Copy the database to a file, in one piece and as of one moment; a file of that name is replaced.

    The copy goes through SQLite's own interface: opening a live database file by other means drops its locks.
    """
    if database.file is None:
        raise TrainerError("a PostgreSQL database is backed up with PostgreSQL's own tools, such as pg_dump")
    partial = target.with_name(f"{target.name}.partial")
    try:
        os.close(os.open(partial, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600))
        _copy(database, partial)
        partial.replace(target)
    except (OSError, sqlite3.Error) as error:
        partial.unlink(missing_ok=True)
        raise TrainerError(f"the backup {target} cannot be written: {error}") from error


def backup_before_upgrade(database: Database, folder: Path, at: datetime) -> Path:
    """Put a copy named by the time into a folder, and keep the newest ten there."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    target = folder / f"before-upgrade-{as_utc(at):%Y%m%dT%H%M%S.%fZ}.db"
    backup(database, target)
    for old in sorted(folder.glob("before-upgrade-*.db"))[:-KEPT]:
        old.unlink()
    return target


def _copy(database: Database, target: Path) -> None:
    raw = database.readers.raw_connection()
    copy = sqlite3.connect(target)
    try:
        source = raw.driver_connection
        assert isinstance(source, sqlite3.Connection)  # noqa: S101  narrows the type for mypy
        source.backup(copy, pages=-1)  # in steps it would start over at every commit of others
        copy.execute("PRAGMA journal_mode = DELETE").close()  # the copy is one file, with nothing beside it
        found = copy.execute("PRAGMA quick_check").fetchone()[0]
        if found != "ok":
            raise sqlite3.DatabaseError(found)
    finally:
        copy.close()
        raw.close()
