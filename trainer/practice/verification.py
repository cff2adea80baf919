"""Whether the database is sound, and every stored attempt still shows and marks as recorded."""

from __future__ import annotations

from dataclasses import dataclass, field

from sqlalchemy.orm import Session

from trainer.channel.tables import channel_from, from_plain
from trainer.errors import TrainerError
from trainer.grading.marking import Basis, mark
from trainer.storage.attempts import BENCH, every_attempt
from trainer.storage.database import Database
from trainer.storage.entries import FIRST_MARKING, entries_of, marks_of
from trainer.storage.integrity import integrity_faults
from trainer.storage.models import Attempt
from trainer.worksheets import solution
from trainer.worksheets.snapshot import Snapshot


@dataclass
class Verified:
    """What was looked at, and what was found wrong with it."""

    attempts: int = 0
    entries: int = 0
    faults: list[str] = field(default_factory=list)


def faults_of(database: Database) -> Verified:
    """Look at all of a database; nothing is changed."""
    verified = Verified(faults=integrity_faults(database))
    with database.reading() as session:
        for attempt in every_attempt(session):
            verified.attempts += 1
            _verify(session, attempt, verified)
    return verified


def _verify(session: Session, attempt: Attempt, verified: Verified) -> None:
    if attempt.source_kind in BENCH:
        _verify_bench(session, attempt, verified)
        return
    try:
        kept = Snapshot.from_json(attempt.snapshot)
        kept.text()
        for step in kept.steps:
            solution.with_numbers(kept, step)
    except (KeyError, TypeError, ValueError, AttributeError) as fault:
        verified.faults.append(f"attempt {attempt.id}: cannot be shown: {fault!r}")
        return
    for entry in entries_of(session, attempt.id):
        verified.entries += 1
        for recorded in marks_of(session, entry.id):
            if recorded.reason != FIRST_MARKING:
                continue
            now = mark(entry.text, Basis.from_json(recorded.basis))
            if (now.verdict, now.mark, now.slip) != (recorded.verdict, recorded.mark, recorded.slip):
                verified.faults.append(
                    f"attempt {attempt.id}, step {entry.step}: recorded {recorded.verdict}, marked now {now.verdict}"
                )


def _verify_bench(session: Session, attempt: Attempt, verified: Verified) -> None:
    """Work on the bench: its channels can be read, and it is worth what its last mark says."""
    try:
        for name in ("approved", "truth"):
            if name in attempt.snapshot:
                channel_from(from_plain(attempt.snapshot[name]))
    except TrainerError as fault:
        verified.faults.append(f"attempt {attempt.id}: cannot be shown: {fault}")
        return
    entries = entries_of(session, attempt.id)
    verified.entries += len(entries)
    marks = [entry.mark for entry in entries if entry.mark is not None]
    if attempt.finished is not None and (not marks or marks[-1] != attempt.value):
        verified.faults.append(f"attempt {attempt.id}: worth {attempt.value}, marked {marks[-1:]}")
