"""What a server does by itself beside its pages: the backup of the day, and clearing what is past its limit."""

from __future__ import annotations

import logging
from datetime import datetime, timedelta
from threading import Event, Thread

from sqlalchemy.exc import SQLAlchemyError

from trainer.errors import TrainerError
from trainer.storage.clearing import clear_old
from trainer.web.services import Services

FIRST, PAUSE = 30.0, 600.0  # s after the start, and between looks whether it is time
CLEAR_EVERY = timedelta(days=1)
LEAVE = 20.0  # s that a backup under way may take when the server is stopped

_log = logging.getLogger(__name__)


class Upkeep:
    """The thread that looks after the data folder while a server runs."""

    def __init__(self, found: Services) -> None:
        self._found, self._stop = found, Event()
        self._cleared: datetime | None = None
        self._thread = Thread(target=self._run, name="upkeep", daemon=True)

    def start(self) -> None:
        """Begin, a little after the start of the server."""
        self._thread.start()

    def stop(self) -> None:
        """End, after what is under way."""
        self._stop.set()
        if self._thread.is_alive():
            self._thread.join(LEAVE)

    def _run(self) -> None:
        pause = FIRST
        while not self._stop.wait(pause):
            self.look()
            pause = PAUSE

    def look(self) -> None:
        """Do what it is time for; a fault is told, and the next look tries again."""
        for part in (self._back_up, self._clear):
            try:
                part()
            except (TrainerError, SQLAlchemyError, OSError) as fault:
                _log.warning("%s", fault)
            except Exception:  # a fault of the program must not end the backups of the days to come
                _log.exception("upkeep")

    def _back_up(self) -> None:
        if self._found.database.file is not None:
            self._found.backups.make_daily()

    def _clear(self) -> None:
        now = self._found.clock()
        if self._cleared is not None and timedelta(0) <= now - self._cleared < CLEAR_EVERY:
            return
        with self._found.database.writing() as session:
            clear_old(session, now)
        self._cleared = now
