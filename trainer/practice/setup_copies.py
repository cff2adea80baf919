"""Setups copied to a sister channel, and setups as found beside their approved record: tasks of their own."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from random import Random
from typing import Any
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.bench.copies import Comparison, CopyFault, Difference, SisterTask, as_found, compared
from trainer.bench.setup_forms import Draft, Field, fields_of, read_form
from trainer.bench.setup_records import SetupRecord, reference_record
from trainer.content.bench_files import Bench
from trainer.errors import NotFound, TrainerError
from trainer.language import gettext
from trainer.practice import bench_tasks
from trainer.practice.bench_tasks import COMPARISON, COPY, HANDED, SKILLS, entry_of
from trainer.practice.commissioning import HEAD, VALUE
from trainer.storage.entries import KeptEntry, NewMark, add_entry
from trainer.storage.models import Attempt, Learner
from trainer.units import MINUS, convert

MARK = "mark."
CONSEQUENCES = ("the number", "the alarm", "the fail direction", "only the look")
MOST_DIFFERENCES = 4
ALIKE = {"s": "min", "mA": "A", "Ω": "kΩ"}  # the same value may be written in another unit
TAGS = {"°C": "TT", "°F": "TT", "m": "LT", "m³/h": "FT", "L/s": "FT"}  # letters by ISA-5.1


@dataclass(frozen=True)
class OpenCopy:
    """A copy as it stands: the task, the texts in its boxes, what was read of them."""

    attempt: Attempt
    sister: SisterTask
    kept: Mapping[str, str]
    entries: Sequence[KeptEntry]
    decimal: str

    def typed_over(self, typed: Mapping[str, str]) -> OpenCopy:
        """The copy with other texts in its boxes, which are not kept."""
        return replace(self, kept={**self.kept, **typed})

    @property
    def texts(self) -> dict[str, str]:
        """What stands in the boxes: the approved record until something else is typed."""
        source = self.sister.source
        copied = {VALUE + path: _typed(value, self.decimal) for path, value in source.values.items()}
        return {"tag": source.tag, "service": source.service, **copied, **self.kept}

    @property
    def draft(self) -> Draft:
        """What was read of the boxes."""
        texts = self.texts
        typed = {each.path: texts.get(VALUE + each.path, "") for each in self.sister.fields}
        return read_form(self.sister.fields, typed, self.decimal)

    @property
    def record(self) -> SetupRecord:
        """The copy."""
        texts = self.texts
        head = {name: texts[name].strip() for name in HEAD}
        return replace(self.sister.source, values=self.draft.values, **head)  # type: ignore[arg-type]

    def lacking(self) -> list[tuple[str, str, str]]:
        """The boxes that are not read: the box, what it is called, why."""
        draft = self.draft
        empty = gettext("not stated")
        why = {each.path: draft.errors.get(each.path, empty) for each in self.sister.fields}
        titles = {each.path: gettext(each.title) for each in self.sister.fields}
        return [(VALUE + path, titles[path], said) for path, said in why.items() if path not in draft.values]

    @property
    def faults(self) -> tuple[CopyFault, ...]:
        """What is wrong with the copy."""
        return self.sister.faults(self.record)


@dataclass(frozen=True)
class Pair:
    """A line of both records: what stands in either, and what it is marked as."""

    path: str
    title: str
    approved: str
    found: str
    marked: str


@dataclass(frozen=True)
class Told:
    """What became of a line: found, half, missed or false; what it touches, and what it means."""

    pair: Pair
    verdict: str
    consequence: str
    says: str


@dataclass(frozen=True)
class OpenComparison:
    """A comparison as it stands."""

    attempt: Attempt
    approved: SetupRecord
    found: SetupRecord
    fields: Sequence[Field]
    differences: Mapping[str, Difference]
    texts: Mapping[str, str]
    entries: Sequence[KeptEntry]
    decimal: str

    def typed_over(self, typed: Mapping[str, str]) -> OpenComparison:
        """The comparison with other marks, which are not kept."""
        return replace(self, texts={**self.texts, **typed})

    @property
    def marks(self) -> dict[str, str]:
        """What each marked line is said to touch, by path."""
        said = {each.path: self.texts.get(MARK + each.path, "") for each in self.fields}
        return {path: mark for path, mark in said.items() if mark in CONSEQUENCES}

    @property
    def pairs(self) -> list[Pair]:
        """The lines of both records."""
        otherwise = self.attempt.snapshot["otherwise"]
        lines = []
        for each in self.fields:
            one, other = (record.values[each.path] for record in (self.approved, self.found))
            first, second = (bench_tasks.shown(each, value, self.decimal) for value in (one, other))
            if each.path in otherwise:
                second = _otherwise(other, each.unit, self.decimal)
            lines.append(Pair(each.path, gettext(each.title), first, second, self.marks.get(each.path, "")))
        return lines

    @property
    def comparison(self) -> Comparison:
        """What was marked beside what differs."""
        return compared(self.approved, self.found, list(self.marks))

    @property
    def told(self) -> list[Told]:
        """Every line that differs or was marked, with what became of it."""
        result, lines = self.comparison, []
        for pair in self.pairs:
            known = self.differences.get(pair.path)
            consequence, says = (known.consequence, known.says) if known else ("", "")
            if pair.path in result.found:
                lines.append(Told(pair, "found" if pair.marked == consequence else "half", consequence, says))
            elif pair.path in result.missed:
                lines.append(Told(pair, "missed", consequence, says))
            elif pair.path in result.false:
                same = gettext("Both say the same.")
                lines.append(Told(pair, "false", "", same))
        return lines

    @property
    def score(self) -> float:
        """Share of the differences found, half where another consequence was named, less what was marked falsely."""
        worth = {"found": 1.0, "half": 0.5, "false": -1.0}
        result, got = self.comparison, sum(worth.get(each.verdict, 0.0) for each in self.told)
        return max(0.0, got / number) if (number := len(result.found) + len(result.missed)) else float(not result.false)


def _typed(value: Any, decimal: str) -> str:
    """A value as somebody types it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value) if isinstance(value, str) else f"{value:.10g}".replace(".", decimal)


