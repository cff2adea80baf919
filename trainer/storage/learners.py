"""Learners: add, find, change."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from trainer.errors import NotFound
from trainer.storage.accounts import name_key
from trainer.storage.ids import new_id
from trainer.storage.models import Learner


def add_learner(
    session: Session,
    name: str,
    at: datetime,
    *,
    decimal_sign: str = ".",
    temperature_unit: str = "°C",
    language: str = "en",
) -> Learner:
    """Add a learner; a guest's name is empty."""
    learner = Learner(
        id=new_id(at),
        name=name,
        decimal_sign=decimal_sign,
        temperature_unit=temperature_unit,
        language=language,
        archived=False,
        created=at,
        changed=at,
    )
    session.add(learner)
    session.flush()
    return learner


def get_learner(session: Session, learner_id: UUID) -> Learner:
    """Find a learner by id.

    Raises
    ------
    NotFound
        If there is none.
    """
    learner = session.get(Learner, learner_id)
    if learner is None:
        raise NotFound("there is no such learner")
    return learner


def list_learners(session: Session, *, archived: bool = False) -> list[Learner]:
    """Learners with a name, in its order; those archived only when asked for."""
    wanted = select(Learner).where(Learner.archived == archived, Learner.name != "")
    return list(session.scalars(wanted.order_by(Learner.name, Learner.id)))


def learners_called(session: Session, name: str) -> set[UUID]:
    """The records of a name, however its letters are written."""
    rows = session.execute(select(Learner.id, Learner.name).where(Learner.name != ""))
    return {learner_id for learner_id, called in rows if name_key(called) == name_key(name)}


def change_learner(
    session: Session,
    learner_id: UUID,
    at: datetime,
    *,
    name: str | None = None,
    decimal_sign: str | None = None,
    temperature_unit: str | None = None,
    language: str | None = None,
    archived: bool | None = None,
) -> Learner:
    """Change what is given and leave the rest."""
    learner = get_learner(session, learner_id)
    changes = {
        "name": name,
        "decimal_sign": decimal_sign,
        "temperature_unit": temperature_unit,
        "language": language,
        "archived": archived,
    }
    for key, value in changes.items():
        if value is not None:
            setattr(learner, key, value)
    learner.changed = at
    session.flush()
    return learner
