"""Named values as bars from a common line: each with its number, or a question mark for its length."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from trainer.errors import TrainerError
from trainer.figures.inputs import Inputs
from trainer.language import gettext

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

SINGLE = ("first", "second", "third", "fourth", "fifth")
MOST = 6
NAMES_AT_MOST = 42  # characters
LEFT, RIGHT, TOP, LOW, BAR = 16.0, 312.0, 226.0, 10.0, 13.0  # of the bars, in points
HIGHEST_ROW = 60.0


@dataclass(frozen=True)
class Item:
    """A bar: its name, its value if it is known, and that as it is shown."""

    name: str
    value: float | None
    shown: str


def read(inputs: Inputs, row: str, number: str) -> list[Item]:
    """The values of a row with the names beside it, or those given one by one under their own titles."""
    if row in inputs:
        values, shown = inputs.row(row), inputs[row]
        unit = shown.unit.removesuffix(" (difference)")
        names = inputs.words("names") if "names" in inputs else tuple(number for _ in values)
        if not len(names) == len(values) <= MOST:
            raise TrainerError(f"figure '{inputs.figure}' takes one name for each value, and {MOST} values at most")
        pairs = zip(names, values, strict=True)
        return [Item(gettext(name), each, inputs.show(each, shown.decimals, unit)) for name, each in pairs]
    known = [name for name in SINGLE if name in inputs]
    return [Item(inputs.title(name, number), inputs.number(name), inputs.amount(name)) for name in known]


def listed(items: Sequence[Item]) -> str:
    """Names and values as a list of words."""
    return "; ".join(f"{item.name} {item.shown}".strip() for item in items)


def bars(sheet: Sheet, board: Axes, items: Sequence[Item], most: float, emphasized: Sequence[int] = ()) -> None:
    """Draw the bars from the top down; one without a value is a question mark."""
    for number, item in enumerate(items):
        y = middle_of(number, len(items))
        strong = number in emphasized
        color = sheet.theme.answer if strong else sheet.theme.ink
        middle: dict[str, Any] = {"va": "center", "weight": "bold" if strong else "normal"}
        ground = {"facecolor": sheet.theme.sheet, "edgecolor": "none", "pad": 1}
        name = sheet.shorten(item.name, NAMES_AT_MOST)
        sheet.text(board, LEFT + 6, y + BAR + 5, name, color, bbox=ground, **middle)
        if item.value is None:
            sheet.text(board, LEFT + 8, y, "?", fontsize=sheet.large, va="center", weight="bold")
            continue
        end = place(item.value, most)
        ys = [y - BAR / 2, y - BAR / 2, y + BAR / 2, y + BAR / 2]
        look: dict[str, Any] = {"facecolor": "none" if strong else sheet.theme.fill, "edgecolor": color}
        board.fill([LEFT, end, end, LEFT], ys, linewidth=sheet.thick if strong else sheet.thin, **look)
        sheet.text(board, 450, y, item.shown, color, ha="right", **middle)
    sheet.line(
        board, [LEFT, LEFT], [middle_of(len(items) - 1, len(items)) - BAR, TOP], sheet.theme.quiet, linewidth=sheet.thin
    )


def middle_of(number: int, count: int) -> float:
    """Height of one of so many bars, counted from 0, in points."""
    row = min((TOP - LOW) / max(count, 1), HIGHEST_ROW)
    return TOP - row * (number + 0.74)


def place(value: float, most: float) -> float:
    """Where a value ends along the sheet, in points."""
    return LEFT + (RIGHT - LEFT) * min(abs(value) / most, 1.0)
