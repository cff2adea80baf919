"""A typed entry as a value of the kind that its step wants, in the step's unit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from trainer import units
from trainer.grading.reading import LONGEST_ROW, Reading, Refusal, read, read_row
from trainer.language import gettext
from trainer.worksheets.kinds import Kind

SEPARATOR = ";"


@dataclass(frozen=True)
class Typed:
    """What was typed: a value, or a refusal in one sentence.

    ``foreign`` is a unit of another kind of quantity, ``other_unit`` one that had to be converted by more than a
    prefix.
    """

    value: Any = None
    unit: str = ""
    foreign: bool = False
    other_unit: bool = False
    refusal: str = ""


def read_entry(text: str, kind: Kind, unit: str, options: tuple[str, ...] = (), decimal: str = ".") -> Typed:
    """Read an entry; no text raises."""
    if kind == "number":
        return _number(read(text, decimal), unit)
    if kind == "row":
        return _row(text, unit, decimal)
    if len(text) > LONGEST_ROW:
        return Typed(refusal=gettext("That is too long for this box."))
    if kind == "choice":
        return _choice(text, options)
    parts = text.split(SEPARATOR)
    if kind == "states" and not all(part.strip() for part in parts):
        return Typed(refusal=gettext("Choose a state for every column."))
    if kind == "order" and not all(part.strip() for part in parts):
        return Typed(refusal=gettext("Give every one of them its place, each place once."))
    chosen = [_choice(part, options) for part in parts]
    refused = next((typed for typed in chosen if typed.refusal), None)
    values = tuple(typed.value for typed in chosen)
    if kind == "order" and not refused and sorted(values) != sorted(options):
        return Typed(refusal=gettext("Give every one of them its place, each place once."))
    return refused or Typed(values)


def _number(reading: Reading | Refusal, wanted: str) -> Typed:
    if isinstance(reading, Refusal):
        return Typed(refusal=reading.sentence)
    if not reading.unit:
        return Typed(reading.number)
    given = units.spelled(reading.unit, wanted)
    if given is None:
        said = gettext("{unit} is no unit known here. Write it like mA, V, Ω, °C or kPa, or leave it out.")
        return Typed(refusal=said.format(unit=reading.unit))
    if given.dimension != units.unit(wanted).dimension:
        return Typed(reading.number, given.name, foreign=True)
    value = units.convert(reading.number, given, wanted)
    return Typed(value, given.name, other_unit=not units.same_but_prefix(given, wanted))


def _row(text: str, unit: str, decimal: str) -> Typed:
    cells = [_number(reading, unit) for reading in read_row(text, decimal)]
    for number, cell in enumerate(cells, 1):
        if cell.refusal:
            return Typed(refusal=gettext("Number {n}: {sentence}").format(n=number, sentence=cell.refusal))
    foreign = next((cell for cell in cells if cell.foreign), None)
    other = next((cell.unit for cell in cells if cell.other_unit), "")
    return foreign or Typed(tuple(cell.value for cell in cells), other, other_unit=bool(other))


def _choice(text: str, options: tuple[str, ...]) -> Typed:
    typed = " ".join(text.split()).casefold()
    for option in options:
        if typed and typed in (option.casefold(), gettext(option).casefold()):
            return Typed(option)
    if not typed:
        return Typed(refusal=gettext("Nothing is chosen yet."))
    listed = "; ".join(gettext(option) for option in options)
    return Typed(refusal=gettext("Choose one of: {options}.").format(options=listed))
