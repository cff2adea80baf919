"""The language in which the program speaks: the standard library's message catalogs, chosen by context."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import lru_cache
from gettext import NullTranslations, translation
from pathlib import Path

FOLDER = Path(__file__).parent / "translations"
SOURCE = "en"

_CODE = re.compile(r"[a-z]{2,3}(_[A-Za-z]{2,8})?")  # a code becomes part of a path, so nothing else passes
_current: ContextVar[str] = ContextVar("language", default=SOURCE)


@lru_cache(maxsize=32)
def _catalog(folder: Path, language: str) -> NullTranslations:
    if not _CODE.fullmatch(language):
        return NullTranslations()
    return translation("trainer", folder, [language], fallback=True)


def current() -> str:
    """Return the code of the language in use."""
    return _current.get()


def choose(language: str) -> None:
    """Speak ``language`` from here on in this context: one request, one command."""
    _current.set(language.replace("-", "_"))


@contextmanager
def use(language: str) -> Iterator[None]:
    """Speak ``language`` inside a ``with`` block."""
    token = _current.set(language.replace("-", "_"))
    try:
        yield
    finally:
        _current.reset(token)


def gettext(message: str) -> str:
    """Return ``message`` in the language in use, or as it stands where nobody has translated it."""
    return _catalog(FOLDER, _current.get()).gettext(message)


def ngettext(one: str, many: str, count: int) -> str:
    """Return the form of a message that goes with ``count`` in the language in use."""
    return _catalog(FOLDER, _current.get()).ngettext(one, many, count)
