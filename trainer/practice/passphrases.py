"""Passphrases: what may be one, and how it is kept and compared.

Lengths, the list of common ones and the cost of hashing follow OWASP ASVS 5.0.0, V6.2 and appendix C.
"""

from __future__ import annotations

from functools import lru_cache
from threading import BoundedSemaphore
from unicodedata import normalize

from werkzeug.security import check_password_hash, generate_password_hash

from trainer.errors import TrainerError
from trainer.language import gettext

SHORTEST, LONGEST = 8, 128
METHOD = "scrypt:32768:8:3"
AT_ONCE = 2  # each takes 32 MB and a tenth of a second of one core

_turn = BoundedSemaphore(AT_ONCE)


def check_new(passphrase: str, name: str = "") -> str:
    """The passphrase as it is kept, if it may be one.

    Raises
    ------
    TrainerError
        In one sentence that says what to choose instead.
    """
    kept = normalize("NFKC", passphrase)
    if not SHORTEST <= len(kept) <= LONGEST:
        said = gettext("A passphrase has {shortest} to {longest} characters, of any kind.")
        raise TrainerError(said.format(shortest=SHORTEST, longest=LONGEST))
    if kept.casefold() in _common() or (name and kept.casefold() == name.casefold()):
        raise TrainerError(
            gettext("That passphrase is among the first that are tried. Three or four words are better.")
        )
    return kept


def hashed(passphrase: str) -> str:
    """What is kept in place of a passphrase."""
    with _turn:
        return generate_password_hash(normalize("NFKC", passphrase), METHOD)


def matches(kept: str | None, passphrase: str) -> bool:
    """Whether a passphrase is the one kept; as slow where there is none, so that names cannot be told by time."""
    with _turn:
        return check_password_hash(kept or _nobody(), normalize("NFKC", passphrase[: LONGEST * 4])) and kept is not None


def outdated(kept: str) -> bool:
    """Whether a hash was made at another cost than is used now."""
    return not kept.startswith(f"{METHOD}$")


@lru_cache(maxsize=1)
def _nobody() -> str:
    return generate_password_hash("nobody has this", METHOD)


@lru_cache(maxsize=1)
def _common() -> frozenset[str]:
    from zxcvbn.frequency_lists import FREQUENCY_LISTS  # large; only a new passphrase needs it

    return frozenset(word for word in FREQUENCY_LISTS["passwords"] if len(word) >= SHORTEST)
