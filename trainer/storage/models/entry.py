"""An entry as it was typed, and the marks it was given."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from trainer.storage.models.base import Base


class Entry(Base):
    """One value typed for one step; never changed.

    ``number`` counts the texts typed for the step from 1; ``first`` is the one by which the attempt is valued,
    the first that could be marked. ``form_token`` makes a form that was sent twice one entry.
    """

    __tablename__ = "entry"
    __table_args__ = (UniqueConstraint("attempt_id", "step", "form_token"),)  # also finds an attempt's entries

    id: Mapped[UUID] = mapped_column(primary_key=True)
    attempt_id: Mapped[UUID] = mapped_column(ForeignKey("attempt.id", ondelete="CASCADE"))
    step: Mapped[str]
    step_skill: Mapped[str]
    number: Mapped[int]
    first: Mapped[bool]
    text: Mapped[str]
    form_token: Mapped[str]
    made: Mapped[datetime]


class Mark(Base):
    """A verdict on an entry; marks are added, never changed, and the newest counts.

    ``basis`` is what the entry was judged against, complete enough to judge it again.
    """

    __tablename__ = "mark"
    __table_args__ = (
        CheckConstraint("mark BETWEEN 0 AND 1", name="mark_is_a_fraction"),
        Index(None, "entry_id", "made", "id"),
    )

    id: Mapped[UUID] = mapped_column(primary_key=True)
    entry_id: Mapped[UUID] = mapped_column(ForeignKey("entry.id", ondelete="CASCADE"))
    verdict: Mapped[str]
    mark: Mapped[float | None]
    slip: Mapped[str | None]
    message: Mapped[str]
    reason: Mapped[str]
    made: Mapped[datetime]
    basis: Mapped[dict[str, Any]] = mapped_column(deferred=True)
