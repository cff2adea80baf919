"""Papers and their keys as one PDF, made without a browser."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import closing

from trainer.exchange.blocks import SMALL, SMALLEST, Block, Column, paged
from trainer.exchange.formula_boxes import Typesetter
from trainer.exchange.paper_blocks import item_blocks, key_blocks, key_note
from trainer.exchange.pdf_pen import QUIET, RULE, PageSize, Pen
from trainer.language import gettext
from trainer.practice.papers import Key, Paper

EDGE, STRIP, NAMES, FOOT = 42.5, 44.0, 34.0, 26.0
TITLE, CODE = 13.0, 11.5
CELLS = (66.0, 108.0, 66.0)  # version, code, page


def paper_pdf(
    papers: Iterable[Paper], keys: Iterable[Key] = (), size: PageSize = "A4", decimal: str = ".", title: str = ""
) -> bytes:
    """Print papers, and behind them all keys.

    Parameters
    ----------
    papers, keys : iterable
        Taken one after another, so that a caller may count them.
    size : str
        "A4" or "letter".
    decimal : str
        Decimal mark of the figures.
    title : str
        Title of the document; without it that of the first paper.

    Returns
    -------
    bytes
        The file, the same bytes for the same papers.

    References
    ----------
    ISO 32000-1:2008, Portable document format.
    """
    with closing(Pen(size)) as pen:
        printer = _Printer(pen, decimal)
        for paper in papers:
            printer.add_paper(paper)
        for key in keys:
            printer.add_key(key)
        return printer.finished(title)


class _Printer:
    """Sets one version after another into a document."""

    def __init__(self, pen: Pen, decimal: str) -> None:
        self._pen, self._decimal = pen, decimal
        self._column = Column(pen, Typesetter(pen), EDGE, pen.width - 2 * EDGE)
        self._title = ""

    def add_paper(self, paper: Paper) -> None:
        """Set a paper."""
        blocks = [block for item in paper.items for block in item_blocks(self._column, item, self._decimal)]
        caution = gettext(
            "Training only: local codes, the site's rules, the maker's instructions and licensed practice come first."
        )
        self._set(paper, paper.title, blocks, caution, named=True)

    def add_key(self, key: Key) -> None:
        """Set a key."""
        blocks = key_note(self._column)
        blocks += [block for item in key.items for block in key_blocks(self._column, item)]
        heading = gettext("Key: {title}").format(title=key.title)
        self._set(key, heading, blocks, gettext("A training record, not a license. For the instructor only."))

    def finished(self, title: str) -> bytes:
        """The document."""
        return self._pen.finished(title or self._title)

    def _set(self, what: Paper | Key, heading: str, blocks: Sequence[Block], foot: str, named: bool = False) -> None:
        self._title = self._title or heading
        room = self._pen.height - 2 * EDGE - STRIP - FOOT
        pages = paged(blocks, room - (NAMES if named else 0), room)
        for number, page in enumerate(pages, 1):
            self._pen.new_page()
            if number == 1:
                self._pen.bookmark(gettext("{title}, version {n}").format(title=heading, n=what.version))
            self._strip(what, heading, gettext("{n} of {pages}").format(n=number, pages=len(pages)))
            y = EDGE + STRIP
            if named and number == 1:
                self._names(y)
                y += NAMES
            for block in page:
                block.paint(y)
                y += block.height
            self._foot(foot)

    def _strip(self, what: Paper | Key, heading: str, page: str) -> None:
        """The heading of every page: title, version, code, page."""
        pen, left, right = self._pen, EDGE, self._pen.width - EDGE
        pen.box(left, EDGE, right - left, STRIP - 10, wide=0.8)
        cells = ((gettext("Version"), str(what.version)), (gettext("Code"), what.code), (gettext("Page"), page))
        x = right - sum(CELLS)
        lines = pen.wrapped(heading, "bold", TITLE, x - left - 14)
        size = TITLE if len(lines) == 1 else 9.0
        for number, line in enumerate(pen.wrapped(heading, "bold", size, x - left - 14)[:3]):
            pen.text(left + 8, EDGE + (21 if len(lines) == 1 else 11) + number * 10.5, line, "bold", size)
        for (label, text), width in zip(cells, CELLS, strict=True):
            pen.line((x, EDGE), (x, EDGE + STRIP - 10), wide=0.5, shade=RULE)
            pen.text(x + 6, EDGE + 11, label, size=SMALLEST, shade=QUIET)
            pen.text(x + 6, EDGE + 26, text, "mono", CODE)
            x += width

    def _names(self, y: float) -> None:
        """Room for name and date."""
        pen, right, base = self._pen, self._pen.width - EDGE, y + 20
        half = EDGE + (right - EDGE) * 0.62
        for start, end, label in ((EDGE, half - 16, gettext("Name")), (half, right, gettext("Date"))):
            pen.text(start, base, label, size=SMALL, shade=QUIET)
            pen.line((start + pen.measure(label, "plain", SMALL) + 6, base + 2), (end, base + 2), wide=0.6)

    def _foot(self, text: str) -> None:
        pen, y = self._pen, self._pen.height - EDGE
        pen.line((EDGE, y - 12), (pen.width - EDGE, y - 12), wide=0.4, shade=RULE)
        pen.text(EDGE, y - 2, text, size=SMALLEST, shade=QUIET)
