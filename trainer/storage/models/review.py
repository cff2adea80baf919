"""What an instructor adds to work, and what a learner says about a problem; rows are added, never changed."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any
from uuid import UUID

from sqlalchemy import CheckConstraint, Date, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from trainer.storage.models.base import Base


class Override(Base):
    """A mark for an attempt given by an instructor, with the reason; the newest counts."""

    __tablename__ = "override"
    __table_args__ = (CheckConstraint("value BETWEEN 0 AND 1", name="value_is_a_fraction"),)

    id: Mapped[UUID] = mapped_column(primary_key=True)
    attempt_id: Mapped[UUID] = mapped_column(ForeignKey("attempt.id", ondelete="CASCADE"), index=True)
    value: Mapped[float]
    reason: Mapped[str]
    by_name: Mapped[str]
    made: Mapped[datetime]


class Remark(Base):
    """A word to the learner about an attempt."""

    __tablename__ = "remark"

    id: Mapped[UUID] = mapped_column(primary_key=True)
    attempt_id: Mapped[UUID] = mapped_column(ForeignKey("attempt.id", ondelete="CASCADE"), index=True)
    text: Mapped[str]
    by_name: Mapped[str]
    made: Mapped[datetime]


class Complaint(Base):
    """A learner says that a problem looks wrong; the attempt leads to its variant."""

    __tablename__ = "complaint"

    id: Mapped[UUID] = mapped_column(primary_key=True)
    attempt_id: Mapped[UUID] = mapped_column(ForeignKey("attempt.id", ondelete="CASCADE"), index=True)
    text: Mapped[str]
    made: Mapped[datetime]
    answer: Mapped[str | None]
    answered_by: Mapped[str | None]
    settled: Mapped[datetime | None] = mapped_column(index=True)


class Remarking(Base):
    """An attempt marked again: its value before and after, and the snapshot with today's true values."""

    __tablename__ = "remarking"

    id: Mapped[UUID] = mapped_column(primary_key=True)
    attempt_id: Mapped[UUID] = mapped_column(ForeignKey("attempt.id", ondelete="CASCADE"), index=True)
    value_before: Mapped[float | None]
    value_after: Mapped[float]
    reason: Mapped[str]
    by_name: Mapped[str]
    made: Mapped[datetime]
    snapshot: Mapped[dict[str, Any]] = mapped_column(deferred=True)


class SignOff(Base):
    """An instructor's word that a learner has a skill, with the evidence that stood behind it on that day."""

    __tablename__ = "sign_off"
    __table_args__ = (Index(None, "learner_id", "skill"),)

    id: Mapped[UUID] = mapped_column(primary_key=True)
    learner_id: Mapped[UUID] = mapped_column(ForeignKey("learner.id", ondelete="RESTRICT"))
    skill: Mapped[str]
    by_name: Mapped[str]
    remark: Mapped[str]
    made: Mapped[datetime]
    withdrawn: Mapped[datetime | None]
    withdrawn_by: Mapped[str | None]
    withdrawn_reason: Mapped[str | None]
    evidence: Mapped[dict[str, Any]]


class Witnessed(Base):
    """Work done on real equipment and seen by somebody: no problem proves a ferrule."""

    __tablename__ = "witnessed"
    __table_args__ = (Index(None, "learner_id", "skill"),)

    id: Mapped[UUID] = mapped_column(primary_key=True)
    learner_id: Mapped[UUID] = mapped_column(ForeignKey("learner.id", ondelete="RESTRICT"))
    skill: Mapped[str]
    what: Mapped[str]
    equipment: Mapped[str]
    seen_by: Mapped[str]
    seen_on: Mapped[date] = mapped_column(Date)
    entered_by: Mapped[str]
    made: Mapped[datetime]
