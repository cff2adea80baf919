"""Statistics of a set in words and as the values of its plots."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from uuid import UUID

from trainer.figures import Plain
from trainer.language import gettext, ngettext
from trainer.learning.intervals import Interval
from trainer.learning.items import (
    CORRELATIONS_FROM,
    EVERYONE_RIGHT,
    FLAGS_FROM,
    LOOK_AT_THE_KEY,
    SHARES_FROM,
    TOO_HARD,
    Item,
    ItemReport,
)
from trainer.practice.problem_statistics import OPTION, SLIP, Study, WrongWay
from trainer.units import format_number
from trainer.web.visits import decimal_sign
from trainer.worksheets.problem import Problem

EASY, HARD = 0.85, 0.30  # shares of full marks from which words change
LITTLE = 0.20  # correlations below it tell little apart (common practice)
NOTHING = "-"
VERDICTS = {
    "rounded early": "rounded too early",
    "scale": "decimal point or prefix",
    "sign": "the sign turned round",
    "unit": "another unit",
    "mend earlier": "worked on from an impossible value",
}


@dataclass(frozen=True)
class WayRow:
    """A way in which a step went wrong: the step's title, what it was, how many learners, and of them the better."""

    step: str
    said: str
    learners: int
    better: int


@dataclass(frozen=True)
class ProblemRow:
    """A problem of the set as the page lists it; what cannot be said yet is "-"."""

    id: UUID
    number: int
    problem: str
    title: str
    marks: str
    share: str
    share_ends: str
    apart: str
    apart_ends: str
    says: str
    look: bool
    ways: tuple[WayRow, ...]


def problem_rows(found: Study, problems: Mapping[str, Problem]) -> list[ProblemRow]:
    """The problems in the order of the set."""
    rows = []
    for number, (place, item) in enumerate(zip(found.problems, found.report.items, strict=True), 1):
        problem = problems.get(place.problem)
        rows.append(
            ProblemRow(
                place.id,
                number,
                place.problem,
                gettext(problem.title) if problem else place.problem,
                _number(item.marks, 0 if item.marks == int(item.marks) else 1),
                NOTHING if item.p is None else _percent(item.p),
                _ends(item.p_interval, percent=True),
                NOTHING if item.r_ir is None else _number(item.r_ir, 2),
                _ends(item.r_ir_interval),
                says(item, found.report),
                LOOK_AT_THE_KEY in item.flags or TOO_HARD in item.flags,
                tuple(_way(way, problem) for way in found.wrong[place.id]),
            )
        )
    return rows


def says(item: Item, report: ItemReport) -> str:
    """What the numbers of a problem say, in one sentence."""
    if item.p is None:
        return gettext("Too few learners to say more than the count.")
    if item.p == 1.0:
        return gettext("Everyone got this one; it tells nothing apart.")
    if TOO_HARD in item.flags:
        return gettext("Few got this one, and that is not chance: too hard, or not taught yet.")
    return f"{_how_many(item.p)}{_how_well(item, report)}."


def _how_many(p: float) -> str:
    if p >= EASY:
        return gettext("Most got this one")
    return gettext("Few got this one") if p < HARD else gettext("Some got this one, some did not")


def _how_well(item: Item, report: ItemReport) -> str:
    if item.r_ir is None:
        return ""
    if LOOK_AT_THE_KEY in item.flags:
        if item.r_ir < 0.0:
            return gettext("; those who were better in the rest did worse here: look at the problem and its key")
        return gettext("; being better in the rest did not help here: look at the problem and its key")
    if item.r_ir < 0.0:
        return gettext("; those who were better in the rest did no better here, which may be chance")
    if item.r_ir < LITTLE:
        return gettext("; it tells little apart")
    return gettext("; those who were better in the rest did better here, too")


