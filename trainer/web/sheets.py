"""Sheets as the templates want them: one mapping a step, and the figure with its words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from trainer.figures import FIGURES, Form, Shown, Theme, words
from trainer.grading.entries import SEPARATOR
from trainer.grading.reading import Reading, read
from trainer.language import gettext
from trainer.practice.sheet import Row, Sheet
from trainer.storage.entries import KeptEntry
from trainer.web.show import formula, given_row, in_other_unit, step_value, tolerance, value
from trainer.web.visits import decimal_sign
from trainer.worksheets import solution
from trainer.worksheets.kinds import one_order
from trainer.worksheets.snapshot import KeptStep, Snapshot

Address = Callable[[Form, Theme], str]


@dataclass(frozen=True)
class PlacedFigure:
    """Addresses of a figure's themes, and what it shows in words."""

    light: str
    dark: str
    print: str
    alt: str


def row_view(sheet: Sheet, row: Row, checked: str, token: str) -> dict[str, Any]:
    """One row of a sheet for the macro ``step_row``."""
    step, entry = row.step, row.entry
    just_checked = step.name == checked
    explained = entry is not None and entry.mark is not None and entry.verdict not in ("right", "follows")
    shown = formula(solution.in_symbols(sheet.snapshot, step)) if explained else Markup("")
    if row.state == "given":
        shown = formula(solution.with_numbers(sheet.snapshot, step, decimal_sign()))
    return {
        "number": row.number,
        "name": step.name,
        "title": gettext(step.title),
        "symbol_html": formula(step.symbol),
        "unit": "" if step.ask_unit or (row.state == "done" and _has_unit(row)) else step.unit,
        "ask_unit": step.ask_unit,
        "kind": step.kind,
        "options": _options(sheet.snapshot, step),
        "labels": _labels(sheet.snapshot, step),
        "state": row.state,
        "after": row.number - 1,
        "typed": entry.text if entry else "",
        "value_text": _as_typed(step) if row.state == "given" else "",
        "tolerance_text": tolerance(step),
        "verdict": entry.verdict if entry else "",
        "message": _message(row),
        "more_html": shown,
        "checked": just_checked,
        "signed": step.unit not in ("Ω", "counts", "s"),
        "token": token,
        "autofocus": _focused(sheet, row, checked),
    }


def _has_unit(row: Row) -> bool:
    """Whether the unit was typed too, so that it is not shown a second time."""
    if row.entry is None or row.step.kind != "number":
        return False
    typed = read(row.entry.text, decimal_sign())
    return isinstance(typed, Reading) and bool(typed.unit)


def _message(row: Row) -> str:
    if row.entry is None:
        return ""
    if row.entry.verdict == "follows" and row.state == "mend":
        return gettext("The steps before are mended: work this one again from them.")
    return row.entry.message


def _focused(sheet: Sheet, row: Row, checked: str) -> bool:
    """The box just checked if it is still to mend, else the first one to fill."""
    wanting = [each.step.name for each in sheet.rows if each.state in ("open", "mend")]
    if checked in wanting:
        return row.step.name == checked
    opened = [each.step.name for each in sheet.rows if each.state == "open"]
    return bool(wanting) and row.step.name == (opened or wanting)[0]


def listed_options(step: KeptStep) -> tuple[str, ...]:
    """What can be chosen, as it is listed; things to be put in order by name, which tells nothing."""
    return tuple(sorted(step.options)) if step.kind == "order" else step.options


def _options(kept: Snapshot, step: KeptStep) -> list[tuple[str, str]]:
    """What can be chosen, with its label; a letter to be put in order carries the text of the given it stands for."""
    if step.kind != "order":
        return [(option, gettext(option)) for option in step.options]
    texts = {given.title.rpartition(" ")[2]: str(given.value) for given in kept.givens if given.kind == "choice"}
    return [
        (option, f"{option}: {gettext(texts[option])}" if option in texts else gettext(option))
        for option in listed_options(step)
    ]


def _as_typed(step: KeptStep) -> str:
    """The true value as a learner would type it; numbers with the decimals that are shown."""
    if step.kind in ("number", "row"):
        return step_value(step)
    if step.kind == "choice":
        return str(step.value)
    return SEPARATOR.join(one_order(step.options, step.value) if step.kind == "order" else step.value)


def _labels(kept: Snapshot, step: KeptStep) -> list[str]:
    """What stands over the cells of a row."""
    if step.kind not in ("row", "states"):
        return []
    over = next((given for given in kept.givens if given.name == step.over), None)
    if over is None:
        return [str(number) for number in range(1, len(step.value) + 1)]
    unit = f" {over.unit}" if over.unit else ""
    return [value("number", each, over.decimals) + unit if isinstance(each, float) else each for each in over.value]


def solution_rows(kept: Snapshot, entries: Mapping[str, KeptEntry]) -> list[dict[str, Any]]:
    """The steps of a worked solution for the macro ``solution_step``."""
    return [_solution_row(kept, number, step, entries.get(step.name)) for number, step in enumerate(kept.steps, 1)]


def _solution_row(kept: Snapshot, number: int, step: KeptStep, entry: KeptEntry | None) -> dict[str, Any]:
    other = in_other_unit(step)
    return {
        "number": number,
        "title": gettext(step.title),
        "unit": f"{step.unit} ({other})" if other else step.unit,
        "symbols_html": formula(solution.in_symbols(kept, step)),
        "numbers_html": formula(solution.with_numbers(kept, step, decimal_sign())),
        "value_text": _as_typed(step),
        "kind": step.kind,
        "labels": _labels(kept, step),
        "options": _options(kept, step),
        "words": gettext(step.rule),
        "typed": entry.text.replace(SEPARATOR, f"{SEPARATOR} ") if entry else "",
        "verdict_word": entry.verdict if entry else "",
        "message": entry.message if entry else "",
    }


def listed_givens(kept: Snapshot) -> list[tuple[str, Markup, str, str, bool]]:
    """The givens as a list; rows of numbers that the figure shows are in its words already."""
    drawn = set(kept.figure.values.values()) if kept.figure else set()
    return [given_row(given) for given in kept.shown_givens if given.kind != "row" or given.name not in drawn]


def figure_values(kept: Snapshot, form: Form) -> dict[str, Shown]:
    """What goes into the figure of a snapshot; steps only where it is solved."""
    if kept.figure is None:
        return {}
    nodes: dict[str, Shown] = {given.name: given for given in kept.givens}
    if form == "solved":
        nodes |= {step.name: step for step in kept.steps}
    takes = kept.figure.values
    return {place: nodes[name] for place, name in takes.items() if name in nodes}


def figure_of(kept: Snapshot, form: Form, address: Address) -> PlacedFigure | None:
    """The figure of a snapshot, if its worksheet has one."""
    if kept.figure is None or kept.figure.name not in FIGURES:
        return None
    said = words(kept.figure.name, figure_values(kept, form), form, decimal_sign())
    return PlacedFigure(address(form, "light"), address(form, "dark"), address(form, "print"), said)
