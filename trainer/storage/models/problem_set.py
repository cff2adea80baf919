"""Problem sets, and a learner's tries at them."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import BigInteger, CheckConstraint, ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from trainer.storage.models.base import Base


class ProblemSet(Base):
    """Problems that an instructor sets for a group.

    ``numbers`` says whether all get the same. ``version`` counts the edits: who edits an older one is told.
    """

    __tablename__ = "problem_set"
    __table_args__ = (
        CheckConstraint("state IN ('draft', 'open', 'closed')", name="state_is_known"),
        CheckConstraint("kind IN ('practice', 'assessed')", name="kind_is_known"),
        CheckConstraint("numbers IN ('same', 'own')", name="numbers_is_known"),
        CheckConstraint("pass_mark BETWEEN 0 AND 1", name="pass_mark_is_a_fraction"),
    )

    id: Mapped[UUID] = mapped_column(primary_key=True)
    group_id: Mapped[UUID] = mapped_column(ForeignKey("study_group.id", ondelete="CASCADE"), index=True)
    title: Mapped[str]
    state: Mapped[str]
    kind: Mapped[str]
    numbers: Mapped[str]
    due: Mapped[datetime | None]
    pass_mark: Mapped[float]
    tries: Mapped[int]
    minutes: Mapped[int | None]
    note: Mapped[str]
    solutions_released: Mapped[bool]
    created: Mapped[datetime]
    changed: Mapped[datetime]
    version: Mapped[int]


class SetProblem(Base):
    """A problem in a set, in its place, with its weight; a seed where all get the same numbers."""

    __tablename__ = "set_problem"
    __table_args__ = (CheckConstraint("weight > 0", name="weight_counts"),)

    id: Mapped[UUID] = mapped_column(primary_key=True)
    set_id: Mapped[UUID] = mapped_column(ForeignKey("problem_set.id", ondelete="CASCADE"), index=True)
    position: Mapped[int]
    problem: Mapped[str]
    mode: Mapped[str]
    weight: Mapped[float]
    seed: Mapped[int | None] = mapped_column(BigInteger)


class SetEdit(Base):
    """A set as it was saved at a version, so that who edits an older one can be told what has changed since."""

    __tablename__ = "set_edit"

    set_id: Mapped[UUID] = mapped_column(ForeignKey("problem_set.id", ondelete="CASCADE"), primary_key=True)
    version: Mapped[int] = mapped_column(primary_key=True)
    plan: Mapped[dict[str, Any]]
    by_name: Mapped[str]
    made: Mapped[datetime]


class SetTry(Base):
    """A learner's pass at a set; ``ends`` is its time limit, extensions included."""

    __tablename__ = "set_try"
    __table_args__ = (UniqueConstraint("set_id", "learner_id", "number"),)

    id: Mapped[UUID] = mapped_column(primary_key=True)
    set_id: Mapped[UUID] = mapped_column(ForeignKey("problem_set.id", ondelete="RESTRICT"))
    learner_id: Mapped[UUID] = mapped_column(ForeignKey("learner.id", ondelete="RESTRICT"), index=True)
    number: Mapped[int]
    started: Mapped[datetime]
    ends: Mapped[datetime | None]
    handed_in: Mapped[datetime | None]


class Extension(Base):
    """More time for one person on one set."""

    __tablename__ = "extension"

    id: Mapped[UUID] = mapped_column(primary_key=True)
    set_id: Mapped[UUID] = mapped_column(ForeignKey("problem_set.id", ondelete="CASCADE"), index=True)
    learner_id: Mapped[UUID] = mapped_column(ForeignKey("learner.id", ondelete="RESTRICT"))
    minutes: Mapped[int]
    due: Mapped[datetime | None]
    reason: Mapped[str]
    by_name: Mapped[str]
    made: Mapped[datetime]