def remarks(found: Study) -> Iterator[str]:
    """Whose work is counted, and what is not shown with so few."""
    n = found.report.learners
    if n == 0:
        yield gettext("Nobody has completed this set without help yet.")
    else:
        said = ngettext("{n} learner has completed it without help.", "{n} learners have completed it without help.", n)
        yield said.format(n=n)
    if found.left_out:
        said = ngettext(
            "{n} more is left out: a problem was not worked, or worked with help.",
            "{n} more are left out: a problem was not worked, or worked with help.",
            found.left_out,
        )
        yield said.format(n=found.left_out)
    if n < SHARES_FROM:
        yield gettext("Below {n} learners only counts are shown; a share of so few says next to nothing.").format(
            n=SHARES_FROM
        )
    if n < CORRELATIONS_FROM:
        yield gettext("How well problems tell apart, and how reliable the total is, can be said from {n} on.").format(
            n=CORRELATIONS_FROM
        )
    elif n < FLAGS_FROM:
        yield gettext("With fewer than {n}, how well problems tell apart and the reliability are provisional.").format(
            n=FLAGS_FROM
        )
    if n < FLAGS_FROM:
        yield gettext("Nothing is marked to be looked at below {n}: it could be chance.").format(n=FLAGS_FROM)


def reliability(found: Study) -> str:
    """The reliability of the total with its error, or why there is none."""
    report = found.report
    if report.alpha is None or report.standard_error is None:
        if report.learners < CORRELATIONS_FROM:
            return ""
        if len(report.items) < 2:
            return gettext("Reliability: -. It takes two problems at least.")
        return gettext("Reliability: -. All totals are the same, so nothing can be told apart.")
    said = gettext("Reliability {alpha}; a total is sure to about {error} marks either way.")
    return said.format(alpha=_number(report.alpha, 2), error=_number(report.standard_error, 1))


def plotted_problems(found: Study) -> dict[str, Plain]:
    """The values of the plot of problems; none as long as there are no shares."""
    items = found.report.items
    shares = [(item.p, *item.p_interval) for item in items if item.p is not None and item.p_interval is not None]
    if not shares:
        return {}
    values = dict(zip(("p", "p_low", "p_high"), map(_row, zip(*shares, strict=True)), strict=True))
    known = [
        (float(number), item.r_ir, *item.r_ir_interval)
        for number, item in enumerate(items, 1)
        if item.r_ir is not None and item.r_ir_interval is not None
    ]
    if known:
        values |= dict(zip(("r_of", "r", "r_low", "r_high"), map(_row, zip(*known, strict=True)), strict=True))
    look = [float(number) for number, item in enumerate(items, 1) if set(item.flags) - {EVERYONE_RIGHT}]
    return values | ({"flagged": _row(look)} if look else {})


def plotted_totals(found: Study) -> dict[str, Plain]:
    """The values of the plot of totals; none as long as nobody has one."""
    if not found.totals:
        return {}
    return {"totals": _row(found.totals), "full": Plain(float(len(found.problems)))}


def _row(values: tuple[float, ...] | list[float]) -> Plain:
    return Plain(tuple(values))


def _way(way: WrongWay, problem: Problem | None) -> WayRow:
    step = problem.worksheet.steps.get(way.step) if problem else None
    said = way.said
    if way.kind == OPTION:
        said = gettext("chose: {option}").format(option=gettext(way.said))
    elif way.kind != SLIP:
        said = gettext(VERDICTS.get(way.said, "another wrong value"))
    return WayRow(gettext(step.title) if step else way.step, said, way.learners, way.better)


def _percent(share: float) -> str:
    return f"{_number(100.0 * share, 0)} %"


def _ends(ends: Interval | None, percent: bool = False) -> str:
    if ends is None:
        return ""
    factor, decimals = (100.0, 0) if percent else (1.0, 2)
    low, high = (_number(factor * end, decimals) for end in ends)
    return gettext("{low} to {high}").format(low=low, high=high) + (" %" if percent else "")


def _number(value: float, decimals: int) -> str:
    return format_number(value, decimals, decimal_sign())
