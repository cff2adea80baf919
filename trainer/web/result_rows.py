"""Results as the templates want them: marks as words and signs, changes of marks as sentences."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from trainer.clock import moment
from trainer.errors import TrainerError
from trainer.grading.entries import SEPARATOR
from trainer.grading.reading import Refusal, read
from trainer.language import gettext
from trainer.practice.remarking import Remarked, StepChange
from trainer.practice.results import NOT_PASSED, NOT_STARTED, PASSED, WORKING, Result
from trainer.practice.reviews import Review
from trainer.practice.tries import TIME_OVER, state_of
from trainer.storage.reviews import MarkRow
from trainer.units import format_number
from trainer.web.show import value
from trainer.web.visits import decimal_sign
from trainer.worksheets.draw import decimals_of
from trainer.worksheets.snapshot import Snapshot

Parts = tuple[str, str, str]  # word, sign and kind, as the macro standing takes them
AT_WORK = "at work"
STATES = {
    PASSED: (PASSED, "✓", "right"),
    NOT_PASSED: (NOT_PASSED, "✗", "mend"),
    WORKING: (AT_WORK, "◐", "follows"),
    TIME_OVER: (TIME_OVER, "◔", "follows"),
    NOT_STARTED: (NOT_STARTED, "○", ""),
}
_SIGNS = {
    "right": ("✓", "right"),
    "follows": ("→", "follows"),
    "rounded early": ("≈", "follows"),
    "unread": ("?", ""),
    "missing unit": ("?", ""),
}
ORDERS = ("name", "total")


@dataclass(frozen=True)
class EntryLine:
    """One text typed for a step, the mark that counts and those before it."""

    made: datetime
    step: str
    text: str
    verdict: Parts
    mark: str
    message: str
    before: tuple[tuple[str, str, str], ...]
    reason: str


def state_parts(state: str) -> Parts:
    """The state of a learner's work on a set."""
    word, sign, kind = STATES[state]
    return gettext(word), sign, kind


def verdict_parts(verdict: str) -> Parts:
    """A verdict as word, sign and kind."""
    return gettext(verdict), *_SIGNS.get(verdict, ("✗", "mend"))


def cell_parts(share: float | None) -> Parts:
    """A problem in a learner's row: what it is worth in percent, with a sign."""
    if share is None:
        return gettext("open"), "◐", "follows"
    sign, kind = ("✓", "right") if share >= 1.0 else ("✗", "mend") if share <= 0.0 else ("≈", "follows")
    return percent(share).removesuffix(" %"), sign, kind


def percent(share: float | None) -> str:
    """A share as percent, tenths cut off and not rounded, so that nobody seems to reach a mark just missed."""
    if share is None:
        return ""
    tenths = math.floor(share * 1000 + 1e-6)
    return f"{format_number(tenths / 10, 1 if tenths % 10 else 0, decimal_sign())} %"


def read_share(text: str) -> float:
    """A share typed as percent.

    Raises
    ------
    TrainerError
        If it cannot be read or is none.
    """
    typed = read(text, decimal_sign())
    if isinstance(typed, Refusal):
        raise TrainerError(typed.sentence)
    if typed.unit not in ("", "%") or not 0.0 <= typed.number <= 100.0:
        raise TrainerError(gettext("A mark lies between 0 and 100 %."))
    return typed.number / 100


def wanted_rows(rows: Sequence[Result], state: str, order: str) -> list[Result]:
    """The rows of a state, by name as they come, or by total with the lowest first and those without one last."""
    found = [row for row in rows if not state or row.state == state]
    return found if order != "total" else sorted(found, key=lambda row: (row.total is None, row.total or 0.0))


def over(rows: Sequence[Result], at: datetime) -> int:
    """How many tries wait to be taken in because their time is over."""
    return sum(row.running is not None and state_of(row.running, at) == TIME_OVER for row in rows)


def entry_lines(opened: Review) -> Iterator[EntryLine]:
    """All that was typed, in the order of time."""
    for entry in opened.entries:
        step = opened.sheet.snapshot.step(entry.step)
        marks = opened.marks[entry.id]
        yield EntryLine(
            entry.made,
            gettext(step.title),
            entry.text.replace(SEPARATOR, f"{SEPARATOR} "),
            verdict_parts(entry.verdict),
            percent(entry.mark),
            entry.message,
            tuple(_mark_before(mark) for mark in marks[:-1]),
            marks[-1].reason if len(marks) > 1 else "",
        )


def _mark_before(mark: MarkRow) -> tuple[str, str, str]:
    return gettext(mark.verdict), percent(mark.mark), moment(mark.made)


def corrected_steps(worked: Snapshot, corrected: Snapshot) -> list[StepChange]:
    """The true values that are others since a sheet was marked again."""
    return [
        StepChange(old.name, old.title, new.unit, old.value, new.value, old.tolerance, new.tolerance)
        for old, new in zip(worked.steps, corrected.steps, strict=True)
        if (old.value, old.tolerance) != (new.value, new.tolerance)
    ]


def change_lines(changes: Sequence[StepChange], corrected: Snapshot) -> Iterator[str]:
    """Each true value that is another one today, and each tolerance, as a sentence."""
    for each in changes:
        step, unit = corrected.step(each.step), f" {each.unit}" if each.unit else ""
        title = gettext(each.title)
        if each.old != each.new:
            said = gettext("{title}: {old} becomes {new}")
            old, new = (value(step.kind, one, step.decimals) + unit for one in (each.old, each.new))
            yield said.format(title=title, old=old, new=new)
        if each.old_tolerance != each.new_tolerance:
            said = gettext("{title}: within {old} becomes within {new}")
            old, new = (_tolerance(one) + unit for one in (each.old_tolerance, each.new_tolerance))
            yield said.format(title=title, old=old, new=new)


def _tolerance(amount: float) -> str:
    return format_number(amount, decimals_of(amount), decimal_sign())


def mark_changes(row: Remarked) -> Iterator[tuple[str, str, Parts, Parts]]:
    """The entries whose mark becomes another one: step, text, verdict before and after."""
    for each in row.entries:
        if each.changed and row.corrected is not None:
            title = gettext(row.corrected.step(each.entry.step).title)
            yield title, each.entry.text, verdict_parts(each.entry.verdict), verdict_parts(each.verdict)
