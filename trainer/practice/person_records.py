"""A person's whole record: given out as plain values, and deleted once it has been."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date, datetime
from hashlib import sha256
from typing import Any
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.errors import Conflict
from trainer.language import gettext
from trainer.practice.accounts import ALPHABET, CODE_LENGTH, plain_code
from trainer.practice.people import check_not_last
from trainer.storage.accounts import account_of
from trainer.storage.learners import get_learner
from trainer.storage.records import delete_record, record_of


def export_person(session: Session, learner_id: UUID, at: datetime) -> dict[str, Any]:
    """All that is kept of a person, in plain JSON values, by table; no passphrase and no code.

    ``deletion_key`` allows the record to be deleted as long as nothing is added to it.

    Raises
    ------
    NotFound
        If there is no such learner.
    """
    name = get_learner(session, learner_id).name
    session.flush()
    record = _plain(record_of(session, learner_id))
    return {"name": name, "exported": _plain(at), "deletion_key": _key(record), "record": record}


def delete_person(session: Session, learner_id: UUID, deletion_key: str) -> None:
    """Delete a person's whole record and account; the key stands in the newest export.

    Raises
    ------
    NotFound
        If there is no such learner.
    Conflict
        If the key is of no export or the record has changed since, or nobody would be left who can instruct.
    """
    get_learner(session, learner_id)
    session.flush()
    if plain_code(deletion_key) != _key(_plain(record_of(session, learner_id))):
        raise Conflict(
            gettext("The record is deleted with the key of its export, and this is none, or it has changed since.")
        )
    account = account_of(session, learner_id)
    if account is not None:
        check_not_last(session, account)
    delete_record(session, learner_id)


def _key(record: Mapping[str, Any]) -> str:
    written = json.dumps(record, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    digest = sha256(written.encode("utf-8", "backslashreplace")).digest()
    key = "".join(ALPHABET[byte % len(ALPHABET)] for byte in digest[:CODE_LENGTH])
    return plain_code(key)


def _plain(value: Any) -> Any:
    """Ids and moments as text, the rest as it is."""
    if isinstance(value, Mapping):
        return {str(key): _plain(part) for key, part in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(part) for part in value]
    if isinstance(value, datetime | date):
        return value.isoformat()
    return str(value) if isinstance(value, UUID) else value
