"""Sheets of a try as the templates want them: boxes to fill, what was sent of them, and what came of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from werkzeug.datastructures import MultiDict

from trainer.language import gettext
from trainer.practice.sheet import Row
from trainer.practice.tries import RUNNING, TIME_OVER, TryProblem, TryView, unreadable
from trainer.storage.entries import KeptEntry
from trainer.web.moments import DAY, countdown
from trainer.web.practice import cells_of, typed_text
from trainer.web.sheets import row_view
from trainer.web.visits import decimal_sign
from trainer.worksheets.snapshot import KeptStep, Snapshot

WAS = "was."  # before the name of a step: what stood in its boxes when the page was made


@dataclass(frozen=True)
class Sent:
    """What a form over a whole sheet holds, by step.

    ``changed`` is the part of ``typed`` that differs from what the page showed, so that an old page sent again
    cannot undo what was kept after it; ``faults`` are what cannot be kept, in a sentence.
    """

    typed: Mapping[str, str]
    changed: Mapping[str, str]
    faults: Mapping[str, str]


def box_name(step: str) -> str:
    """The name of a step's boxes in a form over the whole sheet."""
    return f"entry.{step}"


def sent_boxes(kept: Snapshot, form: MultiDict[str, str]) -> Sent:
    """Read a form over a whole sheet."""
    sent = [step for step in kept.steps if WAS + step.name in form]
    typed = {step.name: typed_text(step, form, box_name(step.name)) for step in sent}
    changed = {name: text for name, text in typed.items() if text != form[WAS + name]}
    faults = {step.name: said for step in sent if (said := box_fault(step, form))}
    return Sent(typed, changed, faults)


def box_fault(step: KeptStep, form: MultiDict[str, str]) -> str:
    """Why the boxes of a step cannot be kept as they are: a place that was given twice holds one of them only."""
    if step.kind != "order":
        return ""
    places = [place for place in cells_of(step, form, box_name(step.name)) if place.strip()]
    return gettext("A place is given twice.") if len(set(places)) < len(places) else ""


def box_rows(
    problem: TryProblem, typed: Mapping[str, str] | None = None, faults: Mapping[str, str] | None = None
) -> list[dict[str, Any]]:
    """The boxes of an assessed sheet with what is kept, or with what was ``typed`` and could not be kept."""
    rows = [_box_row(problem, step, typed or {}, faults or {}) for step in problem.asked]
    if first := next((row for row in rows if not row["typed"].strip()), None):
        first["autofocus"] = True
    return rows


def _box_row(
    problem: TryProblem, step: KeptStep, typed: Mapping[str, str], faults: Mapping[str, str]
) -> dict[str, Any]:
    kept = problem.drafts.get(step.name, "")
    text = typed.get(step.name, kept)
    row = row_view(problem.sheet, Row(_number(problem, step), step, "open", None, 0), "", "")
    told = faults.get(step.name) or unreadable(step, text, decimal_sign())
    more = {"typed": text, "was": kept, "box": box_name(step.name), "message": told, "autofocus": False}
    return row | more | {"fault": step.name in faults}


def done_rows(problem: TryProblem, explained: bool) -> list[dict[str, Any]]:
    """The steps of a sheet that was handed in; sentences that tell the value only where it may be ``explained``."""
    entries = {row.step.name: row.entry for row in problem.sheet.rows if row.entry}
    return [_done_row(problem, step, entries.get(step.name), explained) for step in problem.asked]


def _done_row(problem: TryProblem, step: KeptStep, entry: KeptEntry | None, explained: bool) -> dict[str, Any]:
    row = row_view(problem.sheet, Row(_number(problem, step), step, "done", entry, 0), "", "")
    if entry is None:
        said = gettext("Left empty.")
    else:
        said = entry.message if explained and entry.message else verdict_sentence(entry.verdict)
    return row | {"message": said, "verdict": entry.verdict if entry else "empty", "more_html": "", "checked": False}


def verdict_sentence(verdict: str) -> str:
    """A verdict in words that tell nothing of the right value."""
    return {
        "right": gettext("Right."),
        "follows": gettext("Follows from your step before."),
        "unread": gettext("Could not be read."),
        "missing unit": gettext("The unit was missing."),
        "rounded early": gettext("Half: rounded too early."),
        "unit": gettext("The unit is not the one wanted."),
    }.get(verdict, gettext("Not right."))


def empty_steps(view: TryView) -> list[tuple[int, TryProblem, list[tuple[str, str]]]]:
    """The problems with steps that hold nothing, or nothing that can be read: number, problem, step and why."""
    found = []
    for number, problem in enumerate(view.problems, 1):
        wanting = [(gettext(step.title), said) for step in problem.asked if (said := _wanting(problem, step))]
        if wanting:
            found.append((number, problem, wanting))
    return found


def _wanting(problem: TryProblem, step: KeptStep) -> str:
    """Why a step is worth nothing if the try is handed in now, or nothing."""
    text = held(problem, step)
    return unreadable(step, text, decimal_sign()) if text.strip() else gettext("empty")


def held(problem: TryProblem, step: KeptStep) -> str:
    """What is kept for a step, entered or not."""
    row = problem.sheet.row(step.name)
    return problem.drafts.get(step.name) or (row.entry.text if row is not None and row.entry else "")


def late_texts(problem: TryProblem, typed: Mapping[str, str]) -> list[tuple[str, str]]:
    """What was typed and came too late to be kept: step and text."""
    late = [(step, typed.get(step.name, "")) for step in problem.asked]
    return [(gettext(step.title), text) for step, text in late if text.strip() and text != held(problem, step)]


def over(view: TryView) -> bool:
    """Whether the time is over and the try is still to be handed in; what is on its way is taken a little longer."""
    return view.state == TIME_OVER or (view.state == RUNNING and view.seconds_left == 0)


def time_left(view: TryView) -> str:
    """The time left as a clock shows it; nothing where there is no limit, or more than a day."""
    return "" if view.seconds_left is None or view.seconds_left > DAY else countdown(view.seconds_left)


def _number(problem: TryProblem, step: KeptStep) -> int:
    return problem.sheet.snapshot.steps.index(step) + 1
