"""Two copies of one person's work made one, whichever comes first and however often.

What was added (entries, marks, remarks, sign-offs ...) is known by its id, so both copies' rows stand side by side.
What changes in place is joined by a rule for which order and repetition make no difference:

=====================  ==================================================================================
a person's name and    the row changed last
preferences
aided                  once noted, noted
solution opened        the earliest moment
end, value, evidence   of the copy that was marked again last, else of the one that was finished first;
by skill               they go together
whether it counts      not if any copy says that it does not: help taken on another PC is help
first entry of a step  the earliest of the first ones; texts of a step are numbered by their times
a form's mark          where two PCs took the same one, the younger entry's is drawn out by its id
draft                  the newest, unless the step was handed in since or the sheet is finished
answer to a complaint  the first one
withdrawn sign-off     the first withdrawal
=====================  ==================================================================================

An unfinished sheet that has all its first entries once both halves are together is finished as of the last of them.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from trainer.practice.attempts import worth
from trainer.practice.sheet import MODES, asked_steps
from trainer.storage.attempts import PROBLEM
from trainer.worksheets.snapshot import Snapshot

Row = dict[str, Any]
Rows = dict[Any, Row]  # by key
ADDED = ("mark", "override", "remark", "remarking")  # rows of an attempt that never change
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass
class Work:
    """An attempt with all that hangs on it, each table by key."""

    attempt: Row
    entries: Rows = field(default_factory=dict)
    added: dict[str, Rows] = field(default_factory=lambda: {name: {} for name in ADDED})
    complaints: Rows = field(default_factory=dict)
    drafts: Rows = field(default_factory=dict)
    evidence: Rows = field(default_factory=dict)

    def tables(self) -> dict[str, list[Row]]:
        """Its rows by table, in the order in which they can be added."""
        rows = {"attempt": [self.attempt], "entry": list(self.entries.values())}
        rows |= {name: list(own.values()) for name, own in self.added.items()}
        rest = {"complaint": self.complaints, "draft": self.drafts, "evidence": self.evidence}
        return rows | {name: list(own.values()) for name, own in rest.items()}


def joined(one: Work, other: Work) -> Work:
    """Two copies of an attempt as one; what is part of a set here (see ``one``) keeps its place in it."""
    end = max((one, other), key=_end)
    attempt = dict(one.attempt)
    attempt["aided"] = one.attempt["aided"] or other.attempt["aided"]
    attempt["solution_opened"] = _earliest(one.attempt["solution_opened"], other.attempt["solution_opened"])
    attempt["finished"], attempt["value"] = end.attempt["finished"], end.attempt["value"]
    doubtful = _counts_not(one.attempt) or _counts_not(other.attempt)
    attempt["evidence"] = attempt["finished"] is not None and not doubtful
    added = {name: one.added[name] | _missing(other.added[name], one.added[name]) for name in ADDED}
    return settled(
        Work(
            attempt,
            joined_rows(one.entries, other.entries, _entry),
            added,
            joined_rows(one.complaints, other.complaints, first_answer),
            joined_rows(one.drafts, other.drafts, lambda a, b: max(a, b, key=lambda row: (row["kept"], row["text"]))),
            {key: dict(row) for key, row in end.evidence.items()},
        )
    )


def settled(work: Work) -> Work:
    """An attempt with all that follows from its rows worked out again."""
    _settle_entries(work.entries)
    _finish(work)
    own = work.attempt
    for row in work.evidence.values():
        row |= {"learner_id": own["learner_id"], "made": own["finished"], "counts": own["evidence"]}
    work.drafts = {step: row for step, row in work.drafts.items() if not _handed_in(work, row)}
    return work


def joined_rows(one: Rows, other: Rows, rule: Callable[[Row, Row], Row]) -> Rows:
    """The rows of two copies by key; one that both have is joined by a rule."""
    return {
        key: dict(rule(one[key], other[key]) if key in one and key in other else one.get(key) or other[key])
        for key in one | other
    }


def newest(one: Row, other: Row) -> Row:
    """The row changed last."""
    return max(one, other, key=lambda row: (row["changed"], _content(row)))


def first_answer(one: Row, other: Row) -> Row:
    """The complaint that was answered first, if any was."""
    return _first_changed("settled", ("answered_by", "answer"), one, other)


def first_withdrawal(one: Row, other: Row) -> Row:
    """The sign-off that was withdrawn first, if it was."""
    return _first_changed("withdrawn", ("withdrawn_by", "withdrawn_reason"), one, other)


def _first_changed(moment: str, told: tuple[str, ...], one: Row, other: Row) -> Row:
    changed = [row for row in (one, other) if row[moment] is not None]
    return min(changed, key=lambda row: (row[moment], *(row[name] or "" for name in told)), default=one)


def _end(work: Work) -> tuple[Any, ...]:
    """What decides between two copies' ends: marked again last, else finished first, else by content."""
    finished = work.attempt["finished"]
    if finished is None:
        return ()
    again = max(((row["made"], row["id"]) for row in work.added["remarking"].values()), default=None)
    values = sorted((row["skill"], row["value"]) for row in work.evidence.values())
    return (again is not None, again, EPOCH - finished, work.attempt["value"], values)


