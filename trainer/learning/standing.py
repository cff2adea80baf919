"""What the evidence says of a skill, in the learner's words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, tzinfo

from trainer.learning.criteria import criterion
from trainer.learning.evidence import Evidence, plant_day, sessions, utc
from trainer.learning.reviews import next_review

KEPT_SESSIONS = 3

NOT_STARTED, PRACTICING, READY, KEPT = "not started", "practicing", "ready", "kept"
REFRESH_DUE = "refresh due"
STAGES = (NOT_STARTED, PRACTICING, READY, KEPT, REFRESH_DUE)


@dataclass(frozen=True)
class Standing:
    """A stage in words, how many right in a row stand behind it, and how many it takes to be ready.

    ``lacks`` says what the row still lacks to be ready, empty once it is. ``later_sessions`` counts up to three.
    ``held`` is ready or kept, also under "refresh due"; ``renewed`` is the day of the newest right answer or
    witnessed work and ``review`` the day on which the next review falls due, None before ready, or when no
    review is left before the start-up date.
    """

    stage: str
    in_a_row: int
    wanted: int
    lacks: str = ""
    later_sessions: int = 0
    held: str = ""
    renewed: date | None = None
    review: date | None = None


def standing(
    evidence: Sequence[Evidence],
    safety: bool = False,
    *,
    jobs: int | None = None,
    now: datetime | None = None,
    zone: tzinfo = UTC,
    start_up: date | None = None,
    witnessed: Iterable[datetime] = (),
) -> Standing:
    """The standing of one skill.

    Parameters
    ----------
    evidence : sequence of Evidence
        All of one person for one skill, in any order.
    safety : bool
        Whether the skill is safety-critical.
    jobs : int, optional
        How many different jobs the question banks hold for the skill.
    now : datetime, optional
        The moment to judge at; without it no refresh falls due.
    zone : tzinfo
        Time zone of the plant, in which days and sessions are told.
    start_up : date, optional
        Day for which the skill has to be kept ready; once it is past, reviews go on as without one.
    witnessed : iterable of datetime
        When an instructor saw the work done. It stands beside the evidence: it renews a refresh that is due, and
        makes nobody ready or kept.

    Returns
    -------
    Standing
        *Not started* without evidence. *Ready* once the right answers since the last miss are 3 in a row. A
        safety-critical skill takes 7 in a row over at least 3 different jobs (as many as there are, if fewer), and
        they must not be one fixed order of jobs gone through again and again: that would show that the order is
        known, not the skill. *Kept* when right again in 3 sessions after the one that made it ready; a session
        begins on a later day at the plant and at least 8 hours after the one before. *Refresh due* when the day of
        a review has come and nothing right was shown on or after it. A miss goes back to *practicing*.

    Notes
    -----
    A clean proof ("prove it now": 3 variants at once, 7 for a safety-critical skill) is evidence like any other and
    makes the skill ready by the same rule.

    References
    ----------
    Rawson and Dunlosky (2011), J. Exp. Psychol. General 140: practice to three right, then relearn in three later
    sessions. Wilson (1927), J. Am. Stat. Assoc. 22: 7 of 7 is the fewest with a 90 % lower bound of 0.8.

    Examples
    --------
    >>> days = [datetime(2026, 3, day, 9, tzinfo=UTC) for day in (2, 3, 4, 5)]
    >>> shown = [Evidence(day, value, "kiln") for day, value in zip(days, (0.5, 1.0, 1.0, 1.0))]
    >>> now = standing(shown, now=days[-1])
    >>> now.stage, now.in_a_row, now.review
    ('ready', 3, datetime.date(2026, 3, 6))
    """
    asked = criterion(safety, jobs)
    row = _since_last_miss(evidence)
    places = [each.problem for each in row]
    length = asked.met_after(places)
    if length is None:
        stage = PRACTICING if evidence else NOT_STARTED
        return Standing(stage, len(row), asked.in_a_row, asked.lacks(places))
    later = min(KEPT_SESSIONS, _sessions_after(row, length, zone))
    held = KEPT if later == KEPT_SESSIONS else READY
    renewed = _newest(row[-1].made, witnessed, now, zone)
    today = plant_day(now, zone) if now is not None else renewed
    ahead = start_up if start_up is not None and start_up >= today else None
    review = next_review(plant_day(row[length - 1].made, zone), renewed, ahead)
    due = review is not None and review <= today
    return Standing(REFRESH_DUE if due else held, len(row), asked.in_a_row, "", later, held, renewed, review)


def _since_last_miss(evidence: Iterable[Evidence]) -> list[Evidence]:
    """The right answers since the last miss, oldest first; at one and the same moment a miss comes last."""
    row: list[Evidence] = []
    for each in sorted(evidence, key=lambda each: (utc(each.made), -each.value, each.problem)):
        if each.right:
            row.append(each)
        else:
            row.clear()
    return row


def _sessions_after(row: Sequence[Evidence], length: int, zone: tzinfo) -> int:
    """How many sessions came after the one in which the row reached its length."""
    until = len(sessions((each.made for each in row[:length]), zone))
    return len(sessions((each.made for each in row), zone)) - until


def _newest(shown: datetime, witnessed: Iterable[datetime], now: datetime | None, zone: tzinfo) -> date:
    seen = [utc(each) for each in witnessed]
    past = [each for each in seen if now is None or each <= utc(now)]
    return plant_day(max([utc(shown), *past]), zone)
