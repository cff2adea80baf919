"""The schema of the database: brought up to date at the start, never guessed."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, inspect, text
from sqlalchemy.exc import DBAPIError

from trainer.clock import Clock, utc_now
from trainer.errors import TrainerError
from trainer.settings import Settings, prepare_folder
from trainer.storage.backup import backup_before_upgrade
from trainer.storage.database import Database, file_of, open_database

# The newest revision in migrations/versions, named here so that a normal start need not import Alembic.
HEAD = "0003"
BACKUPS = "backups"  # folder in the data folder
MIGRATIONS = Path(__file__).parent / "migrations"

_UPGRADE_LOCK = 7_461_726  # any number, the same in every process


def open_storage(settings: Settings, clock: Clock = utc_now) -> Database:
    """Make the data folder if need be, open the database and bring it up to date."""
    prepare_folder(settings.data)
    database = open_database(settings.database)
    try:
        with _told():
            upgrade(database, settings.data / BACKUPS, clock)
    except BaseException:
        database.close()
        raise
    return database


def open_existing(settings: Settings, *, older: bool = False) -> Database:
    """Open a database that is there and up to date, or also an older one, without changing anything.

    Raises
    ------
    TrainerError
        If there is none, or it was written by another version.
    """
    database = open_database(settings.database) if _there(settings) else None
    if database is None:
        raise TrainerError(f"there is no database in {settings.data}")
    try:
        with _told(), database.readers.connect() as connection:
            revision = stored_revision(connection)
    except BaseException:
        database.close()
        raise
    if revision != HEAD and not older:
        database.close()
        raise TrainerError(f"the database has schema {revision}, this program {HEAD}; start `trainer serve` once first")
    return database


def _there(settings: Settings) -> bool:
    """Opening an SQLite database that is not there would make it."""
    file = file_of(settings.database)
    return file is None or file.exists()


@contextmanager
def _told() -> Iterator[None]:
    """A database that cannot be worked with is a sentence, not a fault of the program."""
    try:
        yield
    except DBAPIError as error:
        raise TrainerError(
            f"the database cannot be worked with: {error.orig}; `trainer restore` puts a backup in its place"
        ) from error


def upgrade(database: Database, backups: Path, clock: Clock = utc_now) -> None:
    """Bring the schema up to date, after a backup where there is something to lose (SQLite).

    Raises
    ------
    TrainerError
        If the database belongs to a newer version of this program, or to another program.
    """
    with database.readers.connect() as connection:
        revision = stored_revision(connection)
    if revision == HEAD:
        return
    if revision is not None:
        refuse_unknown(revision)
        if database.file is not None:
            backup_before_upgrade(database, backups, clock())
    with _changing(database) as connection:
        if stored_revision(connection) != HEAD:  # another process may have been first
            _migrate(connection)


def stored_revision(connection: Connection) -> str | None:
    """The revision of the schema; None for a database without tables.

    Raises
    ------
    TrainerError
        If there are tables, but not of this program.
    """
    tables = inspect(connection).get_table_names()
    if not tables:
        return None
    if "alembic_version" in tables:
        revision = connection.scalar(text("SELECT version_num FROM alembic_version"))
        if revision is not None:
            return str(revision)
    shown = connection.engine.url.render_as_string(hide_password=True)
    raise TrainerError(f"the database {shown} holds tables of another program; name another database")


def alembic_config(connection: Connection) -> Any:
    """Alembic's settings for a connection; there is no alembic.ini."""
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.attributes["connection"] = connection
    return config


def refuse_unknown(revision: str) -> None:
    """See that this program knows a revision of the schema.

    Raises
    ------
    TrainerError
        If it does not: a newer one has written it.
    """
    from alembic.script import ScriptDirectory

    known = {script.revision for script in ScriptDirectory(str(MIGRATIONS)).walk_revisions()}
    if revision not in known:
        raise TrainerError(
            f"the database was written by a newer version of this program (schema {revision}, this one knows "
            f"{HEAD}); install that version, or go back to a backup"
        )


def _migrate(connection: Connection) -> None:
    from alembic import command

    command.upgrade(alembic_config(connection), "head")


@contextmanager
def _changing(database: Database) -> Iterator[Connection]:
    """One transaction for all revisions, alone: kept whole or not at all.

    On SQLite a table is changed by building it anew, which must not set off deletions in tables that refer to
    it; so the references rest meanwhile and are checked before the commit.
    """
    with database.writer.connect() as connection:
        if database.file is None:
            with connection.begin():
                connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _UPGRADE_LOCK})
                yield connection
            return
        raw: Any = connection.connection.driver_connection
        raw.execute("PRAGMA foreign_keys = OFF").close()
        try:
            with connection.begin():
                yield connection
                if broken := connection.exec_driver_sql("PRAGMA foreign_key_check").all():
                    raise TrainerError(f"the upgrade would leave {len(broken)} rows without the row they refer to")
        finally:
            raw.execute("PRAGMA foreign_keys = ON").close()
