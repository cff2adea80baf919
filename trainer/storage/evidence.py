"""What finished attempts show of skills, as plain values to judge standing by."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from trainer.storage.models import Attempt, Evidence
from trainer.storage.models.base import table_of


@dataclass(frozen=True)
class EvidenceRow:
    """A finished attempt seen from one skill; only rows with ``evidence`` count."""

    learner_id: UUID
    skill: str
    finished: datetime
    value: float
    evidence: bool
    attempt_id: UUID
    source_kind: str
    source: str
    seed: int
    mode: str
    aided: bool = False


def evidence_of(session: Session, learners: UUID | Collection[UUID], *, skill: str | None = None) -> list[EvidenceRow]:
    """The rows of a learner, or of several at once, oldest first."""
    several = [learners] if isinstance(learners, UUID) else list(learners)
    wanted = (
        select(*_COLUMNS)
        .join(_attempt, _attempt.c.id == _evidence.c.attempt_id)
        .where(_evidence.c.learner_id.in_(several))
        .order_by(_evidence.c.made, _evidence.c.attempt_id, _evidence.c.skill)
    )
    if skill is not None:
        wanted = wanted.where(_evidence.c.skill == skill)
    return [EvidenceRow(*row) for row in session.execute(wanted)]


_evidence, _attempt = table_of(Evidence), table_of(Attempt)
_COLUMNS = (
    *(_evidence.c[name] for name in ("learner_id", "skill", "made", "value", "counts", "attempt_id")),
    *(_attempt.c[name] for name in ("source_kind", "source", "seed", "mode", "aided")),
)
