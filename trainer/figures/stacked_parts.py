"""Parts that add up, laid end to end as a bar for each case, against a line where there is one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from trainer.errors import TrainerError
from trainer.figures.columns import heights, texts
from trainer.figures.inputs import Inputs
from trainer.language import gettext

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

MOST_PARTS, MOST_CASES = 4, 3
LEFT, LENGTH, END = 14.0, 430.0, 450.0  # of the bars, in points
TOP, LOW, LIMIT_LOW, BLOCK, BAR = 232.0, 8.0, 30.0, 108.0, 24.0
HATCHES = ("", "///", "", "...")


@dataclass(frozen=True)
class Case:
    """One bar: its name and its parts in order."""

    name: str
    amounts: tuple[float, ...]

    @property
    def total(self) -> float:
        """What the parts come to."""
        return sum(self.amounts)


def read(inputs: Inputs) -> list[Case]:
    """The bars: the amounts stand case by case, one for each part."""
    parts, amounts = len(inputs.words("parts")), inputs.row("amounts")
    count = len(amounts) // max(parts, 1)
    names = texts(inputs, "names", MOST_CASES) if "names" in inputs else ("",) * count
    if not 0 < len(names) <= MOST_CASES or len(amounts) != parts * len(names) or min(amounts) < 0.0:
        raise TrainerError(
            f"figure '{inputs.figure}' takes an amount of 0 or more for each part of each of 1 to {MOST_CASES} cases"
        )
    return [Case(name, amounts[i * parts : (i + 1) * parts]) for i, name in enumerate(names)]


def _show(inputs: Inputs, value: float, bare: bool = False) -> str:
    unit = inputs.unit("amounts").removesuffix(" (difference)")
    return inputs.show(value, inputs["amounts"].decimals, "" if bare else unit)


def _sum(inputs: Inputs) -> str:
    """The rule in words: parts, and what they come to."""
    return " + ".join(texts(inputs, "parts", MOST_PARTS)) + " = " + inputs.title("amounts", gettext("together"))


def _against(inputs: Inputs, case: Case) -> str:
    """How a bar ends at the line."""
    limit = inputs.known("limit", inputs.unit("amounts"))
    if limit is None:
        return ""
    room = limit - case.total
    text = gettext("left {x}") if room >= 0.0 else gettext("over by {x}")
    return text.format(x=_show(inputs, abs(room)))


def words(inputs: Inputs, solved: bool) -> str:
    """Every case with its parts, and in the solved form what they come to."""
    parts, told = texts(inputs, "parts", MOST_PARTS), [f"{_sum(inputs)}."]
    for case in read(inputs):
        listed = ", ".join(f"{part} {_show(inputs, x)}" for part, x in zip(parts, case.amounts, strict=True))
        ends = [_show(inputs, case.total), _against(inputs, case)] if solved else []
        told.append(": ".join(filter(None, (case.name, "; ".join(filter(None, [listed, *ends]))))) + ".")
    if "limit" in inputs:
        line = gettext("A line stands at {x}, {name}.")
        told.append(line.format(x=inputs.amount("limit"), name=inputs.title("limit", gettext("limit"))))
    return " ".join(told if solved else [*told, gettext("What they come to is asked.")])


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw the bars."""
    board, cases = sheet.board(), read(inputs)
    limit = inputs.known("limit", inputs.unit("amounts"))
    most = max([limit or 0.0, *(case.total for case in cases)]) or 1.0
    low = LOW if limit is None else LIMIT_LOW
    sheet.text(board, LEFT, 246, _sum(inputs), sheet.theme.quiet, va="center")
    ys = heights(len(cases), TOP, low, BLOCK)
    for case, y in zip(cases, ys, strict=True):
        _bar(sheet, board, inputs, case, most, y)
        sheet.text(board, LEFT, y + 26, case.name, va="center")
        told = ", ".join(filter(None, (_show(inputs, case.total), _against(inputs, case)))) if solved else "?"
        sheet.text(board, END, y + 26, told, sheet.theme.answer, ha="right", va="center", weight="bold")
    if limit is not None:
        _line(sheet, board, inputs, LEFT + LENGTH * limit / most, ys)


def _line(sheet: Sheet, board: Axes, inputs: Inputs, x: float, ys: list[float]) -> None:
    """The line across every bar, named at its foot."""
    for y, end in zip(ys, (*(each - 18.0 for each in ys[:-1]), LIMIT_LOW - 8.0), strict=True):
        sheet.line(board, [x, x], [y + 15, end], sheet.theme.known, linestyle="--", zorder=5)
    name = f"{inputs.title('limit', gettext('limit'))} {inputs.amount('limit')}"
    side = "right" if x > LEFT + LENGTH / 2 else "left"
    sheet.text(board, x, 12, name, sheet.theme.known, ha=side, va="center", weight="bold")


def _bar(sheet: Sheet, board: Axes, inputs: Inputs, case: Case, most: float, y: float) -> None:
    """Parts end to end, each with its number under it; they differ by their hatching."""
    start, look = 0.0, dict[str, Any](edgecolor=sheet.theme.ink, linewidth=sheet.thin)
    for number, amount in enumerate(case.amounts):
        left, right = (LEFT + LENGTH * x / most for x in (start, start + amount))
        face = sheet.theme.fill if number == 0 else "none"
        ys = [y - BAR / 2, y - BAR / 2, y + BAR / 2, y + BAR / 2]
        board.fill([left, right, right, left], ys, facecolor=face, hatch=HATCHES[number], **look)
        sheet.text(board, (left + right) / 2, y - 24, _show(inputs, amount, bare=True), ha="center", va="center")
        start += amount
