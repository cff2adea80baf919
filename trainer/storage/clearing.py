"""What is of no more use to anybody and goes by itself: ended sessions, old failed tries, guests who left nothing."""

from __future__ import annotations

from datetime import datetime, timedelta
from uuid import UUID

from sqlalchemy import Column, delete, select
from sqlalchemy.orm import Session

from trainer.storage.models import Base, Learner, SignInFailure
from trainer.storage.models.base import table_of
from trainer.storage.web_sessions import clear_web_sessions

GUEST_KEPT = timedelta(days=90)
FAILURES_KEPT = timedelta(days=1)  # far longer than they count

_learner, _failure = table_of(Learner), table_of(SignInFailure)


def clear_old(session: Session, at: datetime) -> int:
    """Clear what is past its limit, and tell how many guests went.

    A guest goes who was made long ago, whom no browser leads to any more, and who has no name, no account, no group
    and no work: to whom nothing in the database refers.
    """
    clear_web_sessions(session, at)
    session.execute(delete(_failure).where(_failure.c.at < at - FAILURES_KEPT))
    old = _learner.c.created < at - GUEST_KEPT, _learner.c.changed < at - GUEST_KEPT
    alone = (~select(key).where(key == _learner.c.id).exists() for key in _references())
    gone = session.execute(delete(_learner).where(_learner.c.name == "", *old, *alone))
    return int(getattr(gone, "rowcount", 0))


def _references() -> list[Column[UUID]]:
    """Every column in which a row can refer to a learner."""
    columns = (column for table in Base.metadata.sorted_tables for column in table.c)
    return [column for column in columns if column.references(_learner.c.id)]
