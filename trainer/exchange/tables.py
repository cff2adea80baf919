"""What is given out as tables: results of a set, what they say of its problems, people, results of papers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from trainer.exchange.csv_files import Cell, Table
from trainer.learning.intervals import Interval
from trainer.learning.items import Item, ItemReport
from trainer.practice.paper_results import PaperWork, how, worth
from trainer.practice.people import PersonRow
from trainer.practice.results import Result, ResultTable
from trainer.storage.models import SetProblem
from trainer.worksheets.problem import Problem

RESULTS = ("name", "state", "tries", "started", "handed in", "total")
ITEMS = (
    *("number", "problem", "title", "skill", "weight", "learners", "sum of marks"),
    *("p", "p low", "p high", "r_ir", "r_ir low", "r_ir high", "flags"),
    *("alpha of the set", "standard error of a total", "provisional"),
)
PEOPLE = ("name", "role", "state", "groups", "code valid until", "last worked", "learner")
PAPERS = ("paper", "seed", "version", "name", "written on", "total", "number", "problem", "mark", "from", "learner")


def result_table(found: ResultTable) -> Table:
    """Learners by problems, marks 0 to 1; the newest try handed in, else the one under way."""
    problems = [f"{number} {each.problem}" for number, each in enumerate(found.problems, 1)]
    return (*RESULTS, *problems, "learner"), map(_result, found.rows)


def _result(row: Result) -> list[Cell]:
    under = row.set_try
    marks = [None if cell is None else cell.value for cell in row.cells]
    begun = (under.started, under.handed_in) if under else (None, None)
    return [row.person.name, row.state, row.tries, *begun, row.total, *marks, str(row.person.learner_id)]


def item_table(places: Sequence[SetProblem], report: ItemReport, problems: Mapping[str, Problem]) -> Table:
    """Problems of a set with what first tries say of them; what so few learners cannot carry is left empty."""
    return ITEMS, _items(places, report, problems)


def _items(places: Sequence[SetProblem], report: ItemReport, problems: Mapping[str, Problem]) -> Iterator[list[Cell]]:
    for number, (place, item) in enumerate(zip(places, report.items, strict=True), 1):
        known = problems.get(place.problem)
        named: list[Cell] = [place.problem, known.title, _skill(known)] if known else [place.problem, None, None]
        ends = (report.alpha, report.standard_error, report.provisional)
        yield [number, *named, place.weight, report.learners, *_statistics(item), *ends]


def _skill(problem: Problem) -> str:
    return problem.skill or problem.worksheet.skill


def _statistics(item: Item) -> list[Cell]:
    return [item.marks, item.p, *_ends(item.p_interval), item.r_ir, *_ends(item.r_ir_interval), "; ".join(item.flags)]


def _ends(interval: Interval | None) -> tuple[Cell, Cell]:
    return (interval.low, interval.high) if interval else (None, None)


def people_table(rows: Iterable[PersonRow]) -> Table:
    """Everybody with an account, and the guests in groups."""
    return PEOPLE, map(_person, rows)


def _person(row: PersonRow) -> list[Cell]:
    groups = "; ".join(name for _, name in row.groups)
    return [row.name, row.role, row.state, groups, row.code_until, row.last_worked, str(row.learner_id)]


def paper_table(versions: Iterable[tuple[str, Sequence[PaperWork]]]) -> Table:
    """Work on paper, one line a problem, with the title of the paper."""
    return PAPERS, (row for title, works in versions for work in works for row in _work(title, work))


def _work(title: str, work: PaperWork) -> Iterator[list[Cell]]:
    for number, each in enumerate(work.attempts, 1):
        own: list[Cell] = [title, work.seed, work.version, work.name, f"{work.worked:%Y-%m-%d}", work.total]
        yield [*own, number, each.problem, worth(each), how(each), str(work.learner_id)]
