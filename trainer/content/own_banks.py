"""Question banks in the data folder: named, read, and stored so that nothing is lost.

A bank ``name`` is the file ``question_banks/name.toml``. Every text that it ever had is kept as well, numbered from 1
on, in ``question_banks/history/name/``. A bank is replaced as a whole: the new text goes to a file beside it, is on
the disk before that takes the place of the old one, and has its number in the history before that.
"""

from __future__ import annotations

import hashlib
import os
import tempfile
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from typing import Any

from trainer.content.banks import SLUG, parse_table
from trainer.content.faults import Faults
from trainer.content.folders import shipped
from trainer.content.library import BANKS
from trainer.errors import Conflict, NotFound, TrainerError

HISTORY = "history"
LONGEST_NAME = 40
LARGEST_BANK = 128 * 1024
DEVICES = frozenset(("con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))))
_NEW = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
_storing = Lock()


class BankChanged(Conflict):
    """A bank that somebody else has stored since it was read."""

    def __init__(self, name: str) -> None:
        super().__init__(f"bank {name} has been changed since this page was opened; nothing was stored")


@dataclass(frozen=True)
class OwnBank:
    """The text of a bank as it is now; ``seen`` changes whenever the text does and is empty where there is no bank."""

    name: str
    text: str
    seen: str

    @property
    def file(self) -> str:
        """The name of its file."""
        return f"{self.name}.toml"

    def table(self, faults: Faults | None = None) -> dict[str, Any]:
        """The bank as a table; empty where it cannot be read."""
        return parse_table(self.text, self.file, faults or Faults())


@dataclass(frozen=True)
class KeptText:
    """A text that a bank once had."""

    number: int
    path: Path

    @property
    def modified(self) -> float:
        """When it was stored, in seconds since 1970."""
        return self.path.stat().st_mtime


def check_name(name: str) -> str:
    """A name that a bank may have.

    Raises
    ------
    TrainerError
        For anything that is no plain file name on every system, and for the name of a shipped bank.

    Examples
    --------
    >>> check_name("evening-class")
    'evening-class'
    >>> check_name("../secret")
    Traceback (most recent call last):
    trainer.errors.TrainerError: a bank's name has small letters, digits and single hyphens, at most 40 of them
    """
    if len(name) > LONGEST_NAME or not SLUG.fullmatch(name):
        raise TrainerError(
            f"a bank's name has small letters, digits and single hyphens, at most {LONGEST_NAME} of them"
        )
    if name in DEVICES:
        raise TrainerError(f"{name} is the name of a device on some systems; choose another")
    if (shipped(BANKS) / f"{name}.toml").exists():
        raise TrainerError(f"{name} is the name of a bank that ships with the program; choose another")
    return name


def read_bank(data: Path, name: str) -> OwnBank:
    """The bank of a name; an empty one where there is none."""
    try:
        raw = (data / BANKS / f"{check_name(name)}.toml").read_bytes()
        return OwnBank(name, raw.decode("utf-8-sig"), hashlib.sha256(raw).hexdigest())
    except FileNotFoundError:
        return OwnBank(name, "", "")
    except (OSError, UnicodeDecodeError) as fault:
        raise TrainerError(f"bank {name} cannot be read: {fault}") from fault


def own_banks(data: Path) -> list[str]:
    """The names of the banks in the data folder, those that a page can change."""
    names = sorted(path.stem for path in (data / BANKS).glob("*.toml"))
    return [name for name in names if _is_name(name)]


def store_bank(data: Path, name: str, text: str, seen: str) -> OwnBank:
    """Store a text as the bank of a name; ``seen`` is that of the bank which the text was made from.

    Two threads take turns; processes do so where the caller holds the database for writing meanwhile.

    Raises
    ------
    BankChanged
        The bank is another one by now.
    TrainerError
        The text is too long, or the disk refuses.
    """
    raw = text.encode("utf-8")
    if len(raw) > LARGEST_BANK:
        raise TrainerError(f"a bank has at most {LARGEST_BANK} bytes, this one has {len(raw)}")
    with _storing:
        now = read_bank(data, name)
        if now.seen != seen:
            raise BankChanged(name)
        try:
            history = data / BANKS / HISTORY / name
            history.mkdir(mode=0o700, parents=True, exist_ok=True)
            _keep(history, now.text.encode("utf-8"))  # where it was written by hand it is not in there yet
            _keep(history, raw)
            _replace(data / BANKS / f"{name}.toml", raw)
        except FileExistsError as fault:  # another process has taken the next number of the history
            raise BankChanged(name) from fault
        except OSError as fault:
            raise TrainerError(f"bank {name} cannot be stored: {fault.strerror}") from fault
    return read_bank(data, name)


def texts_of(data: Path, name: str) -> list[KeptText]:
    """Every text that a bank ever had, the newest first."""
    history = data / BANKS / HISTORY / check_name(name)
    return [KeptText(int(path.stem), path) for path in sorted(_numbered(history), reverse=True)]


def kept_text(data: Path, name: str, number: int) -> str:
    """The text of a number.

    Raises
    ------
    NotFound
        If there is none.
    """
    for kept in texts_of(data, name):
        if kept.number == number:
            return kept.path.read_text("utf-8")
    raise NotFound("there is no such version of this bank")


def _is_name(name: str) -> bool:
    try:
        return bool(check_name(name))
    except TrainerError:
        return False


def _numbered(history: Path) -> list[Path]:
    return [path for path in history.glob("*.toml") if path.stem.isascii() and path.stem.isdecimal()]


def _keep(history: Path, raw: bytes) -> None:
    """Add a text to the history under the next number, unless it is empty or the newest one already."""
    there = sorted(_numbered(history))
    if not raw or (there and there[-1].read_bytes() == raw):
        return
    number = int(there[-1].stem) + 1 if there else 1
    _write(history / f"{number:06d}.toml", os.open(history / f"{number:06d}.toml", _NEW, 0o600), raw)


def _replace(path: Path, raw: bytes) -> None:
    number, partial = tempfile.mkstemp(prefix=f".{path.stem}-", suffix=".partial", dir=path.parent)
    _write(Path(partial), number, raw)
    try:
        os.replace(partial, path)
    except OSError:
        Path(partial).unlink(missing_ok=True)
        raise
    _settle(path.parent)


def _write(path: Path, number: int, raw: bytes) -> None:
    """Write an open file to the disk; half of one is taken away."""
    try:
        with os.fdopen(number, "wb") as file:
            file.write(raw)
            file.flush()
            os.fsync(file.fileno())
    except OSError:
        path.unlink(missing_ok=True)
        raise


def _settle(folder: Path) -> None:
    """Bring the folder itself to the disk, where the system can."""
    if os.name != "posix":
        return
    number = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(number)
    finally:
        os.close(number)
