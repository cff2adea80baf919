"""Briefs: a page of requirements for one channel, with its numbers drawn anew, and what a setup is judged by."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from random import Random
from typing import Any

from trainer.bench.faults import Grid
from trainer.bench.predictions import Question
from trainer.bench.requirements import Requirement
from trainer.bench.reservoirs import Reservoir, level_course
from trainer.bench.templates import Facts, difference_of, filled, prose, worked
from trainer.calculations.alarms import Alarm, Timer
from trainer.channel.conditioner import RelaySetting
from trainer.channel.simulation import Channel, Course, Record, run
from trainer.channel.tables import TableFault, changed, channel_from, part_from, value_at


@dataclass(frozen=True)
class Draw:
    """A number that is drawn: its name, its grid, and the value it usually has."""

    name: str
    low: float
    high: float
    step: float
    usual: float

    def value(self, rng: Random) -> float:
        """One of the values of the grid, each as likely."""
        return Grid(self.low, self.high, self.step).draw(rng)


@dataclass(frozen=True)
class WrongSetting:
    """A setting that does not serve: what is changed by path, what the trace then shows, what it fails."""

    name: str
    title: str
    changes: Mapping[str, Any]
    shows: str
    fails: tuple[str, ...]

    def is_in(self, channel: Channel) -> bool:
        """Whether a channel is set this way."""
        return all(_has(channel, path, value) for path, value in self.changes.items())


def _has(channel: Channel, path: str, value: Any) -> bool:
    try:
        return bool(value_at(channel, path) == value)
    except TableFault:
        return False


@dataclass(frozen=True)
class Span:
    """Values of a setting that serve as well as the one of the reference: from `low` to `high` in steps."""

    path: str
    low: float
    high: float
    step: float


@dataclass(frozen=True)
class Brief:
    """A commissioning task before its numbers are drawn.

    Attributes
    ----------
    name, number, title, place, unit : str, int
        What it is called, where it is, the unit of its process.
    text : str
        One page of requirements as an engineer writes it.
    channel, course : Mapping
        The fixed plant with the settings of the reference; what happens to the process. Tables of templates; with
        `shift`, an expression, every point of the course is moved.
    requirements, wrong, spans, questions : tuple of Mapping
        Templates of what is judged, of single wrong settings, of other settings that serve, of what is asked.
    draws : tuple of Draw
    values : Mapping
        Further facts by name: expressions of the draws and of those before them.
    words : Mapping
        Further facts that are texts, such as why there is a delay.
    skills, cautions : tuple of str
    step : float
        Between samples [s].
    reservoir : Mapping, optional
        A level that goes with the relay itself, instead of the points of the course.
    """

    name: str
    number: int
    title: str
    place: str
    unit: str
    text: str
    channel: Mapping[str, Any]
    course: Mapping[str, Any]
    requirements: tuple[Mapping[str, Any], ...]
    draws: tuple[Draw, ...]
    skills: tuple[str, ...]
    values: Mapping[str, Any] | None = None
    words: Mapping[str, Any] | None = None
    wrong: tuple[Mapping[str, Any], ...] = ()
    spans: tuple[Mapping[str, Any], ...] = ()
    questions: tuple[Mapping[str, Any], ...] = ()
    cautions: tuple[str, ...] = ()
    step: float = 0.5
    reservoir: Mapping[str, Any] | None = None

    def drawn(self, seed: int) -> Task:
        """The task of a seed: the same one for ever.

        Raises
        ------
        TableFault
            Where a template describes nothing.
        """
        rng = Random(seed)
        return self.with_values({draw.name: draw.value(rng) for draw in self.draws}, seed)

    def usual(self) -> Task:
        """The task with the usual value of every draw."""
        return self.with_values({draw.name: draw.usual for draw in self.draws})

    def with_values(self, drawn: Mapping[str, float], seed: int = 0) -> Task:
        """The task with some values of the draws."""
        facts: dict[str, Any] = {
            "unit": self.unit,
            "difference": difference_of(self.unit),
            "controls": bool(self.reservoir),
            **drawn,
        }
        for name, expression in (self.values or {}).items():
            facts[name] = worked(str(expression), facts)
        channel = channel_from(filled(self.channel, facts))
        course = _course(self.course, facts)
        facts = {**_facts_of(channel, course), **facts}
        facts |= {name: prose(str(text), facts) for name, text in (self.words or {}).items()}
        return Task(
            brief=self,
            seed=seed,
            facts=facts,
            text=prose(self.text, facts),
            channel=channel,
            course=course,
            requirements=_parts(Requirement, self.requirements, facts, "requirements"),
            wrong=_parts(WrongSetting, self.wrong, facts, "wrong"),
            spans=_parts(Span, self.spans, facts, "spans"),
            questions=_parts(Question, self.questions, facts, "questions"),
            reservoir=part_from(Reservoir, filled(self.reservoir, facts)) if self.reservoir else None,
        )


@dataclass(frozen=True, eq=False)
class Task:
    """A brief with its numbers drawn; `channel` is the plant with the settings of the reference."""

    brief: Brief
    seed: int
    facts: Facts
    text: str
    channel: Channel
    course: Course
    requirements: tuple[Requirement, ...]
    wrong: tuple[WrongSetting, ...]
    spans: tuple[Span, ...]
    questions: tuple[Question, ...]
    reservoir: Reservoir | None

    def run(self, channel: Channel) -> Record:
        """What a channel does in the course of this task."""
        course = self.course
        if self.reservoir:
            course = level_course(channel, course, self.reservoir, self.brief.step)
        return run(channel, course, self.brief.step)

    @cached_property
    def reference(self) -> Record:
        """What the reference setup does."""
        return self.run(self.channel)

    def set_wrong(self, wrong: WrongSetting) -> Channel:
        """The reference with one wrong setting in it."""
        return changed(self.channel, wrong.changes)

    def with_timer(self, timer: Timer) -> Task:
        """The same task with relays whose on-delay keeps the other convention."""
        changes = {f"relays.{index}.alarm.timer": timer for index in range(len(self.channel.relays))}
        return replace(self, channel=changed(self.channel, changes))

    def wrong_in(self, channel: Channel) -> list[WrongSetting]:
        """The wrong settings known of this brief that a channel has: what the trace shows of them."""
        return [wrong for wrong in self.wrong if wrong.is_in(channel) and not wrong.is_in(self.channel)]


def _parts(kind: type[Any], templates: Sequence[Mapping[str, Any]], facts: Facts, path: str) -> tuple[Any, ...]:
    return tuple(part_from(kind, filled(each, facts), f"{path}.{index}") for index, each in enumerate(templates))


def _course(template: Mapping[str, Any], facts: Facts) -> Course:
    table = dict(filled(template, facts))
    by = float(table.pop("shift", 0.0))
    course = part_from(Course, table, "course")
    return replace(course, points=tuple((time, round(value + by, 9)) for time, value in course.points))


def _facts_of(channel: Channel, course: Course) -> dict[str, Any]:
    """What texts and reasons may speak of without a brief saying it again."""
    output, signal = channel.output, channel.output.signal
    facts: dict[str, Any] = {
        "lower": output.lower,
        "upper": output.upper,
        "signal": signal.name,
        "signal_low": signal.low,
        "signal_high": signal.high,
        "signal_unit": signal.unit,
        "on_break": output.on_break,
        "time_constant": channel.filter,
        "wires": getattr(channel.input, "wires", 0),
        "allowance": channel.input.allowance,
        "root": channel.input.root,
        "raw_low": channel.scaling.raw_low,
        "raw_high": channel.scaling.raw_high,
        "bits": channel.card.bits,
        "full_scale": channel.card.full_scale,
        "card_unit": channel.card.unit,
        "supply": channel.loop.supply,
        "ripple": 2.0 * course.ripple[0] if course.ripple else 0.0,
        "period": course.ripple[1] if course.ripple else 0.0,
        "usually": course.points[0][1],
        "fault_choices": output.on_break,
    }
    first = channel.relays[0] if channel.relays else RelaySetting(Alarm(direction="rising", set_point=0.0))
    alarm = first.alarm
    return facts | {
        "direction": alarm.direction,
        "set_point": alarm.set_point,
        "deadband": alarm.deadband,
        "reset_value": alarm.reset_value,
        "on_delay": alarm.on_delay,
        "off_delay": alarm.off_delay,
        "latching": alarm.latching,
        "inhibited": alarm.inhibited,
        "energized": first.energized_in_alarm,
        "contact": first.contact,
    }
