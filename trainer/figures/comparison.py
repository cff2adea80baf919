"""Two columns line by line: settings of two records, or readings along a channel beside what was expected."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from trainer.errors import NotFound
from trainer.figures.columns import BASE, alike, heights, texts
from trainer.figures.inputs import Inputs
from trainer.language import gettext

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

MOST = 8
LEFT, SECOND, MARK, END = 10.0, 300.0, 443.0, 456.0  # of the columns, in points
FIRST, FIRST_OF_CHANNEL = 157.0, 180.0
HEAD, TOP, LOW, ROW = 239.0, 230.0, 6.0, 42.0
LONGEST = 15  # characters
CHANNEL, NAMES = 20.0, 36.0  # of the line that joins the points of a channel, and of the names beside it


@dataclass(frozen=True)
class Line:
    """A line: its name, what stands in either column, and whether the two mean different things."""

    name: str
    first: str
    second: str
    differs: bool

    @property
    def mark(self) -> str:
        """How the two compare; a second one that is empty was not looked at."""
        return ("≠" if self.differs else "=") if self.second else "–"


def read(inputs: Inputs) -> list[Line]:
    """The lines, with those marked that differ."""
    alike(inputs, "names", "first", "second")
    known = inputs.words("names")
    differing = inputs.words("differs") if "differs" in inputs else ()
    for name in differing:
        if name not in known:
            raise NotFound(f"figure '{inputs.figure}': {name} differs, but is none of {', '.join(known)}")
    columns = zip(known, *(texts(inputs, name, MOST) for name in ("names", "first", "second")), strict=True)
    return [Line(name, first, second, own in differing) for own, name, first, second in columns]


def _titles(inputs: Inputs) -> tuple[str, str]:
    if _is_channel(inputs):
        return inputs.title("first", gettext("expected")), inputs.title("second", gettext("found"))
    return inputs.title("first", gettext("record")), inputs.title("second", gettext("device"))


def _is_channel(inputs: Inputs) -> bool:
    return "joined" in inputs


def _faulty(lines: list[Line]) -> tuple[int, int] | None:
    """The last point that agrees and the first one after it that does not: between them lies the fault."""
    bad = next((number for number, line in enumerate(lines) if line.differs), 0)
    good = next((number for number in range(bad - 1, -1, -1) if lines[number].second), None)
    return None if good is None else (good, bad)


def words(inputs: Inputs, solved: bool) -> str:
    """Every line with both of its values, and in the solved form what differs."""
    lines, (first, second) = read(inputs), _titles(inputs)
    told = [
        gettext("{name}: {first} {a}; {second} {b}.").format(
            name=line.name, first=first, a=line.first, second=second, b=line.second or gettext("not looked at")
        )
        for line in lines
    ]
    if not solved:
        return " ".join([*told, gettext("What differs is asked.")])
    names = ", ".join(line.name for line in lines if line.differs)
    told.append(gettext("Different, marked ≠: {names}.").format(names=names or gettext("nothing")))
    if _is_channel(inputs) and (between := _faulty(lines)):
        ends = {place: lines[number].name for place, number in zip(("a", "b"), between, strict=True)}
        told.append(gettext("The fault lies between these two points: {a}, {b}.").format(**ends))
    return " ".join(told)


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw the columns; lines that differ are framed, and in a channel the piece with the fault is thick."""
    board, lines, joined = sheet.board(), read(inputs), _is_channel(inputs)
    ys, first = heights(len(lines), TOP, LOW, ROW), FIRST_OF_CHANNEL if joined else FIRST
    for x, title in zip((first, SECOND), _titles(inputs), strict=True):
        sheet.text(board, x, HEAD, title, sheet.theme.quiet)
    sheet.line(board, [LEFT, END], [TOP + 2] * 2, sheet.theme.quiet, linewidth=sheet.thin)
    if joined:
        _channel(sheet, board, lines, ys, solved)
    for line, y in zip(lines, ys, strict=True):
        strong = solved and line.differs
        look: dict[str, Any] = {"color": sheet.theme.answer if strong else sheet.theme.ink}
        look["weight"] = "bold" if strong else "normal"
        if strong:
            _frame(sheet, board, NAMES - 6 if joined else LEFT - 5, y)
        for x, text in ((NAMES if joined else LEFT, line.name), (first, line.first), (SECOND, line.second)):
            sheet.text(board, x, y - BASE, sheet.shorten(text, LONGEST), **look)
        mark = line.mark if solved or not line.second else "?"
        sheet.text(board, MARK, y - BASE, mark, look["color"], fontsize=sheet.large, ha="center", weight="bold")


def _frame(sheet: Sheet, board: Axes, left: float, y: float) -> None:
    xs, ys = [left, END, END, left], [y - 12.5, y - 12.5, y + 12.5, y + 12.5]
    board.fill(xs, ys, facecolor="none", edgecolor=sheet.theme.answer, linewidth=2.0)


def _channel(sheet: Sheet, board: Axes, lines: list[Line], ys: list[float], solved: bool) -> None:
    """The line through the points: filled where it was looked at and agrees, crossed where it does not."""
    sheet.line(board, [CHANNEL] * 2, [ys[0], ys[-1]], sheet.theme.quiet)
    if solved and (between := _faulty(lines)):
        good, bad = (ys[number] for number in between)
        sheet.line(board, [CHANNEL] * 2, [good, bad], sheet.theme.answer, linewidth=3 * sheet.thick)
        sheet.text(board, LEFT, HEAD, "▬ " + gettext("fault here"), sheet.theme.answer, weight="bold")
    for line, y in zip(lines, ys, strict=True):
        crossed = solved and line.differs
        face = sheet.theme.ink if solved and line.second else sheet.theme.sheet
        look: dict[str, Any] = {"markersize": 13 if crossed else 11, "markerfacecolor": face, "zorder": 4}
        sheet.line(board, [CHANNEL], [y], sheet.theme.ink, marker="X" if crossed else "o", **look)
