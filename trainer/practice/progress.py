"""How a learner stands in every skill."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.content.lessons import Lesson
from trainer.content.library import Library
from trainer.learning.evidence import Evidence
from trainer.learning.standing import NOT_STARTED, PRACTICING, Standing, standing
from trainer.storage.attempts import skills_tried
from trainer.storage.evidence import evidence_of


@dataclass(frozen=True)
class SkillRow:
    """A skill with what one learner has shown of it."""

    lesson: Lesson
    problems: int
    standing: Standing
    attempts: int
    newest: datetime | None


def skill_rows(session: Session | None, library: Library, learner_id: UUID | None) -> list[SkillRow]:
    """Every skill in order; a visitor has not started any. Two queries, however much there is."""
    shown: dict[str, list[Evidence]] = {}
    tried: set[str] = set()
    if session is not None and learner_id is not None:
        tried = skills_tried(session, learner_id)
        for row in evidence_of(session, learner_id):
            if row.evidence:
                shown.setdefault(row.skill, []).append(Evidence(row.finished, row.value, row.source))
    return [_row(library, lesson, shown.get(lesson.skill, []), tried) for lesson in library.lessons.values()]


def _row(library: Library, lesson: Lesson, evidence: list[Evidence], tried: set[str]) -> SkillRow:
    problems = len(library.by_skill.get(lesson.skill, []))
    now = standing(evidence, lesson.safety, jobs=problems)
    if now.stage == NOT_STARTED and lesson.skill in tried:
        now = replace(now, stage=PRACTICING)
    newest = max((each.made for each in evidence), default=None)
    return SkillRow(lesson, problems, now, len(evidence), newest)
