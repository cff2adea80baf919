"""Tables as CSV files that spreadsheets open without being led astray.

Lines end with CR LF and cells are quoted where they must be, and where a spreadsheet that parts cells by semicolons or
tabs would find a cell of its own in them, maybe a formula. The text is UTF-8 and begins with a byte order mark,
because spreadsheets take a file without one for the old encoding of their PC and spoil every name with an accent; the
standard says nothing against it, and programs skip the mark by reading "utf-8-sig". A text that a spreadsheet would
take for a formula has an apostrophe put before it. Numbers have a decimal point, moments are in UTC, and the names of
columns stay the same in every language, so that what was made for one file fits the next.

References
----------
RFC 4180 (2005), section 2, for lines and quotes; RFC 3629 (2003), section 6, for the mark; RFC 3339 (2006) for moments.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from io import StringIO
from unicodedata import normalize

from trainer.clock import as_utc

ROWS_AT_ONCE = 200
MARK = "\ufeff"
QUOTED = frozenset(',;\t"\r\n')
STARTS_FORMULA = frozenset("=+-@\t\r\n")
NUMBER = re.compile(r"[+-]?(\d+([.,]\d+)?|[.,]\d+)([eE][+-]?\d+)?", re.ASCII)

Cell = str | float | int | bool | datetime | None
Table = tuple[Sequence[str], Iterable[Sequence[Cell]]]


def csv_chunks(head: Sequence[str], rows: Iterable[Sequence[Cell]]) -> Iterator[bytes]:
    """A table as the bytes of a CSV file, some hundred rows at a time.

    Examples
    --------
    >>> b"".join(csv_chunks(["name", "mark"], [["Ada, Pump", 0.5], ["=1+1", -5]])).decode("utf-8-sig")
    'name,mark\\r\\n"Ada, Pump",0.5\\r\\n\\'=1+1,-5\\r\\n'
    """
    written = StringIO()
    written.write(MARK + _line(head))
    for number, row in enumerate(rows, 1):
        written.write(_line(row))
        if number % ROWS_AT_ONCE == 0:
            yield _taken(written)
    yield _taken(written)


def _line(cells: Sequence[Cell]) -> str:
    return ",".join(_quoted(cell_text(cell)) for cell in cells) + "\r\n"


def _quoted(text: str) -> str:
    return '"' + text.replace('"', '""') + '"' if QUOTED & set(text) else text


def cell_text(value: Cell) -> str:
    """A value as it stands in a cell.

    Examples
    --------
    >>> [cell_text(each) for each in (None, True, 0.1 + 0.2, "-5", "-5 °C", "＝1", "Ada")]
    ['', 'yes', '0.3', '-5', "'-5 °C", "'＝1", 'Ada']
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return f"{as_utc(value):%Y-%m-%dT%H:%M:%SZ}"
    if isinstance(value, float):
        return f"{value:.9g}"
    return _harmless(value) if isinstance(value, str) else str(value)


def _harmless(text: str) -> str:
    """A text that no spreadsheet takes for a formula; wide forms of the signs count like the plain ones."""
    begins = {text[:1], normalize("NFKC", text.lstrip())[:1]}
    return f"'{text}" if begins & STARTS_FORMULA and not NUMBER.fullmatch(text) else text


def _taken(written: StringIO) -> bytes:
    """What has been written so far, which is then gone."""
    content = written.getvalue().encode("utf-8", "backslashreplace")
    written.seek(0)
    written.truncate()
    return content
