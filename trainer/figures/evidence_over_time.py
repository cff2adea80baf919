"""One skill of one learner over time: the worth of each piece of evidence, and the aged estimate with its interval."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.figures.inputs import Inputs
from trainer.language import gettext

if TYPE_CHECKING:
    from trainer.figures.style import Sheet

SHORTEST = 1.0  # what is shown of the past at least [d]


@dataclass(frozen=True)
class Course:
    """The estimate at some days, with its interval; days are counted from today and negative."""

    at: tuple[float, ...]
    mean: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]


def read(inputs: Inputs) -> Course | None:
    """The course of the estimate, if there is one."""
    if len(inputs.row("days")) != len(inputs.row("values")):
        raise TrainerError(f"figure '{inputs.figure}' takes one value for each day")
    if "at" not in inputs:
        return None
    course = Course(*(inputs.row(name) for name in ("at", "mean", "low", "high")))
    if not len(course.at) == len(course.mean) == len(course.low) == len(course.high):
        raise TrainerError(f"figure '{inputs.figure}': the estimate has a mean and two ends for each day")
    return course


def words(inputs: Inputs, solved: bool) -> str:
    """How much evidence there is, when, how much of it is right, and what the estimate is now."""
    days, values, course = inputs.row("days"), inputs.row("values"), read(inputs)
    told = [
        gettext("Sheets that count: {n}, from {first} to {last} days ago; all right: {right}.").format(
            n=len(values),
            first=inputs.show(-min(days), 0),
            last=inputs.show(-max(days), 0),
            right=sum(value >= 1.0 for value in values),
        )
    ]
    if course is not None:
        said = gettext("Estimate today {mean} %, between {low} and {high} %.")
        low, mean, high = (inputs.show(100.0 * row[-1], 0) for row in (course.low, course.mean, course.high))
        told.append(said.format(mean=mean, low=low, high=high))
    return " ".join(told)


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw the evidence as points, and the estimate as a line in its band."""
    plot, board, course = sheet.plot(62, 52, 378, 150), sheet.board(), read(inputs)
    days, values = inputs.row("days"), inputs.row("values")
    earliest = min(*days, -SHORTEST)
    plot.set(xlim=(earliest * 1.04, -earliest * 0.02), ylim=(-4, 104))
    if course is not None:
        band = [*(100.0 * each for each in course.low), *(100.0 * each for each in reversed(course.high))]
        plot.fill([*course.at, *reversed(course.at)], band, facecolor=sheet.theme.fill, zorder=0)
        sheet.line(plot, course.at, [100.0 * each for each in course.mean], sheet.theme.known)
        label = gettext("estimate {mean} %").format(mean=inputs.show(100.0 * course.mean[-1], 0))
        sheet.text(board, 440, 241, label, sheet.theme.known, ha="right", va="center", weight="bold")
    for right, marker, color in ((True, "o", sheet.theme.answer), (False, "X", sheet.theme.ink)):
        found = [(day, 100.0 * value) for day, value in zip(days, values, strict=True) if (value >= 1.0) == right]
        if found:
            look = {"linestyle": "none", "marker": marker, "markersize": 9, "zorder": 3}
            sheet.line(plot, [day for day, _ in found], [value for _, value in found], color, **look)
    sheet.ticks(plot.xaxis, inputs.decimal)
    sheet.ticks(plot.yaxis, inputs.decimal)
    sheet.text(board, 12, 241, gettext("First entries right, %"), sheet.theme.quiet, va="center")
    sheet.text(board, 442, 14, gettext("days from today"), sheet.theme.quiet, ha="right", va="center")
