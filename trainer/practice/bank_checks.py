"""A bank given as text, looked at whole before it is stored: read, drawn, shown and marked, in bounded time."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator
from copy import deepcopy
from threading import Lock
from typing import Any

from trainer.content.banks import add_bank, parse_table
from trainer.content.draw_quality import SEEDS_CHECKED, draw_report
from trainer.content.faults import Faults, one_line
from trainer.content.formulas import mathml
from trainer.content.library import Library
from trainer.content.own_banks import LARGEST_BANK, OwnBank
from trainer.errors import Conflict
from trainer.language import gettext
from trainer.practice.public import mark_texts
from trainer.worksheets import solution
from trainer.worksheets.problem import Problem
from trainer.worksheets.snapshot import Snapshot, snapshot, written
from trainer.worksheets.worksheet import Worksheet

SECONDS = 20.0
SLOWEST_DRAW = 0.02  # s on average: who starts a problem may wait for some dozens of draws
PATIENCE = 30.0
_checking = Lock()  # one at a time: it takes a whole core

Show = Callable[[Snapshot], object]


def faults_of(bank: OwnBank, library: Library, show: Show = lambda kept: None, seconds: float = SECONDS) -> list[str]:
    """Every fault of a bank as its text would be stored.

    Parameters
    ----------
    bank : OwnBank
        The text under the name that it is to have.
    library : Library
        All that is known; what it holds of a bank of this name is left aside.
    show : callable
        Raises what goes wrong where a variant is shown.
    seconds : float
        Time for the draws of all problems [s].

    Raises
    ------
    Conflict
        Others are having banks checked for too long.
    """
    if len(bank.text.encode("utf-8")) > LARGEST_BANK:
        return [gettext("A bank has at most {n} bytes.").format(n=LARGEST_BANK)]
    if not _checking.acquire(timeout=PATIENCE):
        raise Conflict(gettext("Other banks are being checked just now; try again in a minute."))
    try:
        return _faults_of(bank, library, show, time.monotonic() + seconds)
    finally:
        _checking.release()


def _faults_of(bank: OwnBank, library: Library, show: Show, end: float) -> list[str]:
    faults = Faults().within(bank.file)
    table = parse_table(bank.text, bank.file, faults)
    if faults.lines:
        return faults.lines
    problems = {name: each for name, each in library.problems.items() if each.bank != bank.file}
    sheets = {name: each for name, each in library.worksheets.items() if each.bank != bank.file}
    add_bank(deepcopy(table), bank.file, problems, sheets, faults)
    own = [problem for problem in problems.values() if problem.bank == bank.file]
    if not table.get("problem") and not table.get("worksheet"):
        faults.add("problem", "nothing", "a bank has [[problem]] or [[worksheet]] tables")
    _tell_skills(own, [sheet for sheet in sheets.values() if sheet.bank == bank.file], library, faults)
    _tell_needed(bank, library, sheets, faults)
    if not faults.lines:
        faults.lines.extend(_worked_faults(own, show, end))
    return faults.lines


def _tell_skills(own: list[Problem], sheets: list[Worksheet], library: Library, faults: Faults) -> None:
    named = [(problem.id, problem.skill) for problem in own]
    named += [(sheet.name, sheet.skill) for sheet in sheets]
    named += [(sheet.name, step.skill) for sheet in sheets for step in sheet.steps.values()]
    for name, skill in dict.fromkeys(named):
        if skill not in library.lessons:
            faults.within(name).name("skill", skill, library.lessons)


def _tell_needed(bank: OwnBank, library: Library, sheets: dict[str, Worksheet], faults: Faults) -> None:
    """Worksheets of this bank that problems of other banks are made with stay, with the givens that those draw."""
    for problem in library.problems.values():
        sheet = problem.worksheet
        if sheet.bank != bank.file or problem.bank == bank.file:
            continue
        now = sheets.get(sheet.name)
        if now is None or set(now.givens) != set(sheet.givens):
            faults.add("worksheet", sheet.name, f"is needed with its givens by {problem.id} in {problem.bank}")


def _worked_faults(own: list[Problem], show: Show, end: float) -> Iterator[str]:
    for done, problem in enumerate(own):
        left = end - time.monotonic()
        if left <= 0:
            said = gettext("Only {done} of {all} problems could be checked in time: store the bank in parts.")
            yield said.format(done=done, all=len(own))
            return
        started = time.monotonic()
        report = draw_report(problem, SEEDS_CHECKED, left)
        yield from report.lines()
        if time.monotonic() - started > SLOWEST_DRAW * max(report.drawn, 1):
            yield f"{problem.bank}: {problem.id}: worksheet: takes more than {SLOWEST_DRAW * 1000:.0f} ms for a draw"
        elif not report.broken and report.in_time:
            yield from _shown_faults(problem, show)


def _shown_faults(problem: Problem, show: Show) -> Iterator[str]:
    """What goes wrong where a variant is kept, shown, marked and solved."""
    head = f"{problem.bank}: {problem.id}"
    try:
        variant = problem.variant(1)
        kept = snapshot(variant)
        Snapshot.from_json(json.loads(json.dumps(kept.to_json(), allow_nan=False))).text()
        for slip in kept.slips:
            kept.filled(slip.message)
        for step in kept.steps:
            formulas = (step.symbol, solution.in_symbols(kept, step), solution.with_numbers(kept, step))
            for formula in filter(None, formulas):
                mathml(formula)
        show(kept)
        marked: dict[str, Any] = mark_texts(variant, _right_texts(kept))
    except Exception as fault:  # whatever it is, a learner would meet it
        yield f"{head}: cannot be shown: {one_line(fault) or type(fault).__name__}"
        return
    for name, step_marks in marked["steps"].items():
        if step_marks["verdict"] != "right":
            yield f"{head}: {name}: its right value, typed as it is shown, is not marked right: {step_marks['message']}"


def _right_texts(kept: Snapshot) -> dict[str, str]:
    plain = ("number", "choice")
    return {step.name: written(step.kind, step.value, step.decimals) for step in kept.steps if step.kind in plain}
