"""A learner's try at a problem set: start it, look at it, keep drafts, enter and mark in practice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.clock import moment
from trainer.content.library import Library
from trainer.errors import Conflict, NotFound
from trainer.grading.entries import read_entry
from trainer.language import gettext
from trainer.practice import attempts
from trainer.practice.attempts import LONGEST_KEPT, NO_WORKSHEETS, SEEDS, sheet_of
from trainer.practice.hand_ins import GRACE
from trainer.practice.sheet import Sheet, asked_steps
from trainer.storage import problem_sets as kept_sets
from trainer.storage import results as kept_results
from trainer.storage import set_tries as kept_tries
from trainer.storage.attempts import get_attempt
from trainer.storage.drafts import clear_drafts
from trainer.storage.drafts import keep_draft as store_draft
from trainer.storage.entries import KeptEntry
from trainer.storage.groups import is_member
from trainer.storage.models import Attempt, Learner, ProblemSet, SetProblem, SetTry
from trainer.storage.problem_sets import OPEN, PRACTICE
from trainer.storage.set_tries import Allowance, due_for, ends_at
from trainer.worksheets.snapshot import KeptStep, Snapshot
from trainer.worksheets.worksheet import Worksheet

RUNNING, TIME_OVER, HANDED_IN = "running", "time over", "handed in"


@dataclass(frozen=True)
class TryProblem:
    """A problem of a try: its place, the sheet as it was left, and the texts kept for its boxes."""

    place: SetProblem
    attempt: Attempt
    sheet: Sheet
    drafts: Mapping[str, str]

    @property
    def asked(self) -> tuple[KeptStep, ...]:
        """The steps that are asked, in order; in an assessed set all of their boxes are open at once."""
        names = asked_steps(self.sheet.snapshot, self.sheet.mode, self.attempt.aided)
        return tuple(self.sheet.snapshot.step(name) for name in names)

    @property
    def filled(self) -> int:
        """How many of the boxes asked hold something."""
        entered = {row.step.name for row in self.sheet.rows if row.entry}
        return sum(bool(self.drafts.get(step.name, "").strip()) or step.name in entered for step in self.asked)


@dataclass(frozen=True)
class TryView:
    """A try as its learner sees it; ``state`` is running, time over (and not handed in yet) or handed in."""

    problem_set: ProblemSet
    set_try: SetTry
    problems: tuple[TryProblem, ...]
    state: str
    seconds_left: int | None

    @property
    def next(self) -> TryProblem | None:
        """Where to go on: the first problem with an empty box."""
        return next((each for each in self.problems if each.filled < len(each.asked)), None)

    @property
    def shows_solutions(self) -> bool:
        """Whether slips' sentences, true values and solutions may be shown."""
        return solutions_shown(self.problem_set, self.set_try)


def start_try(session: Session, learner: Learner, set_id: UUID, library: Library, at: datetime) -> SetTry:
    """Start a try, or find the one under way; every problem of the set is begun with it.

    Where all get the same numbers, they are the same in everybody's first try, and others in everybody's second.

    Raises
    ------
    NotFound
        If the learner has not been given this set.
    Conflict
        If it is not open, past its date, or all tries have been used.
    """
    given = kept_sets.get_set(session, set_id, lock=True)
    tries = kept_tries.tries_of(session, set_id, learner.id)
    running = next((each for each in tries if each.handed_in is None), None)
    if running is not None:
        return running
    if given.state == kept_sets.DRAFT or not is_member(session, given.group_id, learner.id):
        raise NotFound("there is no such problem set")
    allowed = kept_tries.allowances(session, set_id=set_id, learner_id=learner.id)
    own = allowed.get((set_id, learner.id), Allowance())
    _check_startable(given, own, len(tries), at)
    begun = kept_tries.add_try(session, set_id, learner.id, len(tries) + 1, at, ends_at(given, at, own))
    for place in kept_sets.problems_of(session, set_id):
        _begin(session, learner, begun, place, library, at)
    session.flush()
    return begun


def look(session: Session, learner_id: UUID, try_id: UUID, at: datetime) -> TryView:
    """A try with its problems, however far it is; the same number of queries for any number of problems.

    Raises
    ------
    NotFound
        If there is no such try of this learner.
    """
    seen = kept_tries.get_try(session, try_id, learner_id=learner_id)
    problem_set = kept_sets.get_set(session, seen.set_id)
    places = {each.id: each for each in kept_sets.problems_of(session, seen.set_id)}
    drafts, entries = kept_results.drafts_of_try(session, try_id), kept_results.entries_of_try(session, try_id)
    problems = tuple(
        TryProblem(
            places[attempt.set_problem_id],
            attempt,
            sheet_of(attempt, entries.get(attempt.id, [])),
            drafts.get(attempt.id, {}),
        )
        for attempt in kept_results.attempts_of_try(session, try_id)
        if attempt.set_problem_id is not None
    )
    left = None if seen.ends is None else max(0, int((seen.ends - at).total_seconds()))
    return TryView(problem_set, seen, problems, state_of(seen, at), left)


def keep_draft(session: Session, learner: Learner, attempt_id: UUID, step: str, text: str, at: datetime) -> str:
    """Keep the text of one box as :func:`keep_drafts` does; why it could not be read, or nothing."""
    return keep_drafts(session, learner, attempt_id, {step: text}, at)[step]


