"""What the pages work with: settings, database, content and clock, one set for each application."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import tzinfo

from flask import current_app, g
from sqlalchemy.orm import Session

from trainer.clock import Clock, find_zone
from trainer.content.library import Library
from trainer.content.shelf import Shelf
from trainer.exchange.backup_shelf import BackupShelf
from trainer.settings import Settings
from trainer.storage.database import Database


@dataclass(frozen=True)
class Services:
    """The parts below the pages; ``first`` is the library as it was read at the start."""

    settings: Settings
    database: Database
    first: Library
    clock: Clock
    demo: bool = False
    shelf: Shelf = field(init=False)
    backups: BackupShelf = field(init=False)
    zone: tzinfo = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "shelf", Shelf(self.first, self.settings.data))
        object.__setattr__(self, "backups", BackupShelf(self.database, self.settings.data, self.clock))
        object.__setattr__(self, "zone", find_zone(self.settings.zone))

    @property
    def library(self) -> Library:
        """The library as it is now, with what instructors have stored since."""
        return self.shelf.library()


def services() -> Services:
    """The services of the application that handles this request."""
    found: Services = current_app.extensions["trainer"]
    return found


def reading() -> Session:
    """The session with which this request reads; closed when the request ends."""
    if "reading" not in g:
        g.reading = services().database.new_session()
    session: Session = g.reading
    return session


@contextmanager
def writing() -> Iterator[Session]:
    """A session whose work is kept as a whole at the end of the block."""
    close_reading()  # what was read before the write is out of date after it
    with services().database.writing() as session:
        yield session


def close_reading(_fault: BaseException | None = None) -> None:
    """Close the reading session, if there is one."""
    session: Session | None = g.pop("reading", None)
    if session is not None:
        session.close()
