"""A group with learners and two problems whose answers are known by hand, to give sets to."""

from dataclasses import replace
from datetime import timedelta

from trainer.content.library import read_library
from trainer.practice import groups, hand_ins, sets, tries
from trainer.practice.plans import Chosen, Plan
from trainer.storage.learners import add_learner
from trainer.storage.problem_sets import problems_of
from trainer.storage.results import attempts_of_try
from trainer.worksheets.draw import Fixed
from trainer.worksheets.problem import Problem

WORKSHEETS = read_library().worksheets

INSTRUCTOR = "Berend"


def reading(name: str, upper: float, unit: str, signal: float) -> Problem:
    """4-20 mA over 0 to ``upper``."""
    values = {"lower": 0.0, "upper": upper, "signal_low": 4.0, "signal_high": 20.0, "signal": signal}
    milliamperes = dict.fromkeys(("signal", "signal_low", "signal_high"), "mA")
    return Problem(
        id=name,
        worksheet=WORKSHEETS["value-from-signal"],
        title=name.capitalize(),
        text="A meter reads {signal}.",
        level="F",
        place="water works",
        draws=tuple(Fixed(given, value) for given, value in values.items()),
        skill="S3.2",
        units={"lower": unit, "upper": unit} | milliamperes,
    )


# By hand: (11.2 - 4)/16 = 0.45 of 250 kPa; (8 - 4)/16 = 0.25 of 10 bar. With the live zero left in 0.56 and 140.
BOOSTER, HEADER = reading("booster", 250.0, "kPa", 11.2), reading("header", 10.0, "bar", 8.0)
RIGHT = {"booster": {"fraction": "0.45", "value": "112.5"}, "header": {"fraction": "0.25", "value": "2.5"}}
WRONG = {"booster": {"fraction": "0.9", "value": "1"}, "header": {"fraction": "0.9", "value": "1"}}
SLIP = {"fraction": "0.56", "value": "140"}


class Shop:
    def __init__(self, session, clock, library) -> None:
        self.session, self.clock = session, clock
        self.library = replace(library, problems={"booster": BOOSTER, "header": HEADER})
        self.group = groups.make_group(session, "Night shift", clock())
        self.learners = []

    def learner(self, name="Ada Pump"):
        made = add_learner(self.session, name, self.clock())
        groups.add_member(self.session, self.group.id, made.id, self.clock())
        self.learners.append(made)
        return made

    def draft(self, **changes):
        problems = (Chosen("booster", "guided"), Chosen("header", "guided"))
        plan = replace(Plan("Week 1", problems), **changes)
        return sets.make_set(self.session, self.group.id, plan, self.library.problems, INSTRUCTOR, self.clock())

    def open(self, **changes):
        return sets.open_set(self.session, self.draft(**changes).id, self.library.problems, self.clock())

    def start(self, learner, problem_set):
        return tries.start_try(self.session, learner, problem_set.id, self.library, self.clock())

    def attempts(self, set_try):
        return {attempt.source: attempt for attempt in attempts_of_try(self.session, set_try.id)}

    def fill(self, learner, set_try, texts):
        for problem, steps in texts.items():
            for step, text in steps.items():
                attempt = self.attempts(set_try)[problem]
                tries.keep_draft(self.session, learner, attempt.id, step, text, self.clock())

    def hand_in(self, learner, set_try, minutes=5):
        self.clock.advance(timedelta(minutes=minutes))
        return hand_ins.hand_in(self.session, learner, set_try.id, self.clock(), self.library.worksheets)

    def work(self, learner, problem_set, texts):
        begun = self.start(learner, problem_set)
        self.fill(learner, begun, texts)
        return self.hand_in(learner, begun)

    def places(self, problem_set):
        return problems_of(self.session, problem_set.id)