def keep_drafts(
    session: Session, learner: Learner, attempt_id: UUID, texts: Mapping[str, str], at: datetime
) -> dict[str, str]:
    """Keep the texts of boxes by step, all of them or none; an empty text empties its box.

    Returns
    -------
    dict
        By step, why its text could not be read if it were handed in now, or nothing; whether it is right is not
        looked at.

    Raises
    ------
    NotFound
        There is no such attempt of this learner.
    Conflict
        The sheet asks for no such step, the try is handed in, or its time is over.
    """
    attempt = get_attempt(session, attempt_id, learner_id=learner.id, lock=True)
    _running(session, attempt, at)
    kept = Snapshot.from_json(attempt.snapshot)
    asked = asked_steps(kept, attempt.mode, attempt.aided)  # type: ignore[arg-type]
    if not texts.keys() <= set(asked):
        raise Conflict(gettext("This sheet asks for no such step."))
    if any(len(text) > LONGEST_KEPT for text in texts.values()):
        raise Conflict(gettext("That is too long for this box."))
    for step, text in texts.items():
        if text.strip():
            store_draft(session, attempt_id, step, text, at)
        else:
            clear_drafts(session, attempt_id, step)
    return {step: unreadable(kept.step(step), text, learner.decimal_sign) for step, text in texts.items()}


def enter(
    session: Session,
    attempt_id: UUID,
    learner: Learner,
    step: str,
    text: str,
    form_token: str,
    at: datetime,
    worksheets: Mapping[str, Worksheet] = NO_WORKSHEETS,
) -> KeptEntry:
    """Mark an entry at once, in a set for practice; retries and hints are as outside of sets.

    Raises
    ------
    NotFound
        There is no such attempt of this learner.
    Conflict
        The set is assessed, the try is handed in or its time is over, or the step is not asked now.
    """
    _practicing(session, learner.id, attempt_id, at)
    entry = attempts.enter(session, attempt_id, learner, step, text, form_token, at, worksheets, of_set=True)
    clear_drafts(session, attempt_id, step)
    return entry


def open_steps(session: Session, learner_id: UUID, attempt_id: UUID, at: datetime) -> None:
    """Show the steps of an unguided sheet, in a set for practice."""
    _practicing(session, learner_id, attempt_id, at)
    attempts.open_steps(session, attempt_id, learner_id, of_set=True)


def open_solution(session: Session, learner_id: UUID, attempt_id: UUID, at: datetime) -> None:
    """Show the worked solution, in a set for practice; nothing is asked any more."""
    _practicing(session, learner_id, attempt_id, at)
    attempts.open_solution(session, attempt_id, learner_id, at, of_set=True)


def state_of(set_try: SetTry, at: datetime) -> str:
    """Whether a try runs, its time is over, or it has been handed in."""
    if set_try.handed_in is not None:
        return HANDED_IN
    return RUNNING if set_try.ends is None or at <= set_try.ends + GRACE else TIME_OVER


def solutions_shown(problem_set: ProblemSet, set_try: SetTry) -> bool:
    """Whether the solutions of a try may be shown: it is handed in, and for practice, or they have been released."""
    return set_try.handed_in is not None and (problem_set.kind == PRACTICE or problem_set.solutions_released)


def _check_startable(given: ProblemSet, own: Allowance, tries: int, at: datetime) -> None:
    due = due_for(given, own)
    if given.state != OPEN:
        raise Conflict(gettext("This set is closed."))
    if due is not None and at >= due:
        raise Conflict(gettext("This set was due at {due}.").format(due=moment(due)))
    if tries >= given.tries:
        raise Conflict(gettext("You have used all tries of this set ({n}).").format(n=given.tries))


def _begin(
    session: Session, learner: Learner, begun: SetTry, place: SetProblem, library: Library, at: datetime
) -> None:
    problem = library.problems.get(place.problem)
    if problem is None:
        said = gettext("The problem {problem} is no longer in the question banks; tell your instructor.")
        raise Conflict(said.format(problem=place.problem))
    seed = None if place.seed is None else (place.seed + begun.number - 1) % SEEDS
    attempt = attempts.start(session, learner.id, problem, place.mode, at, seed)  # type: ignore[arg-type]
    attempt.set_try_id, attempt.set_problem_id = begun.id, place.id


def _running(session: Session, attempt: Attempt, at: datetime) -> ProblemSet:
    """The set of an attempt whose try is under way."""
    if attempt.set_try_id is None:
        raise NotFound("there is no such attempt")
    set_try = kept_tries.get_try(session, attempt.set_try_id, lock=True)
    state = state_of(set_try, at)
    if state == HANDED_IN:
        raise Conflict(gettext("This try has been handed in."))
    if state == TIME_OVER:
        raise Conflict(gettext("The time for this try is over; what was kept before is handed in."))
    return kept_sets.get_set(session, set_try.set_id)


def _practicing(session: Session, learner_id: UUID, attempt_id: UUID, at: datetime) -> None:
    attempt = get_attempt(session, attempt_id, learner_id=learner_id, lock=True)
    if _running(session, attempt, at).kind != PRACTICE:
        raise Conflict(gettext("This set is assessed: what you type is kept, and marked when you hand in."))


def unreadable(step: KeptStep, text: str, decimal: str) -> str:
    """Why a text could not be read if it were handed in now; nothing for one that can be, or none."""
    if not text.strip():
        return ""
    typed = read_entry(text, step.kind, step.unit, step.options, decimal)
    if typed.refusal:
        return typed.refusal
    if step.ask_unit and step.kind == "number" and not typed.unit:
        return gettext("A number alone is not a value here. Which unit is it in?")
    return ""
