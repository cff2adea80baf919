"""Files of handed-over records that have been sent in and looked at, and wait to be kept or left."""

from __future__ import annotations

import os
from datetime import datetime, timedelta
from hashlib import sha256
from pathlib import Path

from trainer.errors import NotFound, TrainerError
from trainer.language import gettext

FOLDER = "arrivals"
WAIT = timedelta(hours=12)
NAME_LENGTH = 64


def put_by(data: Path, content: bytes, at: datetime) -> str:
    """Put a file by and give the name under which it is found again; those that have waited too long go."""
    folder = data / FOLDER
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
        _clear(folder, at)
        target = folder / (name := sha256(content).hexdigest())
        partial = target.with_suffix(".partial")
        with os.fdopen(os.open(partial, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
            file.write(content)
        os.utime(partial, (at.timestamp(), at.timestamp()))
        partial.replace(target)
    except OSError as fault:
        said = gettext("The file cannot be put by in {folder}: {reason}")
        raise TrainerError(said.format(folder=folder, reason=(fault.strerror or str(fault)).lower())) from fault
    return name


def waiting(data: Path, name: str) -> bytes:
    """The content of a file that was put by.

    Raises
    ------
    NotFound
        If there is none of that name any more.
    """
    named = len(name) == NAME_LENGTH and all(sign in "0123456789abcdef" for sign in name)
    try:
        content = (data / FOLDER / name).read_bytes() if named else b""
    except OSError:
        content = b""
    if not named or sha256(content).hexdigest() != name:
        raise NotFound(gettext("This file does not wait here any more; send it again."))
    return content


def leave(data: Path, name: str) -> None:
    """Delete a file that was put by."""
    waiting(data, name)
    (data / FOLDER / name).unlink(missing_ok=True)


def _clear(folder: Path, at: datetime) -> None:
    for file in folder.iterdir():
        if file.stat().st_mtime < (at - WAIT).timestamp():
            file.unlink(missing_ok=True)
