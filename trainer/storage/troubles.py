"""Bad surroundings: what a fault says of the disk and the database file, told apart from faults of the program."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator

from sqlalchemy.exc import DBAPIError
from sqlalchemy.exc import TimeoutError as Timeout

FULL, READ_ONLY, BUSY, DAMAGED, UNREACHABLE = "full", "read-only", "busy", "damaged", "unreachable"

_OF_SQLITE = {
    sqlite3.SQLITE_FULL: FULL,
    sqlite3.SQLITE_READONLY: READ_ONLY,
    sqlite3.SQLITE_PERM: READ_ONLY,
    sqlite3.SQLITE_BUSY: BUSY,
    sqlite3.SQLITE_LOCKED: BUSY,
    sqlite3.SQLITE_CORRUPT: DAMAGED,
    sqlite3.SQLITE_NOTADB: DAMAGED,
    sqlite3.SQLITE_IOERR: UNREACHABLE,
    sqlite3.SQLITE_CANTOPEN: UNREACHABLE,
}
_OF_SYSTEM = {
    errno.ENOSPC: FULL,
    errno.EDQUOT: FULL,
    errno.EFBIG: FULL,
    errno.EROFS: READ_ONLY,
    errno.EACCES: READ_ONLY,
    errno.EPERM: READ_ONLY,
    errno.EIO: UNREACHABLE,
}


def trouble_of(fault: BaseException) -> str | None:
    """What is wrong with the surroundings by a fault or what it came from; None where the program is at fault.

    Examples
    --------
    >>> trouble_of(OSError(errno.ENOSPC, "No space left on device")), trouble_of(ValueError("a bug"))
    ('full', None)
    """
    return next(filter(None, map(_kind, _chain(fault))), None)


def _chain(fault: BaseException | None) -> Iterator[BaseException]:
    while fault is not None:
        yield fault
        fault = fault.__cause__


def _kind(fault: BaseException) -> str | None:
    if isinstance(fault, Timeout):
        return BUSY
    if isinstance(fault, DBAPIError):
        if fault.connection_invalidated:
            return UNREACHABLE
        return _kind(fault.orig) if fault.orig is not None else None
    if isinstance(fault, sqlite3.Error):
        return _OF_SQLITE.get(getattr(fault, "sqlite_errorcode", 0) & 0xFF)  # the low byte is the primary code
    return _OF_SYSTEM.get(fault.errno or 0) if isinstance(fault, OSError) else None
