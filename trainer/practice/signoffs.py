"""Sign-offs: what the evidence says of a learner's skill, an instructor's word on it, and work that was witnessed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, date, datetime, time, tzinfo
from typing import Any
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.clock import as_utc
from trainer.content.lessons import Lesson
from trainer.content.library import Library
from trainer.errors import Conflict, NotFound, TrainerError
from trainer.language import gettext
from trainer.learning.aged import AgedEstimate, aged_estimate
from trainer.learning.evidence import Evidence, plant_day
from trainer.learning.standing import KEPT, READY, Standing, standing
from trainer.storage import reviews as kept
from trainer.storage.evidence import EvidenceRow, evidence_of
from trainer.storage.learners import get_learner
from trainer.storage.models import Learner, SignOff, Witnessed

LONGEST_TEXT = 500


@dataclass(frozen=True)
class Summary:
    """What stands behind one skill of one learner on a day.

    ``estimate`` has the interval with its number of entries; ``rows`` are the attempts that count, the oldest first,
    each with its problem and seed, so that the variant can be drawn again.
    """

    learner: Learner
    lesson: Lesson
    made: datetime
    standing: Standing
    estimate: AgedEstimate
    rows: tuple[EvidenceRow, ...]
    witnessed: tuple[Witnessed, ...]
    sign_offs: tuple[SignOff, ...]

    @property
    def shown(self) -> bool:
        """Whether the evidence shows the skill as ready or kept now."""
        return self.standing.stage in (READY, KEPT)

    @property
    def jobs(self) -> int:
        """How many different problems are behind it."""
        return len({row.source for row in self.rows})

    @property
    def signed(self) -> SignOff | None:
        """The newest sign-off that has not been withdrawn."""
        return next((each for each in self.sign_offs if each.withdrawn is None), None)

    def to_json(self) -> dict[str, Any]:
        """The evidence as it is frozen into a sign-off: plain dicts and lists."""
        now, estimate = self.standing, self.estimate
        return {
            "made": _moment(self.made),
            "learner": self.learner.name,
            "skill": self.lesson.skill,
            "title": self.lesson.title,
            "safety": self.lesson.safety,
            "standing": asdict(now) | {"renewed": _day(now.renewed), "review": _day(now.review)},
            "estimate": {
                "entries": estimate.entries,
                "mean": estimate.mean,
                "interval": list(estimate.interval) if estimate.interval else None,
                "newest_days": estimate.newest.days if estimate.newest is not None else None,
            },
            "attempts": [
                {
                    "attempt": str(row.attempt_id),
                    "finished": _moment(row.finished),
                    "value": row.value,
                    "problem": row.source,
                    "seed": row.seed,
                    "mode": row.mode,
                }
                for row in self.rows
            ],
            "witnessed": [
                {"what": each.what, "equipment": each.equipment, "by": each.seen_by, "on": _day(each.seen_on)}
                for each in self.witnessed
            ],
        }


@dataclass(frozen=True)
class RecordSheet:
    """All skills of a learner, to be printed."""

    learner: Learner
    made: datetime
    rows: tuple[Summary, ...]


def summary(
    session: Session, library: Library, learner_id: UUID, skill: str, at: datetime, zone: tzinfo = UTC
) -> Summary:
    """What the evidence says of a learner's skill; four queries.

    Raises
    ------
    NotFound
        If there is no such learner or no such skill.
    """
    learner, lesson = get_learner(session, learner_id), _lesson(library, skill)
    rows = evidence_of(session, learner_id, skill=skill)
    seen, signed = kept.witnessed_of(session, learner_id, skill), kept.sign_offs_of(session, learner_id, skill)
    return _summary(library, learner, lesson, rows, seen, signed, at, zone)


def record_sheet(
    session: Session, library: Library, learner_id: UUID, at: datetime, zone: tzinfo = UTC, *, all_skills: bool = False
) -> RecordSheet:
    """A learner's skills that have anything to show, or all of them, in order; four queries."""
    learner = get_learner(session, learner_id)
    rows, seen, signed = (
        evidence_of(session, learner_id),
        kept.witnessed_of(session, learner_id),
        kept.sign_offs_of(session, learner_id),
    )
    sheets = []
    for skill, lesson in library.lessons.items():
        own = [row for row in rows if row.skill == skill]
        seen_here = [each for each in seen if each.skill == skill]
        signed_here = [each for each in signed if each.skill == skill]
        if own or seen_here or signed_here or all_skills:
            sheets.append(_summary(library, learner, lesson, own, seen_here, signed_here, at, zone))
    return RecordSheet(learner, at, tuple(sheets))


