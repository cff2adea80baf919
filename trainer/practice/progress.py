"""How a learner stands in every skill."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, tzinfo
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.content.lessons import Lesson
from trainer.content.library import Library
from trainer.learning.evidence import Evidence
from trainer.learning.standing import NOT_STARTED, PRACTICING, Standing, standing
from trainer.storage.attempts import skills_tried
from trainer.storage.evidence import evidence_of
from trainer.storage.models import Witnessed
from trainer.storage.reviews import witnessed_of


@dataclass(frozen=True)
class SkillRow:
    """A skill with what one learner has shown of it."""

    lesson: Lesson
    problems: int
    standing: Standing
    attempts: int
    newest: datetime | None


def skill_rows(
    session: Session | None,
    library: Library,
    learner_id: UUID | None,
    *,
    now: datetime | None = None,
    zone: tzinfo = UTC,
    start_up: date | None = None,
) -> list[SkillRow]:
    """Every skill in order; a visitor has not started any. Three queries, however much there is.

    Without ``now`` no refresh falls due; ``zone`` is that of the plant, ``start_up`` the day for which skills have to
    be kept.
    """
    shown: dict[str, list[Evidence]] = {}
    seen: dict[str, list[Witnessed]] = {}
    tried: set[str] = set()
    if session is not None and learner_id is not None:
        tried = skills_tried(session, learner_id)
        for row in evidence_of(session, learner_id):
            if row.evidence:
                shown.setdefault(row.skill, []).append(Evidence(row.finished, row.value, row.source))
        for each in witnessed_of(session, learner_id):
            seen.setdefault(each.skill, []).append(each)
    rows = []
    for skill, lesson in library.lessons.items():
        evidence = shown.get(skill, [])
        found = skill_standing(
            library,
            lesson,
            evidence,
            seen.get(skill, []),
            skill in tried,
            now=now,
            zone=zone,
            start_up=start_up,
        )
        newest = max((each.made for each in evidence), default=None)
        rows.append(SkillRow(lesson, len(library.by_skill.get(skill, [])), found, len(evidence), newest))
    return rows


def skill_standing(
    library: Library,
    lesson: Lesson,
    evidence: Sequence[Evidence],
    witnessed: Sequence[Witnessed],
    tried: bool,
    *,
    now: datetime | None,
    zone: tzinfo = UTC,
    start_up: date | None = None,
) -> Standing:
    """The standing of one skill; ``tried`` work that is no evidence, such as a sheet left half-done, is practice."""
    found = standing(
        evidence,
        lesson.safety,
        jobs=len(library.by_skill.get(lesson.skill, [])),
        now=now,
        zone=zone,
        start_up=start_up,
        witnessed=[datetime.combine(each.seen_on, time(), zone) for each in witnessed],
    )
    return replace(found, stage=PRACTICING) if found.stage == NOT_STARTED and tried else found
