"""What an instructor wants a problem set to be: its faults in plain sentences, and how two plans differ."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, fields, replace
from datetime import datetime
from typing import Any
from uuid import UUID

from trainer.clock import as_utc, moment
from trainer.errors import Conflict, TrainerError
from trainer.language import gettext
from trainer.practice.sheet import MODES
from trainer.storage.models import ProblemSet, SetProblem
from trainer.storage.problem_sets import ASSESSED, OWN, PRACTICE, SAME

Fault = tuple[str, str]  # what a fault stands beside, and its sentence
LONGEST_TITLE, LONGEST_NOTE = 120, 2000
MOST_PROBLEMS, MOST_TRIES, MOST_MINUTES, HEAVIEST = 100, 20, 1440, 100.0


class PlanRefused(TrainerError):
    """A plan that cannot be taken as it is; ``faults`` are all there are, ``beside`` the same with their places.

    A place is the name of a field, or for the second problem ``problem 2``, ``mode 2``, ``weight 2``.
    """

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.beside = tuple(faults)
        self.faults = tuple(said for _, said in faults)
        super().__init__("\n".join(self.faults))


@dataclass(frozen=True)
class Chosen:
    """A problem in a plan; ``id`` is that of the place in the set where it stands already."""

    problem: str
    mode: str = "unguided"
    weight: float = 1.0
    id: UUID | None = None


@dataclass(frozen=True)
class Plan:
    """What a set is to be; ``pass_mark`` is 0 to 1, ``minutes`` None for no time limit."""

    title: str
    problems: tuple[Chosen, ...] = ()
    kind: str = ASSESSED
    numbers: str = OWN
    due: datetime | None = None
    pass_mark: float = 0.7
    tries: int = 1
    minutes: int | None = None
    note: str = ""

    def columns(self) -> dict[str, Any]:
        """All but the problems, by column."""
        return {each.name: getattr(self, each.name) for each in fields(self) if each.name != "problems"}

    def to_json(self) -> dict[str, Any]:
        """Plain dicts and lists."""
        plain = asdict(self) | {"due": as_utc(self.due).isoformat() if self.due else None}
        return plain | {
            "problems": [asdict(each) | {"id": str(each.id) if each.id else None} for each in self.problems]
        }

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> Plan:
        """The inverse of :meth:`to_json`."""
        problems = tuple(Chosen(**(row | {"id": UUID(row["id"]) if row["id"] else None})) for row in kept["problems"])
        due = datetime.fromisoformat(kept["due"]) if kept["due"] else None
        return cls(**(dict(kept) | {"problems": problems, "due": due}))


@dataclass(frozen=True)
class Change:
    """One field of a plan that has changed, in words."""

    field: str
    old: str
    new: str


class Outdated(Conflict):
    """An edit of a set that somebody else has edited meanwhile.

    ``changes`` are theirs; ``base`` is the plan that both began with, ``now`` what they made of it, ``wanted`` what was
    sent, ``merged`` the same with their changes wherever the sender had left something alone; ``version`` is the one to
    send next.
    """

    def __init__(self, base: Plan, now: Plan, wanted: Plan, version: int) -> None:
        self.base, self.now, self.wanted, self.version = base, now, wanted, version
        self.changes = tuple(changes(base, now))
        self.merged = merged(base, now, wanted)
        said = gettext("{field} was {old}, is now {new}")
        told = "; ".join(said.format(field=each.field, old=each.old, new=each.new) for each in self.changes)
        message = gettext(
            "This set has been changed meanwhile: {told}. What you typed is kept; look at it and save again."
        )
        super().__init__(message.format(told=told or gettext("it was saved without a change")))


def plan_of(problem_set: ProblemSet, problems: Sequence[SetProblem]) -> Plan:
    """A set as a plan."""
    chosen = tuple(Chosen(each.problem, each.mode, each.weight, each.id) for each in problems)
    columns = {each.name: getattr(problem_set, each.name) for each in fields(Plan) if each.name != "problems"}
    return Plan(problems=chosen, **columns)


def tidied(plan: Plan) -> Plan:
    """A plan without spaces around its words, due at a whole minute, as a form would send it back."""
    due = plan.due.replace(second=0, microsecond=0) if plan.due else None
    return replace(plan, title=" ".join(plan.title.split()), note=plan.note.strip(), due=due)


def faults_of(plan: Plan, known: Collection[str]) -> Iterator[Fault]:
    """What is wrong with a plan wherever it stands; ``known`` are the ids of problems that there are."""
    if not 1 <= len(plan.title) <= LONGEST_TITLE or not plan.title.isprintable():
        yield "title", gettext("A title has 1 to {n} characters.").format(n=LONGEST_TITLE)
    if len(plan.note) > LONGEST_NOTE:
        yield "note", gettext("A note has at most {n} characters.").format(n=LONGEST_NOTE)
    if plan.kind not in (PRACTICE, ASSESSED):
        yield "kind", gettext("A set is for practice or assessed.")
    if plan.numbers not in (SAME, OWN):
        yield "numbers", gettext("Either all learners get the same numbers, or each gets their own.")
    if not 0.0 <= plan.pass_mark <= 1.0:
        yield "pass_mark", gettext("The pass mark lies between 0 and 100 %.")
    if not 1 <= plan.tries <= MOST_TRIES:
        yield "tries", gettext("A set allows 1 to {n} tries.").format(n=MOST_TRIES)
    if plan.minutes is not None and not 1 <= plan.minutes <= MOST_MINUTES:
        yield "minutes", gettext("A time limit is 1 to {n} minutes, or none.").format(n=MOST_MINUTES)
    if len(plan.problems) > MOST_PROBLEMS:
        yield "problems", gettext("A set holds at most {n} problems.").format(n=MOST_PROBLEMS)
    for number, chosen in enumerate(plan.problems[:MOST_PROBLEMS], 1):
        yield from _problem_faults(number, chosen, known)


def opening_faults(plan: Plan, at: datetime) -> Iterator[Fault]:
    """What keeps a plan from being given to learners."""
    if not plan.problems:
        yield "problems", gettext("A set needs at least one problem before it is opened.")
    if plan.due is not None and plan.due <= at:
        yield "due", gettext("The set would be due in the past, {due}.").format(due=moment(plan.due))


def changes(old: Plan, new: Plan, titles: Mapping[str, str] | None = None) -> Iterator[Change]:
    """The fields in which two plans differ, in words; problems by their ``titles`` where these are given."""
    for each in fields(Plan):
        sides = [getattr(plan, each.name) for plan in (old, new)]
        if _compared(sides[0]) != _compared(sides[1]):
            yield Change(_titles()[each.name], *(_worded(each.name, side, titles or {}) for side in sides))


def merged(base: Plan, now: Plan, wanted: Plan) -> Plan:
    """A plan with what either side has changed; where both have changed the same, the wanted."""
    left_alone = {
        each.name: getattr(now, each.name)
        for each in fields(Plan)
        if _compared(getattr(wanted, each.name)) == _compared(getattr(base, each.name))
    }
    return replace(wanted, **({"problems": _merged_problems(base, now, wanted)} | left_alone))


def _merged_problems(base: Plan, now: Plan, wanted: Plan) -> tuple[Chosen, ...]:
    """Those wanted, in the order wanted, each with its changes; then those that were added meanwhile."""
    before, there = ({each.id: each for each in plan.problems} for plan in (base, now))
    found = []
    for each in wanted.problems:
        if each.id not in before or each.id is None:
            found.append(each)
        elif each.id in there:
            found.append(_merged_problem(before[each.id], there[each.id], each))
        elif each != before[each.id]:  # taken out by them, changed here
            found.append(replace(each, id=None))
    return (*found, *(each for each in now.problems if each.id not in before))


def _merged_problem(base: Chosen, now: Chosen, wanted: Chosen) -> Chosen:
    names = ("problem", "mode", "weight")
    kept = {name: getattr(now, name) for name in names if getattr(wanted, name) == getattr(base, name)}
    return replace(wanted, **kept)


def _problem_faults(number: int, chosen: Chosen, known: Collection[str]) -> Iterator[Fault]:
    if chosen.problem not in known:
        said = gettext("Problem {n}, {problem}, is not in the question banks.")
        yield f"problem {number}", said.format(n=number, problem=chosen.problem)
    if chosen.mode not in MODES:
        said = gettext("Problem {n}: the modes are {modes}.")
        yield f"mode {number}", said.format(n=number, modes=", ".join(MODES))
    if not 0.0 < chosen.weight <= HEAVIEST:
        said = gettext("Problem {n}: a weight is above 0 and at most {most:g}.")
        yield f"weight {number}", said.format(n=number, most=HEAVIEST)


def _compared(value: Any) -> Any:
    """Where a problem stands in the table says nothing of the plan."""
    return tuple(replace(each, id=None) for each in value) if isinstance(value, tuple) else value


def _titles() -> dict[str, str]:
    return {
        "title": gettext("the title"),
        "problems": gettext("the problems"),
        "kind": gettext("the kind"),
        "numbers": gettext("the numbers"),
        "due": gettext("the due time"),
        "pass_mark": gettext("the pass mark"),
        "tries": gettext("the tries"),
        "minutes": gettext("the time limit"),
        "note": gettext("the note"),
    }


def _worded(field: str, value: Any, titles: Mapping[str, str]) -> str:
    if value is None or value == "" or value == ():
        return gettext("none")
    if field == "problems":
        named = ((titles.get(each.problem, each.problem), gettext(each.mode), each.weight) for each in value)
        return ", ".join(f"{title} ({mode}, {weight:g})" for title, mode, weight in named)
    if field == "pass_mark":
        return f"{100 * value:g} %"
    if field == "minutes":
        return gettext("{n} minutes").format(n=value)
    if isinstance(value, datetime):
        return moment(value)
    return gettext(value) if field in ("kind", "numbers") else str(value)