def _counts_not(attempt: Row) -> bool:
    return not attempt["evidence"] and (attempt["finished"] is not None or attempt["aided"])


def _earliest(*moments: datetime | None) -> datetime | None:
    return min((moment for moment in moments if moment is not None), default=None)


def _missing(rows: Rows, known: Rows) -> Rows:
    return {key: row for key, row in rows.items() if key not in known}


def _entry(one: Row, other: Row) -> Row:
    """The same entry twice: it is a first one only if both copies say so, since one may know of an earlier one."""
    return one | {"first": one["first"] and other["first"]}


def _settle_entries(entries: Rows) -> None:
    numbers: dict[str, int] = {}
    first: set[str] = set()
    tokens: set[tuple[str, str]] = set()
    for row in sorted(entries.values(), key=lambda row: (row["made"], row["id"])):
        step = row["step"]
        row["number"] = numbers[step] = numbers.get(step, 0) + 1
        row["first"] = row["first"] and step not in first
        first |= {step} if row["first"] else set()
    for row in sorted(entries.values(), key=lambda row: row["id"]):
        own = f" {row['id']}"
        token = row["form_token"].removesuffix(own)
        row["form_token"] = token + own if (row["step"], token) in tokens else token
        tokens.add((row["step"], token))


def _finish(work: Work) -> None:
    """Finish a sheet that has all its first entries once they are together; of part of a set, the set does that."""
    own = work.attempt
    if own["finished"] is not None or own["source_kind"] != PROBLEM or own.get("set_try_id") is not None:
        return
    first = {row["step"]: row for row in work.entries.values() if row["first"]}
    kept = Snapshot.from_json(own["snapshot"])
    asked = asked_steps(kept, own["mode"], own["aided"])
    if own["mode"] not in MODES or not all(step in first for step in asked):
        return
    marks = _newest_marks(work.added["mark"].values())
    value, skills = worth(kept, own["skill"], {step: marks.get(first[step]["id"]) for step in asked})
    own["finished"], own["value"] = max(first[step]["made"] for step in asked), value
    own["evidence"] = not own["aided"] and own["mode"] != "faded"
    work.evidence = {skill: {"attempt_id": own["id"], "skill": skill, "value": part} for skill, part in skills.items()}


def _newest_marks(marks: Iterable[Row]) -> dict[Any, float | None]:
    return {row["entry_id"]: row["mark"] for row in sorted(marks, key=lambda row: (row["made"], row["id"]))}


def _handed_in(work: Work, draft: Row) -> bool:
    if work.attempt["finished"] is not None:
        return True
    return any(row["step"] == draft["step"] and row["made"] >= draft["kept"] for row in work.entries.values())


def _content(row: Mapping[str, Any]) -> str:
    return json.dumps(row, sort_keys=True, default=str)
