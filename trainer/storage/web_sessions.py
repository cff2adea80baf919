"""Sessions of browsers: begin, recognize, keep alive, end."""

from __future__ import annotations

import hashlib
import secrets
from datetime import datetime, timedelta
from uuid import UUID

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Session

from trainer.storage.models import WebSession
from trainer.storage.models.base import table_of

GUEST_IDLE = timedelta(days=14)
ABSOLUTE = timedelta(days=180)
TOUCH_EVERY = timedelta(minutes=1)

_table = table_of(WebSession)


def start_web_session(
    session: Session,
    at: datetime,
    learner_id: UUID | None = None,
    account_id: UUID | None = None,
    *,
    idle: timedelta = GUEST_IDLE,
    absolute: timedelta = ABSOLUTE,
) -> str:
    """Begin a session and return its token, which is kept nowhere but in the browser."""
    token = secrets.token_urlsafe(32)
    begun = WebSession(
        token_hash=_hash(token),
        learner_id=learner_id,
        account_id=account_id,
        created=at,
        last_seen=at,
        idle_until=at + min(idle, absolute),
        expires=at + absolute,
    )
    session.add(begun)
    session.flush()
    return token


def find_web_session(session: Session, token: str, at: datetime) -> WebSession | None:
    """The session of a token; None if it is unknown, ended or past a limit."""
    alive = select(WebSession).where(WebSession.token_hash == _hash(token), WebSession.idle_until > at)
    return session.scalars(alive).one_or_none()


def touch_due(found: WebSession, at: datetime) -> bool:
    """Whether it is time to write down that the browser was here: at most once a minute."""
    return at - found.last_seen >= TOUCH_EVERY


def touch_web_session(session: Session, token: str, at: datetime, *, idle: timedelta = GUEST_IDLE) -> None:
    """Write down that the browser was here, and put off the idle limit; a session past a limit stays ended."""
    found = find_web_session(session, token, at)
    if found is None or not touch_due(found, at):
        return
    found.last_seen, found.idle_until = at, min(at + idle, found.expires)
    session.flush()


def give_web_session(session: Session, token: str, learner_id: UUID) -> None:
    """Make a session that had no learner that learner's: a guest is made by the first entry."""
    none_yet = _table.c.learner_id.is_(None)
    session.execute(update(_table).where(_table.c.token_hash == _hash(token), none_yet).values(learner_id=learner_id))


def end_web_session(session: Session, token: str) -> None:
    """End a session: its token is dead from the commit on."""
    session.execute(delete(_table).where(_table.c.token_hash == _hash(token)))


def end_web_sessions_of(session: Session, learner_id: UUID, *, but: str | None = None) -> None:
    """End all sessions of a learner, with ``but`` all others than that token's."""
    ended = delete(_table).where(_table.c.learner_id == learner_id)
    session.execute(ended if but is None else ended.where(_table.c.token_hash != _hash(but)))


def clear_web_sessions(session: Session, at: datetime) -> None:
    """Delete the sessions past a limit; they could no longer be used."""
    session.execute(delete(_table).where(_table.c.idle_until <= at))


def _hash(token: str) -> bytes:
    """Enough for a token of 256 random bits; a password would need more."""
    return hashlib.sha256(token.encode("utf-8", "backslashreplace")).digest()
