"""Whether the database itself is sound."""

from __future__ import annotations

from sqlalchemy.exc import DBAPIError

from trainer.storage.database import Database


def integrity_faults(database: Database) -> list[str]:
    """What the database engine finds wrong with its own file; a server looks after its own."""
    if database.file is None:
        return []
    faults: list[str] = []
    try:
        with database.readers.connect() as connection:
            checked = connection.exec_driver_sql("PRAGMA integrity_check").scalars()
            faults += [f"database: {line}" for line in checked if line != "ok"]
            for table, row, parent, _ in connection.exec_driver_sql("PRAGMA foreign_key_check"):
                faults.append(f"database: row {row} of {table} refers to a missing row of {parent}")
    except DBAPIError as fault:
        faults.append(f"database: {fault.orig}")
    return faults
