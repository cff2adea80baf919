"""Marks of wiring drawings: boxes, resistors, wires, ends."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

LONG, SHORT = 36.0, 14.0  # of a resistor, in points


def wire(sheet: Sheet, board: Axes, *points: tuple[float, float], color: str = "", **style: Any) -> None:
    """A wire through points."""
    xs, ys = zip(*points, strict=True)
    sheet.line(board, xs, ys, color or sheet.theme.ink, **({"solid_joinstyle": "miter"} | style))


def box(sheet: Sheet, board: Axes, x: float, y: float, width: float, height: float, **style: Any) -> None:
    """A box about a middle; it hides the wire under it."""
    xs, ys = [x - width / 2, x + width / 2], [y - height / 2, y + height / 2]
    look: dict[str, Any] = {"facecolor": sheet.theme.sheet, "edgecolor": sheet.theme.ink, "linewidth": 2.0, "zorder": 3}
    board.fill([xs[0], xs[1], xs[1], xs[0]], [ys[0], ys[0], ys[1], ys[1]], **(look | style))


def resistor(sheet: Sheet, board: Axes, x: float, y: float, upright: bool = False, **style: Any) -> None:
    """A resistor about a middle, lying or upright."""
    box(sheet, board, x, y, *((SHORT, LONG) if upright else (LONG, SHORT)), **style)


def node(sheet: Sheet, board: Axes, x: float, y: float, color: str = "") -> None:
    """A point where wires meet, or where a meter is put."""
    sheet.line(board, [x], [y], color or sheet.theme.ink, marker="o", markersize=7, zorder=4)
