"""The rows of a carried record as lines of JSON: which columns there are, written out, and read with every doubt."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from datetime import date, datetime
from io import BytesIO
from typing import Any, get_args
from uuid import UUID

from trainer.clock import as_utc
from trainer.errors import TrainerError
from trainer.grading.marking import Basis
from trainer.practice.handovers import TABLES, Tables
from trainer.practice.record_merging import Row
from trainer.practice.sheet import MODES
from trainer.settings import RULES
from trainer.storage.attempts import BENCH
from trainer.worksheets.kinds import Kind
from trainer.worksheets.snapshot import Snapshot, written

LONGEST_TEXT = 100_000
LONGEST_LINE = 1_000_000  # bytes
BIGGEST = 2**63 - 1

# What a file of this version holds; a column that is added to a table one day changes the version of the format.
# A question mark stands behind what may be empty.
_NOTE = {"id": "id", "attempt_id": "id", "text": "text", "by_name": "text", "made": "time"}
COLUMNS: Mapping[str, Mapping[str, str]] = {
    "learner": {
        "id": "id",
        **dict.fromkeys(("name", "decimal_sign", "temperature_unit", "language"), "text"),
        "archived": "yes",
        "created": "time",
        "changed": "time",
    },
    "attempt": {
        "id": "id",
        "learner_id": "id",
        **dict.fromkeys(("source_kind", "source", "worksheet"), "text"),
        "worksheet_version": "count",
        "seed": "count",
        "mode": "text",
        "skill": "text",
        "started": "time",
        "finished": "time?",
        "aided": "yes",
        "solution_opened": "time?",
        "value": "share?",
        "evidence": "yes",
        "snapshot": "table",
    },
    "entry": {
        "id": "id",
        "attempt_id": "id",
        **dict.fromkeys(("step", "step_skill"), "text"),
        "number": "count",
        "first": "yes",
        "text": "text",
        "form_token": "text",
        "made": "time",
    },
    "mark": {
        "id": "id",
        "entry_id": "id",
        "verdict": "text",
        "mark": "share?",
        "slip": "text?",
        "message": "text",
        "reason": "text",
        "made": "time",
        "basis": "table",
    },
    "override": {"id": "id", "attempt_id": "id", "value": "share", "reason": "text", "by_name": "text", "made": "time"},
    "remark": _NOTE,
    "remarking": {
        "id": "id",
        "attempt_id": "id",
        "value_before": "share?",
        "value_after": "share",
        "reason": "text",
        "by_name": "text",
        "made": "time",
        "snapshot": "table",
    },
    "complaint": {
        "id": "id",
        "attempt_id": "id",
        "text": "text",
        "made": "time",
        "answer": "text?",
        "answered_by": "text?",
        "settled": "time?",
    },
    "draft": {"attempt_id": "id", "step": "text", "text": "text", "kept": "time"},
    "evidence": {
        "attempt_id": "id",
        "skill": "text",
        "learner_id": "id",
        "made": "time",
        "value": "share",
        "counts": "yes",
    },
    "sign_off": {
        "id": "id",
        "learner_id": "id",
        **dict.fromkeys(("skill", "by_name", "remark"), "text"),
        "made": "time",
        "withdrawn": "time?",
        "withdrawn_by": "text?",
        "withdrawn_reason": "text?",
        "evidence": "table",
    },
    "witnessed": {
        "id": "id",
        "learner_id": "id",
        **dict.fromkeys(("skill", "what", "equipment", "seen_by"), "text"),
        "seen_on": "day",
        "entered_by": "text",
        "made": "time",
    },
}


def lines_of(rows: Iterable[Row]) -> bytes:
    """Rows as JSON, one a line."""
    written = (json.dumps(row, ensure_ascii=False, default=_plain, separators=(",", ":")) for row in rows)
    return "".join(f"{line}\n" for line in written).encode("utf-8", "backslashreplace")


def rows_of(name: str, lines: bytes) -> list[Row]:
    """Read the rows of a table.

    Raises
    ------
    ValueError
        If a line is none, lacks a column or has another, or holds what a column cannot.
    """
    columns, rows = COLUMNS[name], []
    for line in BytesIO(lines):  # one after another: a small file may unpack to millions of lines, or to one of them
        _need(len(line) <= LONGEST_LINE)
        if line != b"\n":
            rows.append(_row(json.loads(line.decode(), parse_constant=_refuse), columns))
    return rows


def check(tables: Tables) -> None:
    """See that rows belong together and can be worked with.

    Raises
    ------
    ValueError
        If they do not, or cannot.
    """
    (learner,) = tables["learner"]
    _check_person(learner)
    attempts = _by_id(tables["attempt"])
    entries = _by_id(tables["entry"])
    owners = {"learner_id": {learner["id"]}, "attempt_id": set(attempts), "entry_id": set(entries)}
    for name in TABLES:
        if "id" in COLUMNS[name]:
            _by_id(tables[name])
        for row in tables[name]:
            _need(all(row[key] in owners[key] for key in owners if key in row))
    for row in tables["attempt"]:
        _check_attempt(row)
    steps = {key: _steps(row["snapshot"]) for key, row in attempts.items() if row["source_kind"] not in BENCH}
    for row in (*tables["entry"], *tables["draft"]):
        _need(row["attempt_id"] not in steps or row["step"] in steps[row["attempt_id"]])
    for name in ("remarking", "complaint"):  # are of sheets alone
        _need(all(row["attempt_id"] in steps for row in tables[name]))
    for row in tables["remarking"]:
        _need(_steps(row["snapshot"]) >= steps[row["attempt_id"]])
    for row in tables["mark"]:
        if attempts[entries[row["entry_id"]]["attempt_id"]]["source_kind"] not in BENCH:
            Basis.from_json(row["basis"])
    for name, key in (("draft", "step"), ("evidence", "skill")):
        _need(len({(row["attempt_id"], row[key]) for row in tables[name]}) == len(tables[name]))


def _check_person(learner: Row) -> None:
    _need(len(learner["name"]) <= 200 and learner["name"].isprintable() and 0 < len(learner["language"]) <= 20)
    for key in ("decimal_sign", "temperature_unit"):
        _need(learner[key] in RULES[key].options)


def _check_attempt(row: Row) -> None:
    _need((row["value"] is None) == (row["finished"] is None))
    _need(row["finished"] is not None or not row["evidence"])
    if row["source_kind"] not in BENCH:
        _need(row["mode"] in MODES)


def _steps(snapshot: Mapping[str, Any]) -> set[str]:
    """The names of the steps of a snapshot that can be shown."""
    kept = Snapshot.from_json(snapshot)
    kept.text()
    for step in kept.steps:
        _need(step.kind in get_args(Kind))
        written(step.kind, step.value, step.decimals)
    _need(bool(kept.steps))
    return {step.name for step in kept.steps}


def _by_id(rows: Iterable[Row]) -> dict[UUID, Row]:
    listed = list(rows)
    found = {row["id"]: row for row in listed}
    _need(len(found) == len(listed))
    return found


def _row(read: Any, columns: Mapping[str, str]) -> Row:
    _need(isinstance(read, dict) and set(read) == set(columns))
    return {name: _value(read[name], kind) for name, kind in columns.items()}


def _value(value: Any, kind: str) -> Any:
    if value is None and kind.endswith("?"):
        return None
    return READERS[kind.removesuffix("?")](value)


def _text(value: Any) -> str:
    _need(isinstance(value, str) and len(value) <= LONGEST_TEXT and "\0" not in value)
    value.encode()  # half a surrogate pair is no text
    return str(value)


def _count(value: Any) -> int:
    _need(type(value) is int and 0 <= value <= BIGGEST)
    return int(value)


def _share(value: Any) -> float:
    _need(type(value) in (int, float) and 0.0 <= value <= 1.0)
    return float(value)


def _yes(value: Any) -> bool:
    _need(type(value) is bool)
    return bool(value)


def _table(value: Any) -> dict[str, Any]:
    _need(isinstance(value, dict))
    json.dumps(value, allow_nan=False, ensure_ascii=False).encode()
    return dict(value)


READERS: Mapping[str, Callable[[Any], Any]] = {
    "id": lambda value: UUID(_text(value)),
    "text": _text,
    "time": lambda value: as_utc(datetime.fromisoformat(_text(value))),
    "day": lambda value: date.fromisoformat(_text(value)),
    "count": _count,
    "share": _share,
    "yes": _yes,
    "table": _table,
}


def _plain(value: Any) -> str:
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, UUID):
        return str(value)
    raise TrainerError(f"a record cannot carry {type(value).__name__}")


def _refuse(name: str) -> float:
    raise ValueError(f"{name} is no number")


def _need(sound: bool) -> None:
    if not sound:
        raise ValueError("a row does not hold what it should")
