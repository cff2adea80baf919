"""The form of a problem: what was typed becomes an entry of a question bank, and an entry what stands in the boxes."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from trainer.content.banks import ProblemReader
from trainer.content.faults import Faults, one_line
from trainer.errors import TrainerError
from trainer.grading.reading import Refusal, read
from trainer.language import gettext
from trainer.units import UNITS, spelled, unit
from trainer.worksheets.problem import Problem
from trainer.worksheets.worksheet import Given, Worksheet

FIXED, ONE_OF, RANGE, SHARE = "fixed", "one of", "range", "share"
TABLES = ("table 1", "table 2", "table 3")
PLAIN = ("id", "title", "text", "level", "place", "skill")
LONGEST: Mapping[str, int] = {"id": 60, "title": 120, "place": 60, "text": 2000, "cautions": 2000}
LONGEST_BOX, LONGEST_LIST = 200, 20_000
_TO = re.compile(r"\s+to\s+")
_ROW_KINDS = ("row", "several", "order", "states")
_TOLD_WITH_VALUE = ("id", "level", "text", "units", "keep", "tolerance", "together")

Texts = Mapping[str, str]


@dataclass
class ReadForm:
    """A form as it was read: the entry for the bank, the problem where it is sound, and the faults by box."""

    entry: dict[str, Any] = field(default_factory=dict)
    problem: Problem | None = None
    faults: dict[str, list[str]] = field(default_factory=dict)

    def tell(self, box: str, sentence: str) -> None:
        """Add a fault of a box."""
        told = self.faults.setdefault(box, [])
        if sentence not in told:
            told.append(sentence)


class KeyedFaults(Faults):
    """Faults that remember their key, so that each can be told beside its box."""

    def __init__(self, found: list[tuple[str, str, str]] | None = None, where: tuple[str, ...] = ()) -> None:
        super().__init__([], where)
        self.found: list[tuple[str, str, str]] = [] if found is None else found
        self.lines = [] if found is None else [rule for _, _, rule in found]

    def within(self, part: str) -> KeyedFaults:
        """The same list, one place deeper."""
        return KeyedFaults(self.found, (*self.where, one_line(part)))

    def add(self, key: str, value: Any, rule: str) -> None:
        """Add a fault."""
        super().add(key, value, rule)
        self.found.append((".".join((*self.where, one_line(key))), one_line(value), rule))


def asked_givens(sheet: Worksheet) -> list[Given]:
    """The givens that a problem draws: those that are not worked out from others."""
    return [given for given in sheet.givens.values() if given.prepare is None]


def shown_names(sheet: Worksheet) -> list[str]:
    """The givens that a text may name."""
    return [given.name for given in sheet.givens.values() if not given.hidden]


def read_form(
    texts: Texts, worksheets: Mapping[str, Worksheet], bank: str, decimal: str = ".", taken: Mapping[str, str] = {}
) -> ReadForm:
    """Read what was typed.

    Parameters
    ----------
    texts : mapping
        By box; a box that is not there is empty.
    worksheets : mapping
        Those known, by name.
    bank : str
        The file that the problem is for.
    decimal : str
        The decimal sign of the person.
    taken : mapping
        Ids that other problems have, and in which bank.

    Returns
    -------
    ReadForm
        With every fault, each under the name of its box.

    Raises
    ------
    TrainerError
        The worksheet is not known: there is no form without it.
    """
    sheet = worksheets.get(texts.get("worksheet", ""))
    if sheet is None:
        raise TrainerError(gettext("Choose a worksheet first."))
    form = ReadForm()
    reader = _FormReader(texts, sheet, decimal, form)
    form.entry = reader.entry()
    faults = KeyedFaults()
    copy = {key: dict(value) if isinstance(value, dict) else value for key, value in form.entry.items()}
    problem = ProblemReader(copy, bank, worksheets, faults).read()
    unread = {box for box in form.faults if box.startswith(("given-", "rows-"))}
    for key, value, rule in faults.found:
        box = reader.box_of(key)
        if box not in unread and reader.rows_of(box) not in unread:  # told better already
            form.tell(box, _sentence(key, value, rule))
    if form.entry.get("id") in taken:
        form.tell("id", gettext("{id} is used already in {bank}").format(**form.entry, bank=taken[form.entry["id"]]))
    form.problem = None if form.faults else problem
    return form


def _sentence(key: str, value: str, rule: str) -> str:
    if value == "nothing":
        return gettext("This is required.")
    return f"{value} {rule}" if key.partition(".")[0] in _TOLD_WITH_VALUE else rule


class _FormReader:
    """The boxes of one form on their way to an entry."""

    def __init__(self, texts: Texts, sheet: Worksheet, decimal: str, form: ReadForm) -> None:
        self.texts, self.sheet, self.decimal, self.form = texts, sheet, decimal, form
        self.ways = {given.name: self.text(f"how-{given.name}") for given in asked_givens(sheet)}

    def text(self, box: str) -> str:
        """What stands in a box; too much of it is a fault."""
        typed = self.texts.get(box, "").replace("\r\n", "\n").strip()
        is_list = box.startswith(("choose-", "rows-", "avoid-", "value-"))
        most = LONGEST.get(box, LONGEST_LIST if is_list else LONGEST_BOX)
        if len(typed) > most:
            self.form.tell(_beside(box), gettext("At most {n} characters.").format(n=most))
        return typed[:most]

    def entry(self) -> dict[str, Any]:
        """The entry as a bank holds it; what cannot be read is left out and told."""
        entry: dict[str, Any] = {"id": self.text("id"), "worksheet": self.sheet.name}
        entry |= {key: self.text(key) for key in PLAIN[1:] if self.text(key)}
        if entry.get("skill") == self.sheet.skill:
            del entry["skill"]
        if cautions := [line.strip() for line in self.text("cautions").split("\n") if line.strip()]:
            entry["cautions"] = cautions
        if together := list(self._tables()):
            entry["together"] = together
        for key, values in (("keep", self._limits()), ("tolerance", self._tolerances())):
            if values:
                entry[key] = values
        entry["givens"] = self._givens()
        if units := dict(self._units()):
            entry["units"] = units
        return entry

    def _givens(self) -> dict[str, Any]:
        """Those drawn alone; percents of a range come last, since the range is drawn before."""
        alone = [given for given in asked_givens(self.sheet) if self.ways[given.name] not in TABLES]
        alone.sort(key=lambda given: self.ways[given.name] == SHARE)
        drawn = ((given.name, self._draw(given)) for given in alone)
        return {name: how for name, how in drawn if how is not None}

    def _draw(self, given: Given) -> Any:
        way, box = self.ways[given.name], f"given-{given.name}"
        if way in (RANGE, SHARE):
            return self._range(given, way)
        if way == ONE_OF:
            lines = self.text(f"choose-{given.name}").split("\n")
            values = [self._value(given, line, box) for line in lines if line.strip()]
            if not values:
                self.form.tell(box, gettext("Write the values, one a line."))
            return {"choose": values} if values and None not in values else None
        if way != FIXED:
            self.form.tell(box, gettext("Choose how it is drawn."))
            return None
        return self._value(given, self.text(f"value-{given.name}"), box)

    def _range(self, given: Given, way: str) -> dict[str, Any] | None:
        name, box = given.name, f"given-{given.name}"
        ends = {key: self._number(self.text(f"{key}-{name}"), box, key) for key in ("low", "high", "step")}
        if None in ends.values():
            return None
        how: dict[str, Any] = dict(ends)
        if avoid := self._zones(name):
            how["avoid"] = avoid
        if way == SHARE:
            how["of"] = [self.text(f"from-{name}"), self.text(f"to-{name}")]
        return how

    def _zones(self, name: str) -> list[list[Any]]:
        zones = []
        for zone in re.split(r"[;\n]", self.text(f"avoid-{name}")):
            ends = [self._number(end, f"avoid-{name}") for end in _TO.split(zone.strip())] if zone.strip() else []
            if ends and (len(ends) != 2 or None in ends):
                self.form.tell(
                    f"avoid-{name}",
                    gettext("Write what to avoid like 11{sign}5 to 12; 15 to 16.").format(sign=self.decimal),
                )
            elif ends:
                zones.append(ends)
        return zones

    def _tables(self) -> Iterator[dict[str, Any]]:
        for number, table in enumerate(TABLES, 1):
            columns = [given for given in asked_givens(self.sheet) if self.ways[given.name] == table]
            box = f"rows-{number}"
            lines = [line for line in self.text(box).split("\n") if line.strip()]
            if columns and not lines:
                self.form.tell(box, gettext("Write the rows that are drawn together, one a line."))
            elif columns:
                rows = [self._row(columns, line, place, box) for place, line in enumerate(lines, 1)]
                if all(row is not None for row in rows):
                    yield {"givens": [given.name for given in columns], "rows": rows}
            elif lines:
                self.form.tell(box, gettext("No given is drawn from these rows."))

    def _row(self, columns: list[Given], line: str, place: int, box: str) -> list[Any] | None:
        cells = re.split(r"[|\t]", line.strip().strip("|"))
        if len(cells) != len(columns):
            said = gettext("Row {row} has {found} values; with | between them there are to be {wanted}.")
            self.form.tell(box, said.format(row=place, found=len(cells), wanted=len(columns)))
            return None
        values = [self._value(given, cell, box, place) for given, cell in zip(columns, cells, strict=True)]
        return None if None in values else values

    def _value(self, given: Given, typed: str, box: str, row: int = 0) -> Any:
        """A value of the kind of the given; None with the fault told."""
        typed = typed.strip()
        if not typed:
            self._tell_row(box, row, gettext("This is required."))
            return None
        if given.kind == "number":
            return self._number(typed, box, row=row)
        if given.kind in _ROW_KINDS:
            parts = [part.strip() for part in (typed.rstrip("; ") if given.kind == "row" else typed).split(";")]
            cells = [self._number(part, box, row=row) if given.kind == "row" else part for part in parts]
            return None if None in cells else cells
        return typed

    def _number(self, typed: str, box: str, title: str = "", row: int = 0) -> float | int | None:
        found = read(typed, self.decimal)
        if isinstance(found, Refusal) or found.unit:
            told = (
                found.sentence
                if isinstance(found, Refusal)
                else gettext("A number alone; its unit has a box of its own.")
            )
            self._tell_row(box, row, f"{gettext(title)}: {told}" if title else told)
            return None
        return int(found.number) if found.number.is_integer() and abs(found.number) < 1e15 else found.number

    def _tell_row(self, box: str, row: int, told: str) -> None:
        self.form.tell(box, gettext("Row {row}: {told}").format(row=row, told=told) if row else told)

    def _limits(self) -> dict[str, list[Any]]:
        limits = {}
        for name in (*self.sheet.givens, *self.sheet.steps):
            typed = [self.text(f"keep-low-{name}"), self.text(f"keep-high-{name}")]
            if any(typed):
                ends = [self._number(end, f"keep-{name}") for end in typed]
                if None not in ends:
                    limits[name] = ends
        return limits

    def _tolerances(self) -> dict[str, Any]:
        typed = {name: self.text(f"tolerance-{name}") for name in self.sheet.steps}
        read_ones = {name: self._number(text, f"tolerance-{name}") for name, text in typed.items() if text}
        return {name: value for name, value in read_ones.items() if value is not None}

    def _units(self) -> Iterator[tuple[str, str]]:
        """The units of givens whose worksheet leaves them open, in any usual spelling."""
        for given in self.sheet.givens.values():
            typed = self.text(f"unit-{given.name}")
            if typed and takes_unit(given):
                found = UNITS.get(typed) or spelled(typed)
                yield given.name, found.name if found else typed

    def rows_of(self, box: str) -> str:
        """The box of the rows from which the given of a box is drawn, if it is."""
        way = self.ways.get(box.removeprefix("given-"), "")
        return f"rows-{TABLES.index(way) + 1}" if way in TABLES else ""

    def box_of(self, key: str) -> str:
        """The box beside which a fault of a key of the entry is told."""
        head, _, name = key.partition(".")
        name = name.partition(".")[0]
        if head == "givens":
            return f"avoid-{name}" if key.endswith(".avoid") else f"given-{name}" if name else "form"
        if head == "together":
            return self.rows_of(f"given-{name}") or "rows-1"
        if head in ("keep", "tolerance"):
            return f"{head}-{name}" if name else "form"
        if head == "units":
            return f"unit-{name}" if name else "form"
        return head if head in (*PLAIN, "cautions") else "form"


def takes_unit(given: Given) -> bool:
    """Whether the problem says in which unit a given is."""
    return given.kind in ("number", "row") and not given.unit


def _beside(box: str) -> str:
    """The name under which the faults of a box are told: those of one given stand together."""
    head, _, name = box.partition("-")
    if head in ("value", "choose", "low", "high", "step", "from", "to", "how"):
        return f"given-{name}"
    return f"keep-{name.partition('-')[2]}" if head == "keep" else box


def unit_choices(given: Given, others: Mapping[str, Problem]) -> list[str]:
    """Units for a given whose worksheet leaves them open: those of the quantities that other problems give it.

    Where no other problem has it, all are offered but the quotients.
    """
    used = {
        problem.units[given.name]
        for problem in others.values()
        if problem.units.get(given.name) and problem.worksheet.givens.get(given.name) is given
    }
    kinds = {unit(name).dimension for name in used}
    names = [name for name, each in UNITS.items() if name and "(" not in name]
    fitting = [name for name in names if UNITS[name].dimension in kinds]
    return fitting or [name for name in names if " per " not in UNITS[name].dimension]
