"""A problem as its author looks at it before it is kept: twenty variants, how their answers spread, what is refused."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from flask import url_for

from trainer.content.draw_quality import UNWORKABLE, DrawReport, Reason, draw_report
from trainer.errors import TrainerError
from trainer.figures import THEMES, Plain, Shown, words
from trainer.language import gettext
from trainer.units import NO_BREAK_SPACE, unit
from trainer.web.sheets import PlacedFigure
from trainer.web.show import given_row, step_value
from trainer.web.visits import decimal_sign
from trainer.worksheets.problem import ALIKE, HIDDEN, LIMITS, Problem
from trainer.worksheets.snapshot import PLACEHOLDER, Snapshot, snapshot
from trainer.worksheets.worksheet import Worksheet

VARIANTS = 20
SECONDS = 8.0  # for all draws of one look
BARS = 12
MOST_DECIMALS, LONGEST_TITLE = 9, 80


@dataclass(frozen=True)
class VariantRow:
    """One variant: its number, its text, those givens that differ between variants, its answer, as they are read."""

    number: int
    text: str
    givens: tuple[str, ...]
    answer: str


@dataclass(frozen=True)
class Told:
    """Something to be told of the draws: how many, what it is, an example, and what to change."""

    count: int
    what: str
    example: str
    remedy: str


@dataclass(frozen=True)
class StepSpread:
    """How the values of a step spread: a figure, or words alone where all draws give one value."""

    title: str
    figure: PlacedFigure | None
    words: str


@dataclass(frozen=True)
class Look:
    """All that the page shows of a problem's draws.

    ``drawn`` are the titles of the givens that differ between the variants, ``same`` those that do not, with values.
    """

    report: DrawReport
    variants: tuple[VariantRow, ...]
    drawn: tuple[str, ...]
    same: tuple[tuple[str, str], ...]
    spreads: tuple[StepSpread, ...]
    told: tuple[Told, ...]

    @property
    def sound(self) -> bool:
        """Whether its draws teach well enough."""
        return not next(self.report.lines(), "")

    @property
    def answer(self) -> str:
        """What the column of answers is called."""
        return gettext(self.report.problem.worksheet.answer.title)


def look_at(problem: Problem) -> Look:
    """Draw a problem and say what came of it, in bounded time."""
    end = time.monotonic() + SECONDS
    report = draw_report(problem, seconds=SECONDS / 2)
    kept = [] if report.broken else _drawn(problem, end)
    spreads = _spreads(kept[0], report) if kept else ()
    shown = [_shown(each) for each in kept]
    drawn = [title for title in (shown[0] if shown else ()) if len({each[title] for each in shown}) > 1]
    same = [(title, value) for title, value in (shown[0].items() if shown else ()) if title not in drawn]
    rows = [_row(each, [given[title] for title in drawn]) for each, given in zip(kept, shown, strict=True)]
    return Look(report, tuple(rows), tuple(drawn), tuple(same), spreads, tuple(_told(report)))


def _drawn(problem: Problem, end: float) -> list[Snapshot]:
    kept: list[Snapshot] = []
    for seed in range(1, VARIANTS + 1):
        if time.monotonic() > end:
            break
        try:
            kept.append(snapshot(problem.variant(seed)))
        except TrainerError:  # its ranges are wrong, which the report tells
            break
    return kept


def _shown(kept: Snapshot) -> dict[str, str]:
    """The shown givens with their values, by title."""
    rows = (given_row(given) for given in kept.shown_givens)
    return {title: _amount(shown, own) for title, _, shown, own, _ in rows}


def _row(kept: Snapshot, givens: Sequence[str]) -> VariantRow:
    answer = _amount(step_value(kept.answer), kept.answer.unit)
    return VariantRow(kept.seed, kept.text(decimal_sign()), tuple(givens), answer)


def _amount(shown: str, own: str) -> str:
    return f"{shown}{NO_BREAK_SPACE}{own}" if own else shown


def _spreads(kept: Snapshot, report: DrawReport) -> tuple[StepSpread, ...]:
    steps = [step for step in kept.steps if step.name in report.values]
    return tuple(
        _spread(gettext(step.title), step.unit, min(step.decimals, MOST_DECIMALS), report.values[step.name])
        for step in steps
    )


def _spread(title: str, own: str, decimals: int, values: Sequence[float]) -> StepSpread:
    low, high = round(min(values), decimals), round(max(values), decimals)
    if low >= high:
        return StepSpread(title, None, gettext("Always the same value."))
    counts = [0] * BARS
    for value in values:
        bar = int((value - low) / (high - low) * BARS)  # the ends are rounded, so it may lie just outside
        counts[min(max(bar, 0), BARS - 1)] += 1
    asked: dict[str, Any] = {
        "count": counts,
        "low": low,
        "high": high,
        "unit": own,
        "decimals": decimals,
        "title": title,
    }
    said = words("spread", spread_values(counts, low, high, own, decimals, title), "solved", decimal_sign())
    address = {theme: url_for("own_problems.spread", theme=theme, **asked) for theme in THEMES}
    return StepSpread(title, PlacedFigure(**address, alt=f"{title}: {said}"), said)


def spread_values(
    counts: Sequence[int], low: float, high: float, own: str, decimals: int, title: str
) -> dict[str, Shown]:
    """What goes into the figure.

    Raises
    ------
    TrainerError
        For a unit that there is not.
    """
    shown: dict[str, Any] = {"unit": unit(own).name, "decimals": min(decimals, MOST_DECIMALS)}
    shown["title"] = title[:LONGEST_TITLE]
    return {"counts": Plain(tuple(counts)), "low": Plain(low, **shown), "high": Plain(high, **shown)}


def _told(report: DrawReport) -> list[Told]:
    sheet = report.problem.worksheet
    told = [_reason(sheet, reason) for reason in report.sorted_reasons]
    for step, (low, high) in report.uneven.items():
        what = gettext("{title} has {low} to {high} figures to type: some variants are more work than others.")
        remedy = gettext("Draw the givens so that all its values are of one size, or split this into two problems.")
        told.append(Told(0, what.format(title=gettext(sheet.steps[step].title), low=low, high=high), "", remedy))
    if report.broken:
        what = gettext("The worksheet fails with some of these numbers.")
        told.append(Told(1, what, report.broken, gettext("Draw only numbers that it can work with.")))
    elif not report.in_time:
        what = gettext("Only {n} of {all} draws could be worked in time.").format(n=report.drawn, all=report.asked)
        told.append(Told(0, what, "", gettext("Take a worksheet that needs less working.")))
    return told


def _reason(sheet: Worksheet, reason: Reason) -> Told:
    refused = reason.refused
    title = _title(sheet, refused.node)
    sentences = [f"“{_sentence(sheet, sheet.slips[name].message)}”" for name in refused.slips]
    apart = gettext("Leave out the values at which they meet, or draw from a range in which they lie further apart.")
    if refused.rule == LIMITS:
        what = gettext("{title} lies outside its limits.").format(title=title)
        return Told(reason.count, what, refused.words, gettext("Widen the limits, or draw the givens closer together."))
    if refused.rule == HIDDEN:
        what = gettext("A wrong method gives nearly the right {title}, so that it would pass: {slip}")
        return Told(reason.count, what.format(title=title, slip=sentences[0]), refused.words, apart)
    if refused.rule == ALIKE:
        what = gettext("Two wrong methods give nearly the same {title}, so that neither can be told: {slips}")
        return Told(reason.count, what.format(title=title, slips=" ".join(sentences)), refused.words, apart)
    if refused.rule == UNWORKABLE:
        what = gettext("These numbers cannot be worked: a division by zero, or a value outside what an instrument has.")
        return Told(reason.count, what, "", gettext("Draw only numbers that the worksheet can work with."))
    what = gettext("The worksheet itself refuses these numbers, because they teach badly.")
    return Told(reason.count, what, "", gettext("Draw other numbers, or fewer of those at the ends."))


def _title(sheet: Worksheet, name: str) -> str:
    node: Any = sheet.steps.get(name) or sheet.givens.get(name)
    return gettext(node.title) if node else name


def _sentence(sheet: Worksheet, message: str) -> str:
    return PLACEHOLDER.sub(lambda match: _title(sheet, match[1]), gettext(message))
