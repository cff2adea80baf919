"""The current of a loop as a bar with its bands: measuring, just beyond it, undefined, fault."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer.calculations.fault_levels import BANDS, NE_43, band
from trainer.figures.inputs import Inputs
from trainer.language import gettext

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

LEFT, BAR, BOTTOM, ROW = 150.0, 34.0, 18.0, 32.0  # of the bar, in points
EDGES = (NE_43.fault_low, NE_43.lowest, NE_43.zero, NE_43.full, NE_43.highest, NE_43.fault_high)
BEYOND = 3.0  # mA: so far into a fault band a mark goes on to move


def _row(current: float) -> int:
    """Number of the band from below; the two that are between others have one name."""
    name = band(current)
    first = BANDS.index(name)
    return first if name != "between" or current < NE_43.zero else len(BANDS) - 2


def _names() -> tuple[str, ...]:
    between = gettext("between")
    return (
        gettext("fault low"),
        between,
        gettext("under-range"),
        gettext("measuring"),
        gettext("over-range"),
        between,
        gettext("fault high"),
    )


def words(inputs: Inputs, solved: bool) -> str:
    """The bands with their limits in the solved form, and the current."""
    current = inputs.known("current", "mA")
    shown = inputs.quantity("current", "mA") if "current" in inputs else ""
    bands = gettext("Bands of the current of a 4-20 mA loop, from below: {names}.").format(names=", ".join(_names()))
    if not solved:
        told = gettext("The band of {current} is asked.") if shown else gettext("The band of the current is asked.")
        return f"{bands} {told.format(current=shown)}"
    edges = "; ".join(inputs.show(edge, 1, "mA") for edge in EDGES)
    told = gettext("Their limits: {edges}.").format(edges=edges)
    if current is None:
        return f"{bands} {told}"
    lies = gettext("The current {current} lies in this band: {band}.")
    return f"{bands} {told} {lies.format(current=shown, band=_names()[_row(current)])}"


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw the bar, not to scale, every band as high as the others."""
    board, current = sheet.board(), inputs.known("current", "mA")
    row = None if current is None or not solved else _row(current)
    for number, name in enumerate(_names()):
        low = BOTTOM + number * ROW
        _cell(sheet, board, low, filled=name == _names()[3])
        chosen: dict[str, Any] = {"weight": "bold" if number == row else "normal", "va": "center"}
        color = sheet.theme.answer if number == row else sheet.theme.ink
        sheet.text(board, LEFT + BAR + 14, low + ROW / 2, name, color, **chosen)
    for number, edge in enumerate(EDGES, 1):
        known = solved or edge in (NE_43.zero, NE_43.full)
        text = inputs.show(edge, 1) if known else "?"
        y = BOTTOM + number * ROW
        sheet.line(board, [LEFT - 6, LEFT], [y, y], sheet.theme.quiet, linewidth=sheet.thin)
        sheet.text(board, LEFT - 12, y, text, sheet.theme.ink if known else sheet.theme.quiet, ha="right", va="center")
    sheet.text(board, LEFT - 12, BOTTOM + 7 * ROW, "mA", sheet.theme.quiet, ha="right", va="center")
    _current(sheet, board, inputs, current, row)


def _cell(sheet: Sheet, board: Axes, low: float, filled: bool) -> None:
    xs, ys = [LEFT, LEFT + BAR, LEFT + BAR, LEFT], [low, low, low + ROW, low + ROW]
    face = sheet.theme.fill if filled else "none"
    board.fill(xs, ys, facecolor=face, edgecolor=sheet.theme.quiet, linewidth=sheet.thin)


def _current(sheet: Sheet, board: Axes, inputs: Inputs, current: float | None, row: int | None) -> None:
    """The current in its band; until it is solved beside the whole bar, with a question mark."""
    text = inputs.told("current", False, "mA")
    bold: dict[str, Any] = {"weight": "bold", "va": "center"}
    if row is None or current is None:
        if "current" in inputs:
            sheet.text(board, 448, 128, text, sheet.theme.known, ha="right", **bold)
            heads = "<|-|>,head_width=0.25,head_length=0.5"
            sheet.arrow(board, (330, BOTTOM), (330, BOTTOM + 7 * ROW), sheet.theme.quiet, arrowstyle=heads)
        return
    low = EDGES[row - 1] if row else EDGES[0] - BEYOND
    high = EDGES[row] if row < len(EDGES) else EDGES[-1] + BEYOND
    share = min(max((current - low) / (high - low), 0.0), 1.0)
    y = BOTTOM + (row + 0.12 + 0.76 * share) * ROW
    sheet.line(board, [LEFT - 4, LEFT + BAR + 4], [y, y], sheet.theme.answer, linewidth=2 * sheet.thick)
    sheet.text(board, 448, BOTTOM + (row + 0.5) * ROW, text, sheet.theme.answer, ha="right", **bold)
