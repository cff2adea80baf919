"""Question banks: TOML files of problems, read whole, with every fault told at once."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

from trainer import units
from trainer.content.faults import Faults
from trainer.errors import TrainerError
from trainer.worksheets.draw import Choice, Draw, Fixed, Grid, Within
from trainer.worksheets.problem import Problem
from trainer.worksheets.snapshot import PLACEHOLDER
from trainer.worksheets.worksheet import Worksheet

LEVELS = ("F", "W", "A")
SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
SIZE_AT_MOST = 512 * 1024
KEYS: Mapping[str, type | tuple[type, ...]] = {
    "id": str,
    "worksheet": str,
    "title": str,
    "text": str,
    "level": str,
    "place": str,
    "givens": dict,
    "skill": str,
    "units": dict,
    "together": list,
    "keep": dict,
    "tolerance": dict,
    "cautions": list,
}
REQUIRED = ("id", "worksheet", "title", "text", "level", "place", "givens")
DRAW_KEYS = ("low", "high", "step", "avoid", "of", "choose", "value")


def read_banks(folders: Iterable[Path], worksheets: Mapping[str, Worksheet]) -> tuple[dict[str, Problem], list[str]]:
    """Read every bank of the folders, in order of name.

    Returns
    -------
    problems, faults
        The sound problems by id, and one line per fault: file, problem, key, value, rule.
    """
    problems: dict[str, Problem] = {}
    faults = Faults()
    for path in (path for folder in folders for path in sorted(folder.glob("*.toml"))):
        for problem in _read_bank(path, worksheets, faults.within(path.name)):
            if problem.id in problems:
                first = problems[problem.id].bank
                faults.within(path.name).within(problem.id).add("id", problem.id, f"is used already in {first}")
            else:
                problems[problem.id] = problem
    return problems, faults.lines


def _read_bank(path: Path, worksheets: Mapping[str, Worksheet], faults: Faults) -> list[Problem]:
    try:
        if path.stat().st_size > SIZE_AT_MOST:
            faults.add("size", path.stat().st_size, f"a bank has at most {SIZE_AT_MOST} bytes")
            return []
        bank = tomllib.loads(path.read_text("utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
        faults.add("file", path.name, f"cannot be read: {fault}")
        return []
    entries = bank.get("problem", [])
    faults.unknown(bank, ("problem",))
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        faults.add("problem", entries, "is written as [[problem]]")
        return []
    found = (
        _ProblemReader(entry, path.name, worksheets, faults.within(str(entry.get("id", f"problem {number}")))).read()
        for number, entry in enumerate(entries, 1)
    )
    return [problem for problem in found if problem]


class _ProblemReader:
    """One entry of a bank on its way to a problem."""

    def __init__(self, entry: dict[str, Any], bank: str, worksheets: Mapping[str, Worksheet], faults: Faults) -> None:
        self.entry, self.bank, self.worksheets, self.faults = entry, bank, worksheets, faults

    def read(self) -> Problem | None:
        """The problem, or None with its faults told."""
        before = len(self.faults.lines)
        self.faults.unknown(self.entry, KEYS)
        for key in REQUIRED:
            if key not in self.entry:
                self.faults.add(key, "nothing", "is required")
        for key, kind in KEYS.items():
            if key in self.entry and not isinstance(self.entry[key], kind):
                self.faults.add(key, self.entry[key], f"is a {getattr(kind, '__name__', kind)}")
        if len(self.faults.lines) > before:
            return None
        sheet = self._worksheet()
        if sheet is None:
            return None
        self._check_words(sheet)
        draws = tuple(self._draws(sheet))
        self._check_names(sheet)
        if len(self.faults.lines) > before:
            return None
        return self._problem(sheet, draws)

    def _problem(self, sheet: Worksheet, draws: tuple[Draw, ...]) -> Problem:
        entry = self.entry
        return Problem(
            id=entry["id"],
            worksheet=sheet,
            title=entry["title"],
            text=" ".join(entry["text"].split()),
            level=entry["level"],
            place=entry["place"],
            draws=draws,
            skill=entry.get("skill", sheet.skill),
            units=entry.get("units", {}),
            keep={key: (float(low), float(high)) for key, (low, high) in entry.get("keep", {}).items()},
            tolerances={key: float(value) for key, value in entry.get("tolerance", {}).items()},
            cautions=tuple(entry.get("cautions", ())),
            bank=self.bank,
        )

    def _worksheet(self) -> Worksheet | None:
        name = self.entry["worksheet"]
        if name not in self.worksheets:
            self.faults.name("worksheet", name, self.worksheets)
            return None
        return self.worksheets[name]

    def _check_words(self, sheet: Worksheet) -> None:
        if not SLUG.fullmatch(self.entry["id"]):
            self.faults.add("id", self.entry["id"], "has small letters, digits and single hyphens")
        if self.entry["level"] not in LEVELS:
            self.faults.name("level", self.entry["level"], LEVELS)
        for key in ("title", "text", "place"):
            if not self.entry[key].strip():
                self.faults.add(key, "nothing", "is required")
        shown = [given.name for given in sheet.givens.values() if not given.hidden]
        for match in PLACEHOLDER.finditer(self.entry["text"]):
            if match[1] not in shown:
                self.faults.name("text", match[1], shown)

    def _draws(self, sheet: Worksheet) -> Iterable[Draw]:
        drawn: set[str] = set()
        for rows in self.entry.get("together", ()):
            rows_drawn = self._together(rows, sheet)
            if rows_drawn:
                drawn.update(rows_drawn.names)
                yield rows_drawn
        for name, how in self.entry["givens"].items():
            if name not in sheet.givens:
                self.faults.name("givens", name, sheet.givens)
            elif name in drawn:
                self.faults.add(f"givens.{name}", how, "is drawn already in together")
            else:
                drawn.add(name)
                draw = self._draw(name, how, sheet, drawn)
                if draw:
                    yield draw
        for given in sheet.givens.values():
            if given.name not in drawn and given.prepare is None:
                self.faults.add(f"givens.{given.name}", "nothing", f"is required by worksheet {sheet.name}")

    def _together(self, rows: Any, sheet: Worksheet) -> Choice | None:
        if not isinstance(rows, dict) or set(rows) != {"givens", "rows"}:
            self.faults.add("together", rows, 'is written {givens = ["a", "b"], rows = [[1, 2], [3, 4]]}')
            return None
        names = tuple(rows["givens"])
        for name in names:
            if name not in sheet.givens:
                self.faults.name("together.givens", name, sheet.givens)
        if not rows["rows"] or any(not isinstance(row, list) or len(row) != len(names) for row in rows["rows"]):
            self.faults.add("together.rows", rows["rows"], f"has {len(names)} values in every row")
            return None
        return Choice(names, tuple(tuple(map(_value, row)) for row in rows["rows"]))

    def _draw(self, name: str, how: Any, sheet: Worksheet, drawn: set[str]) -> Draw | None:
        given, key = sheet.givens[name], f"givens.{name}"
        if not isinstance(how, dict):
            how = {"value": how}
        self.faults.within(key).unknown(how, DRAW_KEYS)
        if "value" in how or "choose" in how:
            values = how["choose"] if "choose" in how else [how["value"]]
            if not isinstance(values, list) or not values:
                self.faults.add(key, values, "chooses from a list of values")
                return None
            return self._chosen(name, key, values, given.kind, given.options)
        ends = [how.get(end) for end in ("low", "high", "step")]
        if not all(_is_number(end) for end in ends):
            self.faults.add(key, how, "needs numbers low, high and step, or choose, or value")
            return None
        low, high, step = ends
        if low >= high or step <= 0:
            self.faults.add(key, how, "needs low under high and a step above zero")
            return None
        return self._ranged(name, key, how, drawn)

    def _chosen(self, name: str, key: str, values: list[Any], kind: str, options: tuple[str, ...]) -> Draw | None:
        for value in values:
            if kind == "choice" and value not in options:
                self.faults.name(key, value, options)
                return None
            if kind == "number" and not _is_number(value):
                self.faults.add(key, value, "is a number")
                return None
        rows = tuple((_value(value),) for value in values)
        return Choice((name,), rows) if len(rows) > 1 else Fixed(name, rows[0][0])

    def _ranged(self, name: str, key: str, how: dict[str, Any], drawn: set[str]) -> Draw | None:
        avoid = how.get("avoid", [])
        if not isinstance(avoid, list) or any(not _is_pair(zone) for zone in avoid):
            self.faults.add(f"{key}.avoid", avoid, "is a list of [from, to]")
            return None
        zones = tuple((float(a), float(b)) for a, b in avoid)
        if "of" not in how:
            grid = Grid(name, how["low"], how["high"], how["step"], zones)
            if not grid.runs:
                self.faults.add(key, how, "leaves no value outside the zones to avoid")
            return grid
        ends = how["of"]
        if not isinstance(ends, list) or len(ends) != 2 or any(end not in drawn - {name} for end in ends):
            self.faults.add(f"{key}.of", ends, "names two givens drawn before it")
            return None
        return Within(name, (ends[0], ends[1]), how["low"], how["high"], how["step"], zones)

    def _check_names(self, sheet: Worksheet) -> None:
        nodes = (*sheet.givens, *sheet.steps)
        self._check_table("keep", nodes, _is_pair, "is [low, high]")
        self._check_table("tolerance", sheet.steps, lambda value: _is_number(value) and value > 0, "is above zero")
        self._check_table("units", sheet.givens, lambda value: isinstance(value, str), "is a text")
        for name, unit in self.entry.get("units", {}).items():
            try:
                units.unit(unit)
            except TrainerError as fault:
                self.faults.add(f"units.{name}", unit, str(fault))

    def _check_table(self, key: str, names: Iterable[str], fits: Callable[[Any], bool], rule: str) -> None:
        for name, value in self.entry.get(key, {}).items():
            if name not in names:
                self.faults.name(key, name, names)
            elif not fits(value):
                self.faults.add(f"{key}.{name}", value, rule)


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _is_pair(value: Any) -> bool:
    return isinstance(value, list) and len(value) == 2 and all(map(_is_number, value))


def _value(value: Any) -> Any:
    """Numbers as floats, lists as tuples of them."""
    if isinstance(value, list):
        return tuple(map(_value, value))
    return float(value) if _is_number(value) else value
