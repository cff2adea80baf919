"""How many learners have which total in a set: a bar for each whole mark, or for a few of them together."""

from __future__ import annotations

import math
from collections import Counter
from typing import TYPE_CHECKING

from trainer.figures.inputs import Inputs
from trainer.language import gettext

if TYPE_CHECKING:
    from trainer.figures.style import Sheet

MOST_BARS = 12
HAIR = 1e-9  # thirds and tenths of a mark add up to a hair less
CHARACTERS = 30  # of all labels under the bars together, that there is room for


def bars(inputs: Inputs) -> list[tuple[int, int, int]]:
    """The least and the most whole mark of each bar, and how many learners it counts."""
    full = round(inputs.number("full"))
    width = math.ceil((full + 1) / MOST_BARS)
    counted = Counter(min(int(total + HAIR), full) // width for total in inputs.row("totals"))
    return [
        (first, min(first + width - 1, full), counted[place]) for place, first in enumerate(range(0, full + 1, width))
    ]


def words(inputs: Inputs, solved: bool) -> str:
    """How many learners, the ends, the mean, and the bars that count anybody."""
    totals = inputs.row("totals")
    told = [
        gettext("Totals of {n} learners out of {full}: from {low} to {high}, mean {mean}.").format(
            n=len(totals),
            full=inputs.show(inputs.number("full"), 0),
            low=inputs.show(min(totals), 1),
            high=inputs.show(max(totals), 1),
            mean=inputs.show(_mean(inputs), 1),
        )
    ]
    counted = "; ".join(f"{_range(low, high)}: {n}" for low, high, n in bars(inputs) if n)
    return " ".join([*told, gettext("Learners by marks: {bars}.").format(bars=counted)])


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw the bars and the line of the mean."""
    plot, board, shown = sheet.plot(52, 52, 388, 158), sheet.board(), bars(inputs)
    most = max(n for _, _, n in shown)
    width = shown[0][1] - shown[0][0] + 1
    plot.set(xlim=(-0.6, len(shown) - 0.4), ylim=(0, most * 1.1))
    for place, (_, _, n) in enumerate(shown):
        xs = [place - 0.4, place - 0.4, place + 0.4, place + 0.4]
        plot.fill(xs, [0, n, n, 0], facecolor=sheet.theme.fill, edgecolor=sheet.theme.ink, linewidth=sheet.thin)
    names = [_range(low, high) for low, high, _ in shown]
    stride = math.ceil(max(map(len, names)) * len(names) / CHARACTERS)
    places = range(0, len(names), stride)
    plot.set_xticks(list(places), [names[place] for place in places])
    sheet.ticks(plot.yaxis, inputs.decimal, most=max(1, min(4, most)))
    mean = _mean(inputs) / width - (0.5 - 0.5 / width)
    sheet.line(plot, [mean, mean], [0, most * 1.1], sheet.theme.known, linestyle="--")
    label = gettext("mean {mean}").format(mean=inputs.show(_mean(inputs), 1))
    sheet.text(board, 440, 241, label, sheet.theme.known, ha="right", va="center", weight="bold")
    sheet.text(board, 12, 241, gettext("Learners"), sheet.theme.quiet, va="center")
    axis = gettext("marks out of {full}").format(full=inputs.show(inputs.number("full"), 0))
    sheet.text(board, 442, 14, axis, sheet.theme.quiet, ha="right", va="center")


def _mean(inputs: Inputs) -> float:
    totals = inputs.row("totals")
    return sum(totals) / len(totals)


def _range(low: int, high: int) -> str:
    return str(low) if low == high else f"{low}-{high}"
