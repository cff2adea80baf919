"""Connections and sessions: many readers, one writer at a time.

On SQLite a session that reads begins with BEGIN and sees one state of the database to its end. A session that
writes begins with BEGIN IMMEDIATE, since a transaction that has read cannot become a writer once another has
written. There is one connection to write with, so writers of one process wait in line for it rather than in
SQLite, whose waiting is unfair under load.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from json import dumps
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, QueuePool, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError
from sqlalchemy.orm import Session

from trainer.errors import TrainerError
from trainer.storage.writer import WriterPool

BUSY_TIMEOUT = 5000  # ms to wait for another process that writes
READERS = 64  # connections kept open; made when first needed

_to_json = partial(dumps, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


class Database:
    """An open database."""

    def __init__(self, url: URL, readers: Engine, writer: Engine) -> None:
        self.url, self.readers, self.writer = url, readers, writer

    @property
    def file(self) -> Path | None:
        """The file of an SQLite database; None where a server keeps it."""
        return _file(self.url)

    def new_session(self, *, writing: bool = False) -> Session:
        """A session for the caller to close; a writing one gets in line at its first statement."""
        return Session(self.writer if writing else self.readers, expire_on_commit=False)

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session that sees one state of the database and cannot change it."""
        with self.new_session() as session:
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A session whose work is kept at the end of the block, all of it, or none if the block raises."""
        with self.new_session(writing=True) as session:
            yield session
            session.commit()

    def close(self) -> None:
        """Close all connections."""
        self.readers.dispose()
        self.writer.dispose()


def open_database(url: str) -> Database:
    """Open a database by its URL; an SQLite file is made if there is none.

    Raises
    ------
    TrainerError
        If the URL is not understood or the database cannot be reached.
    """
    parsed = _parsed(url)
    database = _sqlite(parsed) if parsed.get_backend_name() == "sqlite" else _postgresql(parsed)
    try:
        with database.writer.connect() as connection:
            connection.rollback()  # connecting was the test, and gave a new file its journal mode
    except DBAPIError as error:
        database.close()
        shown = parsed.render_as_string(hide_password=True)
        raise TrainerError(f"the database {shown} cannot be opened: {error.orig}") from error
    return database


def file_of(url: str) -> Path | None:
    """The file that a database URL names; None where a server keeps the database."""
    return _file(_parsed(url))


def _file(url: URL) -> Path | None:
    return Path(str(url.database)) if url.get_backend_name() == "sqlite" else None


def _parsed(url: str) -> URL:
    try:
        parsed = make_url(url)
    except ArgumentError as error:
        raise TrainerError("the database is not a URL like sqlite:////folder/trainer.db") from error
    if parsed.drivername in ("postgresql", "postgres"):
        parsed = parsed.set(drivername="postgresql+psycopg")
    if parsed.drivername not in ("sqlite", "sqlite+pysqlite", "postgresql+psycopg"):
        raise TrainerError(f"the database is SQLite or PostgreSQL, not {parsed.drivername}")
    if parsed.get_backend_name() == "sqlite" and parsed.database in (None, "", ":memory:"):
        raise TrainerError("the database must be a file: SQLite in memory would forget every entry")
    return parsed


def _sqlite(url: URL) -> Database:
    def engine(pool: type[QueuePool], size: int, overflow: int, begin: str, *, query_only: bool) -> Engine:
        made = create_engine(
            url,
            poolclass=pool,
            pool_size=size,
            max_overflow=overflow,
            pool_use_lifo=True,  # the connection used last has the warmest cache
            json_serializer=_to_json,
            hide_parameters=True,  # a fault in the log tells the statement, not what somebody typed
        )
        event.listen(made, "connect", partial(_prepare, query_only=query_only))
        event.listen(made, "begin", partial(_begin, begin))
        return made

    return Database(
        url,
        readers=engine(QueuePool, READERS, -1, "BEGIN", query_only=True),
        writer=engine(WriterPool, 1, 0, "BEGIN IMMEDIATE", query_only=False),
    )


def _prepare(connection: Any, _record: Any, *, query_only: bool) -> None:
    connection.isolation_level = None  # Python's own BEGIN comes too late, at the first change
    for pragma in (
        f"busy_timeout = {BUSY_TIMEOUT}",
        "journal_mode = WAL",
        "synchronous = FULL",  # a commit is on the disk before it is answered
        "foreign_keys = ON",
        f"query_only = {'ON' if query_only else 'OFF'}",
    ):
        connection.execute(f"PRAGMA {pragma}").close()


def _begin(statement: str, connection: Connection) -> None:
    connection.exec_driver_sql(statement)


def _postgresql(url: URL) -> Database:
    try:
        engine = create_engine(url, json_serializer=_to_json, hide_parameters=True, pool_pre_ping=True)
    except (ImportError, NoSuchModuleError) as error:
        raise TrainerError("a PostgreSQL database needs the package psycopg, which is not installed") from error
    return Database(url, readers=engine.execution_options(postgresql_readonly=True), writer=engine)
