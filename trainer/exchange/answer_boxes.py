"""Steps as they are filled in on paper: boxes to write into, squares to tick, lines to work on."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.exchange.blocks import LEAD, SMALL, TEXT, Block, Column, beside, space
from trainer.exchange.pdf_pen import QUIET, RULE
from trainer.language import gettext
from trainer.practice.paper_items import Blank

BOX_WIDTH, BOX_HEIGHT, UNIT_WIDTH = 92.0, 22.0, 74.0
CELL_WIDTH, CELL_HEIGHT = 72.0, 22.0
SQUARE, TICK_LINE = 10.0, 19.0
WORKING_LINES, WORKING_LINE = 3, 16.0


def blank_step(column: Column, step: Blank) -> list[Block]:
    """A step; all its blocks stay together."""
    if step.kind == "number":
        return [_number(column, step), _working(column), space(8)]
    title = [*column.titled(step.title, step.symbol), *_hint(column, step), space(3, kept=True)]
    made = {"row": _row, "choice": _choice, "several": _choice, "order": _order, "states": _states}[step.kind]
    working = [_working(column, kept=True), space(5, kept=True)] if step.kind == "row" else []
    return [*title, *working, *made(column, step), space(8)]


def _number(column: Column, step: Blank) -> Block:
    """The title, and at the right the box with its unit."""
    pen, edge = column.pen, column.left + column.width - UNIT_WIDTH
    words = column.part(0, column.width - UNIT_WIDTH - BOX_WIDTH - 12)
    left = [space(4), *words.titled(step.title, step.symbol), *_hint(words, step), space(4)]
    units = [] if step.ask_unit else pen.wrapped(step.unit, "plain", SMALL, UNIT_WIDTH - 6)

    def box(y: float) -> None:
        pen.box(edge - BOX_WIDTH, y + 2, BOX_WIDTH, BOX_HEIGHT)
        for number, line in enumerate(units):
            pen.text(edge + 6, y + 2 + 14.5 + (number - (len(units) - 1) / 2) * 10, line, size=SMALL)

    return beside([left, [Block(BOX_HEIGHT + 6, box)]], kept=True)


def _hint(column: Column, step: Blank) -> list[Block]:
    parts = [gettext("with its unit")] if step.ask_unit else []
    if step.kind == "row" and step.unit:
        parts.append(gettext("in {unit}").format(unit=step.unit))
    if step.kind == "several":
        parts.append(gettext("tick one or more"))
    if step.kind in ("choice", "states"):
        parts.append(gettext("tick one") if step.kind == "choice" else gettext("tick one in each column"))
    if step.kind == "order":
        parts.append(gettext("give each its place, 1 first"))
    said = ", ".join(filter(None, [*parts, step.tolerance]))
    return column.lines(said, size=SMALL, shade=QUIET, kept=True) if said else []


def _working(column: Column, kept: bool = False) -> Block:
    """Ruled lines in a box to work on."""
    pen, height = column.pen, WORKING_LINES * WORKING_LINE

    def paint(y: float) -> None:
        pen.box(column.left, y, column.width, height, wide=0.5, shade=RULE)
        for number in range(1, WORKING_LINES):
            at = y + number * WORKING_LINE
            pen.line((column.left, at), (column.left + column.width, at), wide=0.3, shade=RULE)

    return Block(height, paint, kept)


def _row(column: Column, step: Blank) -> list[Block]:
    """Boxes side by side under their labels, in as many rows as they need."""
    widest = max(column.pen.measure(label, "plain", SMALL) for label in step.labels) + 6
    width = max(CELL_WIDTH, widest)
    many = max(1, int(column.width // width))
    return [
        _cells(column, step.labels[start : start + many], width, start + many < len(step.labels))
        for start in range(0, len(step.labels), many)
    ]


def _cells(column: Column, labels: Sequence[str], width: float, kept: bool) -> Block:
    def paint(y: float) -> None:
        for number, label in enumerate(labels):
            x = column.left + number * width
            column.pen.text_to(x + width - 6, y + SMALL, label, size=SMALL, shade=QUIET)
            column.pen.box(x, y + SMALL + 4, width - 4, CELL_HEIGHT)

    return Block(SMALL + CELL_HEIGHT + 8, paint, kept)


def _choice(column: Column, step: Blank) -> list[Block]:
    """A square before each option, as many on a line as fit."""
    pen, used = column.pen, 0.0
    lines: list[list[tuple[float, str]]] = [[]]
    for option in step.options:
        width = SQUARE + 6 + pen.measure(option, "plain", TEXT) + 20
        if lines[-1] and used + width - 20 > column.width:
            lines.append([])
            used = 0.0
        lines[-1].append((used, option))
        used += width
    return [_ticks(column, line, number < len(lines)) for number, line in enumerate(lines, 1)]


def _ticks(column: Column, options: Sequence[tuple[float, str]], kept: bool) -> Block:
    """Options of one line; one that is too long for it goes on below."""
    texts = [(x, column.pen.wrapped(option, "plain", TEXT, column.width - SQUARE - 6)) for x, option in options]
    lines = max(len(text) for _, text in texts)

    def paint(y: float) -> None:
        for x, text in texts:
            column.pen.box(column.left + x, y + 3, SQUARE, SQUARE)
            for number, line in enumerate(text):
                column.pen.text(column.left + x + SQUARE + 6, y + 12 + number * TEXT * LEAD, line)

    return Block(TICK_LINE + (lines - 1) * TEXT * LEAD, paint, kept)


def _order(column: Column, step: Blank) -> list[Block]:
    """A box for its place before each thing."""

    def line(option: str, kept: bool) -> Block:
        text = column.pen.wrapped(option, "plain", TEXT, column.width - 32)

        def paint(y: float) -> None:
            column.pen.box(column.left, y + 1, 22, 16)
            for number, words in enumerate(text):
                column.pen.text(column.left + 30, y + 12.5 + number * TEXT * LEAD, words)

        return Block(20 + (len(text) - 1) * TEXT * LEAD, paint, kept)

    return [line(option, number < len(step.options)) for number, option in enumerate(step.options, 1)]


def _states(column: Column, step: Blank) -> list[Block]:
    """A column for each time and a row for each state, with squares to tick; wide ones in several tables."""
    pen = column.pen
    names = max(pen.measure(option, "plain", SMALL) for option in step.options) + 10
    cell = max(30.0, max(pen.measure(label, "plain", SMALL) for label in step.labels) + 8)
    many = max(1, int((column.width - names) // cell))
    return [
        _chart(column, step.options, step.labels[start : start + many], names, cell, start + many < len(step.labels))
        for start in range(0, len(step.labels), many)
    ]


def _chart(
    column: Column, options: Sequence[str], labels: Sequence[str], names: float, cell: float, kept: bool
) -> Block:
    pen, left, head, line = column.pen, column.left, 14.0, 20.0
    right, bottom = left + names + len(labels) * cell, head + len(options) * line

    def paint(y: float) -> None:
        for number, option in enumerate(options):
            pen.text(left, y + head + number * line + 13, option, size=SMALL)
        for number in range(len(options) + 1):
            pen.line((left, y + head + number * line), (right, y + head + number * line), wide=0.4, shade=RULE)
        for number, label in enumerate(labels):
            x = left + names + number * cell
            pen.text(x + (cell - pen.measure(label, "plain", SMALL)) / 2, y + 10, label, size=SMALL)
            for row in range(len(options)):
                pen.box(x + (cell - SQUARE) / 2, y + head + row * line + 5, SQUARE, SQUARE)
        for number in range(len(labels) + 1):
            x = left + names + number * cell
            pen.line((x, y + head), (x, y + bottom), wide=0.4, shade=RULE)

    return Block(bottom + 6, paint, kept)
