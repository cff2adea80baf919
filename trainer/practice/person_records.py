"""A person's whole record: given out as plain values, and deleted once it has been."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date, datetime
from hashlib import sha256
from typing import Any
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.errors import Conflict, NotFound
from trainer.language import gettext
from trainer.practice.accounts import ALPHABET, CODE_LENGTH, plain_code
from trainer.practice.people import check_not_last
from trainer.practice.set_sheets import solution_open
from trainer.storage.accounts import account_of, find_account
from trainer.storage.attempts import BENCH, attempts_named
from trainer.storage.learners import get_learner, learners_called
from trainer.storage.models import Attempt, Learner
from trainer.storage.records import delete_record, record_of

# Of a sheet whose solution is not open: what its page shows. All else, the seed too, leads to the right values.
SHOWN = ("problem", "title", "skill", "level", "place", "wording", "symptom")


def own_copy(session: Session, learner_id: UUID, at: datetime) -> dict[str, Any]:
    """What :func:`export_person` gives, as its own learner may have it: nothing tells answers that are not open yet."""
    copy = export_person(session, learner_id, at)
    record = copy["record"]
    attempts = attempts_named(session, learner_id, [UUID(row["id"]) for row in record["attempt"]])
    closed = {str(each.id) for each in attempts if not _open(session, each)}
    entries = {row["id"] for row in record["entry"] if row["attempt_id"] in closed}
    for row in record["attempt"]:
        if row["id"] in closed:
            del row["seed"]
            row["snapshot"] = _shown(row["snapshot"])
    for row in (row for row in record["mark"] if row["entry_id"] in entries):
        del row["basis"], row["message"], row["slip"]
    for row in (row for row in record["remarking"] if row["attempt_id"] in closed):
        del row["snapshot"]
    return copy


def find_person(session: Session, named: str) -> Learner:
    """The person of a name, or of the id of a record.

    Raises
    ------
    NotFound
        If nobody is called so.
    Conflict
        If several are; it names their ids.
    """
    try:
        return get_learner(session, UUID(named))
    except ValueError:
        pass
    account = find_account(session, named)
    found = learners_called(session, named) | ({account.learner_id} if account else set())
    if not found:
        raise NotFound(gettext("nobody here is called {name}").format(name=named[:80]))
    if len(found) > 1:
        said = gettext("{n} people are called {name}; say which by the id: {ids}")
        raise Conflict(said.format(n=len(found), name=named[:80], ids=", ".join(sorted(map(str, found)))))
    return get_learner(session, found.pop())


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


def _open(session: Session, attempt: Attempt) -> bool:
    if attempt.source_kind in BENCH:
        return attempt.finished is not None
    return solution_open(session, attempt)


def _shown(snapshot: Mapping[str, Any]) -> dict[str, Any]:
    givens = [given for given in snapshot.get("givens", ()) if not given["hidden"]]
    return {name: snapshot[name] for name in SHOWN if name in snapshot} | {"givens": givens}


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
