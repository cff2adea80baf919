"""What stands behind the skills of a learner: evidence, work that was witnessed, sign-offs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, date, datetime, tzinfo
from typing import Any
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.clock import as_utc
from trainer.content.lessons import Lesson
from trainer.content.library import Library
from trainer.errors import NotFound
from trainer.language import gettext
from trainer.learning.aged import AgedEstimate, aged_estimate
from trainer.learning.evidence import Evidence
from trainer.learning.standing import KEPT, NOT_STARTED, READY, Standing
from trainer.practice.progress import skill_standing
from trainer.storage import reviews as kept
from trainer.storage.attempts import skills_tried
from trainer.storage.evidence import EvidenceRow, evidence_of
from trainer.storage.learners import get_learner
from trainer.storage.models import Learner, SignOff, Witnessed


@dataclass(frozen=True)
class Summary:
    """What stands behind one skill of one learner on a day.

    ``estimate`` has the interval with its number of entries; ``rows`` are the attempts that count, the oldest first,
    each with its problem and seed, so that the variant can be drawn again. ``problems`` is how many there are to choose
    from, and ``beside`` what was finished and does not count: worked with help, or with steps given away.
    """

    learner: Learner
    lesson: Lesson
    made: datetime
    standing: Standing
    estimate: AgedEstimate
    rows: tuple[EvidenceRow, ...]
    witnessed: tuple[Witnessed, ...]
    sign_offs: tuple[SignOff, ...]
    problems: int
    beside: tuple[EvidenceRow, ...]

    @property
    def shown(self) -> bool:
        """Whether the evidence shows the skill as ready or kept now."""
        return self.standing.stage in (READY, KEPT)

    @property
    def begun(self) -> bool:
        """Whether there is anything to say of it."""
        return self.standing.stage != NOT_STARTED or bool(self.witnessed or self.sign_offs)

    @property
    def evidence(self) -> list[Evidence]:
        """The attempts that count, as plain values."""
        return [Evidence(row.finished, row.value, row.source) for row in self.rows]

    @property
    def wants_witness(self) -> bool:
        """Whether safety hangs on the skill and nobody has seen the work yet."""
        return self.lesson.safety and not self.witnessed

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
    """What the evidence says of a learner's skill; five queries.

    Raises
    ------
    NotFound
        If there is no such learner or no such skill.
    """
    learner, lesson = get_learner(session, learner_id), lesson_of(library, skill)
    rows = evidence_of(session, learner_id, skill=skill)
    seen, signed = kept.witnessed_of(session, learner_id, skill), kept.sign_offs_of(session, learner_id, skill)
    tried = skill in skills_tried(session, learner_id)
    return _summary(library, learner, lesson, rows, seen, signed, tried, at, zone)


def record_sheet(
    session: Session, library: Library, learner_id: UUID, at: datetime, zone: tzinfo = UTC, *, all_skills: bool = False
) -> RecordSheet:
    """A learner's skills that have anything to show, or all of them, in order; five queries."""
    learner = get_learner(session, learner_id)
    rows, tried = evidence_of(session, learner_id), skills_tried(session, learner_id)
    seen, signed = kept.witnessed_of(session, learner_id), kept.sign_offs_of(session, learner_id)
    sheets = []
    for skill, lesson in library.lessons.items():
        own = [row for row in rows if row.skill == skill]
        seen_here = [each for each in seen if each.skill == skill]
        signed_here = [each for each in signed if each.skill == skill]
        if own or seen_here or signed_here or all_skills:
            sheets.append(_summary(library, learner, lesson, own, seen_here, signed_here, skill in tried, at, zone))
    return RecordSheet(learner, at, tuple(sheets))


def lesson_of(library: Library, skill: str) -> Lesson:
    """The lesson that declares a skill.

    Raises
    ------
    NotFound
        If there is no such skill.
    """
    lesson = library.lessons.get(skill)
    if lesson is None:
        raise NotFound(gettext("There is no skill {skill}.").format(skill=skill[:20]))
    return lesson


def _summary(
    library: Library,
    learner: Learner,
    lesson: Lesson,
    rows: Sequence[EvidenceRow],
    seen: Sequence[Witnessed],
    signed: Sequence[SignOff],
    tried: bool,
    at: datetime,
    zone: tzinfo,
) -> Summary:
    counting = tuple(row for row in rows if row.evidence)
    evidence = [Evidence(row.finished, row.value, row.source) for row in counting]
    return Summary(
        learner,
        lesson,
        at,
        skill_standing(library, lesson, evidence, seen, tried, now=at, zone=zone),
        aged_estimate(evidence, at),
        counting,
        tuple(seen),
        tuple(signed),
        len(library.by_skill.get(lesson.skill, [])),
        tuple(row for row in rows if not row.evidence),
    )


def _moment(at: datetime) -> str:
    return as_utc(at).isoformat()


def _day(day: date | None) -> str | None:
    return None if day is None else day.isoformat()
