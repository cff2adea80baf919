"""Files that the program writes where a person says."""

from __future__ import annotations

import os
from pathlib import Path

from trainer.errors import Conflict, TrainerError


def check_target(file: Path, force: bool) -> None:
    """See before the work that a file may be written.

    Raises
    ------
    Conflict
        It is there already, and is not to be written over.
    TrainerError
        There is no such folder, or nothing can be written in it.
    """
    if file.is_dir():
        raise TrainerError(f"{file} is a folder; name a file in it")
    if file.exists() and not force:
        raise Conflict(f"{file} is there already; --force writes over it")
    if not file.parent.is_dir():
        raise TrainerError(f"{file} cannot be written: there is no folder {file.parent}")
    if not os.access(file if file.exists() else file.parent, os.W_OK):
        raise TrainerError(f"{file} cannot be written: not permitted")


def save(content: bytes, file: Path, force: bool) -> None:
    """Write a file whole, or leave none where there was none.

    Raises
    ------
    TrainerError
        As `check_target` does, and where writing fails.
    """
    check_target(file, force)
    existed = file.exists()
    try:
        with file.open("wb" if force else "xb") as target:
            target.write(content)
    except OSError as fault:
        if not existed:
            file.unlink(missing_ok=True)
        raise TrainerError(f"{file} cannot be written: {(fault.strerror or str(fault)).lower()}") from fault
