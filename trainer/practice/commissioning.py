"""Channels to commission: the form of a setup kept box by box, run as often as wanted, handed in once.

Everything is worked out again from the settings handed in; what was foretold counts by the first run alone.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from functools import lru_cache
from typing import Any
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.bench.briefs import Task
from trainer.bench.consistency import runs as can_run
from trainer.bench.judging import Judgment, judge, trace_of
from trainer.bench.predictions import Prediction, marked
from trainer.bench.setup_forms import RELAYS, Draft, Field, Setting, fields_of, read_form
from trainer.bench.setup_records import SetupRecord, channel_of, from_json, missing, reference_record
from trainer.channel.simulation import MOST_RELAYS, Channel, Record
from trainer.content.bench_files import Bench
from trainer.errors import Conflict, NotFound, TrainerError
from trainer.language import gettext
from trainer.practice import bench_tasks
from trainer.practice.bench_tasks import HANDED, RUN, SETUP, SKILLS, entry_of
from trainer.practice.hunts import SameBench
from trainer.storage.entries import KeptEntry, NewMark, add_entry, add_mark, marks_of
from trainer.storage.models import Attempt, Learner

MOST_RUNS = 200
KEPT_RUNS = 32
TAG, SERVICE = "tag", "service"
VALUE, REASON, OWN, FORETOLD = "value.", "reason.", "own.", "foretold."
HEAD = {TAG: "Tag", SERVICE: "Service"}


@dataclass(frozen=True)
class Kept:
    """A setup that was run or handed in: its record, what was foretold with it, and the decimal sign of that."""

    record: SetupRecord
    foretold: Mapping[str, str]
    decimal: str

    def to_text(self) -> str:
        """As an entry holds it."""
        plain = {"record": json.loads(self.record.to_json()), "foretold": dict(self.foretold), "decimal": self.decimal}
        return json.dumps(plain, ensure_ascii=False)


def kept_of(text: str) -> Kept:
    """What an entry holds."""
    plain = json.loads(text)
    return Kept(from_json(json.dumps(plain["record"])), plain["foretold"], plain["decimal"])


@dataclass(frozen=True)
class OpenSetup:
    """A task as it stands: the texts in its boxes, what was read of them, the runs, and what was handed in."""

    attempt: Attempt
    bench: Bench
    task: Task
    texts: Mapping[str, str]
    entries: Sequence[KeptEntry]
    decimal: str

    @property
    def settings(self) -> list[Setting]:
        """All settings of the form."""
        return list(self.bench.settings.values())

    @property
    def relays(self) -> int | None:
        """How many relays were chosen; None where none was."""
        chosen = self.texts.get(VALUE + RELAYS, "")
        return int(chosen) if chosen in map(str, range(MOST_RELAYS + 1)) else None

    @property
    def fields(self) -> tuple[Field, ...]:
        """The fields of the form with these relays."""
        return self.with_relays(self.relays or 0)

    def typed_over(self, typed: Mapping[str, str]) -> OpenSetup:
        """The task with other texts in its boxes, which are not kept."""
        return replace(self, texts={**self.texts, **typed})

    def with_relays(self, relays: int) -> tuple[Field, ...]:
        """The fields of a form with so many relays."""
        return fields_of(self.settings, self.task, relays)

    def channel(self, kept: Kept) -> Channel:
        """The plant as a setup sets it; what is missing cannot be."""
        return channel_of(self.task, self.settings, kept.record)

    @property
    def draft(self) -> Draft:
        """What was read of the boxes."""
        typed = {each.path: self.texts.get(VALUE + each.path, "") for each in self.fields}
        return read_form(self.fields, typed, self.decimal)

    def reason(self, field: Field) -> str:
        """The reason given for a setting: one that is offered, or else what was written."""
        chosen = self.texts.get(REASON + field.path, "")
        return chosen if chosen in field.reasons else self.texts.get(OWN + field.path, "").strip()

    @property
    def record(self) -> SetupRecord:
        """The setup record of what has been read so far, as the next revision of the one run last."""
        reasons = {each.path: self.reason(each) for each in self.fields if each.reasons and self.reason(each)}
        tag, service = (self.texts.get(name, "").strip() for name in HEAD)
        made = SetupRecord(self.task.brief.name, self.task.seed, tag, service, self.draft.values, reasons)
        return kept_of(self.entries[-1].text).record.revised(made) if self.entries else made

    @property
    def foretold(self) -> dict[str, str]:
        """What was foretold: with the first run once there is one."""
        first = self.runs[0] if self.runs else None
        if first:
            return dict(first.foretold)
        return {each.name: self.texts.get(FORETOLD + each.name, "") for each in self.task.questions}

    @property
    def runs(self) -> list[Kept]:
        """The setups that were run, in order."""
        return [kept_of(entry.text) for entry in self.entries if entry.step == RUN]

    @property
    def handed(self) -> Kept | None:
        """The setup that was handed in."""
        entry = entry_of(self.entries, HANDED)
        return kept_of(entry.text) if entry else None

    def setup(self, number: int) -> Kept:
        """A setup that was run, counted from 1; 0 is the one handed in.

        Raises
        ------
        NotFound
            If there is none.
        """
        runs = self.runs
        wanted = self.handed if number == 0 else runs[number - 1] if number <= len(runs) else None
        if wanted is None:
            raise NotFound(gettext("There is no such run."))
        return wanted

    def trace(self, kept: Kept) -> Record | None:
        """What the channel does with a setup; None where it cannot be run."""
        return _trace(SameBench(self.bench), self.task, kept.record.to_json())

    def judged(self, kept: Kept, accepted: Sequence[str] = ()) -> Judgment:
        """A setup judged; what was foretold, by the first run where there was one."""
        foretold = json.dumps(dict(kept.foretold))
        known = SameBench(self.bench)
        found = _judged(known, self.task, kept.record.to_json(), foretold, kept.decimal, tuple(accepted))
        return replace(found, predictions=self.predictions(kept))

    def predictions(self, kept: Kept) -> tuple[Prediction, ...]:
        """What was foretold of the first run, else of a setup handed in without one."""
        first = self.runs[0] if self.runs else kept
        return marked(self.task.questions, self.trace(first), first.foretold, first.decimal)

    @property
    def reference(self) -> SetupRecord:
        """The setup that the brief was written with."""
        return reference_record(self.task, self.settings)

    def lacking(self) -> list[tuple[str, str, str]]:
        """What is missing for the hand-in: the box, what it is called, why it counts nothing."""
        draft, record = self.draft, self.record
        empty = gettext("not stated yet")
        found = [(name, gettext(title), empty) for name, title in HEAD.items() if not self.texts.get(name, "").strip()]
        found += [
            (VALUE + each.path, gettext(each.title), draft.errors.get(each.path, empty))
            for each in missing(self.fields, record)
        ]
        for each in self.fields:
            if each.reasons and each.path not in record.reasons:
                found.append((REASON + each.path, gettext(each.title), gettext("no reason yet")))
        return found + self.unforetold()

    def unforetold(self) -> list[tuple[str, str, str]]:
        """The questions that have no answer which can be read, until the first run."""
        if self.runs:
            return []
        read = marked(self.task.questions, self.task.reference, self.foretold, self.decimal)
        texts = {each.name: each.text for each in self.task.questions}
        said = {
            each.name: each.error or ("" if each.typed.strip() else gettext("nothing foretold yet")) for each in read
        }
        return [(FORETOLD + name, texts[name], why) for name, why in said.items() if why]


@lru_cache(maxsize=4)
def _trace(known: SameBench, task: Task, record: str) -> Record | None:
    return trace_of(task, list(known.bench.settings.values()), from_json(record))


@lru_cache(maxsize=KEPT_RUNS)
def _judged(
    known: SameBench, task: Task, record: str, foretold: str, decimal: str, accepted: tuple[str, ...]
) -> Judgment:
    settings = list(known.bench.settings.values())
    return judge(task, settings, from_json(record), json.loads(foretold), accepted, decimal)


def start(
    session: Session, learner_id: UUID, bench: Bench, name: str, at: datetime, seed: int | None = None
) -> Attempt:
    """Start on a brief with new numbers.

    Raises
    ------
    NotFound
        If there is no such brief.
    """
    brief = bench_tasks.brief_of(bench, name)
    return bench_tasks.begin(session, learner_id, SETUP, name, brief, at, seed)


def look(
    session: Session, task_id: UUID, bench: Bench, learner_id: UUID | None = None, decimal: str = "."
) -> OpenSetup:
    """A task as it stands; with ``learner_id`` only the learner's own."""
    attempt, texts, entries = bench_tasks.found(session, task_id, SETUP, learner_id)
    return OpenSetup(attempt, bench, bench_tasks.task_of(bench, attempt), texts, entries, decimal)


