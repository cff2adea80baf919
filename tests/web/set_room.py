"""A group with problem sets for the visitors of these tests."""

from dataclasses import replace
from datetime import timedelta
from uuid import UUID

from flask import Flask
from web_visitors import BRINE, Visitor, csrf_in, services_of

from trainer.practice import groups, sets
from trainer.practice.plans import Chosen, Plan
from trainer.storage.drafts import drafts_of
from trainer.storage.entries import entries_of
from trainer.storage.models import Attempt, ProblemSet, SetTry
from trainer.storage.results import attempts_of_try
from trainer.worksheets.snapshot import Snapshot

INSTRUCTOR = "Berend"
GATE, BATH, RETORT = "canal-gate-excursions", "swimming-bath-first-power", "retort-cooling-trace"


class Room:
    """A group, its sets, and what is kept of them."""

    def __init__(self, app: Flask) -> None:
        self.app, self.services = app, services_of(app)
        self.clock, self.library = self.services.clock, self.services.library
        with self.services.database.writing() as session:
            self.group_id = groups.make_group(session, "Night shift", self.clock()).id

    def admit(self, learner_id: UUID) -> None:
        with self.services.database.writing() as session:
            groups.add_member(session, self.group_id, learner_id, self.clock())

    def draft(self, title: str = "Week 1", problems=((BRINE, "guided"),), **changes) -> ProblemSet:
        chosen = tuple(Chosen(problem, mode) for problem, mode in problems)
        plan = replace(Plan(title, chosen), **changes)
        with self.services.database.writing() as session:
            return sets.make_set(session, self.group_id, plan, self.library.problems, INSTRUCTOR, self.clock())

    def open(self, *arguments, **changes) -> ProblemSet:
        made = self.draft(*arguments, **changes)
        with self.services.database.writing() as session:
            return sets.open_set(session, made.id, self.library.problems, self.clock())

    def close(self, problem_set: ProblemSet, **how) -> None:
        with self.services.database.writing() as session:
            sets.close_set(session, problem_set.id, self.clock(), **how)

    def begin(self, visitor: Visitor, problem_set: ProblemSet) -> str:
        """Start a try by its button and give its address."""
        answer = visitor.post(f"/given/{problem_set.id}/start")
        assert answer.status_code == 303, answer.get_data(as_text=True)
        return answer.location

    def set_try(self, address: str) -> SetTry:
        with self.services.database.reading() as session:
            return session.get_one(SetTry, try_of(address))

    def attempts(self, address: str) -> list[Attempt]:
        with self.services.database.reading() as session:
            return attempts_of_try(session, try_of(address))

    def snapshot(self, address: str, number: int = 1) -> Snapshot:
        return Snapshot.from_json(self.attempts(address)[number - 1].snapshot)

    def drafts(self, address: str, number: int = 1) -> dict[str, str]:
        with self.services.database.reading() as session:
            return drafts_of(session, self.attempts(address)[number - 1].id)

    def verdicts(self, address: str, number: int = 1) -> list[tuple[str, str, str]]:
        with self.services.database.reading() as session:
            made = entries_of(session, self.attempts(address)[number - 1].id)
        return [(entry.step, entry.text, entry.verdict) for entry in made]

    def minutes(self, number: float) -> None:
        self.clock.advance(timedelta(minutes=number))


def try_of(address: str) -> UUID:
    return UUID(address.split("/")[2])


def keep(visitor: Visitor, address: str, number: int = 1, was=None, then: str = "", **texts):
    """Send the form over a whole sheet: its boxes, and what the page showed in them."""
    page = visitor.page(f"{address}/{number}")
    form = {f"was.{step}": (was or {}).get(step, "") for step in texts}
    form |= {f"entry.{step}": text for step, text in texts.items()}
    return visitor.post(f"{address}/{number}", csrf_in(page), then=then, **form)
