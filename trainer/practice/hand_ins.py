"""Handing in a try: all that was kept is marked at once, in order, and the attempts are closed."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.grading.marking import basis, mark
from trainer.practice.attempts import NO_WORKSHEETS, earlier_values, worth
from trainer.practice.sheet import asked_steps
from trainer.storage import results as kept_results
from trainer.storage import set_tries as kept_tries
from trainer.storage.attempts import finish_attempt
from trainer.storage.drafts import clear_drafts
from trainer.storage.entries import KeptEntry, NewMark, add_entry
from trainer.storage.learners import get_learner
from trainer.storage.models import Attempt, Learner, SetTry
from trainer.storage.problem_sets import ASSESSED, get_set
from trainer.worksheets.snapshot import Snapshot
from trainer.worksheets.worksheet import Worksheet

ONCE = "hand-in"  # what is handed in is handed in once, so every entry of it may bear the same mark of its form
GRACE = timedelta(seconds=30)  # for what was on its way when the time was over


def hand_in(
    session: Session,
    learner: Learner,
    try_id: UUID,
    at: datetime,
    worksheets: Mapping[str, Worksheet] = NO_WORKSHEETS,
) -> SetTry:
    """Hand a try in; one that has been handed in stays as it is.

    In an assessed set every text kept is now marked, step by step, each also by what follows from the steps before
    it. After the end of the time the try counts as handed in at its end. What was left empty is worth nothing, and a
    sheet left empty altogether is no evidence. ``worksheets`` are those of the library.

    Raises
    ------
    NotFound
        There is no such try of this learner.
    """
    handed = kept_tries.get_try(session, try_id, learner_id=learner.id, lock=True)
    if handed.handed_in is not None:
        return handed
    when = at if handed.ends is None else min(at, handed.ends)
    assessed = get_set(session, handed.set_id).kind == ASSESSED
    drafts, entries = kept_results.drafts_of_try(session, try_id), kept_results.entries_of_try(session, try_id)
    for attempt in kept_results.attempts_of_try(session, try_id):
        made = entries.get(attempt.id, [])
        if assessed:
            made = mark_texts(session, attempt, drafts.get(attempt.id, {}), learner.decimal_sign, when, worksheets)
        if attempt.finished is None:
            close(session, attempt, made, when, assessed)
        clear_drafts(session, attempt.id)
    handed.handed_in = when
    session.flush()
    return handed


def settle(
    session: Session,
    at: datetime,
    worksheets: Mapping[str, Worksheet] = NO_WORKSHEETS,
    *,
    set_id: UUID | None = None,
    learner_id: UUID | None = None,
) -> int:
    """Hand in every try whose time is over, of a set or of a learner; how many there were."""
    over = kept_tries.ended_tries(session, at - GRACE, set_id=set_id, learner_id=learner_id)
    for each in over:
        hand_in(session, get_learner(session, each.learner_id), each.id, at, worksheets)
    return len(over)


def unsettled(session: Session, at: datetime, *, set_id: UUID | None = None, learner_id: UUID | None = None) -> bool:
    """Whether :func:`settle` would find anything: one query, so that a look need not wait to write."""
    return bool(kept_tries.ended_tries(session, at - GRACE, set_id=set_id, learner_id=learner_id))


def mark_texts(
    session: Session,
    attempt: Attempt,
    texts: Mapping[str, str],
    decimal: str,
    at: datetime,
    worksheets: Mapping[str, Worksheet],
) -> list[KeptEntry]:
    """Mark the texts of an attempt by step, each also by what follows from the steps before it."""
    kept = Snapshot.from_json(attempt.snapshot)
    entries: list[KeptEntry] = []
    for step in asked_steps(kept, attempt.mode, attempt.aided):  # type: ignore[arg-type]
        text = texts.get(step, "")
        if not text.strip():
            continue
        against = basis(
            kept,
            step,
            earlier_values(kept, entries, decimal),
            worksheets.get(kept.worksheet),
            decimal,
            half_for_unit=not any(entry.verdict == "unit" and entry.mark for entry in entries),
        )
        given = mark(text, against)
        verdict = NewMark(given.verdict, given.mark, given.message, against.to_json(), given.slip)
        skill = kept.step(step).skill
        entries.append(
            add_entry(session, attempt.id, step, text, verdict, at, form_token=ONCE, step_skill=skill, kept=entries)
        )
    return entries


def close(session: Session, attempt: Attempt, entries: list[KeptEntry], at: datetime, assessed: bool) -> None:
    """Value an attempt; one of practice that was not gone through to its end is no evidence."""
    kept = Snapshot.from_json(attempt.snapshot)
    first = {entry.step: entry.mark for entry in entries if entry.first}
    asked = asked_steps(kept, attempt.mode, attempt.aided)  # type: ignore[arg-type]
    value, skills = worth(kept, attempt.skill, {step: first.get(step) for step in asked})
    worked = assessed and bool(first) and not attempt.aided and attempt.mode != "faded"
    finish_attempt(session, attempt.id, at, value=value, evidence=worked, skills=skills)