def keep(
    session: Session,
    task_id: UUID,
    learner: Learner,
    typed: Mapping[str, str],
    seen: str,
    at: datetime,
    bench: Bench,
) -> OpenSetup:
    """Keep what was typed, whatever it is; what was foretold stays as it is after the first run.

    Raises
    ------
    Overtaken
        Something newer has been kept since the form with the sum ``seen`` was shown.
    """
    attempt, texts, entries = bench_tasks.found(session, task_id, SETUP, learner.id, lock=True)
    opened = OpenSetup(attempt, bench, bench_tasks.task_of(bench, attempt), texts, entries, learner.decimal_sign)
    bench_tasks.keep(session, attempt, texts, typed, boxes_of(opened), seen, at)
    return opened  # which shows the texts that were brought up to date


def boxes_of(opened: OpenSetup) -> set[str]:
    """The boxes that a form of this task may have."""
    fields = opened.with_relays(MOST_RELAYS)
    found = {*HEAD, *(VALUE + each.path for each in fields)}
    found |= {kind + each.path for each in fields if each.reasons for kind in (REASON, OWN)}
    return found if opened.runs else found | {FORETOLD + each.name for each in opened.task.questions}


def run(session: Session, opened: OpenSetup, learner: Learner, form_token: str, at: datetime) -> int:
    """Run the setup as it is kept, after ``keep`` in the same session; the same form sent again is run once.

    Returns
    -------
    int
        The number of the run.

    Raises
    ------
    TrainerError
        A setting is missing, or cannot stand; or nothing was foretold before the first run.
    """
    if known := entry_of(opened.entries, RUN, form_token):
        return known.number
    bench_tasks.check_open(opened.attempt)
    if len(opened.runs) >= MOST_RUNS:
        raise Conflict(gettext("There have been {n} runs: hand the setup in now.").format(n=MOST_RUNS))
    _check_runs(opened)
    kept = Kept(opened.record, opened.foretold, learner.decimal_sign)
    outcomes = opened.judged(kept).outcomes
    mark = NewMark(RUN, None, "", {"met": {each.name: each.passed for each in outcomes}})
    made = add_entry(
        session,
        opened.attempt.id,
        RUN,
        kept.to_text(),
        mark,
        at,
        form_token=form_token,
        step_skill=SKILLS[SETUP],
        kept=opened.entries,
    )
    return made.number


