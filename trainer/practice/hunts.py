"""Fault hunts: start one, take its acts one after another, name the fault, and work everything out from them again.

A hunt is an attempt whose snapshot holds the channel as approved and as it is; its acts are entries, so each is kept
before it is answered, and the hunt goes on where it stopped.
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from functools import lru_cache
from random import Random
from typing import Any
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.bench.faults import Fault, Rig, hidden, suspects_of
from trainer.bench.hunts import Hunt, Notebook, Score
from trainer.bench.plans import Situation
from trainer.channel.tables import channel_from, from_plain, to_plain
from trainer.content.bench_files import Bench
from trainer.errors import Conflict, NotFound, TrainerError
from trainer.language import gettext
from trainer.practice.attempts import SEEDS
from trainer.storage import attempts as kept_attempts
from trainer.storage.attempts import HUNT
from trainer.storage.entries import KeptEntry, NewMark, add_entry, entries_of
from trainer.storage.models import Attempt, Learner

SKILL, INFERRING = "S9.1", "S9.2"  # half-split a loop; infer the hidden fault
ACT, ANSWER = "act", "answer"
GAUGE_STEPS = 20  # of the gauge's tolerance, either way
MOST_ACTS = 80
KEPT_SITUATIONS = 16


@dataclass(frozen=True)
class OpenHunt:
    """A hunt as it stands: what was told at the start, what was done, and the answer with its score once given."""

    attempt: Attempt
    rig: Rig
    hunt: Hunt
    notes: Notebook
    symptom: str
    gauge: float
    answer: Mapping[str, str] | None
    score: Score | None

    @property
    def suspects(self) -> dict[str, Fault]:
        """Everything that could be wrong, by name, in the order of the list."""
        return {each.fault.name: each.fault for each in self.hunt.situation.suspects}


def start(
    session: Session, learner_id: UUID, bench: Bench, rig_name: str, at: datetime, seed: int | None = None
) -> Attempt:
    """Start a hunt on a rig with a fault that is drawn.

    Raises
    ------
    NotFound
        If there is no such rig.
    """
    rig = _rig(bench, rig_name)
    if seed is None:
        seed = secrets.randbelow(SEEDS)
    rng = Random(seed)
    approved, value = rig.drawn(rng)
    wrong = hidden(approved, bench.faults_of(rig), rng)
    off = rig.gauge * (2 * int(rng.random() * GAUGE_STEPS) - GAUGE_STEPS) / GAUGE_STEPS
    snapshot = {
        "title": rig.title,
        "fault": wrong.fault.name,
        "symptom": wrong.symptom,
        "approved": to_plain(approved),
        "truth": to_plain(wrong.channel),
        "value": value,
        "gauge": round(value + off, 6),
    }
    return kept_attempts.start_attempt(
        session,
        learner_id,
        at,
        source_kind=HUNT,
        source=rig_name,
        seed=seed,
        worksheet=HUNT,
        worksheet_version=1,
        skill=SKILL,
        mode="unguided",
        snapshot=snapshot,
    )


def look(session: Session, attempt_id: UUID, bench: Bench, learner_id: UUID | None = None) -> OpenHunt:
    """A hunt as it stands; with ``learner_id`` only the learner's own."""
    attempt = kept_attempts.get_attempt(session, attempt_id, learner_id=learner_id, kind=HUNT)
    return _opened(attempt, entries_of(session, attempt_id), bench)


def act(
    session: Session, attempt_id: UUID, learner: Learner, name: str, form_token: str, at: datetime, bench: Bench
) -> KeptEntry:
    """Do one thing: a preparation or a measurement; the same form sent again is done once.

    Raises
    ------
    Conflict
        If the hunt is over.
    NotFound
        If there is no such measurement on this rig.
    """
    opened, entries = _to_change(session, attempt_id, learner, bench)
    if known := _kept(entries, ACT, form_token):
        return known
    _check_running(opened, entries)
    done = opened.hunt.replay([*_acts(entries), name]).acts[-1]
    verdict = "stopped" if done.stopped else "done"
    mark = NewMark(verdict, None, done.stopped, {"minutes": done.minutes, "unsafe": done.unsafe})
    return add_entry(session, attempt_id, ACT, name, mark, at, form_token=form_token, step_skill=SKILL, kept=entries)


def ask_advice(session: Session, attempt_id: UUID, learner: Learner, bench: Bench) -> None:
    """Have the next measurement proposed; a hunt with help is no evidence."""
    opened, entries = _to_change(session, attempt_id, learner, bench)
    _check_running(opened, entries)
    kept_attempts.note_aid(session, attempt_id)


