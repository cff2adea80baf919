"""A learner: the person's record, with or without an account."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Mapped, mapped_column

from trainer.storage.models.base import Base


class Learner(Base):
    """A person and how pages are to be shown to them; a guest has no name.

    Who may sign in is kept elsewhere, so a record can be carried to another PC without a password.
    """

    __tablename__ = "learner"

    id: Mapped[UUID] = mapped_column(primary_key=True)
    name: Mapped[str]
    decimal_sign: Mapped[str]
    temperature_unit: Mapped[str]
    language: Mapped[str]
    archived: Mapped[bool]
    created: Mapped[datetime]
    changed: Mapped[datetime]  # of two copies of a record, the one changed last holds
