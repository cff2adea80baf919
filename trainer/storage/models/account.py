"""Who may sign in: an account beside a learner's record, its one-time codes, and failed tries."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from sqlalchemy import CheckConstraint, ForeignKey, Index, LargeBinary
from sqlalchemy.orm import Mapped, mapped_column

from trainer.storage.models.base import Base


class Account(Base):
    """A name and a passphrase for a learner's record; without a passphrase only a code lets in.

    ``name_key`` is the name as it is compared, so that two people cannot differ by capitals alone.
    """

    __tablename__ = "account"
    __table_args__ = (CheckConstraint("role IN ('learner', 'instructor')", name="role_is_known"),)

    id: Mapped[UUID] = mapped_column(primary_key=True)
    learner_id: Mapped[UUID] = mapped_column(ForeignKey("learner.id", ondelete="RESTRICT"), unique=True)
    name: Mapped[str]
    name_key: Mapped[str] = mapped_column(unique=True)
    role: Mapped[str]
    passphrase_hash: Mapped[str | None]
    disabled: Mapped[bool]
    created: Mapped[datetime]
    changed: Mapped[datetime]


class SignInCode(Base):
    """A code shown once; only its hash is kept. Without an account it makes the first instructor."""

    __tablename__ = "sign_in_code"

    id: Mapped[UUID] = mapped_column(primary_key=True)
    code_hash: Mapped[bytes] = mapped_column(LargeBinary(32), unique=True)
    account_id: Mapped[UUID | None] = mapped_column(ForeignKey("account.id", ondelete="CASCADE"), index=True)
    made: Mapped[datetime]
    expires: Mapped[datetime]
    used: Mapped[datetime | None]


class SignInFailure(Base):
    """A failed try to sign in, by the hash of the name or of the address it came from."""

    __tablename__ = "sign_in_failure"
    __table_args__ = (Index(None, "who", "at"),)

    id: Mapped[UUID] = mapped_column(primary_key=True)
    who: Mapped[bytes] = mapped_column(LargeBinary(32))
    at: Mapped[datetime]