def _check_runs(opened: OpenSetup) -> None:
    if opened.draft.errors:
        raise TrainerError(gettext("Not run: some boxes cannot be read; each says why."))
    channel = channel_of(opened.task, opened.settings, opened.record)  # says which settings are missing
    if not can_run(channel):
        raise TrainerError(gettext("Not run: a range needs two different ends, and so do the raw values."))
    if opened.unforetold():
        raise TrainerError(gettext("Not run: foretell first what it will do. Only the first run counts for that."))


def hand_in(session: Session, task_id: UUID, learner: Learner, form_token: str, at: datetime, bench: Bench) -> None:
    """Hand in what is kept, as it is; the task is then worth what it is judged to be."""
    attempt, texts, entries = bench_tasks.found(session, task_id, SETUP, learner.id, lock=True)
    opened = OpenSetup(attempt, bench, bench_tasks.task_of(bench, attempt), texts, entries, learner.decimal_sign)
    if entry_of(opened.entries, HANDED, form_token):
        return
    bench_tasks.check_open(opened.attempt)
    kept = Kept(opened.record, opened.foretold, learner.decimal_sign)
    judged = opened.judged(kept)
    add_entry(
        session,
        task_id,
        HANDED,
        kept.to_text(),
        _mark(judged, []),
        at,
        form_token=form_token,
        step_skill=SKILLS[SETUP],
        kept=opened.entries,
    )
    bench_tasks.finish(session, opened.attempt, judged.total, at)


def _mark(judged: Judgment, accepted: Sequence[str]) -> NewMark:
    basis: dict[str, Any] = {
        "settings": judged.settings,
        "reasons": judged.reasoning,
        "reading": judged.reading,
        "met": {each.name: each.passed for each in judged.outcomes},
        "foretold": [asdict(each) for each in judged.predictions],
        "accepted": list(accepted),
    }
    return NewMark("right" if judged.passed else "wrong", judged.total, "", basis)


def accepted_of(session: Session, opened: OpenSetup) -> list[str]:
    """The settings whose written reasons an instructor has accepted, by path."""
    entry = entry_of(opened.entries, HANDED)
    return list(marks_of(session, entry.id)[-1].basis["accepted"]) if entry else []


def accept(session: Session, task_id: UUID, bench: Bench, path: str, at: datetime) -> None:
    """Have a written reason count, as an instructor who has read it; the task is valued again.

    Raises
    ------
    Conflict
        There is no written reason there that waits.
    """
    attempt, texts, entries = bench_tasks.found(session, task_id, SETUP, lock=True)
    opened = OpenSetup(attempt, bench, bench_tasks.task_of(bench, attempt), texts, entries, ".")
    kept, entry = opened.handed, entry_of(entries, HANDED)
    accepted = accepted_of(session, opened)
    if kept is None or entry is None or path not in opened.judged(kept, accepted).pending:
        raise Conflict(gettext("No written reason waits there."))
    judged = opened.judged(kept, [*accepted, path])
    add_mark(session, entry.id, _mark(judged, [*accepted, path]), at, reason="a written reason was accepted")
    bench_tasks.finish(session, attempt, judged.total, at)
