"""One server for a database file: a second one is refused as long as the first lives."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from trainer.errors import Conflict, TrainerError


@contextmanager
def serving_alone(file: Path | None) -> Iterator[None]:
    """Hold a database file for one server, or for one restore, to the end of the block.

    The hold is SQLite's lock on an empty file beside it: on every system it goes with the process, however that
    ends. A database server needs none: file is None.

    Raises
    ------
    Conflict
        If another process holds it.
    """
    if file is None:
        yield
        return
    try:
        lock = sqlite3.connect(f"{file}.serving", timeout=0, isolation_level=None, check_same_thread=False)
    except sqlite3.Error as fault:
        raise TrainerError(f"{file}.serving cannot be written: {fault}") from fault
    with closing(lock):
        _take(lock, file)
        yield


def _take(lock: sqlite3.Connection, file: Path) -> None:
    try:
        lock.execute("PRAGMA journal_mode = MEMORY").close()
        lock.execute("BEGIN EXCLUSIVE").close()
    except sqlite3.Error as fault:
        if fault.sqlite_errorcode != sqlite3.SQLITE_BUSY:
            raise TrainerError(f"{file}.serving cannot be written: {fault}") from fault
        raise Conflict(
            f"a server of the trainer already runs on {file.parent}; open the address that it has told, or stop it"
        ) from fault
