"""Question banks: TOML files of problems, read whole, with every fault told at once."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

from trainer import units
from trainer.content.faults import Faults
from trainer.content.givens import is_number, is_pair, read_draws
from trainer.content.worksheet_tables import read_worksheets
from trainer.errors import TrainerError
from trainer.worksheets.draw import Draw
from trainer.worksheets.problem import LEVELS, Problem
from trainer.worksheets.snapshot import PLACEHOLDER
from trainer.worksheets.worksheet import Given, Step, Worksheet

SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
SIZE_AT_MOST = 512 * 1024
DOTS_AT_MOST = 500  # in a line: a name of thousands of parts takes the reader of TOML minutes
KEYS: Mapping[str, type] = {
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
    "replaced_by": str,
}
KINDS: Mapping[type, str] = {str: "a text", dict: "a table", list: "a list"}
REQUIRED = ("id", "worksheet", "title", "text", "level", "place", "givens")


def read_banks(folders: Iterable[Path], worksheets: Mapping[str, Worksheet]) -> tuple[dict[str, Problem], list[str]]:
    """Read every bank of the folders, in order of name.

    Returns
    -------
    problems, faults
        The sound problems by id, and one line per fault: file, problem, key, value, rule.
    """
    problems: dict[str, Problem] = {}
    faults = Faults()
    add_banks(folders, problems, dict(worksheets), faults)
    return problems, faults.lines


def add_banks(
    folders: Iterable[Path], problems: dict[str, Problem], worksheets: dict[str, Worksheet], faults: Faults
) -> None:
    """Read every bank of the folders, in order of name, and add what they hold to what is known."""
    for path in (path for folder in folders for path in sorted(folder.glob("*.toml"))):
        here = faults.within(path.name)
        add_bank(read_table(path, here), path.name, problems, worksheets, here)


def add_bank(
    bank: Mapping[str, Any],
    name: str,
    problems: dict[str, Problem],
    worksheets: dict[str, Worksheet],
    faults: Faults,
) -> None:
    """Add the problems of one bank; the worksheets that it defines are known to it and to the banks after it."""
    for problem in _read_bank(bank, name, worksheets, faults):
        if problem.id in problems:
            faults.within(problem.id).add("id", problem.id, f"is used already in {problems[problem.id].bank}")
        else:
            problems[problem.id] = problem


def read_table(path: Path, faults: Faults) -> dict[str, Any]:
    """A bank as the table it is; empty, with the fault told, where it cannot be read."""
    try:
        if path.stat().st_size <= SIZE_AT_MOST:
            return parse_table(path.read_text("utf-8-sig"), path.name, faults)
        faults.add("size", path.stat().st_size, f"a bank has at most {SIZE_AT_MOST} bytes")
    except (OSError, ValueError) as fault:  # ValueError: not UTF-8
        faults.add("file", path.name, f"cannot be read: {fault}")
    return {}


def parse_table(text: str, name: str, faults: Faults) -> dict[str, Any]:
    """The text of a bank as the table it is; empty, with the fault told, where it is no TOML."""
    try:
        for number, line in enumerate(text.split("\n"), 1):
            if line.count(".") > DOTS_AT_MOST:
                raise ValueError(f"line {number} has more than {DOTS_AT_MOST} dots; write it as several lines")
        return tomllib.loads(text)
    except (ValueError, RecursionError) as fault:  # ValueError: not TOML, a number without end
        faults.add("file", name, f"cannot be read: {fault}")
        return {}


def _read_bank(bank: Mapping[str, Any], name: str, worksheets: dict[str, Worksheet], faults: Faults) -> list[Problem]:
    entries = bank.get("problem", [])
    faults.unknown(bank, ("problem", "worksheet"))
    read_worksheets(bank.get("worksheet", []), name, worksheets, faults)
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        faults.add("problem", entries, "is written as [[problem]]")
        return []
    found = (
        ProblemReader(entry, name, worksheets, faults.within(str(entry.get("id", f"problem {number}")))).read()
        for number, entry in enumerate(entries, 1)
    )
    return [problem for problem in found if problem]


class ProblemReader:
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
                self.faults.add(key, self.entry.pop(key), f"is {KINDS[kind]}")
        self._check_words()
        sheet = self._worksheet()
        if sheet is None:
            return None
        self._check_text(sheet)
        draws = read_draws(self.entry, sheet, self.faults)
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
            replaced_by=entry.get("replaced_by", ""),
        )

    def _worksheet(self) -> Worksheet | None:
        name = self.entry.get("worksheet")
        if name is not None and name not in self.worksheets:
            self.faults.name("worksheet", name, self.worksheets)
        return self.worksheets.get(name) if name is not None else None

    def _check_words(self) -> None:
        if not SLUG.fullmatch(self.entry.get("id", "a")):
            self.faults.add("id", self.entry["id"], "has small letters, digits and single hyphens")
        if self.entry.get("level", "F") not in LEVELS:
            self.faults.name("level", self.entry["level"], LEVELS)
        for key in ("title", "text", "place"):
            if not self.entry.get(key, "a").strip():
                self.faults.add(key, "nothing", "is required")
        for caution in self.entry.get("cautions", ()):
            if not isinstance(caution, str) or not caution.strip():
                self.faults.add("cautions", caution, "is a list of texts")

    def _check_text(self, sheet: Worksheet) -> None:
        text = self.entry.get("text", "")
        shown = [given.name for given in sheet.givens.values() if not given.hidden]
        for match in PLACEHOLDER.finditer(text):
            if match[1] not in shown:
                self.faults.name("text", match[1], shown)
        if left := re.search(r"[{}].{0,20}", PLACEHOLDER.sub("", text)):
            self.faults.add("text", left[0], "is no place for a given: write {name} or {name:bare}")

    def _check_names(self, sheet: Worksheet) -> None:
        nodes: dict[str, Given | Step] = {**sheet.givens, **sheet.steps}
        numbers = [name for name, node in nodes.items() if node.kind == "number"]
        typed = [name for name, step in sheet.steps.items() if step.kind in ("number", "row")]
        self._check_table("keep", numbers, is_pair, "is [low, high], low not above high")
        self._check_table("tolerance", typed, lambda value: is_number(value) and value > 0, "is above zero")
        self._check_table("units", sheet.givens, lambda value: isinstance(value, str), "is a text")
        for name, unit in self.entry.get("units", {}).items():
            if isinstance(unit, str) and name in sheet.givens:
                self._check_unit(name, unit, sheet.givens[name].unit)

    def _check_unit(self, name: str, unit: str, own: str) -> None:
        try:
            units.unit(unit)
        except TrainerError as fault:
            self.faults.add(f"units.{name}", unit, str(fault))
            return
        if own in units.UNITS and own and own != unit:
            self.faults.add(f"units.{name}", unit, f"is {own} by its worksheet")

    def _check_table(self, key: str, names: Iterable[str], fits: Callable[[Any], bool], rule: str) -> None:
        for name, value in self.entry.get(key, {}).items():
            if name not in names:
                self.faults.name(key, name, names)
            elif not fits(value):
                self.faults.add(f"{key}.{name}", value, rule)
