"""An attempt, what it shows of each skill, and texts not yet handed in."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import BigInteger, CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from trainer.storage.models.base import Base


class Attempt(Base):
    """A learner's work on one variant.

    ``source_kind`` and ``source`` say where the variant came from: a problem by its id, or whatever else sets
    work. ``value`` is 0 to 1 by the first entries; ``evidence`` says whether it counts. A learner with attempts
    cannot be deleted by mistake; an attempt takes its entries, marks, drafts and evidence with it.
    """

    __tablename__ = "attempt"
    __table_args__ = (
        CheckConstraint("value BETWEEN 0 AND 1", name="value_is_a_fraction"),
        Index(None, "learner_id", "started", "id"),
        # Wide enough that statistics of a problem, and each learner's totals, are read from the index alone.
        Index(None, "source_kind", "source", "learner_id", "evidence", "value"),
    )

    id: Mapped[UUID] = mapped_column(primary_key=True)
    learner_id: Mapped[UUID] = mapped_column(ForeignKey("learner.id", ondelete="RESTRICT"))
    source_kind: Mapped[str]
    source: Mapped[str]
    worksheet: Mapped[str]
    worksheet_version: Mapped[int]
    seed: Mapped[int] = mapped_column(BigInteger)
    mode: Mapped[str]
    skill: Mapped[str]
    started: Mapped[datetime]
    finished: Mapped[datetime | None]
    aided: Mapped[bool]
    solution_opened: Mapped[datetime | None]
    value: Mapped[float | None]
    evidence: Mapped[bool]
    # Set where the attempt is part of a try at a problem set.
    set_try_id: Mapped[UUID | None] = mapped_column(ForeignKey("set_try.id", ondelete="RESTRICT"), index=True)
    set_problem_id: Mapped[UUID | None] = mapped_column(ForeignKey("set_problem.id", ondelete="RESTRICT"), index=True)
    # Last and read only when asked for: thousands of characters that lists have no use for.
    snapshot: Mapped[dict[str, Any]] = mapped_column(deferred=True)


class Evidence(Base):
    """What a finished attempt shows of one skill; a composite shows something of several."""

    __tablename__ = "evidence"
    __table_args__ = (
        CheckConstraint("value BETWEEN 0 AND 1", name="value_is_a_fraction"),
        Index(None, "learner_id", "skill", "made"),
    )

    attempt_id: Mapped[UUID] = mapped_column(ForeignKey("attempt.id", ondelete="CASCADE"), primary_key=True)
    skill: Mapped[str] = mapped_column(primary_key=True)
    learner_id: Mapped[UUID] = mapped_column(ForeignKey("learner.id", ondelete="RESTRICT"))
    made: Mapped[datetime]
    value: Mapped[float]
    counts: Mapped[bool]


class Draft(Base):
    """A text in a box that has not been handed in."""

    __tablename__ = "draft"

    attempt_id: Mapped[UUID] = mapped_column(ForeignKey("attempt.id", ondelete="CASCADE"), primary_key=True)
    step: Mapped[str] = mapped_column(primary_key=True)
    text: Mapped[str]
    kept: Mapped[datetime]
