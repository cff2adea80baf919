"""A run of mixed practice: what is mixed and which sheets it had, in the signed cookie."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from flask import session as cookie

RUN = "run"
LONGEST_RUN = 60  # sheets; their ids must fit into a cookie


@dataclass(frozen=True)
class Run:
    """A run; ``sheets`` are attempts in the order in which they came."""

    strands: tuple[str, ...]
    mode: str
    sheets: tuple[UUID, ...] = ()
    ended: bool = False

    def number(self, attempt_id: UUID) -> int:
        """Which sheet of the run an attempt is, counted from 1; 0 for one that is none of it."""
        return self.sheets.index(attempt_id) + 1 if attempt_id in self.sheets else 0

    @property
    def full(self) -> bool:
        """Whether no more sheets fit into it."""
        return len(self.sheets) >= LONGEST_RUN


def current_run() -> Run | None:
    """The run of this browser, ended or not."""
    kept: dict[str, Any] | None = cookie.get(RUN)
    if kept is None:
        return None
    sheets = tuple(UUID(each) for each in kept.get("sheets", ()))
    return Run(tuple(kept["strands"]), kept["mode"], sheets, bool(kept.get("ended")))


def keep_run(run: Run) -> None:
    """Keep a run in this browser."""
    sheets = [each.hex for each in run.sheets]
    cookie[RUN] = {"strands": list(run.strands), "mode": run.mode, "sheets": sheets, "ended": run.ended}


def place_in_run(attempt_id: UUID) -> int:
    """Which sheet of the run that goes on an attempt is; 0 for none."""
    run = current_run()
    return 0 if run is None or run.ended else run.number(attempt_id)
