"""What goes by itself, and what does not."""

from datetime import timedelta

import pytest
from sqlalchemy import text

from trainer.storage.accounts import add_account, note_failure
from trainer.storage.attempts import start_attempt
from trainer.storage.clearing import clear_old
from trainer.storage.groups import add_group, put_member
from trainer.storage.learners import add_learner, change_learner
from trainer.storage.web_sessions import start_web_session

LONG = timedelta(days=91)


def there(session, learner) -> bool:
    return session.scalar(text("SELECT count(*) FROM learner WHERE id = :id"), {"id": learner.id.hex}) == 1


def test_a_guest_who_never_came_back_and_left_nothing_goes(session, clock):
    guest = add_learner(session, "", clock())
    start_web_session(session, clock(), guest.id)
    clock.advance(timedelta(days=89))
    assert clear_old(session, clock()) == 0
    assert there(session, guest)
    clock.advance(timedelta(days=2))
    assert clear_old(session, clock()) == 1
    assert not there(session, guest)


def started(session, guest, at) -> None:
    start_attempt(
        session, guest.id, at, source="kiln", seed=1, worksheet="reading", worksheet_version=1, skill="S3.2",
        mode="guided", snapshot={},
    )  # fmt: skip


def grouped(session, guest, at) -> None:
    put_member(session, add_group(session, "Kiln crew", "ABCDEF", at).id, guest.id, at)


KEEPS = {
    "an attempt": started,
    "an account": lambda session, guest, at: add_account(session, guest, "Ada", "learner", at),
    "a group": grouped,
    "a name": lambda session, guest, at: change_learner(session, guest.id, at, name="Ada"),
    "a browser that comes back": lambda session, guest, at: start_web_session(session, at + LONG, guest.id),
    "a preference of late": lambda session, guest, at: change_learner(
        session, guest.id, at + timedelta(days=30), decimal_sign=","
    ),
}


@pytest.mark.parametrize("reason", KEEPS)
def test_whoever_left_anything_stays(session, clock, reason):
    guest = add_learner(session, "", clock())
    KEEPS[reason](session, guest, clock())
    clock.advance(LONG)
    assert clear_old(session, clock()) == 0
    assert there(session, guest)


def test_ended_sessions_and_old_failed_tries_go(session, clock):
    start_web_session(session, clock())
    note_failure(session, "Ada", clock())
    clock.advance(timedelta(days=13))
    start_web_session(session, clock())
    note_failure(session, "Ada", clock())
    clock.advance(timedelta(days=1, seconds=-1))
    clear_old(session, clock())
    counts = {name: session.scalar(text(f"SELECT count(*) FROM {name}")) for name in ("web_session", "sign_in_failure")}
    assert counts == {"web_session": 2, "sign_in_failure": 1}
    clock.advance(timedelta(seconds=2))
    clear_old(session, clock())
    counts = {name: session.scalar(text(f"SELECT count(*) FROM {name}")) for name in ("web_session", "sign_in_failure")}
    assert counts == {"web_session": 1, "sign_in_failure": 0}