def sign_off(
    session: Session,
    library: Library,
    learner_id: UUID,
    skill: str,
    by_name: str,
    at: datetime,
    remark: str = "",
    zone: tzinfo = UTC,
) -> SignOff:
    """Keep an instructor's word that a learner has a skill, with the evidence of this moment.

    Raises
    ------
    NotFound
        If there is no such learner or no such skill.
    TrainerError
        If the evidence does not show the skill and no remark says what the word rests on.
    """
    found = summary(session, library, learner_id, skill, at, zone)
    said = _text(remark)
    if not found.shown and not said:
        raise TrainerError(
            gettext("The evidence does not show this skill as ready. Say in a remark what the sign-off rests on.")
        )
    return kept.add_sign_off(session, learner_id, skill, by_name=by_name, remark=said, evidence=found.to_json(), at=at)


def withdraw(session: Session, sign_off_id: UUID, reason: str, by_name: str, at: datetime) -> SignOff:
    """Take a sign-off back; it stays on record with the reason.

    Raises
    ------
    NotFound
        If there is no such sign-off.
    TrainerError
        If no reason is given.
    Conflict
        If it has been withdrawn.
    """
    found = kept.get_sign_off(session, sign_off_id)
    said = _text(reason)
    if not said:
        raise TrainerError(gettext("Taking a sign-off back needs a reason."))
    if found.withdrawn is not None:
        raise Conflict(gettext("This sign-off has been withdrawn by {name}.").format(name=found.withdrawn_by))
    found.withdrawn, found.withdrawn_by, found.withdrawn_reason = at, by_name, said
    session.flush()
    return found


def witness(
    session: Session,
    library: Library,
    learner_id: UUID,
    skill: str,
    *,
    what: str,
    equipment: str,
    seen_by: str,
    seen_on: date,
    by_name: str,
    at: datetime,
    zone: tzinfo = UTC,
) -> Witnessed:
    """Keep what somebody has seen done on real equipment; it stands beside the computed evidence.

    Raises
    ------
    NotFound
        If there is no such learner or no such skill.
    TrainerError
        If something is left out, or the day is still to come.
    """
    get_learner(session, learner_id)
    _lesson(library, skill)
    told = {"what": _text(what), "equipment": _text(equipment), "seen_by": _text(seen_by)}
    if not all(told.values()):
        raise TrainerError(gettext("Say what was done, on which equipment, and who saw it."))
    if seen_on > plant_day(at, zone):
        raise TrainerError(gettext("The day on which it was seen is still to come."))
    return kept.add_witnessed(session, learner_id, skill, **told, seen_on=seen_on, entered_by=by_name, at=at)


def _summary(
    library: Library,
    learner: Learner,
    lesson: Lesson,
    rows: Sequence[EvidenceRow],
    seen: Sequence[Witnessed],
    signed: Sequence[SignOff],
    at: datetime,
    zone: tzinfo,
) -> Summary:
    counting = tuple(row for row in rows if row.evidence)
    evidence = [Evidence(row.finished, row.value, row.source) for row in counting]
    now = standing(
        evidence,
        lesson.safety,
        jobs=len(library.by_skill.get(lesson.skill, [])),
        now=at,
        zone=zone,
        witnessed=[datetime.combine(each.seen_on, time(), zone) for each in seen],
    )
    return Summary(learner, lesson, at, now, aged_estimate(evidence, at), counting, tuple(seen), tuple(signed))


def _lesson(library: Library, skill: str) -> Lesson:
    lesson = library.lessons.get(skill)
    if lesson is None:
        raise NotFound(gettext("There is no skill {skill}.").format(skill=skill))
    return lesson


def _text(text: str) -> str:
    tidy = text.strip()
    if len(tidy) > LONGEST_TEXT:
        raise TrainerError(gettext("That is longer than {n} characters.").format(n=LONGEST_TEXT))
    return tidy


def _moment(at: datetime) -> str:
    return as_utc(at).isoformat()


def _day(day: date | None) -> str | None:
    return None if day is None else day.isoformat()