def _otherwise(value: float, unit: str, decimal: str) -> str:
    other = ALIKE[unit]
    number = f"{convert(value, unit, other):.6g}".replace("-", MINUS).replace(".", decimal)
    return f"{number}\N{NO-BREAK SPACE}{other}"


def start_copy(
    session: Session, learner_id: UUID, bench: Bench, name: str, at: datetime, seed: int | None = None
) -> Attempt:
    """Start a copy to a sister channel with new numbers."""
    if name not in bench.sisters:
        raise NotFound(gettext("There is no such channel."))
    brief = bench_tasks.brief_of(bench, bench.sisters[name].brief)
    return bench_tasks.begin(session, learner_id, COPY, name, brief, at, seed, {"sister": name})


def look_at_copy(
    session: Session,
    task_id: UUID,
    bench: Bench,
    learner_id: UUID | None = None,
    decimal: str = ".",
    lock: bool = False,
) -> OpenCopy:
    """A copy as it stands; with ``learner_id`` only the learner's own."""
    attempt, texts, entries = bench_tasks.found(session, task_id, COPY, learner_id, lock)
    task = bench_tasks.task_of(bench, attempt)
    if attempt.source not in bench.sisters:
        raise NotFound(gettext("There is no such channel."))
    sister = bench.sisters[attempt.source]
    made = sister.of_task(task, list(bench.settings.values()))
    return OpenCopy(attempt, made, texts, entries, decimal)


def keep_copy(
    session: Session, task_id: UUID, learner: Learner, typed: Mapping[str, str], seen: str, at: datetime, bench: Bench
) -> None:
    """Keep what was typed in a copy."""
    opened = look_at_copy(session, task_id, bench, learner.id, learner.decimal_sign, lock=True)
    boxes = {*HEAD, *(VALUE + each.path for each in opened.sister.fields)}
    changed = {key: text for key, text in typed.items() if opened.texts.get(key) != text}
    bench_tasks.keep(session, opened.attempt, dict(opened.kept), changed, boxes, seen, at)


