"""The backups that a server makes by itself or when asked, in the folder ``backups`` of the data folder."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Lock

from trainer.clock import Clock, as_utc
from trainer.errors import Conflict, TrainerError
from trainer.exchange.backup_files import write_backup
from trainer.storage.database import Database
from trainer.storage.schema import BACKUPS

DAILY, BY_HAND, BEFORE_UPGRADE = "daily", "by-hand", "before-upgrade"
EVERY = timedelta(days=1)
DAYS, WEEKS, BY_HAND_KEPT = 7, 4, 10
STALE = timedelta(days=1)  # of what a process that was ended has left half-written

_NAME = re.compile(rf"({DAILY}|{BY_HAND}|{BEFORE_UPGRADE})-(\d{{8}}T\d{{6}}\.\d{{6}}Z)\.(?:zip|db)")


@dataclass(frozen=True)
class KeptBackup:
    """A backup in the folder; when it was made stands in its name, which copying does not change."""

    path: Path
    kind: str
    made: datetime
    size: int


@dataclass(frozen=True)
class Failure:
    """A backup that could not be made."""

    at: datetime
    said: str


class BackupShelf:
    """Makes backups, one at a time, lists them, and lets the old ones go."""

    def __init__(self, database: Database, data: Path, clock: Clock) -> None:
        self._database, self._data, self._clock = database, data, clock
        self._making = Lock()
        self.failure: Failure | None = None  # of the newest try

    @property
    def folder(self) -> Path:
        """Where the backups lie."""
        return self._data / BACKUPS

    def kept(self) -> list[KeptBackup]:
        """The backups that are there, the newest first."""
        found = (_kept(path) for path in self.folder.glob("*"))
        return sorted(filter(None, found), key=lambda each: each.made, reverse=True)

    def find(self, name: str) -> KeptBackup | None:
        """A backup by its name; None for any other file."""
        return next((each for each in self.kept() if each.path.name == name), None)

    def make_daily(self) -> KeptBackup | None:
        """Make the backup of the day if it is time; None if it is not."""
        now = self._clock()
        made = (each.made for each in self.kept() if each.kind == DAILY)
        if any(
            timedelta(0) <= now - at < EVERY for at in made
        ):  # one ahead of a clock that was set back does not count
            return None
        return self.make(DAILY)

    def make(self, kind: str = BY_HAND) -> KeptBackup:
        """Make a backup now.

        Raises
        ------
        Conflict
            If one is being made.
        TrainerError
            If it cannot be written, or found sound.
        """
        if not self._making.acquire(blocking=False):
            raise Conflict("a backup is being made at this moment")
        try:
            made = self._make(kind)
            self.failure = None
            return made
        except (TrainerError, OSError) as fault:
            self.failure = Failure(self._clock(), str(fault))
            raise
        finally:
            self._making.release()

    def _make(self, kind: str) -> KeptBackup:
        now = self._clock()
        self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        self._sweep()
        target = self.folder / f"{kind}-{as_utc(now):%Y%m%dT%H%M%S.%fZ}.zip"
        write_backup(self._database, self._data, target, now)
        for old in to_go(self.kept()):
            with suppress(OSError):  # somebody is downloading it; the next time it goes
                if old.path != target:
                    old.path.unlink()
        return KeptBackup(target, kind, as_utc(now), target.stat().st_size)

    def _sweep(self) -> None:
        before = datetime.now(UTC).timestamp() - STALE.total_seconds()  # files have the time of the machine
        for left in self.folder.glob(".backup-*"):
            with suppress(OSError):
                if left.stat().st_mtime < before:
                    shutil.rmtree(left)


def to_go(kept: Iterable[KeptBackup]) -> list[KeptBackup]:
    """Which backups have had their time.

    Of the daily ones the newest of each of seven days stay, and of those before the newest of each of four weeks; of
    those made by hand the newest ten.
    """
    newest = sorted(kept, key=lambda each: each.made, reverse=True)
    daily = [each for each in newest if each.kind == DAILY]
    days = _first_of(daily, lambda each: each.made.date(), DAYS)
    earlier = [each for each in daily if each.made.date() < days[-1].made.date()]
    weeks = _first_of(earlier, lambda each: each.made.isocalendar()[:2], WEEKS)
    by_hand = [each for each in newest if each.kind == BY_HAND]
    stay = {each.path for each in (*days, *weeks, *by_hand[:BY_HAND_KEPT])}
    return [each for each in newest if each.kind in (DAILY, BY_HAND) and each.path not in stay]


def _first_of(kept: Sequence[KeptBackup], period: Callable[[KeptBackup], object], most: int) -> list[KeptBackup]:
    """The first of each period, for the first periods."""
    first: dict[object, KeptBackup] = {}
    for each in kept:
        first.setdefault(period(each), each)
    return list(first.values())[:most]


def _kept(path: Path) -> KeptBackup | None:
    match = _NAME.fullmatch(path.name)
    with suppress(OSError, ValueError):  # gone since it was listed, or no time
        if match and path.is_file():
            made = datetime.strptime(match[2], "%Y%m%dT%H%M%S.%fZ").replace(tzinfo=UTC)
            return KeptBackup(path, match[1], made, path.stat().st_size)
    return None
