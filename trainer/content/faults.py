"""Faults of content files, collected so that an author sees all of them at once."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches
from typing import Any

SHOWN_AT_MOST = 60
SUGGESTED_AT_MOST = 200  # faults; looking for the nearest name is slow, and nobody reads so many


class Faults:
    """A growing list of lines: where, key, value, rule."""

    def __init__(self, lines: list[str] | None = None, where: tuple[str, ...] = ()) -> None:
        self.lines: list[str] = [] if lines is None else lines
        self.where = where

    def within(self, part: str) -> Faults:
        """The same list, one place deeper."""
        return Faults(self.lines, (*self.where, one_line(part)))

    def add(self, key: str, value: Any, rule: str) -> None:
        """Add a fault.

        Examples
        --------
        >>> faults = Faults().within("signals.toml").within("kiln-current")
        >>> faults.add("level", "X", "is one of F, W, A")
        >>> faults.lines
        ['signals.toml: kiln-current: level = X: is one of F, W, A']
        """
        self.lines.append(": ".join((*self.where, f"{one_line(key)} = {one_line(value)}", rule)))

    def name(self, key: str, value: Any, known: Iterable[str]) -> None:
        """Add a fault of a name that is not among the known ones."""
        known = list(known)
        near = self._near(str(value), known)
        listed = ", ".join(known) if len(known) <= 12 else f"one of {len(known)} names"
        self.add(key, value, f"is not known; did you mean {near[0]}?" if near else f"is not known ({listed})")

    def unknown(self, table: Iterable[str], known: Iterable[str]) -> None:
        """Add a fault for every key that is not among the known ones."""
        known = list(known)
        for key in table:
            if key not in known:
                near = self._near(key, known)
                self.add(key, "...", f"is no key here; did you mean {near[0]}?" if near else "is no key here")

    def _near(self, name: str, known: list[str]) -> list[str]:
        few = len(self.lines) < SUGGESTED_AT_MOST and len(name) <= SHOWN_AT_MOST
        return get_close_matches(name, known, 1) if few else []


def one_line(value: Any) -> str:
    """A value of any kind, short and without line ends or control characters.

    Examples
    --------
    >>> one_line("two\\nlines"), len(one_line("x" * 1000))
    ('two lines', 64)
    """
    try:
        text = str(value)
    except (ValueError, RecursionError):  # a whole number of thousands of digits, or lists in lists
        text = "..."
    shown = "".join(sign if sign.isprintable() else " " for sign in text[: SHOWN_AT_MOST + 1])
    return shown if len(text) <= SHOWN_AT_MOST else shown[:SHOWN_AT_MOST] + " ..."
