"""A group that works a set, and what came of it, for the tests of results."""

import re
from dataclasses import replace
from uuid import UUID

from web_visitors import BRINE, services_of

from trainer.practice import groups, hand_ins, reviews, sets, tries
from trainer.practice.plans import Chosen, Plan
from trainer.storage.learners import add_learner
from trainer.storage.problem_sets import problems_of
from trainer.storage.results import attempts_of_try
from trainer.storage.reviews import add_complaint
from trainer.units import format_number
from trainer.worksheets.snapshot import Snapshot

SEED = 7


class Course:
    """A group that works a set of one problem whose numbers are the same for all."""

    def __init__(self, app, **changes) -> None:
        self.app, self.found = app, services_of(app)
        plan = replace(Plan("Week 1", (Chosen(BRINE, "guided"),), numbers="same"), **changes)
        with self.found.database.writing() as session:
            self.group = groups.make_group(session, "Night shift", self.now).id
            made = sets.make_set(session, self.group, plan, self.found.library.problems, "Ina", self.now)
            self.set = sets.open_set(session, made.id, self.found.library.problems, self.now).id
            (place,) = problems_of(session, self.set)
            place.seed = SEED
        self.results = f"/sets/{self.set}/results"
        self.marking = f"/sets/{self.set}/marking"
        self.slips = f"/groups/{self.group}/slips"

    @property
    def now(self):
        return self.found.clock()

    def work(self, name="Ada Pump", wrong=None, hand_in=True, member=True):
        """Let somebody work the set: right, or with texts by step; gives the attempt."""
        with self.found.database.writing() as session:
            who = add_learner(session, name, self.now)
            groups.add_member(session, self.group, who.id, self.now)
            begun = tries.start_try(session, who, self.set, self.found.library, self.now)
            (attempt, *_) = attempts_of_try(session, begun.id)
            kept = Snapshot.from_json(attempt.snapshot)
            texts = {step.name: format_number(step.value, step.decimals) for step in kept.steps} | (wrong or {})
            for step, text in texts.items():
                tries.keep_draft(session, who, attempt.id, step, text, self.now)
            if hand_in:
                hand_ins.hand_in(session, who, begun.id, self.now, self.found.library.worksheets)
            return attempt.id

    def slip(self):
        """What the live zero left in gives: by hand, signal over the top of the signal; and what follows from it."""
        drawn = self.found.library.problems[BRINE].variant(SEED)
        fraction = drawn.givens["signal"] / 20
        value = drawn.givens["lower"] + fraction * (drawn.givens["upper"] - drawn.givens["lower"])
        return {"fraction": f"{fraction:.4f}", "value": f"{value:.2f}"}

    def add_person(self, name):
        with self.found.database.writing() as session:
            who = add_learner(session, name, self.now)
            groups.add_member(session, self.group, who.id, self.now)
            return who.id

    def complain(self, attempt, text="The range is missing.") -> UUID:
        with self.found.database.writing() as session:
            return add_complaint(session, attempt, text, self.now).id

    def review(self, attempt):
        with self.found.database.reading() as session:
            return reviews.review(session, attempt)

    def change_key(self):
        """Correct the problem: its value may be off by 1000 °C, so that 900 °C is right."""
        problem = self.found.library.problems[BRINE]
        changed = replace(problem, tolerances=dict(problem.tolerances) | {"value": 1000.0})
        self._library(dict(self.found.library.problems) | {BRINE: changed})

    def remove_problem(self):
        self._library({name: each for name, each in self.found.library.problems.items() if name != BRINE})

    def _library(self, problems):
        self.found = replace(self.found, first=replace(self.found.library, problems=problems))
        self.app.extensions["trainer"] = self.found


def words(page):
    """What stands on a page, without its head."""
    return " ".join(re.sub(r"<[^>]+>", " ", page[page.find("<main") :]).split())


def row_of(page, name):
    return words("<main>" + re.search(rf"<tr><th[^>]*><a[^>]*>{name}.*?</tr>", page, re.DOTALL)[0])
