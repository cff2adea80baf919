"""Tasks with a setup record: a channel to commission, a setup to copy, a setup to compare; what they have in common.

A task is an attempt whose worksheet says which kind it is. Its snapshot holds the numbers that were drawn, so the task
stays the same; what is typed stands in drafts, what is run or handed in is an entry.
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from functools import lru_cache
from hashlib import sha256
from typing import Any
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.bench.briefs import Brief, Task
from trainer.bench.setup_forms import Field
from trainer.bench.templates import difference_of, quantity
from trainer.channel.tables import TableFault
from trainer.content.bench_files import Bench
from trainer.errors import Conflict, NotFound
from trainer.language import gettext
from trainer.practice.attempts import SEEDS
from trainer.practice.hunts import SameBench
from trainer.storage import attempts as kept_attempts
from trainer.storage.attempts import BRIEF
from trainer.storage.drafts import drafts_of, keep_drafts
from trainer.storage.entries import KeptEntry, entries_of
from trainer.storage.models import Attempt

SETUP, COPY, COMPARISON = "setup", "copy", "comparison"
SKILLS = {SETUP: "S10.1", COPY: "S10.1", COMPARISON: "S10.2"}
RUN, HANDED = "run", "hand-in"
LONGEST_KEPT = 400  # characters of one box
KEPT_TASKS = 32
DIFFERENCE = " (difference)"


class Overtaken(Conflict):
    """Something newer has been kept from another window."""


def title_of(bench: Bench, source: str) -> str | None:
    """What a task is called; None for what is no longer there."""
    compared = source.removeprefix(f"{COMPARISON}-")
    if source in bench.sisters:
        return gettext(bench.sisters[source].title)
    if compared not in bench.briefs:
        return None
    title = gettext(bench.briefs[compared].title)
    return title if compared == source else gettext("Compare: {title}").format(title=title)


def brief_of(bench: Bench, name: str) -> Brief:
    """A brief by its name.

    Raises
    ------
    NotFound
        If there is none.
    """
    if name not in bench.briefs:
        raise NotFound(gettext("There is no such brief."))
    return bench.briefs[name]


def new_seed() -> int:
    """Any seed."""
    return secrets.randbelow(SEEDS)


def begin(
    session: Session,
    learner_id: UUID,
    kind: str,
    source: str,
    brief: Brief,
    at: datetime,
    seed: int | None = None,
    more: Mapping[str, Any] | None = None,
) -> Attempt:
    """Start a task of a kind; ``more`` is what its snapshot holds beside the numbers drawn."""
    seed = new_seed() if seed is None else seed
    facts = brief.drawn(seed).facts
    drawn = {draw.name: facts[draw.name] for draw in brief.draws}
    snapshot = {"title": brief.title, "brief": brief.name, "seed": seed, "drawn": drawn, **(more or {})}
    return kept_attempts.start_attempt(
        session,
        learner_id,
        at,
        source_kind=BRIEF,
        source=source,
        seed=seed,
        worksheet=kind,
        worksheet_version=1,
        skill=SKILLS[kind],
        mode="unguided",
        snapshot=snapshot,
    )


def kind_of(session: Session, task_id: UUID, learner_id: UUID | None = None) -> str:
    """Which kind of task it is; with ``learner_id`` only of the learner's own.

    Raises
    ------
    NotFound
        If there is no such task.
    """
    return kept_attempts.get_attempt(session, task_id, learner_id=learner_id, kind=BRIEF).worksheet


def found(
    session: Session, task_id: UUID, kind: str, learner_id: UUID | None = None, lock: bool = False
) -> tuple[Attempt, dict[str, str], list[KeptEntry]]:
    """A task of a kind, the texts kept for it, its entries."""
    attempt = kept_attempts.get_attempt(session, task_id, learner_id=learner_id, lock=lock, kind=BRIEF)
    if attempt.worksheet != kind:
        raise NotFound(gettext("There is no such task."))
    return attempt, drafts_of(session, task_id), entries_of(session, task_id)


def task_of(bench: Bench, attempt: Attempt) -> Task:
    """The brief of an attempt with the numbers that were drawn for it.

    Raises
    ------
    NotFound
        If the brief is gone, or is another one by now.
    """
    kept = attempt.snapshot
    brief_of(bench, kept["brief"])
    try:
        return _task(SameBench(bench), kept["brief"], kept["seed"], json.dumps(kept["drawn"]))
    except TableFault:
        raise NotFound(gettext("The brief of this task has changed since, so it cannot be opened.")) from None


@lru_cache(maxsize=KEPT_TASKS)
def _task(known: SameBench, name: str, seed: int, drawn: str) -> Task:
    return known.bench.briefs[name].with_values(json.loads(drawn), seed)


def shown(field: Field, value: Any, decimal: str = ".") -> str:
    """A value of a setting as it is read, with its unit."""
    if isinstance(value, bool):
        return gettext("yes") if value else gettext("no")
    if field.kind != "number":
        return gettext(str(value))
    return quantity(value, unit_of(field)).replace(".", decimal)


def unit_of(field: Field) -> str:
    """The unit of a setting as it is written; that of a difference of temperatures is kelvin."""
    if field.kind != "number":
        return ""
    own = field.unit.removesuffix(DIFFERENCE)
    return difference_of(own) if field.unit.endswith(DIFFERENCE) else own


def digest(texts: Mapping[str, str]) -> str:
    """What was kept when a form was shown, as a short sum."""
    return sha256(json.dumps(dict(texts), sort_keys=True).encode()).hexdigest()[:16]


def keep(
    session: Session,
    attempt: Attempt,
    kept: dict[str, str],
    typed: Mapping[str, str],
    allowed: Collection[str],
    seen: str,
    at: datetime,
) -> None:
    """Keep what was typed, box by box; ``kept`` is brought up to date with it.

    Raises
    ------
    Overtaken
        Something newer has been kept since the form with the sum ``seen`` was shown.
    Conflict
        The task has been handed in.
    """
    cut = {key: text[:LONGEST_KEPT] for key, text in typed.items() if key in allowed}
    changed = {key: text for key, text in cut.items() if kept.get(key) != text}
    if attempt.finished is not None:
        raise Conflict(gettext("This task has been handed in; start another one."))
    if changed and seen != digest(kept):
        raise Overtaken(gettext("Something newer has been kept from another window. Look it over, then send it again."))
    keep_drafts(session, attempt.id, changed, at)
    kept |= changed


def entry_of(entries: Sequence[KeptEntry], step: str, form_token: str = "") -> KeptEntry | None:
    """The entry of a step that a form has made; without a form the newest one."""
    made = [entry for entry in entries if entry.step == step and form_token in ("", entry.form_token)]
    return made[-1] if made else None


def check_open(attempt: Attempt) -> None:
    """Refuse what is done to a task after its end."""
    if attempt.finished is not None:
        raise Conflict(gettext("This task has been handed in; start another one."))


def finish(session: Session, attempt: Attempt, value: float, at: datetime) -> None:
    """Close a task with what it is worth."""
    skill = SKILLS[attempt.worksheet]
    kept_attempts.finish_attempt(
        session, attempt.id, at, value=value, evidence=not attempt.aided, skills={skill: value}
    )
