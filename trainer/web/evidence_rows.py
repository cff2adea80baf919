"""The evidence for a skill as its page wants it: rows of a table, and the values of a plot."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from trainer.figures import Plain
from trainer.language import gettext
from trainer.learning.aged import aged_course
from trainer.practice.skill_summaries import Summary
from trainer.storage.evidence import EvidenceRow
from trainer.units import format_number
from trainer.web.show import work_title

PLACES = 40  # at which the course of the estimate is worked out
DAY = timedelta(days=1)


@dataclass(frozen=True)
class Piece:
    """A sheet that was finished: when, which problem and variant, its value, and whether and why it counts."""

    attempt_id: UUID
    kind: str
    finished: datetime
    title: str
    variant: int
    value: str
    counts: str


def evidence_rows(found: Summary) -> list[Piece]:
    """All sheets of the skill, the newest first."""
    rows = sorted((*found.rows, *found.beside), key=lambda row: (row.finished, row.attempt_id), reverse=True)
    return [
        Piece(
            row.attempt_id,
            row.source_kind,
            row.finished,
            work_title(row.source_kind, row.source),
            row.seed,
            f"{format_number(100.0 * row.value, 0)} %",
            _counts(row),
        )
        for row in rows
    ]


def _counts(row: EvidenceRow) -> str:
    if row.evidence:
        return gettext("yes, without help")
    if row.aided:
        return gettext("no, with help")
    return gettext("no, steps were given") if row.mode == "faded" else gettext("no")


def plotted(found: Summary) -> dict[str, Plain]:
    """The values of the plot over time; none without evidence."""
    if not found.rows:
        return {}
    days = tuple(_days(row.finished, found.made) for row in found.rows)
    values = {"days": Plain(days), "values": Plain(tuple(row.value for row in found.rows))}
    first = found.rows[0].finished
    moments = [first + (found.made - first) * place / PLACES for place in range(PLACES + 1)]
    course = [
        (_days(at, found.made), each.mean, *each.interval)
        for at, each in zip(moments, aged_course(found.evidence, moments), strict=True)
        if each.mean is not None and each.interval is not None
    ]
    if not course:
        return values
    names = ("at", "mean", "low", "high")
    return values | {name: Plain(tuple(row)) for name, row in zip(names, zip(*course, strict=True), strict=True)}


def _days(at: datetime, now: datetime) -> float:
    return (at - now) / DAY
