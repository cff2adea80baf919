"""A backup put in the place of what is there; that is kept aside."""

from __future__ import annotations

import shutil
import tempfile
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from trainer.clock import as_utc
from trainer.errors import TrainerError
from trainer.exchange.backup_files import DATABASE, FOLDERS, Contents, unpack
from trainer.settings import Settings, prepare_folder
from trainer.storage.database import file_of
from trainer.storage.schema import BACKUPS
from trainer.storage.serving import serving_alone

BESIDE = ("-wal", "-shm", "-journal")  # what SQLite keeps beside a database; of the old one, it would spoil the new


@dataclass(frozen=True)
class Restored:
    """What is in place now, and the folder with what was there before; None where nothing was."""

    contents: Contents
    aside: Path | None


def restore(settings: Settings, file: Path, at: datetime) -> Restored:
    """Check a backup, keep what is there aside under the time, and put the backup in its place.

    Raises
    ------
    TrainerError
        If the backup is not sound or of a newer version, or a server is running; then nothing is changed.
    """
    target = file_of(settings.database)
    if target is None:
        raise TrainerError("a PostgreSQL database is restored with PostgreSQL's own tools, such as pg_restore")
    prepare_folder(settings.data)
    with serving_alone(target), tempfile.TemporaryDirectory(prefix=".restore-", dir=target.parent) as work:
        contents = unpack(file, Path(work))
        aside = settings.data / BACKUPS / f"before-restore-{as_utc(at):%Y%m%dT%H%M%S.%fZ}"
        return Restored(contents, _swap(Path(work), settings.data, target, aside, contents.texts is not None))


def _swap(new: Path, data: Path, target: Path, aside: Path, texts: bool) -> Path | None:
    folders = FOLDERS if texts else ()
    databases = [target.with_name(target.name + ending) for ending in BESIDE] + [target]
    moves = [(data / name, aside / name) for name in folders] + [(path, aside / path.name) for path in databases]
    moves = [(path, kept) for path, kept in moves if path.exists()]
    moves += [(new / DATABASE, target)] + [(new / name, data / name) for name in folders if (new / name).exists()]
    _move_all(moves, aside)
    return aside if aside.exists() else None


def _move_all(moves: list[tuple[Path, Path]], aside: Path) -> None:
    """Move all, or none: where one fails, those before it go back."""
    done: list[tuple[Path, Path]] = []
    try:
        for path, to in moves:
            if to.parent == aside:
                aside.mkdir(mode=0o700, parents=True, exist_ok=True)
            shutil.move(path, to)
            done.append((path, to))
    except OSError as fault:
        for path, to in reversed(done):
            shutil.move(to, path)
        said = (fault.strerror or str(fault)).lower()
        raise TrainerError(f"the backup cannot be put in place ({said}); all is as it was") from fault
