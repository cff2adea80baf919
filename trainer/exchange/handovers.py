"""A learner's record as one file, carried from PC to PC on a stick.

The file is a ZIP archive with a manifest and a part for each table, rows as JSON, one a line, in UTF-8. The manifest
names the format with its version, the schema of the database it is from, when and by which installation it was made,
whose record it is, and each part with its number of rows, its length and its SHA-256. The sums tell damage; they are
no seal, so a record is as trustworthy as who carried it.
"""

from __future__ import annotations

import hmac
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import Any
from uuid import UUID
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo
from zlib import error as ZlibError

from trainer.clock import as_utc
from trainer.errors import TrainerError
from trainer.exchange.handover_rows import check, lines_of, rows_of
from trainer.language import gettext
from trainer.practice.handovers import TABLES, Carried
from trainer.storage.schema import HEAD
from trainer.storage.secret import secret_key

FORMAT, VERSION = "signal-conditioning-trainer/handover", 1
ENDING = "handover"
MANIFEST = "manifest.json"
PARTS = {f"{name}.jsonl": name for name in TABLES}
LARGEST_FILE = 16 * 1024 * 1024
LARGEST_UNPACKED = 192 * 1024 * 1024  # rows of JSON are packed about ten to one
LARGEST_MANIFEST = 64 * 1024


class FileRefused(TrainerError):
    """A file that is not taken, and why."""


class FileTooLarge(FileRefused):
    """A file beyond what any person's record comes to."""

    def __init__(self) -> None:
        said = gettext("The file is larger than {n} MB; no record comes to that.")
        super().__init__(said.format(n=LARGEST_FILE // 1024**2))


@dataclass(frozen=True)
class Opened:
    """A file that was read: when and by which installation it was made, and the record in it."""

    made: datetime
    origin: UUID
    carried: Carried


def installation(data: Path) -> UUID:
    """An id for a data folder, made from its key so that it tells nothing of it."""
    return UUID(bytes=hmac.digest(secret_key(data), b"installation", "sha256")[:16])


def pack(carried: Carried, made: datetime, origin: UUID) -> bytes:
    """A carried record as the content of a file."""
    parts = {file: lines_of(carried.tables[name]) for file, name in PARTS.items()}
    manifest = {
        "format": FORMAT,
        "version": VERSION,
        "schema": HEAD,
        "made": as_utc(made).isoformat(),
        "origin": str(origin),
        "learner": {"id": str(carried.learner["id"]), "name": carried.learner["name"]},
        "stays": carried.stays,
        "parts": {
            file: {"rows": len(carried.tables[PARTS[file]]), "bytes": len(part), "sha256": sha256(part).hexdigest()}
            for file, part in parts.items()
        },
    }
    content = BytesIO()
    with ZipFile(content, "w", ZIP_DEFLATED) as archive:
        archive.writestr(MANIFEST, json.dumps(manifest, ensure_ascii=False, indent=1).encode("utf-8", "replace"))
        for file, part in parts.items():
            archive.writestr(file, part)
    return content.getvalue()


def unpack(content: bytes) -> Opened:
    """Read the content of a file.

    Raises
    ------
    FileTooLarge
        If it is larger than any record.
    FileRefused
        If it is none of ours, of a newer version, damaged, or cut.
    """
    if len(content) > LARGEST_FILE:
        raise FileTooLarge
    try:
        with ZipFile(BytesIO(content)) as archive:
            _check_entries(archive.infolist())
            manifest = _manifest(archive.read(MANIFEST))
            return _opened(manifest, archive)
    except (BadZipFile, EOFError, OSError, ZlibError, NotImplementedError, RuntimeError) as fault:
        ours = content.startswith(b"PK") and MANIFEST.encode() in content[:256]
        raise (_damaged() if ours else _foreign()) from fault


def read_file(file: Path) -> Opened:
    """Read a file from a disk or a stick.

    Raises
    ------
    FileRefused
        As :func:`unpack` does, or if it cannot be read.
    """
    try:
        with file.open("rb") as source:
            content = source.read(LARGEST_FILE + 1)
    except OSError as fault:
        said = gettext("{file} cannot be read: {reason}")
        raise FileRefused(said.format(file=file, reason=(fault.strerror or str(fault)).lower())) from fault
    return unpack(content)


def _check_entries(entries: list[ZipInfo]) -> None:
    """Before anything is unpacked: only parts that we know, each once, plain, and not too much of it."""
    names = [entry.filename for entry in entries]
    if MANIFEST not in names:
        raise _foreign()
    if len(set(names)) != len(names) or not set(names) <= {MANIFEST, *PARTS}:
        raise FileRefused(gettext("The file holds parts that a handover does not have; nothing was taken."))
    if any(entry.flag_bits & 1 or entry.compress_type not in (ZIP_STORED, ZIP_DEFLATED) for entry in entries):
        raise FileRefused(gettext("The file is packed in a way that a handover is not; nothing was taken."))
    sizes = {entry.filename: entry.file_size for entry in entries}
    if sum(sizes.values()) > LARGEST_UNPACKED or sizes[MANIFEST] > LARGEST_MANIFEST:
        raise FileRefused(gettext("The file unpacks to more than any record comes to; nothing was taken."))


def _manifest(written: bytes) -> Mapping[str, Any]:
    try:
        manifest = json.loads(written)
    except (ValueError, RecursionError) as fault:
        raise _foreign() from fault
    if not isinstance(manifest, dict) or manifest.get("format") != FORMAT:
        raise _foreign()
    version, schema = manifest.get("version"), manifest.get("schema")
    if type(version) is not int or version < 1 or not isinstance(schema, str):
        raise _damaged()
    if version > VERSION or schema > HEAD:
        said = gettext(
            "The file was made by a newer version of this program (format {version}, schema {schema}; this one reads "
            "up to {own_version} and {own_schema}). Install that version here first."
        )
        raise FileRefused(said.format(version=version, schema=schema[:20], own_version=VERSION, own_schema=HEAD))
    return manifest


def _opened(manifest: Mapping[str, Any], archive: ZipFile) -> Opened:
    try:
        parts = {name: _part(manifest["parts"][file], archive.read(file)) for file, name in PARTS.items()}
        tables = {name: rows_of(name, part) for name, part in parts.items()}
        check(tables)
        for file, name in PARTS.items():
            if manifest["parts"][file]["rows"] != len(tables[name]):
                raise ValueError("a part has lost rows")
        stays, made = manifest["stays"], as_utc(datetime.fromisoformat(manifest["made"]))
        if type(stays) is not int or stays < 0:
            raise ValueError("no such number")
        return Opened(made, UUID(manifest["origin"]), Carried(tables, stays))
    except (KeyError, TypeError, ValueError, AttributeError, ArithmeticError, LookupError, RecursionError) as fault:
        raise _damaged() from fault


def _part(told: Mapping[str, Any], part: bytes) -> bytes:
    if told["bytes"] != len(part) or told["sha256"] != sha256(part).hexdigest():
        raise ValueError("a part is not what was written")
    return part


def _foreign() -> FileRefused:
    return FileRefused(gettext("This is no record handed over by this program; nothing was taken."))


def _damaged() -> FileRefused:
    said = gettext("The file is damaged or was cut off on its way. Hand the record over again; nothing was taken.")
    return FileRefused(said)
