"""The key that signs cookies, made once for a data folder."""

from __future__ import annotations

import os
import secrets
import time
from pathlib import Path

from trainer.errors import TrainerError

FILE = "secret.key"
LENGTH = 32
PATIENCE = 1.0  # seconds that another process may take between making the file and filling it


def secret_key(data: Path) -> bytes:
    """The key of a data folder; the first call makes it, readable by its owner alone."""
    path = data / FILE
    try:
        try:
            return _make(path)
        except FileExistsError:
            return _read(path)
    except OSError as error:
        raise TrainerError(f"{path} cannot be read or written ({error.strerror})") from error


def _make(path: Path) -> bytes:
    key = secrets.token_bytes(LENGTH)
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    with os.fdopen(os.open(path, flags, 0o600), "wb") as file:
        file.write(key)
        file.flush()
        os.fsync(file.fileno())
    return key


def _read(path: Path) -> bytes:
    deadline = time.monotonic() + PATIENCE
    while len(key := path.read_bytes()) != LENGTH:
        if time.monotonic() > deadline:
            raise TrainerError(f"{path} is damaged; delete it, and everybody signs in once more")
        time.sleep(0.02)
    return key
