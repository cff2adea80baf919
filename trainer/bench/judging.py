"""A setup judged: on paper, by what it does in the course of the brief, by its reasons, by what was foreseen."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from trainer.bench.briefs import Task, WrongSetting
from trainer.bench.consistency import Check, completeness, consistency, runs
from trainer.bench.predictions import Prediction, marked
from trainer.bench.requirements import Outcome, Requirement, Run
from trainer.bench.setup_forms import Setting, fields_of
from trainer.bench.setup_records import SetupRecord, channel_of
from trainer.channel.simulation import Channel, Record
from trainer.errors import TrainerError

SHARES = {"settings": 0.4, "reasons": 0.3, "reading": 0.3}
NOT_RUN = "Not run: settings are missing, or cannot stand as they are."
Verdict = Literal["right", "wrong", "missing", "to be read"]


@dataclass(frozen=True)
class ReasonMark:
    """What a reason was worth: one of those offered, or written and still to be read by an instructor."""

    path: str
    title: str
    verdict: Verdict
    right: tuple[str, ...]


@dataclass(frozen=True)
class Judgment:
    """All that was found of a setup.

    Attributes
    ----------
    checks : tuple of Check
        On paper: complete, and consistent.
    outcomes : tuple of Outcome
        The requirements of the brief, by what the channel did.
    reasons : tuple of ReasonMark
    predictions : tuple of Prediction
    known : tuple of WrongSetting
        Wrong settings that are known of this brief and are in this setup.
    """

    checks: tuple[Check, ...]
    outcomes: tuple[Outcome, ...]
    reasons: tuple[ReasonMark, ...]
    predictions: tuple[Prediction, ...]
    known: tuple[WrongSetting, ...] = ()

    @property
    def met(self) -> tuple[bool, ...]:
        """Every check and every requirement, whether it is met."""
        return (*(each.passed for each in self.checks), *(each.passed for each in self.outcomes))

    @property
    def passed(self) -> bool:
        """Whether the setup meets the brief: every check and every requirement."""
        return all(self.met)

    @property
    def settings(self) -> float:
        """Share of the checks and requirements that are met, 0 to 1."""
        return _share(self.met)

    @property
    def reasoning(self) -> float:
        """Share of the reasons that hold, 0 to 1; a written one counts once it has been accepted."""
        return _share([each.verdict == "right" for each in self.reasons])

    @property
    def reading(self) -> float:
        """Share of the predictions that came true, 0 to 1."""
        return _share([each.right for each in self.predictions])

    @property
    def pending(self) -> tuple[str, ...]:
        """Paths of written reasons that wait for an instructor."""
        return tuple(each.path for each in self.reasons if each.verdict == "to be read")

    @property
    def total(self) -> float:
        """The three parts by their shares, 0 to 1."""
        parts = {"settings": self.settings, "reasons": self.reasoning, "reading": self.reading}
        return sum(share * parts[name] for name, share in SHARES.items())


def _share(good: Sequence[bool]) -> float:
    return sum(good) / len(good) if good else 1.0


def trace_of(task: Task, settings: Sequence[Setting], record: SetupRecord) -> Record | None:
    """What the channel that a record describes does in the course of the task; None where it cannot be run."""
    try:
        channel = channel_of(task, settings, record)
    except TrainerError:
        return None
    return task.run(channel) if runs(channel) else None


def outcomes_of(task: Task, trace: Record) -> tuple[Outcome, ...]:
    """Every requirement of a task judged by a trace."""
    run = Run(trace, task.channel.output.signal, task.brief.unit)
    return tuple(run.outcome(each) for each in task.requirements)


def judge(
    task: Task,
    settings: Sequence[Setting],
    record: SetupRecord,
    predictions: Mapping[str, str] | None = None,
    accepted: Collection[str] = (),
    decimal: str = ".",
) -> Judgment:
    """Judge a setup record.

    Parameters
    ----------
    task : Task
        The brief with its numbers.
    settings : sequence of Setting
        All settings of the form.
    record : SetupRecord
        What was handed in; it may be incomplete, and is then not run.
    predictions : Mapping, optional
        What was typed before the run, by the name of the question.
    accepted : collection of str
        Paths of written reasons that an instructor has accepted.
    decimal : str
        The decimal sign this person prefers.
    """
    checks = completeness(fields_of(settings, task, record.relays), record)
    channel: Channel | None = None
    try:
        channel = channel_of(task, settings, record)
        checks += consistency(task, record, channel)
    except TrainerError as fault:
        checks.append(Check("settings that can stand", False, str(fault)))
    trace = task.run(channel) if channel and runs(channel) else None
    return Judgment(
        tuple(checks),
        outcomes_of(task, trace) if trace else tuple(_not_run(each) for each in task.requirements),
        _reasons(task, settings, record, accepted),
        marked(task.questions, trace, predictions or {}, decimal),
        tuple(task.wrong_in(channel)) if channel else (),
    )


def _not_run(requirement: Requirement) -> Outcome:
    return Outcome(requirement.name, requirement.says, False, NOT_RUN, requirement.start, requirement.end)


def _reasons(
    task: Task, settings: Sequence[Setting], record: SetupRecord, accepted: Collection[str]
) -> tuple[ReasonMark, ...]:
    marks = []
    for field in fields_of(settings, task, record.relays):
        if field.reasons:
            right = field.right_reasons(task, record.values.get(field.path, ""))
            verdict = _verdict(record.reasons.get(field.path, ""), field.reasons, right, field.path in accepted)
            marks.append(ReasonMark(field.path, field.title, verdict, right))
    return tuple(marks)


def _verdict(given: str, offered: Collection[str], right: Collection[str], accepted: bool) -> Verdict:
    if not given.strip():
        return "missing"
    if given in offered:
        return "right" if given in right else "wrong"
    return "right" if accepted else "to be read"
