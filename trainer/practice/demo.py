"""An invented training shop: a handful of learners and a few weeks of plausible work, the same every time."""

from __future__ import annotations

import random
import secrets
from collections.abc import Iterator
from datetime import datetime, timedelta

from sqlalchemy.orm import Session

from trainer.content.library import Library
from trainer.grading.entries import SEPARATOR
from trainer.practice.attempts import SEEDS, enter, start
from trainer.practice.groups import add_member, make_group
from trainer.practice.passphrases import hashed
from trainer.practice.sheet import MODES
from trainer.storage.accounts import INSTRUCTOR as INSTRUCTOR_ROLE
from trainer.storage.accounts import LEARNER, add_account
from trainer.storage.database import Database
from trainer.storage.learners import add_learner
from trainer.storage.models import Learner
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


def fill(database: Database, library: Library, now: datetime) -> None:
    """Make the people and their work; every sheet is drawn and marked as it would have been."""
    rng = random.Random(20)
    closed = hashed(secrets.token_urlsafe())  # one for all, known to nobody: the demo is entered by its buttons
    with database.writing() as session:
        teacher = add_learner(session, INSTRUCTOR, now - timedelta(weeks=WEEKS + 1))
        add_account(session, teacher, INSTRUCTOR, INSTRUCTOR_ROLE, teacher.created).passphrase_hash = closed
        group = make_group(session, GROUP, teacher.created)
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
    made: KeptSlip | None = None
    for step in asked:
        at += timedelta(seconds=rng.randrange(20, 140))
        if made is None and rng.random() > skill:
            made = next((slip for slip in kept.slips if slip.step == step.name), None)
        text = _written(step, made, person.decimal_sign)
        known = {problem.worksheet.name: problem.worksheet}
        enter(session, attempt.id, person, step.name, text, f"demo-{at.timestamp():.0f}", at, known)
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
