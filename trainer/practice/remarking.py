"""Marking a set again after a problem or its worksheet has been corrected.

What is worked anew is the true values, tolerances and slips: by today's worksheet, from the numbers that the learner
was shown, which the attempt has kept. What the learner typed, and what the page said then, stays; marks are added.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.content.library import Library
from trainer.errors import TrainerError
from trainer.grading.marking import Mark, basis, mark
from trainer.language import gettext
from trainer.practice.attempts import earlier_values, worth
from trainer.practice.sheet import asked_steps
from trainer.storage import results as kept_results
from trainer.storage.attempts import finish_attempt
from trainer.storage.entries import KeptEntry, NewMark, add_mark
from trainer.storage.models import Attempt
from trainer.storage.problem_sets import ASSESSED, get_set
from trainer.storage.results import JudgedEntry
from trainer.storage.reviews import add_remarking, corrected_snapshots
from trainer.worksheets.kinds import frozen
from trainer.worksheets.problem import Problem, Variant
from trainer.worksheets.snapshot import Snapshot, snapshot
from trainer.worksheets.worksheet import Worksheet

UNCHANGED, CHANGED, IMPOSSIBLE = "unchanged", "changed", "impossible"


@dataclass(frozen=True)
class StepChange:
    """A true value that is another one today; both as kept, with their tolerances."""

    step: str
    title: str
    unit: str
    old: object
    new: object
    old_tolerance: float
    new_tolerance: float


@dataclass(frozen=True)
class EntryChange:
    """An entry with the mark it has and the mark it gets."""

    entry: KeptEntry
    verdict: str
    mark: float | None
    message: str
    slip: str | None
    basis: Mapping[str, object]

    @property
    def changed(self) -> bool:
        """Whether the mark or its reason becomes another one."""
        was = self.entry
        return (self.verdict, self.mark, self.slip) != (was.verdict, was.mark, was.slip)


@dataclass(frozen=True)
class Remarked:
    """An attempt before and after: ``state`` is unchanged, changed or impossible, with ``why`` in the last case.

    ``steps`` are the true values that are others today, and ``corrected`` the whole snapshot with them: what to show
    as the solution from then on. ``entries`` are all that were typed, each with its mark before and after.

    ``redrawn`` says that the seed would draw other numbers today; the ones that the learner was shown are used.
    ``override`` is a value given by hand, which counts before and after.
    """

    attempt: Attempt
    number: int
    name: str
    state: str
    why: str
    old: float | None
    new: float | None
    override: float | None
    redrawn: bool
    steps: tuple[StepChange, ...]
    entries: tuple[EntryChange, ...]
    corrected: Snapshot | None


def preview(session: Session, set_id: UUID, library: Library, only: Collection[UUID] | None = None) -> list[Remarked]:
    """What marking a set again would change, for every attempt handed in or ``only`` some of them.

    Nothing is written. Five queries.
    """
    assessed = get_set(session, set_id).kind == ASSESSED
    judged = kept_results.entries_of_set(session, set_id)
    overrides = {row.attempt_id: row.override for row in kept_results.values_of(session, set_id=set_id)}
    corrected = corrected_snapshots(session, set_id)
    rows = []
    for attempt, set_try, name in kept_results.attempts_handed_in(session, set_id):
        if only is not None and attempt.id not in only:
            continue
        stored = Snapshot.from_json(corrected.get(attempt.id, attempt.snapshot))
        before = Remarked(
            attempt,
            set_try.number,
            name,
            IMPOSSIBLE,
            "",
            attempt.value,
            None,
            overrides[attempt.id],
            False,
            (),
            (),
            None,
        )
        rows.append(
            _remarked(before, stored, judged.get(attempt.id, []), library.problems.get(attempt.source), assessed)
        )
    return rows


def apply(
    session: Session,
    set_id: UUID,
    library: Library,
    reason: str,
    by_name: str,
    at: datetime,
    only: Collection[UUID] | None = None,
) -> list[Remarked]:
    """Mark a set again: marks are added with the reason, and each attempt keeps its value before and after.

    ``only`` are the attempts to change; without it all are that :func:`preview` shows as changed.

    Returns
    -------
    list of Remarked
        What was changed.

    Raises
    ------
    TrainerError
        If no reason is given.
    """
    said = reason.strip()
    if not said:
        raise TrainerError(gettext("Marking again needs a reason."))
    done = [each for each in preview(session, set_id, library, only) if each.state == CHANGED]
    for each in done:
        _keep(session, each, said, by_name, at)
    return done


def reworked(stored: Snapshot, problem: Problem | None) -> tuple[Snapshot | None, str]:
    """A stored variant as today's problem works it from the same numbers, or why that cannot be."""
    if problem is None:
        return None, gettext("The problem is no longer in the question banks.")
    sheet, givens = problem.worksheet, stored.given_values
    if set(sheet.givens) != set(givens):
        return None, gettext("The problem gives other quantities today.")
    try:
        now = snapshot(Variant(problem, stored.seed, givens, sheet.solve(givens)))
    except (TrainerError, ValueError, ArithmeticError, LookupError, TypeError) as fault:
        return None, gettext("Today's worksheet cannot work these numbers: {fault}").format(fault=fault)
    if [given.unit for given in now.givens] != [given.unit for given in stored.givens]:
        return None, gettext("The problem gives its quantities in other units today.")
    if [step.name for step in now.steps] != [step.name for step in stored.steps]:
        return None, gettext("The problem asks for other steps today.")
    return now, ""


