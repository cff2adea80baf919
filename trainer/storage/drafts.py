"""Texts in boxes that have not been handed in."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from uuid import UUID

from sqlalchemy import delete, select
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session

from trainer.storage.models import Draft
from trainer.storage.models.base import table_of


def keep_draft(session: Session, attempt_id: UUID, step: str, text: str, at: datetime) -> None:
    """Keep the text of a box in place of the one kept before."""
    keep_drafts(session, attempt_id, {step: text}, at)


def keep_drafts(session: Session, attempt_id: UUID, texts: Mapping[str, str], at: datetime) -> None:
    """Keep the texts of several boxes, by step, in place of those kept before."""
    if not texts:
        return
    table = table_of(Draft)
    insert = sqlite.insert if session.get_bind().dialect.name == "sqlite" else postgresql.insert
    rows = [{"attempt_id": attempt_id, "step": step, "text": text, "kept": at} for step, text in texts.items()]
    row = insert(table).values(rows)
    session.execute(
        row.on_conflict_do_update(
            index_elements=[table.c.attempt_id, table.c.step],
            set_={"text": row.excluded.text, "kept": row.excluded.kept},
        )
    )


def drafts_of(session: Session, attempt_id: UUID) -> dict[str, str]:
    """The texts kept for an attempt, by step."""
    rows = session.execute(select(Draft.step, Draft.text).where(Draft.attempt_id == attempt_id))
    return {row.step: row.text for row in rows}


def clear_drafts(session: Session, attempt_id: UUID, step: str | None = None) -> None:
    """Forget the text of a step, or of all steps of an attempt."""
    table = table_of(Draft)
    gone = delete(table).where(table.c.attempt_id == attempt_id)
    session.execute(gone if step is None else gone.where(table.c.step == step))
