"""What a figure is drawn from: values as a problem keeps them or a lesson writes them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Protocol

from trainer.errors import TrainerError
from trainer.language import gettext
from trainer.units import convert, format_quantity, unit

MOST_DECIMALS = 6
MOST_ENTRIES = 5000


class Shown(Protocol):
    """A value with what is needed to show it; the givens and steps kept of a problem are such."""

    @property
    def value(self) -> Any:
        """A number, a word, or a row of either."""

    @property
    def unit(self) -> str:
        """Its unit by name, empty for a plain number."""

    @property
    def decimals(self) -> int:
        """Decimals that it is shown with."""

    @property
    def title(self) -> str:
        """What it is called, or an empty text."""


@dataclass(frozen=True)
class Plain:
    """A value written in a lesson."""

    value: Any
    unit: str = ""
    decimals: int = 0
    title: str = ""


def shown(raw: Any) -> Plain:
    """Take a value as a lesson writes it: a number, a text, a list, or a table with value, unit, decimals, title.

    Raises
    ------
    TrainerError
        For anything else, and for a key or a unit that there is not.

    Examples
    --------
    >>> shown({"value": 11.6, "unit": "mA"})
    Plain(value=11.6, unit='mA', decimals=1, title='')
    >>> shown([4, 8.25]).decimals
    2
    """
    table = dict(raw) if isinstance(raw, Mapping) else {"value": raw}
    unknown = set(table) - {"value", "unit", "decimals", "title"}
    if unknown or "value" not in table:
        raise TrainerError(f"a value of a figure has value, unit, decimals and title, not {', '.join(map(str, table))}")
    value = tuple(table["value"]) if isinstance(table["value"], list | tuple) else table["value"]
    entries = value if isinstance(value, tuple) else (value,)
    if any(isinstance(entry, bool) or not isinstance(entry, int | float | str) for entry in entries):
        raise TrainerError(f"{table['value']} is no number, text or list of them")
    decimals = table.get("decimals", max(map(_decimals, entries), default=0))
    if isinstance(decimals, bool) or not isinstance(decimals, int) or not 0 <= decimals <= MOST_DECIMALS:
        raise TrainerError(f"decimals {decimals} is no whole number from 0 to {MOST_DECIMALS}")
    return Plain(value, unit(str(table.get("unit", ""))).name, decimals, str(table.get("title", "")))


def _decimals(entry: Any) -> int:
    """As many as the number was written with."""
    if isinstance(entry, str) or not math.isfinite(entry):
        return 0
    return len(f"{entry:.{MOST_DECIMALS}f}".rstrip("0").partition(".")[2])


class Inputs:
    """The values of one figure, read as numbers in a wanted unit or as text to show."""

    def __init__(self, figure: str, values: Mapping[str, Shown], decimal: str = ".") -> None:
        self.figure, self.decimal = figure, decimal
        self._values = values

    def __contains__(self, name: str) -> bool:
        return name in self._values

    def __getitem__(self, name: str) -> Shown:
        if name not in self._values:
            raise TrainerError(f"figure '{self.figure}' needs {name}")
        return self._values[name]

    def number(self, name: str, wanted: str = "") -> float:
        """A finite number, converted to a unit where both it and the wanted one are named."""
        return self._convert(name, self[name].value, wanted)

    def known(self, name: str, wanted: str = "") -> float | None:
        """A number if it is there."""
        return self.number(name, wanted) if name in self else None

    def choice(self, name: str, known: Iterable[str]) -> str:
        """One of the words that there are."""
        word, words = str(self[name].value), tuple(known)
        if word not in words:
            raise TrainerError(f"figure '{self.figure}': {name} {word} is none of {'; '.join(words)}")
        return word

    def row(self, name: str, wanted: str = "") -> tuple[float, ...]:
        """A row of finite numbers."""
        entries = self[name].value
        if not isinstance(entries, list | tuple) or not 0 < len(entries) <= MOST_ENTRIES:
            raise TrainerError(f"figure '{self.figure}': {name} is no list of 1 to {MOST_ENTRIES} numbers")
        return tuple(self._convert(name, entry, wanted) for entry in entries)

    def words(self, name: str) -> tuple[str, ...]:
        """A row of words."""
        entries = self[name].value
        if not isinstance(entries, list | tuple) or not all(isinstance(entry, str) for entry in entries):
            raise TrainerError(f"figure '{self.figure}': {name} is no list of words")
        return tuple(entries)

    def unit(self, name: str, otherwise: str = "") -> str:
        """The unit that a value has, or the usual one where it has none or is not there."""
        return (self._values[name].unit if name in self._values else "") or otherwise

    def quantity(self, name: str, otherwise: str = "") -> str:
        """A number with its unit, as it is shown."""
        return format_quantity(self.number(name), self[name].decimals, self.unit(name, otherwise), self.decimal)

    def amount(self, name: str) -> str:
        """A quantity where it is plain that a difference is meant."""
        return self.quantity(name).removesuffix(" (difference)")

    def told(self, name: str, solved: bool, otherwise: str = "") -> str:
        """A quantity as it is shown; one that is not there is asked until the figure is solved."""
        if name in self:
            return self.quantity(name, otherwise)
        return "" if solved else f"? {otherwise}".rstrip()

    def title(self, name: str, otherwise: str) -> str:
        """What a value is called, in the language in use."""
        own = self._values[name].title if name in self._values else ""
        return gettext(own) if own else otherwise

    def show(self, value: float, decimals: int, name: str = "") -> str:
        """A number that is not among the values, with its unit, as it is shown."""
        return format_quantity(value, decimals, name, self.decimal)

    def _convert(self, name: str, entry: Any, wanted: str) -> float:
        if isinstance(entry, bool) or not isinstance(entry, int | float) or not math.isfinite(entry):
            raise TrainerError(f"figure '{self.figure}': {name} {entry} is no number")
        own = self[name].unit
        return convert(float(entry), own, wanted) if own and wanted else float(entry)
