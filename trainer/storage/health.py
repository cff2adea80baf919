"""Whether the database answers."""

from __future__ import annotations

from sqlalchemy.exc import SQLAlchemyError

from trainer.errors import TrainerError
from trainer.storage.database import Database
from trainer.storage.schema import HEAD, stored_revision
from trainer.storage.troubles import trouble_of

FINE = "ok"


def database_state(database: Database) -> str:
    """ "ok", or what is wrong, without particulars; nothing is written."""
    if database.file is not None and not database.file.exists():
        return "missing"
    try:
        with database.readers.connect() as connection:
            revision = stored_revision(connection)
    except (SQLAlchemyError, TrainerError) as fault:
        return trouble_of(fault) or "cannot be read"
    return FINE if revision == HEAD else "of another version"
