"""Contributions to an uncertainty as bars, and what they come to together: the root of the sum of squares."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.calculations.uncertainty import combined
from trainer.figures.inputs import Inputs
from trainer.figures.value_bars import Item, bars, listed, read
from trainer.language import gettext

if TYPE_CHECKING:
    from trainer.figures.style import Sheet


def _items(inputs: Inputs) -> list[Item]:
    return read(inputs, "contributions", gettext("contribution"))


def _together(inputs: Inputs, items: list[Item], solved: bool) -> Item:
    """The combined value: as kept, worked out, or asked."""
    name = gettext("together")
    if "combined" in inputs:
        return Item(name, inputs.number("combined"), inputs.amount("combined"))
    if not solved or not items:
        return Item(name, None, "")
    value = combined([item.value for item in items if item.value is not None])
    first = "contributions" if "contributions" in inputs else "first"
    return Item(
        name, value, inputs.show(value, inputs[first].decimals, inputs.unit(first).removesuffix(" (difference)"))
    )


def words(inputs: Inputs, solved: bool) -> str:
    """The contributions and the combined value."""
    items = _items(inputs)
    together = _together(inputs, items, solved)
    told = []
    if items:
        told.append(gettext("Contributions to an uncertainty: {items}.").format(items=listed(items)))
    elif not solved:
        told.append(gettext("Contributions to an uncertainty, which are asked."))
    if together.value is not None:
        told.append(gettext("Together, as the root of the sum of squares: {sum}.").format(sum=together.shown))
    elif not solved:
        told.append(gettext("What they come to together is asked."))
    return " ".join(told)


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw a bar for each contribution and under them one for all."""
    board, items = sheet.board(), _items(inputs)
    together = _together(inputs, items, solved)
    shown = items or ([] if solved else [Item(gettext("each contribution"), None, "")])
    shown = [*shown, together]
    most = max((abs(item.value) for item in shown if item.value is not None), default=1.0) or 1.0
    sheet.text(board, 12, 242, gettext("Together: root of the sum of squares"), sheet.theme.quiet, va="center")
    bars(sheet, board, shown, most, emphasized=[len(shown) - 1])
