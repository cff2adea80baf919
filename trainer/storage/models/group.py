"""Groups of learners."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from trainer.storage.models.base import Base


class StudyGroup(Base):
    """Learners who are taught together. Its code admits guests who keep their work; it can be renewed."""

    __tablename__ = "study_group"

    id: Mapped[UUID] = mapped_column(primary_key=True)
    name: Mapped[str]
    name_key: Mapped[str] = mapped_column(unique=True)
    join_code: Mapped[str] = mapped_column(unique=True)
    archived: Mapped[bool]
    created: Mapped[datetime]
    changed: Mapped[datetime]


class Membership(Base):
    """A learner in a group; who has left keeps the row, so that past results stay readable."""

    __tablename__ = "membership"

    group_id: Mapped[UUID] = mapped_column(ForeignKey("study_group.id", ondelete="CASCADE"), primary_key=True)
    learner_id: Mapped[UUID] = mapped_column(
        ForeignKey("learner.id", ondelete="RESTRICT"), primary_key=True, index=True
    )
    joined: Mapped[datetime]
    ended: Mapped[datetime | None]
