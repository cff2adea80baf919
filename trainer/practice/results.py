"""Results of a set: learners by problems with totals, the slips that were met, and the table for statistics."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

import numpy as np
from numpy.typing import NDArray
from sqlalchemy.orm import Session

from trainer.learning.items import ItemReport, item_report
from trainer.learning.statistics import sums
from trainer.practice.tries import HANDED_IN, RUNNING, TIME_OVER, state_of
from trainer.storage import results as kept
from trainer.storage.models import ProblemSet, SetProblem, SetTry
from trainer.storage.problem_sets import get_set, problems_of
from trainer.storage.results import PersonOfSet, SlipCount, ValueRow, slip_counts
from trainer.storage.set_tries import tries_of

NOT_STARTED, WORKING, PASSED, NOT_PASSED = "not started", "working", "passed", "not passed"
STATES = (NOT_STARTED, WORKING, TIME_OVER, PASSED, NOT_PASSED)

_HAIR = 1e-9  # 0.7 of full marks adds up to a hair less in floating point

__all__ = [
    "Cell",
    "ItemTable",
    "Result",
    "ResultTable",
    "SlipCount",
    "item_table",
    "items",
    "result_table",
    "slip_counts",
    "totals",
    "try_result",
]


@dataclass(frozen=True)
class Cell:
    """One problem in one learner's try: ``value`` 0 to 1, None while it is worked on; ``overridden`` by an instructor.

    ``complaint`` says that the learner finds the problem wrong and has no answer yet.
    """

    attempt_id: UUID
    value: float | None
    overridden: bool
    complaint: bool


@dataclass(frozen=True)
class Result:
    """A learner's row: the newest try handed in, else the one under way.

    ``state`` is one of STATES; ``cells`` stand in the order of the problems, None where there is no attempt.
    ``total`` is weighted, 0 to 1, and None before hand-in; ``running`` is a try under way, also beside one handed in.
    """

    person: PersonOfSet
    set_try: SetTry | None
    running: SetTry | None
    tries: int
    cells: tuple[Cell | None, ...]
    total: float | None
    state: str


@dataclass(frozen=True)
class ResultTable:
    """All results of a set."""

    problem_set: ProblemSet
    problems: tuple[SetProblem, ...]
    rows: tuple[Result, ...]


@dataclass(frozen=True, eq=False)
class ItemTable:
    """First tries at a set as marks, shape (learners, problems); NaN for a problem not worked or worked with help."""

    problems: tuple[SetProblem, ...]
    learners: tuple[UUID, ...]
    marks: NDArray[np.float64]


def result_table(session: Session, set_id: UUID, at: datetime) -> ResultTable:
    """The results of a set; five queries, whoever is in the group.

    Raises
    ------
    NotFound
        If there is no such set.
    """
    problem_set = get_set(session, set_id)
    problems = tuple(problems_of(session, set_id))
    tries: dict[UUID, list[SetTry]] = {}
    for each in tries_of(session, set_id):
        tries.setdefault(each.learner_id, []).append(each)
    values = _by_try(kept.values_of(session, set_id=set_id))
    people = kept.people_of_set(session, set_id, problem_set.group_id)
    rows = (_result(problem_set, problems, person, tries.get(person.learner_id, []), values, at) for person in people)
    return ResultTable(problem_set, problems, tuple(rows))


def totals(session: Session, learner_id: UUID) -> dict[UUID, float]:
    """The weighted total of every finished try of a learner, by try; one query."""
    values = _by_try(kept.values_of(session, learner_id=learner_id))
    found = {try_id: _total(list(rows.values())) for try_id, rows in values.items()}
    return {try_id: total for try_id, total in found.items() if total is not None}


def try_result(session: Session, set_try: SetTry) -> tuple[float | None, dict[UUID, Cell]]:
    """The total of one try, None before hand-in, and its problems by their places in the set; one query."""
    rows = kept.values_of(session, set_id=set_try.set_id, learner_id=set_try.learner_id)
    own = _by_try(rows).get(set_try.id, {})
    total = _total(list(own.values())) if set_try.handed_in is not None else None
    return total, {place: cell for place, row in own.items() if (cell := _cell(row))}


def passed(problem_set: ProblemSet, total: float) -> bool:
    """Whether a total reaches the pass mark."""
    return total >= problem_set.pass_mark - _HAIR


def item_table(session: Session, set_id: UUID) -> ItemTable:
    """The table of marks that statistics of a set start from; two queries.

    Of each learner the first try that was handed in, by its first entries, overrides aside. A learner with a NaN has
    not completed the set, and :func:`trainer.learning.statistics.sums` leaves that row out.
    """
    problems = tuple(problems_of(session, set_id))
    column = {each.id: place for place, each in enumerate(problems)}
    first: dict[UUID, int] = {}
    rows: dict[UUID, list[float]] = {}
    for row in kept.item_rows(session, set_id):
        if first.setdefault(row.learner_id, row.number) != row.number or row.set_problem_id not in column:
            continue
        marks = rows.setdefault(row.learner_id, [float("nan")] * len(problems))
        if row.worked and not row.aided and row.value is not None:
            marks[column[row.set_problem_id]] = row.value
    table = np.array(list(rows.values()), dtype=float).reshape(len(rows), len(problems))
    return ItemTable(problems, tuple(rows), table)


def items(session: Session, set_id: UUID) -> tuple[tuple[SetProblem, ...], ItemReport]:
    """The problems of a set and what may be said of each of them."""
    table = item_table(session, set_id)
    return table.problems, item_report(sums(table.marks))


def _result(
    problem_set: ProblemSet,
    problems: Sequence[SetProblem],
    person: PersonOfSet,
    tries: Sequence[SetTry],
    values: dict[UUID, dict[UUID, ValueRow]],
    at: datetime,
) -> Result:
    running = next((each for each in tries if each.handed_in is None), None)
    shown = next((each for each in reversed(tries) if each.handed_in is not None), running)
    own = values.get(shown.id, {}) if shown else {}
    cells = tuple(_cell(own.get(each.id)) for each in problems)
    total = _total(list(own.values())) if shown and shown.handed_in is not None else None
    return Result(person, shown, running, len(tries), cells, total, _state(problem_set, shown, total, at))


def _cell(row: ValueRow | None) -> Cell | None:
    return None if row is None else Cell(row.attempt_id, _worth(row), row.override is not None, row.complaint)


def _worth(row: ValueRow) -> float | None:
    return row.value if row.override is None else row.override


def _total(rows: Sequence[ValueRow]) -> float | None:
    """The weighted mean of a try; None while a problem has no value."""
    marks = [(row.weight, _worth(row)) for row in rows]
    if not marks or any(value is None for _, value in marks):
        return None
    return sum(weight * (value or 0.0) for weight, value in marks) / sum(weight for weight, _ in marks)


def _state(problem_set: ProblemSet, shown: SetTry | None, total: float | None, at: datetime) -> str:
    if shown is None:
        return NOT_STARTED
    state = state_of(shown, at)
    if state == HANDED_IN:
        return PASSED if total is not None and passed(problem_set, total) else NOT_PASSED
    return WORKING if state == RUNNING else TIME_OVER


def _by_try(rows: Sequence[ValueRow]) -> dict[UUID, dict[UUID, ValueRow]]:
    grouped: dict[UUID, dict[UUID, ValueRow]] = {}
    for row in rows:
        grouped.setdefault(row.set_try_id, {})[row.set_problem_id] = row
    return grouped
