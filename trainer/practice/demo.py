"""An invented training shop: a handful of learners and a few weeks of work, the same every time but for a quiz."""

from __future__ import annotations

import random
import secrets
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.content.library import Library
from trainer.grading.entries import SEPARATOR
from trainer.language import gettext
from trainer.practice.attempts import SEEDS, enter, start
from trainer.practice.groups import add_member, make_group
from trainer.practice.hand_ins import hand_in
from trainer.practice.passphrases import hashed
from trainer.practice.plans import Chosen, Plan
from trainer.practice.sets import close_set, make_set, open_set
from trainer.practice.sheet import MODES
from trainer.practice.tries import keep_drafts, start_try
from trainer.storage.accounts import INSTRUCTOR as INSTRUCTOR_ROLE
from trainer.storage.accounts import LEARNER, add_account
from trainer.storage.database import Database
from trainer.storage.learners import add_learner
from trainer.storage.models import Learner
from trainer.storage.problem_sets import PRACTICE
from trainer.storage.results import attempts_of_try
from trainer.worksheets.kinds import Kind, one_order
from trainer.worksheets.problem import Problem
from trainer.worksheets.snapshot import KeptSlip, KeptStep, Snapshot

# Name, decimal sign, temperature unit, share of steps right at the start and at the end, sheets.
PEOPLE = (
    ("Imke", ".", "°C", 0.6, 0.98, 34),
    ("Tomasz", ",", "°C", 0.5, 0.9, 28),
    ("Yara", ".", "°F", 0.75, 1.0, 30),
    ("Joris", ".", "°C", 0.4, 0.7, 16),
    ("Amina", ",", "°C", 0.7, 0.95, 9),
)
INSTRUCTOR = "Renske"
GROUP = "Tuesday loops"
WEEKS = 4
QUIZ, EXERCISE = "Signals and leads, after two weeks", "Alarms and fault signals"
QUIZ_SKILLS, EXERCISE_SKILLS = ("S3.2", "S3.1", "S2.2", "S1.1"), ("S4.1", "S5.1", "S4.3")


def fill(database: Database, library: Library, now: datetime) -> None:
    """Make the people and their work; every sheet is drawn and marked as it would have been."""
    rng = random.Random(20)
    closed = hashed(secrets.token_urlsafe())  # one for all, known to nobody: the demo is entered by its buttons
    with database.writing() as session:
        teacher = add_learner(session, INSTRUCTOR, now - timedelta(weeks=WEEKS + 1))
        add_account(session, teacher, INSTRUCTOR, INSTRUCTOR_ROLE, teacher.created).passphrase_hash = closed
        group = make_group(session, GROUP, teacher.created)
        members = []
        for name, decimal, unit, first, last, sheets in PEOPLE:
            begun = now - timedelta(weeks=WEEKS, hours=rng.randrange(60))
            person = add_learner(session, name, begun, decimal_sign=decimal, temperature_unit=unit)
            add_account(session, person, name, LEARNER, begun).passphrase_hash = closed
            add_member(session, group.id, person.id, begun)
            problems = _chosen(library, rng, sheets)
            for number, problem in enumerate(problems):
                skill = first + (last - first) * number / sheets
                at = begun + (now - begun) * (number + 0.9 * rng.random()) / sheets
                _work(session, person, problem, at, rng, skill)
            members.append((person, first))
        _sets(session, library, group.id, members, now, rng)


def _sets(
    session: Session,
    library: Library,
    group_id: UUID,
    members: Sequence[tuple[Learner, float]],
    now: datetime,
    rng: random.Random,
) -> None:
    """A quiz that most have handed in, and an exercise that is due."""
    opened, due = now - timedelta(days=12), now - timedelta(days=8)
    plan = Plan(QUIZ, _first_of(library, QUIZ_SKILLS), due=due, minutes=40, note=gettext("The wire table is open."))
    quiz = make_set(session, group_id, plan, library.problems, INSTRUCTOR, opened)
    open_set(session, quiz.id, library.problems, opened)
    for person, skill in members[:-1]:
        at = due - timedelta(hours=rng.randrange(20, 70))
        begun = start_try(session, person, quiz.id, library, at)
        for attempt in attempts_of_try(session, begun.id):
            kept = Snapshot.from_json(attempt.snapshot)
            texts = dict(_texts(kept, kept.steps, person.decimal_sign, rng, skill))
            keep_drafts(session, person, attempt.id, texts, at + timedelta(minutes=9))
        hand_in(session, person, begun.id, at + timedelta(minutes=rng.randrange(15, 38)), library.worksheets)
    close_set(session, quiz.id, due, release_solutions=True)
    plan = Plan(EXERCISE, _first_of(library, EXERCISE_SKILLS), kind=PRACTICE, due=now + timedelta(days=5), tries=3)
    exercise = make_set(session, group_id, plan, library.problems, INSTRUCTOR, now)
    open_set(session, exercise.id, library.problems, now - timedelta(days=1))


def _first_of(library: Library, skills: Sequence[str]) -> tuple[Chosen, ...]:
    return tuple(Chosen(library.by_skill[skill][0].id, "guided") for skill in skills if library.by_skill.get(skill))


def _texts(
    kept: Snapshot, asked: Sequence[KeptStep], decimal: str, rng: random.Random, skill: float
) -> Iterator[tuple[str, str]]:
    """What somebody writes on a sheet, now and then with a slip that runs on."""
    made: KeptSlip | None = None
    for step in asked:
        if made is None and rng.random() > skill:
            made = next((slip for slip in kept.slips if slip.step == step.name), None)
        yield step.name, _written(step, made, decimal)


def _chosen(library: Library, rng: random.Random, sheets: int) -> Iterator[Problem]:
    """A few skills, each met again and again, as in a course."""
    skills = rng.sample(sorted(library.by_skill), min(5, len(library.by_skill)))
    for number in range(sheets):
        yield rng.choice(library.by_skill[skills[number % len(skills)]])


def _work(session: Session, person: Learner, problem: Problem, at: datetime, rng: random.Random, skill: float) -> None:
    """Work one sheet; now and then somebody stops in the middle."""
    mode = MODES[rng.choice((0, 0, 2))]
    attempt = start(session, person.id, problem, mode, at, seed=rng.randrange(SEEDS))
    kept = Snapshot.from_json(attempt.snapshot)
    asked = kept.steps if mode == "guided" else kept.steps[-1:]
    known = {problem.worksheet.name: problem.worksheet}
    for step, text in _texts(kept, asked, person.decimal_sign, rng, skill):
        at += timedelta(seconds=rng.randrange(20, 140))
        enter(session, attempt.id, person, step, text, f"demo-{at.timestamp():.0f}", at, known)
        if rng.random() < 0.03:
            return


def _written(step: KeptStep, made: KeptSlip | None, decimal: str) -> str:
    value = made.values.get(step.name, step.value) if made else step.value
    if step.kind == "order":
        return SEPARATOR.join(one_order(step.options, value))
    if isinstance(value, tuple):
        return SEPARATOR.join(_cell(step.kind, each, step.decimals, decimal) for each in value)
    return _cell(step.kind, value, step.decimals, decimal)


def _cell(kind: Kind, value: float | str, decimals: int, decimal: str) -> str:
    return value if isinstance(value, str) else f"{value:.{decimals}f}".replace(".", decimal)
