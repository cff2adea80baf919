"""Steps of a job as a ladder of numbered lines, with what to see at each, or with what must come before what."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.figures.columns import BASE, alike, heights, texts
from trainer.figures.inputs import Inputs
from trainer.language import gettext

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

MOST = 10
NUMBER, TEXT, RIGHT = 26.0, 46.0, 450.0  # of the columns, in points
TOP, LOW, ROW = 256.0, 4.0, 34.0
TRACK = 20.0  # between two links that pass each other
LONGEST = 40  # characters


def _links(inputs: Inputs, count: int) -> list[tuple[int, int]]:
    """Pairs of steps, counted from 0, of which the first must come before the second."""
    if "before" not in inputs and "after" not in inputs:
        return []
    alike(inputs, "before", "after")
    pairs = list(zip(inputs.row("before"), inputs.row("after"), strict=True))
    if not all(a.is_integer() and b.is_integer() and 1 <= a < b <= count for a, b in pairs):
        raise TrainerError(f"figure '{inputs.figure}': before and after are numbers of steps, the lower one before")
    return [(int(a) - 1, int(b) - 1) for a, b in pairs]


def words(inputs: Inputs, solved: bool) -> str:
    """The steps in their order, what to see at each, and the links; in the open form by name."""
    steps = texts(inputs, "steps", MOST)
    if not solved:
        return gettext("Steps of a job, by name: {steps}. Their order is asked.").format(steps="; ".join(sorted(steps)))
    alike(inputs, "steps", "values")
    values = texts(inputs, "values", MOST) if "values" in inputs else ("",) * len(steps)
    told = [
        f"{number}: {step} – {value}." if value else f"{number}: {step}."
        for number, (step, value) in enumerate(zip(steps, values, strict=True), 1)
    ]
    for before, after in _links(inputs, len(steps)):
        told.append(gettext("{a} before {b}.").format(a=before + 1, b=after + 1))
    return " ".join(told)


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw the ladder."""
    board, steps = sheet.board(), texts(inputs, "steps", MOST)
    alike(inputs, "steps", "values")
    values = texts(inputs, "values", MOST) if "values" in inputs and solved else ("",) * len(steps)
    ys = heights(len(steps), TOP, LOW, ROW)
    sheet.line(board, [NUMBER + 10] * 2, [ys[0] + 11, ys[-1] - 11], sheet.theme.quiet, linewidth=sheet.thin)
    ground = {"facecolor": sheet.theme.sheet, "edgecolor": "none", "pad": 3}
    for number, (step, value, y) in enumerate(zip(steps if solved else sorted(steps), values, ys, strict=True), 1):
        shown = str(number) if solved else "?"
        sheet.text(board, NUMBER, y - BASE, shown, sheet.theme.answer, ha="right", weight="bold")
        sheet.text(board, TEXT, y - BASE, sheet.shorten(step, LONGEST), bbox=ground, zorder=4)
        if value:
            sheet.text(board, RIGHT, y - BASE, value, sheet.theme.answer, ha="right", weight="bold")
    if solved:
        _draw_links(sheet, board, _links(inputs, len(steps)), ys)


def _draw_links(sheet: Sheet, board: Axes, links: list[tuple[int, int]], ys: list[float]) -> None:
    """An arrow for each link at the right, the longer one outside where two pass each other."""
    taken: list[tuple[int, int, int]] = []
    for before, after in sorted(links, key=lambda link: (link[0] - link[1], link)):
        tracks = {track for start, end, track in taken if start <= after and before <= end}
        track = next(track for track in range(len(links)) if track not in tracks)
        taken.append((before, after, track))
        x, start, end = RIGHT - TRACK * track, ys[before] - 4, ys[after] + 4
        sheet.line(board, [TEXT, x - 14], [start, start], sheet.theme.quiet, linewidth=sheet.thin, linestyle=":")
        sheet.line(board, [TEXT, x - 14], [end, end], sheet.theme.quiet, linewidth=sheet.thin, linestyle=":")
        sheet.line(board, [x - 14, x, x], [start, start, end], sheet.theme.known)
        head = "-|>,head_width=0.25,head_length=0.5"
        sheet.arrow(board, (x, end), (x - 14, end), sheet.theme.known, arrowstyle=head)
