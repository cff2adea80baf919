"""Candidates with one number each as bars against the line of what is allowed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.figures.inputs import Inputs
from trainer.figures.value_bars import BAR, TOP, Item, bars, listed, middle_of, place, read
from trainer.language import gettext

if TYPE_CHECKING:
    from trainer.figures.style import Sheet

AT_LEAST, WIDEST = 104.0, 330.0  # where the middle of the label of the line may be, in points
LINE = 0.5  # where the line stands if it is alone, in parts of the room


def _items(inputs: Inputs) -> list[Item]:
    return read(inputs, "numbers", gettext("candidate"))


def _serves(inputs: Inputs, item: Item) -> bool:
    return item.value is not None and abs(item.value) <= inputs.number("allowed")


def words(inputs: Inputs, solved: bool) -> str:
    """The line, the candidates, and in the solved form which of them serve."""
    items, allowed = _items(inputs), inputs.amount("allowed")
    told = [gettext("Candidates against what is allowed, {allowed}.").format(allowed=allowed)]
    if items:
        told.append(gettext("Their numbers: {items}.").format(items=listed(items)))
    if not solved:
        asked = gettext("Which of them serve is asked.") if items else gettext("The number of each is asked.")
        told.append(asked)
    elif items:
        names = [item.name for item in items if _serves(inputs, item)]
        told.append(gettext("Within it: {names}.").format(names=", ".join(names) or gettext("none")))
    return " ".join(told)


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw a bar for each candidate and the line through all."""
    board, items, allowed = sheet.board(), _items(inputs), inputs.number("allowed")
    shown = items or ([] if solved else [Item(gettext("each candidate"), None, "")])
    most = max([allowed / LINE, *(abs(item.value) for item in shown if item.value is not None)]) or 1.0
    serving = [number for number, item in enumerate(shown) if solved and _serves(inputs, item)]
    bars(sheet, board, shown, most, emphasized=serving)
    x, low = place(allowed, most), middle_of(len(shown) - 1, len(shown)) - BAR
    sheet.line(board, [x, x], [low, TOP + 4], sheet.theme.known, linestyle="--")
    label = gettext("allowed {x}").format(x=inputs.amount("allowed"))
    along = min(max(x, AT_LEAST), WIDEST)
    sheet.text(board, along, 242, label, sheet.theme.known, ha="center", va="center", weight="bold")
    if not solved and items:
        sheet.text(board, 440, 242, "?", fontsize=sheet.large, ha="right", va="center", weight="bold")
