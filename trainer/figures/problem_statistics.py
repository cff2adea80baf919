"""The problems of a set one under another: the share of full marks of each, and how well it tells learners apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.figures.inputs import Inputs
from trainer.language import gettext

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

TOO_HARD, TOO_LOW = 0.30, 0.10  # ends of what should be looked at
LABELED = 8  # problems that have room for their numbers
STRIDES = (1, 2, 5, 10, 20, 50)
LOW, HEIGHT, LEFT, ROOM, GAP = 46.0, 168.0, 48.0, 394.0, 50.0  # of the plots, in points


@dataclass(frozen=True)
class Estimate:
    """A number of a problem, counted from 1, with the ends of its interval."""

    problem: int
    value: float
    low: float
    high: float


def read(inputs: Inputs) -> tuple[list[Estimate], list[Estimate]]:
    """Shares and correlations; a problem may lack the latter."""
    count = len(inputs.row("p"))
    shares = _estimates(inputs, "p", [float(number) for number in range(1, count + 1)])
    return shares, _estimates(inputs, "r", inputs.row("r_of")) if "r" in inputs else []


def _estimates(inputs: Inputs, name: str, problems: Sequence[float]) -> list[Estimate]:
    rows = [inputs.row(each) for each in (name, f"{name}_low", f"{name}_high")]
    if any(len(row) != len(problems) for row in rows):
        raise TrainerError(f"figure '{inputs.figure}': {name} needs a value and two ends for each problem")
    return [Estimate(int(problem), *ends) for problem, *ends in zip(problems, *rows, strict=True)]


def flagged(inputs: Inputs) -> set[int]:
    """The problems that should be looked at."""
    return {int(number) for number in inputs.row("flagged")} if "flagged" in inputs else set()


def words(inputs: Inputs, solved: bool) -> str:
    """From where to where the problems lie, and which should be looked at."""
    shares, correlations = read(inputs)
    hardest, easiest = (pick(shares, key=lambda each: each.value) for pick in (min, max))
    told = [
        gettext("Share of full marks from {low} % (problem {hardest}) to {high} % (problem {easiest}).").format(
            low=inputs.show(100.0 * hardest.value, 0),
            hardest=hardest.problem,
            high=inputs.show(100.0 * easiest.value, 0),
            easiest=easiest.problem,
        )
    ]
    if correlations:
        worst, best = (pick(correlations, key=lambda each: each.value) for pick in (min, max))
        told.append(
            gettext("How well a problem tells apart: from {low} (problem {worst}) to {high} (problem {best}).").format(
                low=inputs.show(worst.value, 2),
                worst=worst.problem,
                high=inputs.show(best.value, 2),
                best=best.problem,
            )
        )
    if found := sorted(flagged(inputs)):
        told.append(gettext("To be looked at: {problems}.").format(problems=", ".join(map(str, found))))
    return " ".join(told)


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw one plot beside the other, or the shares alone."""
    shares, correlations = read(inputs)
    width = (ROOM - GAP) / 2 if correlations else ROOM
    plots = [(shares, LEFT, 0.0, 1.0, TOO_HARD, 100.0, gettext("full marks, %"))]
    if correlations:
        lowest = -1.0 if min(each.low for each in correlations) < -0.5 else -0.5
        plots.append((correlations, LEFT + width + GAP, lowest, 1.0, TOO_LOW, 1.0, gettext("tells apart, r")))
    board, marked = sheet.board(), flagged(inputs)
    sheet.text(board, 8, 241, gettext("Problem"), sheet.theme.quiet, va="center")
    for estimates, left, low, high, bad, factor, title in plots:
        plot = sheet.plot(left, LOW, width, HEIGHT)
        plot.set(xlim=(low * factor, high * factor), ylim=(len(shares) + 0.7, 0.3))
        plot.fill(
            [low * factor, bad * factor, bad * factor, low * factor],
            [0.3, 0.3, len(shares) + 0.7, len(shares) + 0.7],
            facecolor=sheet.theme.fill,
            zorder=0,
        )
        sheet.ticks(plot.xaxis, inputs.decimal)
        _numbers(plot, len(shares), estimates is shares)
        _intervals(sheet, plot, estimates, factor, marked)
        sheet.text(board, left + width, 226, title, sheet.theme.quiet, ha="right", va="center")


def _numbers(plot: Axes, count: int, shown: bool) -> None:
    """Numbers of the problems, as many as there is room for."""
    stride = next(each for each in STRIDES if count <= LABELED * each)
    places = [place for place in range(1, count + 1) if stride == 1 or place % stride == 0]
    plot.set_yticks(places, [str(place) if shown else "" for place in places])


def _intervals(sheet: Sheet, plot: Axes, estimates: Sequence[Estimate], factor: float, marked: set[int]) -> None:
    for each in estimates:
        color = sheet.theme.ink if each.problem in marked else sheet.theme.known
        ends = [each.low * factor, each.high * factor]
        sheet.line(plot, ends, [each.problem, each.problem], color, linewidth=sheet.thin, clip_on=True)
        look = {"marker": "X", "markersize": 11} if each.problem in marked else {"marker": "o", "markersize": 7}
        sheet.line(plot, [each.value * factor], [each.problem], color, linestyle="none", zorder=3, **look)
