"""A browser that has been here before."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from sqlalchemy import ForeignKey, LargeBinary
from sqlalchemy.orm import Mapped, mapped_column

from trainer.storage.models.base import Base


class WebSession(Base):
    """One browser's session; only a hash of its token is kept, so the table lets nobody in."""

    __tablename__ = "web_session"

    token_hash: Mapped[bytes] = mapped_column(LargeBinary(32), primary_key=True)
    learner_id: Mapped[UUID | None] = mapped_column(ForeignKey("learner.id", ondelete="CASCADE"), index=True)
    account_id: Mapped[UUID | None] = mapped_column(ForeignKey("account.id", ondelete="CASCADE"), index=True)
    created: Mapped[datetime]
    last_seen: Mapped[datetime]
    idle_until: Mapped[datetime] = mapped_column(index=True)  # never later than expires
    expires: Mapped[datetime]
