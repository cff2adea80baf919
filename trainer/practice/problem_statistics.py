"""What the first tries at a set say of its problems: how hard, how well they tell apart, which ways went wrong."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from statistics import median
from uuid import UUID

import numpy as np
from sqlalchemy.orm import Session

from trainer.learning.items import CORRELATIONS_FROM, ItemReport, item_report
from trainer.learning.statistics import sums
from trainer.practice.results import ItemTable, item_table
from trainer.storage.first_entries import WrongEntry, wrong_first_entries
from trainer.storage.models import ProblemSet, SetProblem
from trainer.storage.problem_sets import get_set
from trainer.worksheets.problem import Problem

SLIP, OPTION, OTHER = "slip", "option", "other"


@dataclass(frozen=True)
class WrongWay:
    """A way in which a step went wrong at the first entry, and how many learners went it.

    ``kind`` is slip with its sentence in ``said``, option with what was chosen, or other with the verdict. ``better``
    counts those whose total lies above the middle one.
    """

    step: str
    kind: str
    said: str
    learners: int
    better: int


@dataclass(frozen=True, eq=False)
class Study:
    """The statistics of a set.

    ``totals`` are the marks of those who completed it, without help, in their first try; ``left_out`` counts the others
    who handed one in. ``above`` is how many have a total above the middle one.
    """

    problem_set: ProblemSet
    problems: tuple[SetProblem, ...]
    report: ItemReport
    totals: tuple[float, ...]
    left_out: int
    above: int
    wrong: Mapping[UUID, tuple[WrongWay, ...]]

    @property
    def halves(self) -> bool:
        """Whether there are learners enough to compare those above the middle with the others."""
        return self.report.learners >= CORRELATIONS_FROM


def study(session: Session, set_id: UUID, problems: Mapping[str, Problem]) -> Study:
    """The statistics of a set; four queries.

    Raises
    ------
    NotFound
        If there is no such set.
    """
    problem_set, table = get_set(session, set_id), item_table(session, set_id)
    totals = _totals(table)
    middle = median(totals.values()) if totals else 0.0
    above = {learner for learner, total in totals.items() if total > middle}
    entries = [each for each in wrong_first_entries(session, set_id) if each.learner_id in totals]
    wrong = {place.id: _ways(place, entries, problems.get(place.problem), above) for place in table.problems}
    return Study(
        problem_set,
        table.problems,
        item_report(sums(table.marks)),
        tuple(totals.values()),
        len(table.learners) - len(totals),
        len(above),
        wrong,
    )


def _totals(table: ItemTable) -> dict[UUID, float]:
    """The total of each learner who completed the set; without problems nobody has one."""
    rows = zip(table.learners, table.marks, strict=True)
    return {learner: float(marks.sum()) for learner, marks in rows if table.problems and not np.isnan(marks).any()}


def _ways(
    place: SetProblem, entries: list[WrongEntry], problem: Problem | None, above: set[UUID]
) -> tuple[WrongWay, ...]:
    """The ways in which a problem went wrong, those of most learners first."""
    who: dict[tuple[str, str, str], set[UUID]] = {}
    said: dict[tuple[str, str, str], str] = {}
    for each in entries:
        if each.set_problem_id == place.id:
            kind, name = _kind(each, problem)
            key = (each.step, kind, name)
            who.setdefault(key, set()).add(each.learner_id)
            said.setdefault(key, each.message if kind == SLIP else name)
    ways = [WrongWay(key[0], key[1], said[key], len(found), len(found & above)) for key, found in who.items()]
    return tuple(sorted(ways, key=lambda way: (-way.learners, way.step, way.said)))


def _kind(entry: WrongEntry, problem: Problem | None) -> tuple[str, str]:
    if entry.slip is not None:
        return SLIP, entry.slip
    step = problem.worksheet.steps.get(entry.step) if problem else None
    if step is not None and step.kind == "choice":
        return OPTION, entry.text
    return OTHER, entry.verdict
