"""Sets of problems that were made into papers."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from sqlalchemy import JSON, BigInteger
from sqlalchemy.orm import Mapped, mapped_column

from trainer.storage.models.base import Base


class Paper(Base):
    """What was printed: a version's code tells the seed of its set, and only this row tells which problems."""

    __tablename__ = "paper"

    id: Mapped[UUID] = mapped_column(primary_key=True)
    seed: Mapped[int] = mapped_column(BigInteger, index=True)
    problems: Mapped[list[str]] = mapped_column(JSON)
    title: Mapped[str]
    made: Mapped[datetime]
