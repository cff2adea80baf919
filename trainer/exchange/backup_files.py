"""A backup as one file: the database, and the problems and lessons of the data folder; written, and read back.

A file ending in .db is the database alone. Any other is a zip file of ``trainer.db``, the folders ``question_banks``
and ``lessons``, and ``backup.json``, which says how many rows stand in each table. Settings and the key that signs
cookies are not in it.
"""

from __future__ import annotations

import json
import os
import shutil
import tempfile
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from trainer import __version__
from trainer.clock import as_utc
from trainer.content.library import BANKS, LESSONS
from trainer.content.own_banks import DEVICES
from trainer.errors import TrainerError
from trainer.storage.backup import Sound, backup, copy_file, look_into
from trainer.storage.database import Database
from trainer.storage.schema import refuse_unknown

DATABASE, NOTE = "trainer.db", "backup.json"
FOLDERS, ENDINGS = (BANKS, LESSONS), (".toml", ".md")
ALONE = (".db", ".sqlite", ".sqlite3")
LARGEST_TEXT, MOST_MEMBERS = 4 * 1024 * 1024, 50_000
_NEW = os.O_RDWR | os.O_CREAT | os.O_TRUNC | getattr(os, "O_BINARY", 0)
_PART = 1024 * 1024


@dataclass(frozen=True)
class Contents:
    """What a backup holds: the database, and how many files of own problems and lessons, None if it is that alone."""

    database: Sound
    texts: int | None

    def __str__(self) -> str:
        rows = f"{self.database.rows} rows in {len(self.database.tables)} tables"
        own = "problems and lessons of your own"
        return f"{rows}, without {own}" if self.texts is None else f"{rows}, {self.texts} files of {own}"


def write_backup(database: Database, data: Path, file: Path, at: datetime) -> Contents:
    """Write a backup while the database is in use; it takes its name once it is whole and has been checked.

    Raises
    ------
    TrainerError
        If it cannot be written, or would take the place of the database itself.
    """
    if database.file is not None and file.absolute() == database.file.absolute():
        raise TrainerError(f"{file} is the database itself; name another file")
    if file.suffix.lower() in ALONE:
        return Contents(backup(database, file), None)
    try:
        with tempfile.TemporaryDirectory(prefix=".backup-", dir=file.parent) as work:
            found = backup(database, Path(work) / DATABASE)
            texts = dict(_own_texts(data))
            if len(texts) > MOST_MEMBERS - 2:
                raise TrainerError(f"{data} holds too many banks and lessons to be restored")
            _pack(Path(work) / "whole", Path(work) / DATABASE, texts, _note(found, at))
            (Path(work) / "whole").replace(file)
    except OSError as fault:
        raise TrainerError(f"the backup {file} cannot be written: {(fault.strerror or str(fault)).lower()}") from fault
    return Contents(found, len(texts))


def unpack(file: Path, folder: Path) -> Contents:
    """Read a backup into an empty folder, and see that it is whole and of a version that this program knows.

    Raises
    ------
    TrainerError
        If it is not, or is no backup at all.
    """
    if not file.is_file():
        raise TrainerError(f"there is no file {file}")
    try:
        if zipfile.is_zipfile(file):
            with zipfile.ZipFile(file) as packed:
                expected, texts = _unpack(packed, folder)
        else:
            copy_file(file, folder / DATABASE)
            expected, texts = None, None
        found = look_into(folder / DATABASE)
        refuse_unknown(found.schema)
    except (zipfile.BadZipFile, zipfile.LargeZipFile, EOFError, NotImplementedError, RuntimeError) as fault:
        raise TrainerError(f"{file} is damaged: {fault}") from fault
    except OSError as fault:
        raise TrainerError(f"{file} cannot be unpacked: {(fault.strerror or str(fault)).lower()}") from fault
    except TrainerError as fault:
        raise TrainerError(f"{file} is no backup that can be restored: {fault}") from fault
    if expected is not None and expected != found.tables:
        raise TrainerError(f"{file} is no backup that can be restored: it does not hold the rows that its note names")
    return Contents(found, texts)


def _own_texts(data: Path) -> Iterator[tuple[str, Path]]:
    """The files of own problems and lessons, by their names in a backup."""
    for path in (path for name in FOLDERS for path in sorted((data / name).rglob("*"))):
        name = path.relative_to(data).as_posix()
        if _fits(name) and path.is_file():
            if path.stat().st_size > LARGEST_TEXT:
                raise TrainerError(f"{path} is too large for a bank or a lesson")
            yield name, path


def _fits(name: str) -> bool:
    """Whether a name is one of a bank or a lesson that every file system takes, and stays in its folder."""
    first, *parts = name.split("/")
    return first in FOLDERS and bool(parts) and parts[-1].endswith(ENDINGS) and all(map(_plain, parts))


def _plain(part: str) -> bool:
    strange = not part.isprintable() or set(part) & set('\\:*?"<>|')
    return part == part.strip(". ") != "" and not strange and part.split(".")[0].casefold() not in DEVICES


def _note(found: Sound, at: datetime) -> str:
    said = {"made": as_utc(at).isoformat(), "version": __version__, "schema": found.schema, "rows": dict(found.tables)}
    return json.dumps(said, indent=1)


def _pack(target: Path, database: Path, texts: Mapping[str, Path], note: str) -> None:
    with os.fdopen(os.open(target, _NEW, 0o600), "w+b") as raw:
        with zipfile.ZipFile(raw, "w", zipfile.ZIP_DEFLATED, compresslevel=3) as packed:
            packed.writestr(NOTE, note)
            packed.write(database, DATABASE)
            for name, path in texts.items():
                packed.write(path, name)
        raw.flush()
        os.fsync(raw.fileno())
        with zipfile.ZipFile(raw) as packed:
            if bad := packed.testzip():
                raise OSError(f"{bad} cannot be read back")


def _unpack(packed: zipfile.ZipFile, folder: Path) -> tuple[Mapping[str, int] | None, int]:
    """Write the members that a backup may hold, each under a name that is checked; the rows that its note names."""
    members = packed.infolist()
    if len(members) > MOST_MEMBERS:
        raise TrainerError("it holds too many files")
    if DATABASE not in packed.namelist():
        raise TrainerError("it holds no database of the trainer")
    texts = [each for each in members if each.filename not in (DATABASE, NOTE)]
    for each in texts:
        if not _fits(each.filename) or each.file_size > LARGEST_TEXT:
            raise TrainerError(f"{each.filename[:80]!r} has no place in a backup, or is too large")
    if sum(each.file_size for each in members) > shutil.disk_usage(folder).free:
        raise TrainerError("there is not enough room on the disk to unpack it")
    for each in (packed.getinfo(DATABASE), *texts):
        _write(packed, each, folder.joinpath(*each.filename.split("/")))
    return (_rows(packed) if NOTE in packed.namelist() else None), len(texts)


def _write(packed: zipfile.ZipFile, member: zipfile.ZipInfo, target: Path) -> None:
    target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with packed.open(member) as source, target.open("xb") as file:
        shutil.copyfileobj(source, file, _PART)  # never more than the size that the member declares


def _rows(packed: zipfile.ZipFile) -> Mapping[str, int]:
    if packed.getinfo(NOTE).file_size > LARGEST_TEXT:
        raise TrainerError("its note is too large")
    try:
        rows = json.loads(packed.read(NOTE))["rows"]
        return {str(name): int(number) for name, number in rows.items()}
    except (ValueError, KeyError, TypeError, AttributeError) as fault:
        raise TrainerError("its note cannot be read") from fault
