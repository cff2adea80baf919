"""The library as it is now: read again when a file of the data folder has changed, whoever has changed it."""

from __future__ import annotations

import os
from pathlib import Path
from threading import Lock

from trainer.content.bench_files import FOLDER as BENCH
from trainer.content.library import BANKS, LESSONS, Library, read_library, with_own

Stamp = tuple[tuple[str, int, int, int], ...]


class Shelf:
    """Holds the library for all threads of a process.

    Each look costs one listing of three small folders, so that a problem that another process has stored is known at
    the next request. What ships with the program is read once.
    """

    def __init__(self, library: Library, own: Path) -> None:
        self._library, self._own = library, own
        self._shipped: Library | None = None
        self._stamp: Stamp = ()
        self._reading = Lock()

    def library(self) -> Library:
        """The library as it is now."""
        stamp = self._stamp_now()
        if stamp != self._stamp:
            with self._reading:
                stamp = self._stamp_now()  # taken before reading: what changes meanwhile is read the next time
                if stamp != self._stamp:
                    self._shipped = self._shipped or read_library()
                    self._library = with_own(self._shipped, self._own)
                    self._stamp = stamp
        return self._library

    def _stamp_now(self) -> Stamp:
        own = self._own
        files = (*_files(own / BANKS, ".toml"), *_files(own / BANKS / BENCH, ".toml"), *_files(own / LESSONS, ".md"))
        return tuple(sorted(files))


def _files(folder: Path, ending: str) -> list[tuple[str, int, int, int]]:
    """The files of a folder with what changes when they do; a file that is replaced has a new number."""
    try:
        with os.scandir(folder) as entries:
            found = [(entry.name, entry.stat()) for entry in entries if entry.name.endswith(ending)]
    except OSError:  # no such folder, or a file went while it was looked at
        return []
    return [(name, stat.st_mtime_ns, stat.st_size, stat.st_ino) for name, stat in found]
