"""The code printed on every page of a paper: it leads back to the numbers, and a slip in typing it is noticed.

Nine signs: four for the seed of the set, two for the version, two for the numbers drawn, one to check the others.
"""

from __future__ import annotations

from collections.abc import Iterable

from trainer.errors import TrainerError
from trainer.language import gettext

# Without 0, 1, I, L, O, which are mistaken for one another. A prime number of them, so that the check sign catches
# every single wrong sign and every two that are exchanged: the weighted sum of ISBN-10 (ISO 2108), here modulo 31.
SIGNS = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
BASE = len(SIGNS)
SEED, VERSION, MARK = 4, 2, 2
LENGTH = SEED + VERSION + MARK + 1
GROUP = 3
LARGEST_SEED: int = BASE**SEED - 1
MARKS: int = BASE**MARK


def write_code(seed: int, version: int, mark: int) -> str:
    """The code of a version.

    Examples
    --------
    >>> write_code(17, 3, 500)
    '222-K25-J6R'
    """
    body = _digits(seed, SEED) + _digits(version, VERSION) + _digits(mark % MARKS, MARK)
    signs = "".join(SIGNS[digit] for digit in (*body, _check(body)))
    return "-".join(signs[start : start + GROUP] for start in range(0, LENGTH, GROUP))


def read_code(text: str) -> tuple[int, int, int]:
    """Seed, version and mark of a typed code; small letters, spaces and missing hyphens do not matter.

    Raises
    ------
    TrainerError
        If it is no code, or was typed with a slip.

    Examples
    --------
    >>> read_code("222 k25 j6r")
    (17, 3, 500)
    """
    signs = [sign for sign in text.upper() if not sign.isspace() and sign not in "-‐‑–−"]
    unknown = next((sign for sign in signs if sign not in SIGNS), None)
    if unknown is not None:
        raise TrainerError(
            gettext("No version code has the sign {sign}; look at the paper again.").format(sign=unknown)
        )
    if len(signs) != LENGTH:
        said = gettext("A version code has {length} letters and figures, not {found}.")
        raise TrainerError(said.format(length=LENGTH, found=len(signs)))
    *body, check = (SIGNS.index(sign) for sign in signs)
    if check != _check(body):
        raise TrainerError(gettext("This version code has a slip in it; look at the paper again."))
    return _number(body[:SEED]), _number(body[SEED : SEED + VERSION]), _number(body[SEED + VERSION :])


def _check(body: Iterable[int]) -> int:
    return sum(weight * digit for weight, digit in enumerate(body, 2)) % BASE


def _digits(number: int, places: int) -> tuple[int, ...]:
    digits = []
    for _ in range(places):
        number, digit = divmod(number, BASE)
        digits.append(digit)
    return tuple(reversed(digits))


def _number(digits: Iterable[int]) -> int:
    number = 0
    for digit in digits:
        number = number * BASE + digit
    return number
