"""The form of a problem as its page shows it, and the worksheets to choose from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from flask import render_template

from trainer.content.library import Library
from trainer.content.own_banks import own_banks
from trainer.practice.own_problems import next_version
from trainer.practice.problem_forms import (
    TABLES,
    ReadForm,
    asked_givens,
    shown_names,
    takes_unit,
    unit_choices,
)
from trainer.practice.problem_texts import texts_of
from trainer.practice.public import strand_of
from trainer.web.problem_look import Look
from trainer.web.services import services
from trainer.web.visits import decimal_sign
from trainer.worksheets.problem import LEVELS, Problem
from trainer.worksheets.worksheet import Given, Step, Worksheet


@dataclass(frozen=True)
class Place:
    """Where a problem stands in its bank, and the marks of both as they are now."""

    bank: str
    problem: str
    seen: str
    entry_seen: str
    worked: int
    replaced_by: str
    worksheet: str

    @property
    def next(self) -> str:
        """The id of its next version."""
        return next_version(self.problem, services().library.problems)


def form_page(
    texts: Mapping[str, str],
    place: Place | None,
    form: ReadForm | None = None,
    looked: Look | None = None,
    refusal: str = "",
    changes: Sequence[tuple[str, str, str]] = (),
) -> str:
    """The form with what stands in its boxes, and the look below it if there is one."""
    library = services().library
    sheet = library.worksheets[texts["worksheet"]]
    nodes: tuple[Given | Step, ...] = (*sheet.givens.values(), *sheet.steps.values())
    asked = asked_givens(sheet)
    return render_template(
        "own_problem.html",
        sheet=sheet,
        texts=texts,
        stands=place,
        faults=form.faults if form else {},
        look=looked,
        refusal=refusal,
        changes=changes,
        asked=asked,
        tables=_tables(texts),
        usable=shown_names(sheet),
        takes_unit=takes_unit,
        units={given.name: unit_choices(given, library.problems) for given in asked if takes_unit(given)},
        numbers=[node for node in nodes if node.kind == "number"],
        toleranced=[step for step in sheet.steps.values() if step.kind in ("number", "row")],
        skills={skill: lesson.title for skill, lesson in library.lessons.items()},
        levels=LEVELS,
        banks=own_banks(services().settings.data),
    )


def _tables(texts: Mapping[str, str]) -> tuple[str, ...]:
    """The tables of rows in use, and one more."""
    chosen = {way for box, way in texts.items() if box.startswith("how-")}
    used = [n for n, table in enumerate(TABLES, 1) if table in chosen or texts.get(f"rows-{n}")]
    return TABLES[: max(used, default=0) + 1]


def differences(typed: Problem, now: Problem) -> list[tuple[str, str, str]]:
    """The boxes in which the forms of two problems differ: name, theirs, one's own."""
    yours, theirs = texts_of(typed, decimal_sign()), texts_of(now, decimal_sign())
    names = dict.fromkeys((*yours, *theirs))
    pairs = [(name, theirs.get(name, ""), yours.get(name, "")) for name in names]
    return [pair for pair in pairs if pair[1] != pair[2]]


def worksheets_by_skill(
    library: Library, wanted: Mapping[str, str]
) -> list[tuple[str, list[tuple[Worksheet, list[Problem]]]]]:
    """The worksheets of each skill with the problems that are made with them."""
    made: dict[str, list[Problem]] = {}
    for problem in library.offered.values():
        made.setdefault(problem.worksheet.name, []).append(problem)
    groups: dict[str, list[tuple[Worksheet, list[Problem]]]] = {}
    for sheet in library.worksheets.values():
        fits = wanted["strand"] in ("", strand_of(sheet.skill)) and wanted["skill"] in ("", sheet.skill)
        if fits:
            groups.setdefault(sheet.skill, []).append((sheet, made.get(sheet.name, [])))
    order = list(library.lessons)
    return sorted(groups.items(), key=lambda group: order.index(group[0]) if group[0] in order else len(order))
