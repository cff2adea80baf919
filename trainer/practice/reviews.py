"""An attempt opened by an instructor, and what is said of it: overrides, remarks, complaints and their answers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.errors import Conflict, TrainerError
from trainer.language import gettext
from trainer.practice.attempts import sheet_of
from trainer.practice.sheet import Sheet
from trainer.storage import reviews as kept
from trainer.storage.attempts import get_attempt
from trainer.storage.entries import KeptEntry, entries_of
from trainer.storage.learners import get_learner
from trainer.storage.models import Attempt, Complaint, Learner, Override, Remark, Remarking
from trainer.storage.reviews import ComplaintRow, MarkRow
from trainer.worksheets.snapshot import Snapshot

LONGEST_TEXT = 2000


@dataclass(frozen=True)
class Review:
    """An attempt with all that was typed, marked and said.

    ``corrected`` is today's snapshot where the attempt was marked again; the sheet shows the one that was worked on.
    ``value`` is what counts: the newest override, else the attempt's own.
    """

    attempt: Attempt
    learner: Learner
    sheet: Sheet
    entries: tuple[KeptEntry, ...]
    marks: Mapping[UUID, list[MarkRow]]
    overrides: tuple[Override, ...]
    remarks: tuple[Remark, ...]
    complaints: tuple[Complaint, ...]
    remarkings: tuple[Remarking, ...]
    corrected: Snapshot | None

    @property
    def value(self) -> float | None:
        """What counts for the attempt."""
        return self.overrides[-1].value if self.overrides else self.attempt.value


@dataclass(frozen=True)
class Said:
    """What has been said of an attempt, each list the first one first."""

    overrides: tuple[Override, ...] = ()
    remarks: tuple[Remark, ...] = ()
    complaints: tuple[Complaint, ...] = ()
    remarkings: tuple[Remarking, ...] = ()


def said_of(session: Session, attempt_id: UUID) -> Said:
    """What has been said of an attempt; one query where there is nothing."""
    if not kept.anything_said(session, attempt_id):
        return Said()
    one = [attempt_id]
    return Said(
        tuple(kept.added_to(session, Override, one)),
        tuple(kept.added_to(session, Remark, one)),
        tuple(kept.added_to(session, Complaint, one)),
        tuple(kept.added_to(session, Remarking, one)),
    )


def review(session: Session, attempt_id: UUID, learner_id: UUID | None = None) -> Review:
    """Open an attempt; with ``learner_id`` only the learner's own.

    Raises
    ------
    NotFound
        If there is none.
    """
    attempt = get_attempt(session, attempt_id, learner_id=learner_id)
    entries = entries_of(session, attempt_id)
    again = kept.newest_remarking(session, attempt_id)
    return Review(
        attempt,
        get_learner(session, attempt.learner_id),
        sheet_of(attempt, entries),
        tuple(entries),
        kept.marks_of_attempt(session, attempt_id),
        tuple(kept.added_to(session, Override, [attempt_id])),
        tuple(kept.added_to(session, Remark, [attempt_id])),
        tuple(kept.added_to(session, Complaint, [attempt_id])),
        tuple(kept.added_to(session, Remarking, [attempt_id])),
        Snapshot.from_json(again.snapshot) if again else None,
    )


def override(session: Session, attempt_id: UUID, value: float, reason: str, by_name: str, at: datetime) -> Override:
    """Give an attempt another value, 0 to 1; the evidence of the skill stays what the entries showed.

    Raises
    ------
    NotFound
        If there is no such attempt.
    TrainerError
        If the value or the reason cannot be taken.
    Conflict
        If the attempt is still worked on.
    """
    attempt = get_attempt(session, attempt_id, lock=True)
    if not 0.0 <= value <= 1.0:
        raise TrainerError(gettext("A mark lies between 0 and 100 %."))
    said = _text(reason, gettext("A mark given by hand needs a reason."))
    if attempt.finished is None:
        raise Conflict(gettext("This work has not been handed in yet."))
    return kept.add_override(session, attempt_id, value, said, by_name, at)


def remark(session: Session, attempt_id: UUID, text: str, by_name: str, at: datetime) -> Remark:
    """Say a word to the learner about an attempt."""
    get_attempt(session, attempt_id)
    return kept.add_remark(session, attempt_id, _text(text, gettext("The remark is empty.")), by_name, at)


def complain(session: Session, attempt_id: UUID, learner_id: UUID, text: str, at: datetime) -> Complaint:
    """Keep that a learner finds a problem wrong; the same said twice is one complaint.

    Raises
    ------
    NotFound
        If there is no such attempt of this learner.
    Conflict
        If another complaint about it waits for its answer.
    """
    get_attempt(session, attempt_id, learner_id=learner_id, lock=True)
    said = _text(text, gettext("Say what looks wrong: a number, a unit, the wording."))
    for each in kept.added_to(session, Complaint, [attempt_id]):
        if each.text == said:
            return each
        if each.settled is None:
            raise Conflict(gettext("You have told this already; it waits for an answer."))
    return kept.add_complaint(session, attempt_id, said, at)


def complaints(session: Session, *, settled: bool = False) -> list[ComplaintRow]:
    """What learners find wrong, open or settled, the oldest first; one query."""
    return kept.list_complaints(session, settled=settled)


def answer(session: Session, complaint_id: UUID, text: str, by_name: str, at: datetime) -> Complaint:
    """Answer a complaint, which settles it.

    Raises
    ------
    Conflict
        If it has been answered.
    """
    answered = kept.get_complaint(session, complaint_id)
    if answered.settled is not None:
        said = gettext("{name} has answered this already: {answer}")
        raise Conflict(said.format(name=answered.answered_by, answer=answered.answer))
    answered.answer = _text(text, gettext("The answer is empty."))
    answered.answered_by, answered.settled = by_name, at
    session.flush()
    return answered


def _text(text: str, missing: str) -> str:
    tidy = text.strip()
    if not tidy:
        raise TrainerError(missing)
    if len(tidy) > LONGEST_TEXT:
        raise TrainerError(gettext("That is longer than {n} characters.").format(n=LONGEST_TEXT))
    return tidy
