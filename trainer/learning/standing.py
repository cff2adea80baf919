"""What the evidence says of a skill."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

READY_IN_A_ROW = 3
READY_IN_A_ROW_SAFETY = 7  # Wilson's one-sided 90 % lower bound is then 0.8

NOT_STARTED, PRACTICING, READY = "not started", "practicing", "ready"


@dataclass(frozen=True)
class Evidence:
    """One unaided attempt on a fresh variant, valued 0 to 1 by its first entries."""

    made: datetime
    value: float


@dataclass(frozen=True)
class Standing:
    """A stage in words, how many right in a row stand behind it, and how many it takes to be ready."""

    stage: str
    in_a_row: int
    wanted: int


def standing(evidence: Sequence[Evidence], safety: bool = False) -> Standing:
    """The standing of one skill.

    Parameters
    ----------
    evidence : sequence of Evidence
        All of one person for one skill, in any order.
    safety : bool
        Whether the skill is safety-critical: then 7 right in a row make it ready, else 3.

    References
    ----------
    Rawson and Dunlosky (2011), J. Exp. Psychol. General 140: practice to three right, then relearn in later sessions.

    Examples
    --------
    >>> from datetime import UTC, datetime
    >>> days = [datetime(2026, 3, day, tzinfo=UTC) for day in (2, 3, 4, 5)]
    >>> standing([Evidence(day, value) for day, value in zip(days, (0.5, 1.0, 1.0, 1.0))])
    Standing(stage='ready', in_a_row=3, wanted=3)
    """
    wanted = READY_IN_A_ROW_SAFETY if safety else READY_IN_A_ROW
    in_a_row = 0
    for each in sorted(evidence, key=lambda each: each.made):
        in_a_row = in_a_row + 1 if each.value >= 1.0 else 0
    stage = NOT_STARTED if not evidence else READY if in_a_row >= wanted else PRACTICING
    return Standing(stage, in_a_row, wanted)