def answer(
    session: Session,
    attempt_id: UUID,
    learner: Learner,
    fault: str,
    remedy: str,
    form_token: str,
    at: datetime,
    bench: Bench,
) -> KeptEntry:
    """Name the fault and its remedy, which ends the hunt; the score is kept with the answer."""
    opened, entries = _to_change(session, attempt_id, learner, bench)
    if known := _kept(entries, ANSWER, form_token):
        return known
    _check_running(opened, entries)
    if fault not in opened.suspects:
        raise TrainerError(gettext("Choose what is wrong."))
    if remedy not in remedies(opened, fault):
        raise TrainerError(gettext("Choose what is to be done."))
    score = opened.hunt.score(opened.notes, fault, remedy)
    text = f"{fault}\n{remedy}"
    mark = NewMark("right" if score.diagnosis else "wrong", score.total, "", asdict(score))
    kept = add_entry(session, attempt_id, ANSWER, text, mark, at, form_token=form_token, step_skill=SKILL, kept=entries)
    kept_attempts.finish_attempt(
        session,
        attempt_id,
        at,
        value=score.total,
        evidence=not opened.attempt.aided,
        skills={SKILL: score.total, INFERRING: (score.diagnosis + score.remedy) / 2.0},
    )
    return kept


def remedies(opened: OpenHunt, fault: str) -> list[str]:
    """What may be done about a fault, the right thing among the others, in an order that tells nothing."""
    named = opened.suspects[fault]
    return sorted({named.remedy, *named.other_remedies})


def _opened(attempt: Attempt, entries: Sequence[KeptEntry], bench: Bench) -> OpenHunt:
    kept: Mapping[str, Any] = attempt.snapshot
    rig = _rig(bench, attempt.source)
    situation = _situation(SameBench(bench), rig.name, json.dumps(kept["approved"]), kept["gauge"])
    if kept["fault"] not in bench.faults:
        raise NotFound(gettext("The fault of this hunt is no longer in the files of the bench."))
    truth = situation.case(channel_from(from_plain(kept["truth"])), kept["value"])
    hunt = Hunt(situation, bench.faults[kept["fault"]], truth, list(bench.preparations.values()))
    given = [entry for entry in entries if entry.step == ANSWER]
    named = dict(zip(("fault", "remedy"), given[-1].text.split("\n", 1), strict=True)) if given else None
    notes = hunt.replay(_acts(entries))
    score = hunt.score(notes, named["fault"], named["remedy"]) if named else None
    return OpenHunt(attempt, rig, hunt, notes, hunt.told(kept["symptom"]), kept["gauge"], named, score)


class SameBench:
    """A bench as a key: the same object, whatever is in it."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench

    def __hash__(self) -> int:
        return id(self.bench)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, SameBench) and other.bench is self.bench


@lru_cache(maxsize=KEPT_SITUATIONS)
def _situation(known: SameBench, rig_name: str, approved: str, gauge: float) -> Situation:
    """The same hunt is looked at again and again: what all suspects would show is worked out once."""
    bench = known.bench
    rig = bench.rigs[rig_name]
    channel = channel_from(from_plain(json.loads(approved)))
    suspects = suspects_of(channel, bench.faults_of(rig))
    return Situation(channel, suspects, list(bench.measurements.values()), gauge, rig.gauge, rig.unit, rig.shift)


def _rig(bench: Bench, name: str) -> Rig:
    if name not in bench.rigs:
        raise NotFound(gettext("There is no such rig."))
    return bench.rigs[name]


def _to_change(session: Session, attempt_id: UUID, learner: Learner, bench: Bench) -> tuple[OpenHunt, list[KeptEntry]]:
    attempt = kept_attempts.get_attempt(session, attempt_id, learner_id=learner.id, lock=True, kind=HUNT)
    entries = entries_of(session, attempt_id)
    return _opened(attempt, entries, bench), entries


def _kept(entries: Sequence[KeptEntry], step: str, form_token: str) -> KeptEntry | None:
    return next((entry for entry in entries if (entry.step, entry.form_token) == (step, form_token)), None)


def _check_running(opened: OpenHunt, entries: Sequence[KeptEntry]) -> None:
    if opened.attempt.finished is not None:
        raise Conflict(gettext("This hunt is over; start another one."))
    if len(entries) >= MOST_ACTS:
        raise Conflict(gettext("There have been {n} acts: name the fault now.").format(n=MOST_ACTS))


def _acts(entries: Sequence[KeptEntry]) -> list[str]:
    return [entry.text for entry in entries if entry.step == ACT]
