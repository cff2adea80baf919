"""The one connection that writes, and the line in which threads wait for it."""

from __future__ import annotations

from collections import deque
from threading import Lock
from typing import Any

from sqlalchemy import QueuePool
from sqlalchemy.exc import TimeoutError as Timeout
from sqlalchemy.pool import ConnectionPoolEntry

PATIENCE = 30.0  # s in line before giving up


class Line:
    """A lock that goes to those who wait in the order in which they came.

    An ordinary lock goes to whoever asks first after it is free, which is mostly the thread that has just let go
    of it; under load the others would wait for seconds.
    """

    def __init__(self) -> None:
        self._mutex, self._taken = Lock(), False
        self._waiting: deque[Lock] = deque()

    def enter(self, patience: float) -> bool:
        """Wait for one's turn; False if it did not come in ``patience`` seconds."""
        with self._mutex:
            if not self._taken:
                self._taken = True
                return True
            turn = Lock()
            turn.acquire()
            self._waiting.append(turn)
        if turn.acquire(timeout=patience):
            return True
        with self._mutex:
            if turn not in self._waiting:  # it came at the last moment
                return True
            self._waiting.remove(turn)
            return False

    def leave(self) -> None:
        """Let the next one in."""
        with self._mutex:
            if self._waiting:
                self._waiting.popleft().release()
            else:
                self._taken = False


class WriterPool(QueuePool):
    """A pool of one connection with a line before it."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self._line = Line()

    def _do_get(self) -> ConnectionPoolEntry:
        if not self._line.enter(PATIENCE):
            raise Timeout(f"the database was busy for {PATIENCE:.0f} s")
        try:
            return super()._do_get()
        except BaseException:
            self._line.leave()
            raise

    def _do_return_conn(self, record: ConnectionPoolEntry) -> None:
        super()._do_return_conn(record)
        self._line.leave()
