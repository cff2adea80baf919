"""All that is kept of one learner: read whole, or deleted whole."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from uuid import UUID

from sqlalchemy import ColumnElement, Table, delete, select
from sqlalchemy.orm import Session

from trainer.storage import models
from trainer.storage.models.base import Base, table_of

SECRET = {"passphrase_hash"}

# From what hangs on others to what others hang on: in this order the rows can be deleted.
_OF_ENTRY: tuple[type[Base], ...] = (models.Mark,)
_OF_ATTEMPT: tuple[type[Base], ...] = (
    models.Entry,
    models.Draft,
    models.Override,
    models.Remark,
    models.Complaint,
    models.Remarking,
)
_OF_LEARNER: tuple[type[Base], ...] = (
    models.Evidence,
    models.Attempt,
    models.SetTry,
    models.Extension,
    models.Membership,
    models.SignOff,
    models.Witnessed,
    models.WebSession,
    models.Account,  # takes its codes with it
)
NOT_EXPORTED = {"web_session"}


def record_of(session: Session, learner_id: UUID) -> dict[str, list[dict[str, Any]]]:
    """The rows of every table that are a learner's own, by table; without what lets anybody in."""
    record = {}
    for table, own in _own_rows(learner_id):
        if table.name not in NOT_EXPORTED:
            columns = [column for column in table.c if column.name not in SECRET]
            rows = session.execute(select(*columns).where(own).order_by(*table.primary_key.columns))
            record[table.name] = [dict(row._mapping) for row in rows]
    return dict(reversed(record.items()))


def delete_record(session: Session, learner_id: UUID) -> None:
    """Delete all rows that are a learner's own, the learner last."""
    session.flush()
    for table, own in _own_rows(learner_id):
        session.execute(delete(table).where(own))
    for row in session.identity_map.values():  # what was read of it stands for nothing any more
        if learner_id in (getattr(row, "learner_id", None), getattr(row, "id", None)):
            session.expunge(row)


def _own_rows(learner_id: UUID) -> Iterator[tuple[Table, ColumnElement[bool]]]:
    attempt, entry, learner = table_of(models.Attempt), table_of(models.Entry), table_of(models.Learner)
    attempts = select(attempt.c.id).where(attempt.c.learner_id == learner_id)
    for table in map(table_of, _OF_ENTRY):
        yield table, table.c.entry_id.in_(select(entry.c.id).where(entry.c.attempt_id.in_(attempts)))
    for table in map(table_of, _OF_ATTEMPT):
        yield table, table.c.attempt_id.in_(attempts)
    for table in map(table_of, _OF_LEARNER):
        yield table, table.c.learner_id == learner_id
    yield learner, learner.c.id == learner_id