def hand_in_copy(
    session: Session, task_id: UUID, learner: Learner, form_token: str, at: datetime, bench: Bench
) -> None:
    """Hand the copy in as it is kept.

    Raises
    ------
    TrainerError
        A box cannot be read.
    """
    opened = look_at_copy(session, task_id, bench, learner.id, learner.decimal_sign, lock=True)
    if entry_of(opened.entries, HANDED, form_token):
        return
    bench_tasks.check_open(opened.attempt)
    if opened.draft.errors:
        raise TrainerError(gettext("Not handed in: some boxes cannot be read; each says why."))
    score = opened.sister.score(opened.record)
    basis = {"faults": [{"path": each.path, "kind": each.kind} for each in opened.faults]}
    _hand_in(session, opened.attempt, opened.record.to_json(), score, basis, form_token, at, opened.entries)


def start_comparison(
    session: Session, learner_id: UUID, bench: Bench, name: str, at: datetime, seed: int | None = None
) -> Attempt:
    """Start a comparison: an approved record, and what was found, with some differences and some other spellings."""
    brief = bench_tasks.brief_of(bench, name)
    seed = bench_tasks.new_seed() if seed is None else seed
    rng, task, settings = Random(seed), brief.drawn(seed), list(bench.settings.values())
    approved = reference_record(task, settings)
    fields = fields_of(settings, task, approved.relays)
    number = 1 + int(rng.random() * MOST_DIFFERENCES)
    found, _ = as_found(approved, fields, list(bench.differences.values()), rng, number)
    changed = {path: value for path, value in found.values.items() if value != approved.values[path]}
    numbers = [each.path for each in fields if each.kind == "number" and each.unit in ALIKE]
    same = [path for path in numbers if path not in changed and found.values[path]]
    more = {"found": changed, "otherwise": rng.sample(same, min(2, len(same)))}
    return bench_tasks.begin(session, learner_id, COMPARISON, f"{COMPARISON}-{name}", brief, at, seed, more)


def look_at_comparison(
    session: Session,
    task_id: UUID,
    bench: Bench,
    learner_id: UUID | None = None,
    decimal: str = ".",
    lock: bool = False,
) -> OpenComparison:
    """A comparison as it stands; with ``learner_id`` only the learner's own."""
    attempt, texts, entries = bench_tasks.found(session, task_id, COMPARISON, learner_id, lock)
    task, settings = bench_tasks.task_of(bench, attempt), list(bench.settings.values())
    tag = f"{TAGS.get(task.brief.unit, 'XT')}-{100 + task.brief.number}"
    approved = reference_record(task, settings, tag)
    found = replace(approved, values={**approved.values, **attempt.snapshot["found"]})
    fields = fields_of(settings, task, approved.relays)
    return OpenComparison(attempt, approved, found, fields, bench.differences, texts, entries, decimal)


def keep_comparison(
    session: Session, task_id: UUID, learner: Learner, typed: Mapping[str, str], seen: str, at: datetime, bench: Bench
) -> None:
    """Keep what was marked."""
    opened = look_at_comparison(session, task_id, bench, learner.id, learner.decimal_sign, lock=True)
    boxes = {MARK + each.path for each in opened.fields}
    bench_tasks.keep(session, opened.attempt, dict(opened.texts), typed, boxes, seen, at)


def hand_in_comparison(
    session: Session, task_id: UUID, learner: Learner, form_token: str, at: datetime, bench: Bench
) -> None:
    """Hand the comparison in as it is kept."""
    opened = look_at_comparison(session, task_id, bench, learner.id, learner.decimal_sign, lock=True)
    if entry_of(opened.entries, HANDED, form_token):
        return
    bench_tasks.check_open(opened.attempt)
    basis = {each.pair.path: each.verdict for each in opened.told}
    text = json.dumps(opened.marks, ensure_ascii=False)
    _hand_in(session, opened.attempt, text, opened.score, basis, form_token, at, opened.entries)


def _hand_in(
    session: Session,
    attempt: Attempt,
    text: str,
    score: float,
    basis: Mapping[str, Any],
    form_token: str,
    at: datetime,
    entries: Sequence[KeptEntry],
) -> None:
    mark = NewMark("right" if score == 1.0 else "wrong", score, "", basis)
    skill = SKILLS[attempt.worksheet]
    add_entry(session, attempt.id, HANDED, text, mark, at, form_token=form_token, step_skill=skill, kept=entries)
    bench_tasks.finish(session, attempt, score, at)
