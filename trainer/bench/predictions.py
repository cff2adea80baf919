"""What a person foresees of their own setup before it is run, and what its record says to that."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from trainer import units
from trainer.bench.templates import quantity
from trainer.channel.simulation import Record
from trainer.grading.entries import read_entry

Ask = Literal["first alarm", "first normal", "operations", "received at", "shown at", "in alarm at", "contact at"]
CHOICES = {"in alarm at": ("yes", "no"), "contact at": ("open", "closed")}
NEVER = "never"


@dataclass(frozen=True)
class Question:
    """A question about the record of one's own setup.

    Attributes
    ----------
    name, text : str
    ask : str
        What is looked up.
    relay : int
        Counted from 1.
    time : float
        When, for what is asked of one time; from when on, for the first of something [s].
    tolerance : float
        How near an answer must be [unit of the answer].
    unit : str
    """

    name: str
    text: str
    ask: Ask
    relay: int = 1
    time: float = 0.0
    tolerance: float = 0.0
    unit: str = ""

    @property
    def options(self) -> tuple[str, ...]:
        """What may be chosen; empty where a number is typed."""
        return CHOICES.get(self.ask, ())

    def answer(self, record: Record) -> float | str:
        """The answer that a record gives: a number, one of the options, or never."""
        found = ANSWERS[self.ask](self, record)
        timed = isinstance(found, float) and self.ask.startswith("first")
        return units.convert(float(found), "s", self.unit) if timed else found


@dataclass(frozen=True)
class Prediction:
    """An answer beside what the record says: `error` is why it was not read."""

    name: str
    typed: str
    right: bool
    sentence: str
    error: str = ""


def marked(
    questions: Sequence[Question], record: Record | None, answers: Mapping[str, str], decimal: str = "."
) -> tuple[Prediction, ...]:
    """All questions with what was answered; without a record nothing is right."""
    return tuple(_marked(each, record, answers.get(each.name, ""), decimal) for each in questions)


def _marked(question: Question, record: Record | None, typed: str, decimal: str) -> Prediction:
    if record is None:
        return Prediction(question.name, typed, False, "The setup could not be run.")
    answer = question.answer(record)
    sentence = f"The record says {_said(question, answer)}."
    if not typed.strip():
        return Prediction(question.name, typed, False, f"Nothing was predicted. {sentence}")
    given, error = _read(question, typed, decimal)
    if error:
        return Prediction(question.name, typed, False, sentence, error)
    if isinstance(answer, str) or isinstance(given, str):
        return Prediction(question.name, typed, given == answer, sentence)
    return Prediction(question.name, typed, abs(given - answer) <= question.tolerance, sentence)


def _read(question: Question, typed: str, decimal: str) -> tuple[float | str, str]:
    if question.ask in ("first alarm", "first normal") and typed.strip().casefold() == NEVER:
        return NEVER, ""
    kind: Literal["choice", "number"] = "choice" if question.options else "number"
    read = read_entry(typed, kind, question.unit, question.options, decimal)
    if read.foreign:
        return math.nan, f"{read.unit} measures something else: {question.unit} is asked for."
    return (read.value, "") if not read.refusal else (math.nan, read.refusal)


def _said(question: Question, answer: float | str) -> str:
    if isinstance(answer, str):
        return answer
    return quantity(answer, question.unit)


def _first(question: Question, record: Record, what: str) -> float | str:
    if question.relay > len(record.relays):
        return NEVER
    times = record.relays[question.relay - 1].times_of(what)
    return next((time for time in times if time >= question.time), NEVER)


def _operations(question: Question, record: Record) -> float | str:
    return float(record.relays[question.relay - 1].operations) if question.relay <= len(record.relays) else 0.0


def _at(question: Question, record: Record) -> int:
    return min(int(np.searchsorted(record.times, question.time)), record.times.size - 1)


def _in_alarm(question: Question, record: Record) -> float | str:
    there = question.relay <= len(record.relays)
    return "yes" if there and record.relays[question.relay - 1].in_alarm[_at(question, record)] else "no"


def _contact(question: Question, record: Record) -> float | str:
    there = question.relay <= len(record.relays)
    return "closed" if there and record.relays[question.relay - 1].closed[_at(question, record)] else "open"


ANSWERS: dict[str, Callable[[Question, Record], float | str]] = {
    "first alarm": lambda question, record: _first(question, record, "alarm"),
    "first normal": lambda question, record: _first(question, record, "normal"),
    "operations": _operations,
    "received at": lambda question, record: float(record.received[_at(question, record)]),
    "shown at": lambda question, record: float(record.shown[_at(question, record)]),
    "in alarm at": _in_alarm,
    "contact at": _contact,
}
