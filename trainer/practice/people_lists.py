"""Lists of people as text: read without making anybody, with every fault by its line."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from io import StringIO

from sqlalchemy.orm import Session

from trainer.errors import TrainerError
from trainer.language import gettext
from trainer.practice.accounts import check_name
from trainer.storage import accounts as kept
from trainer.storage import groups as kept_groups
from trainer.storage.accounts import name_key

MOST_LINES = 500
LONGEST_LIST = 100_000  # characters
COLUMNS = ("name", "group")
MARKED = ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))  # how a spreadsheet marks what it calls Unicode text


class ListRefused(TrainerError):
    """A list of people that cannot be taken as it is; ``faults`` are all there are, by line."""

    def __init__(self, faults: Sequence[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(faults))


@dataclass(frozen=True)
class ListLine:
    """A person on a list: the line, the name tidied, and the group by its name, empty for none."""

    line: int
    name: str
    group: str


@dataclass(frozen=True)
class PeopleList:
    """What a list holds, and every fault of it."""

    lines: tuple[ListLine, ...]
    faults: tuple[str, ...]


def list_text(content: bytes) -> str:
    """The text of a list that came as a file.

    Raises
    ------
    ListRefused
        If it is no text in an encoding that can be told for sure.
    """
    encoding = next((name for mark, name in MARKED if content.startswith(mark)), "utf-8-sig")
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError:
        text = "\0"
    if "\0" in text:
        said = gettext("The file is not text in UTF-8. Save the list as CSV UTF-8, or copy its lines into the box.")
        raise ListRefused([said])
    return text


def read_list(session: Session, text: str) -> PeopleList:
    """Read a list of people without making any: CSV with the columns name and, if wanted, group.

    Commas, semicolons and tabs part the cells; groups are to be there. Every fault is told, with its line.
    """
    if len(text) > LONGEST_LIST:
        said = gettext("The list has {n} lines and more than {longest} characters; at most {most} people go at once.")
        told = said.format(n=len(text.splitlines()), longest=LONGEST_LIST, most=MOST_LINES)
        return PeopleList((), (told,))
    rows, broken = _rows(text.removeprefix("\ufeff"))
    if not rows:
        return PeopleList((), broken or (gettext("The list is empty."),))
    (first, head), *rest = rows
    columns = [cell.strip().casefold() for cell in head]
    faults = [*_head_faults(first, columns)]
    if len(rest) > MOST_LINES:
        faults.append(gettext("There are {n} people; at most {most} go at once.").format(n=len(rest), most=MOST_LINES))
    if faults:
        return PeopleList((), (*faults, *broken))
    if not rest and not broken:
        faults.append(gettext("There is nobody on the list."))
    cells = [
        (number, dict(zip(columns, row, strict=False))) for number, row in rest if _fits(number, row, head, faults)
    ]
    read = [line for line in (_line(number, each, faults) for number, each in cells) if line is not None]
    faults += [*_taken(read, kept.names_taken(session)), *_unknown_groups(cells, session)]
    return PeopleList(tuple(read), (*sorted(faults, key=_line_of), *broken))


def _rows(text: str) -> tuple[list[tuple[int, list[str]]], tuple[str, ...]]:
    """The lines that hold anything, with their numbers, and what could not be read."""
    head = text.lstrip().partition("\n")[0]
    reader = csv.reader(StringIO(text, newline=""), delimiter=max(",;\t", key=head.count), strict=True)
    rows: list[tuple[int, list[str]]] = []
    begun = 1
    try:
        for row in reader:
            while row and not row[-1].strip():  # a spreadsheet fills up short lines
                row.pop()
            if row:
                rows.append((begun, row))
            begun = reader.line_num + 1
    except csv.Error:
        return rows, (gettext("Line {line}: a quotation mark is not closed or stands alone.").format(line=begun),)
    return rows, ()


def _head_faults(line: int, columns: Sequence[str]) -> Iterator[str]:
    if "name" not in columns:
        said = gettext("Line {line}: no column is called name. The first line of a list is name, or name,group.")
        yield said.format(line=line)
    for column in dict.fromkeys(columns):
        if column not in COLUMNS:
            said = gettext("Line {line}: the column {column!r} is not known; the columns are name and group.")
            yield said.format(line=line, column=column)
        elif columns.count(column) > 1:
            yield gettext("Line {line}: the column {column} is there twice.").format(line=line, column=column)


def _fits(line: int, row: Sequence[str], head: Sequence[str], faults: list[str]) -> bool:
    if len(row) > len(head):
        said = gettext(
            "Line {line}: {found} cells, but the first line has {wanted}. "
            "A name with a comma stands in quotation marks."
        )
        faults.append(said.format(line=line, found=len(row), wanted=len(head)))
    return len(row) <= len(head)


def _line(line: int, cells: Mapping[str, str], faults: list[str]) -> ListLine | None:
    try:
        return ListLine(line, check_name(cells.get("name", "")), " ".join(cells.get("group", "").split()))
    except TrainerError as error:
        faults.append(gettext("Line {line}: {sentence}").format(line=line, sentence=error))
        return None


def _taken(lines: Sequence[ListLine], taken: set[str]) -> Iterator[str]:
    seen: dict[str, int] = {}
    for line in lines:
        key = name_key(line.name)
        if key in taken:
            yield gettext("Line {line}: {name} has an account already.").format(line=line.line, name=line.name)
        if key in seen:
            said = gettext("Line {line}: {name} stands in line {first} already.")
            yield said.format(line=line.line, name=line.name, first=seen[key])
        seen.setdefault(key, line.line)


def _unknown_groups(lines: Iterable[tuple[int, Mapping[str, str]]], session: Session) -> Iterator[str]:
    known = {name_key(row.group.name) for row in kept_groups.list_groups(session)} | {""}
    for line, cells in lines:
        group = " ".join(cells.get("group", "").split())
        if name_key(group) not in known:
            yield gettext("Line {line}: there is no group {group}.").format(line=line, group=group)


def _line_of(fault: str) -> int:
    digits = "".join(sign for sign in fault.partition(":")[0] if sign.isdigit())
    return int(digits or 0)
