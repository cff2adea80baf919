"""The sheet of an attempt: which steps are asked, which are open, and what stands in each box."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from trainer.storage.entries import KeptEntry
from trainer.worksheets.snapshot import KeptStep, Snapshot

Mode = Literal["guided", "faded", "unguided"]
MODES: tuple[Mode, ...] = ("guided", "faded", "unguided")
State = Literal["open", "done", "mend", "given", "locked"]


@dataclass(frozen=True)
class Row:
    """One step of a sheet: its state, and the newest entry for it."""

    number: int
    step: KeptStep
    state: State
    entry: KeptEntry | None
    after: int


@dataclass(frozen=True)
class Sheet:
    """A snapshot with the work done on it."""

    snapshot: Snapshot
    mode: Mode
    rows: tuple[Row, ...]

    @property
    def complete(self) -> bool:
        """Whether every box that is asked holds a right value."""
        return all(row.state in ("done", "given") and not _follows(row) for row in self.rows)

    def row(self, step: str) -> Row | None:
        """The row of a step, if the sheet shows it."""
        return next((row for row in self.rows if row.step.name == step), None)


def asked_steps(snapshot: Snapshot, mode: Mode, opened: bool) -> tuple[str, ...]:
    """The steps that the learner works: all, the first half, or the last until the others are opened."""
    names = tuple(step.name for step in snapshot.steps)
    if mode == "faded":
        return names[: (len(names) + 1) // 2]
    if mode == "unguided" and not opened:
        return names[-1:]
    return names


def lay_out(
    snapshot: Snapshot, mode: Mode, entries: Sequence[KeptEntry], *, opened: bool = False, closed: bool = False
) -> Sheet:
    """Lay out a sheet.

    ``opened`` says that an unguided sheet shows its steps; ``closed`` that the solution has been shown, so that
    nothing is asked any more.
    """
    asked = asked_steps(snapshot, mode, opened)
    newest = {entry.step: entry for entry in entries}
    counted = {entry.step for entry in entries if entry.mark is not None}
    rows: list[Row] = []
    waiting, mended = 0, True
    for number, step in enumerate(snapshot.steps, 1):
        if mode == "unguided" and step.name not in asked:
            continue
        entry = newest.get(step.name)
        if step.name not in asked:
            state: State = "locked" if waiting and not closed else "given"
        elif closed:
            state = "done" if entry else "given"
        elif step.name not in counted:
            state = "locked" if waiting else "open"
            waiting = waiting or number
        else:
            state = _state(entry, mended)
        rows.append(Row(number, step, state, entry, waiting))
        mended = mended and state in ("done", "given")
    return Sheet(snapshot, mode, tuple(rows))


def _state(entry: KeptEntry | None, mended: bool) -> State:
    """A right value is done; one that follows from an earlier slip is, until that slip is mended."""
    done = entry is not None and (entry.verdict == "right" or (entry.verdict == "follows" and not mended))
    return "done" if done else "mend"


def _follows(row: Row) -> bool:
    return row.entry is not None and row.entry.verdict == "follows"
