"""Attempts on problems: start one, take an entry, mark and keep it, open the steps or the solution."""

from __future__ import annotations

import secrets
from collections.abc import Mapping, Sequence
from datetime import datetime
from statistics import fmean
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.errors import Conflict
from trainer.grading.entries import read_entry
from trainer.grading.marking import Earlier, basis, mark
from trainer.language import gettext
from trainer.practice.sheet import Mode, Sheet, asked_steps, lay_out
from trainer.storage import attempts as kept_attempts
from trainer.storage.entries import KeptEntry, NewMark, add_entry, entries_of
from trainer.storage.models import Attempt, Learner
from trainer.worksheets.problem import Problem
from trainer.worksheets.snapshot import Snapshot, snapshot
from trainer.worksheets.worksheet import Worksheet

SEEDS = 2**31  # drawn for learners; worked examples take theirs from above
LONGEST_KEPT = 4096
NO_WORKSHEETS: Mapping[str, Worksheet] = {}


def start(
    session: Session, learner_id: UUID, problem: Problem, mode: Mode, at: datetime, seed: int | None = None
) -> Attempt:
    """Start an attempt on a variant that this learner has not met, or on that of a ``seed``."""
    if seed is None:
        met = kept_attempts.seeds_seen(session, learner_id, problem.id)
        seed = next(drawn for drawn in iter(lambda: secrets.randbelow(SEEDS), None) if drawn not in met)
    kept = snapshot(problem.variant(seed))
    return kept_attempts.start_attempt(
        session,
        learner_id,
        at,
        source=problem.id,
        seed=seed,
        worksheet=kept.worksheet,
        worksheet_version=kept.version,
        skill=kept.skill,
        mode=mode,
        snapshot=kept.to_json(),
    )


def sheet_of(attempt: Attempt, entries: Sequence[KeptEntry]) -> Sheet:
    """The sheet of an attempt as its learner left it."""
    return lay_out(
        Snapshot.from_json(attempt.snapshot),
        attempt.mode,  # type: ignore[arg-type]
        entries,
        opened=attempt.aided,
        closed=attempt.solution_opened is not None,
    )


def enter(
    session: Session,
    attempt_id: UUID,
    learner: Learner,
    step: str,
    text: str,
    form_token: str,
    at: datetime,
    worksheets: Mapping[str, Worksheet] = NO_WORKSHEETS,
    *,
    of_set: bool = False,
) -> KeptEntry:
    """Mark an entry and keep both; the same form sent again gives back what was kept.

    ``worksheets`` are those of the library; without them no value is followed up. ``of_set`` says that the rules of a
    problem set have been looked at.

    Raises
    ------
    NotFound
        There is no such attempt of this learner.
    Conflict
        The step is not asked now, or the attempt is part of a problem set.
    """
    attempt = _own(session, attempt_id, learner.id, of_set)
    entries = entries_of(session, attempt_id)
    for entry in entries:
        if (entry.step, entry.form_token) == (step, form_token):
            return entry
    sheet = sheet_of(attempt, entries)
    _check_open(sheet, step)
    against = basis(
        sheet.snapshot,
        step,
        earlier_values(sheet.snapshot, entries, learner.decimal_sign),
        worksheets.get(sheet.snapshot.worksheet),
        learner.decimal_sign,
        second_look=not any(entry.step == step and entry.verdict == "scale" for entry in entries),
        half_for_unit=not any(entry.verdict == "unit" and entry.mark for entry in entries),
    )
    given = mark(text, against)
    verdict = NewMark(given.verdict, given.mark, given.message, against.to_json(), given.slip)
    new = add_entry(
        session,
        attempt_id,
        step,
        text[:LONGEST_KEPT],
        verdict,
        at,
        form_token=form_token,
        step_skill=sheet.snapshot.step(step).skill,
        kept=entries,
    )
    _finish(session, attempt, sheet, [*entries, new], at)
    return new


def open_steps(session: Session, attempt_id: UUID, learner_id: UUID, *, of_set: bool = False) -> None:
    """Show the steps of an unguided sheet; before its end that is a help."""
    _own(session, attempt_id, learner_id, of_set).aided = True
    session.flush()


def open_solution(session: Session, attempt_id: UUID, learner_id: UUID, at: datetime, *, of_set: bool = False) -> None:
    """Show the worked solution; nothing is asked any more."""
    _own(session, attempt_id, learner_id, of_set)
    kept_attempts.note_solution(session, attempt_id, at)


def _own(session: Session, attempt_id: UUID, learner_id: UUID, of_set: bool) -> Attempt:
    """The attempt of a learner, to be changed; what is part of a set is changed by the rules of the set alone."""
    attempt = kept_attempts.get_attempt(session, attempt_id, learner_id=learner_id, lock=True)
    if attempt.set_try_id is not None and not of_set:
        raise Conflict(gettext("This sheet is part of a problem set: work on it there."))
    return attempt


def _check_open(sheet: Sheet, step: str) -> None:
    row = sheet.row(step)
    if row is None:
        raise Conflict(gettext("This sheet asks for no such step."))
    if row.state == "locked":
        raise Conflict(gettext("Step {n} comes first.").format(n=row.after))
    if row.state in ("given", "done"):
        raise Conflict(gettext("This step is closed: its value stands on the sheet."))


def earlier_values(snapshot: Snapshot, entries: Sequence[KeptEntry], decimal: str) -> dict[str, Earlier]:
    """The learner's newest counted values by step."""
    earlier = {}
    for entry in entries:
        kept = snapshot.step(entry.step)
        typed = read_entry(entry.text, kept.kind, kept.unit, kept.options, decimal)
        if entry.mark is not None and not typed.refusal and not typed.foreign:
            earlier[entry.step] = Earlier(typed.value, entry.verdict == "right")
    return earlier


def _finish(session: Session, attempt: Attempt, sheet: Sheet, entries: Sequence[KeptEntry], at: datetime) -> None:
    """Value the attempt once every step asked has had its first entry."""
    if attempt.finished is not None:
        return
    first = {entry.step: entry for entry in entries if entry.first}
    asked = asked_steps(sheet.snapshot, sheet.mode, attempt.aided)
    if not all(step in first for step in asked):
        return
    value, skills = worth(sheet.snapshot, attempt.skill, {step: first[step].mark for step in asked})
    kept_attempts.finish_attempt(
        session,
        attempt.id,
        at,
        value=value,
        evidence=not attempt.aided and sheet.mode != "faded",
        skills=skills,
    )


def worth(snapshot: Snapshot, skill: str, marks: Mapping[str, float | None]) -> tuple[float, dict[str, float]]:
    """What the first marks of the steps asked are worth: all together, and for each skill inside.

    The problem's own ``skill`` is valued by the whole of it, other skills by their steps; a step without a mark is
    worth nothing.
    """
    whole = fmean(given or 0.0 for given in marks.values())
    grouped: dict[str, list[float]] = {}
    for step, given in marks.items():
        grouped.setdefault(snapshot.step(step).skill, []).append(given or 0.0)
    return whole, {name: fmean(group) for name, group in grouped.items()} | {skill: whole}
