"""Blocks that are not split, and how they fill pages."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from trainer.exchange.formula_boxes import Box, Typesetter
from trainer.exchange.pdf_pen import INK, Face, Pen

LEAD = 1.38  # from base line to base line, in sizes
TEXT, SMALL, SMALLEST = 10.0, 8.5, 7.5


@dataclass(frozen=True)
class Block:
    """Something of a height that is painted below a given height; one that is kept stands with the next on one page."""

    height: float
    paint: Callable[[float], None]
    kept: bool = False


@dataclass(frozen=True)
class Column:
    """Where blocks stand: left edge and width, and what they are drawn with."""

    pen: Pen
    typesetter: Typesetter
    left: float
    width: float

    def part(self, left: float, width: float) -> Column:
        """A column inside this one."""
        return replace(self, left=self.left + left, width=width)

    def lines(
        self, text: str, face: Face = "plain", size: float = TEXT, shade: int = INK, kept: bool = False
    ) -> list[Block]:
        """A paragraph, a block a line; its lines stay together, and with what follows where they are kept."""
        found = self.pen.wrapped(text, face, size, self.width)
        return [
            self.line(line, face, size, shade, kept or line_no < len(found)) for line_no, line in enumerate(found, 1)
        ]

    def line(self, text: str, face: Face = "plain", size: float = TEXT, shade: int = INK, kept: bool = False) -> Block:
        """One line of text."""
        return Block(size * LEAD, lambda y: self.pen.text(self.left, y + size, text, face, size, shade), kept)

    def formula(self, box: Box, kept: bool = False) -> Block:
        """A formula on a line of its own."""
        return Block(box.height + 3, lambda y: box.draw(self.pen, self.left, y + 1.5 + box.up), kept)

    def titled(self, title: str, symbol: str, face: Face = "plain", size: float = TEXT) -> list[Block]:
        """A title with its symbol after it."""
        lines = self.pen.wrapped(title, face, size, self.width)
        if not symbol:
            return [self.line(line, face, size, kept=True) for line in lines]
        box = self.typesetter.formula(symbol, size)
        room = self.pen.measure(lines[-1], face, size) + 0.5 * size
        if room + box.width > self.width:
            return [*(self.line(line, face, size, kept=True) for line in lines), self.formula(box, kept=True)]
        last = lines.pop()

        def paint(y: float) -> None:
            self.pen.text(self.left, y + size, last, face, size)
            box.draw(self.pen, self.left + room, y + size)

        return [*(self.line(line, face, size, kept=True) for line in lines), Block(size * LEAD, paint, True)]


def space(height: float, kept: bool = False) -> Block:
    """Nothing, of a height."""
    return Block(height, lambda _y: None, kept)


def stacked(blocks: Sequence[Block], kept: bool = False) -> Block:
    """Blocks one under the other as one that is not split."""
    return beside([blocks], kept)


def beside(columns: Sequence[Sequence[Block]], kept: bool = False) -> Block:
    """Columns of blocks side by side as one block."""

    def paint(y: float) -> None:
        for column in columns:
            below = y
            for block in column:
                block.paint(below)
                below += block.height

    return Block(max((total(column) for column in columns), default=0.0), paint, kept)


def total(blocks: Iterable[Block]) -> float:
    """The height of blocks one under the other."""
    return sum(block.height for block in blocks)


def paged(blocks: Iterable[Block], first: float, later: float) -> list[list[Block]]:
    """Blocks in pages.

    Parameters
    ----------
    blocks : iterable of Block
        In order; those that are kept stand on one page with the next, unless they are higher than a page together.
    first, later : float
        Room on the first page and on every other one [pt].
    """
    pages: list[list[Block]] = [[]]
    room = first
    for group in _groups(blocks):
        parts = [group] if total(group) <= later else [[block] for block in group]
        for part in parts:
            if total(part) > room and pages[-1]:
                pages.append([])
                room = later
            pages[-1].extend(part)
            room -= total(part)
    return pages


def _groups(blocks: Iterable[Block]) -> list[list[Block]]:
    groups: list[list[Block]] = [[]]
    for block in blocks:
        groups[-1].append(block)
        if not block.kept:
            groups.append([])
    return [group for group in groups if group]