def _remarked(
    before: Remarked, stored: Snapshot, judged: Sequence[JudgedEntry], problem: Problem | None, assessed: bool
) -> Remarked:
    now, why = reworked(stored, problem)
    if now is None or problem is None:
        return replace(before, why=why)
    entries = tuple(_again(now, judged, problem.worksheet, assessed))
    steps = tuple(_step_changes(stored, now))
    value, _ = _worth(before.attempt, now, entries)
    changed = value != before.old or steps or any(each.changed for each in entries)
    return replace(
        before,
        state=CHANGED if changed else UNCHANGED,
        new=value,
        redrawn=_redrawn(stored, problem),
        steps=steps,
        entries=entries,
        corrected=now,
    )


def _worth(attempt: Attempt, now: Snapshot, entries: Sequence[EntryChange]) -> tuple[float, dict[str, float]]:
    """By the first entry of each step that counts today."""
    first = {each.entry.step: each.mark for each in reversed(entries) if each.mark is not None}
    asked = asked_steps(now, attempt.mode, attempt.aided)  # type: ignore[arg-type]
    return worth(now, attempt.skill, {step: first.get(step) for step in asked})


def _again(now: Snapshot, judged: Sequence[JudgedEntry], worksheet: Worksheet, assessed: bool) -> Iterator[EntryChange]:
    """The entries in the order they were made, each judged as it would be today."""
    given: list[KeptEntry] = []
    for each in judged:
        entry, decimal = each.entry, str(each.basis.get("decimal", "."))
        against = basis(
            now,
            entry.step,
            earlier_values(now, given, decimal),
            worksheet,
            decimal,
            second_look=not assessed
            and not any(before.step == entry.step and before.verdict == "scale" for before in given),
            half_for_unit=not any(before.verdict == "unit" and before.mark for before in given),
        )
        new: Mark = mark(entry.text, against)
        given.append(_with(entry, new))
        yield EntryChange(entry, new.verdict, new.mark, new.message, new.slip, against.to_json())


def _with(entry: KeptEntry, new: Mark) -> KeptEntry:
    """The entry as if it had been given this mark."""
    return replace(entry, verdict=new.verdict, mark=new.mark, message=new.message, slip=new.slip)


def _keep(session: Session, done: Remarked, reason: str, by_name: str, at: datetime) -> None:
    if done.corrected is None or done.new is None:
        return
    for each in done.entries:
        if each.changed:
            new = NewMark(each.verdict, each.mark, each.message, each.basis, each.slip)
            add_mark(session, each.entry.id, new, at, reason=gettext("marked again: {reason}").format(reason=reason))
    attempt = done.attempt
    add_remarking(
        session,
        attempt.id,
        value_before=done.old,
        value_after=done.new,
        snapshot=done.corrected.to_json(),
        reason=reason,
        by_name=by_name,
        at=at,
    )
    value, skills = _worth(attempt, done.corrected, done.entries)
    finish_attempt(session, attempt.id, at, value=value, evidence=attempt.evidence, skills=skills)


def _step_changes(stored: Snapshot, now: Snapshot) -> Iterator[StepChange]:
    for old, new in zip(stored.steps, now.steps, strict=True):
        if (old.value, old.tolerance, old.unit) != (new.value, new.tolerance, new.unit):
            yield StepChange(new.name, new.title, new.unit, old.value, new.value, old.tolerance, new.tolerance)


def _redrawn(stored: Snapshot, problem: Problem) -> bool:
    try:
        drawn = problem.variant(stored.seed).givens
    except TrainerError:
        return True
    return any(frozen(drawn[name]) != value for name, value in stored.given_values.items())
