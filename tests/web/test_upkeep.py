"""What a server does by itself: the backup of the day, and clearing; a fault does not end it."""

import logging
import time
from datetime import timedelta

import pytest
from sqlalchemy import select
from web_visitors import Visitor, learners, services_of

from trainer.errors import TrainerError
from trainer.storage.models import SignInFailure, WebSession
from trainer.web import upkeep
from trainer.web.upkeep import Upkeep


@pytest.fixture
def keeper(app) -> Upkeep:
    return Upkeep(services_of(app))


def kinds(app) -> list[str]:
    return [each.kind for each in services_of(app).backups.kept()]


def test_each_day_a_backup_is_made(app, keeper, clock):
    for _ in range(3):
        keeper.look()
        keeper.look()
        clock.advance(timedelta(hours=12))
    assert kinds(app) == ["daily", "daily"]


def test_each_day_what_is_past_its_limit_goes(app, keeper, clock):
    keeper.look()
    guest = Visitor(app).become_guest()
    Visitor(app).post("/sign-in", name="Lea", passphrase="something else")
    clock.advance(timedelta(days=89))
    keeper.look()
    with services_of(app).database.reading() as session:
        assert session.scalars(select(WebSession)).all() == []
        assert session.scalars(select(SignInFailure)).all() == []
    assert guest in learners(app)
    clock.advance(timedelta(days=2))
    keeper.look()
    assert guest not in learners(app)


def test_a_backup_that_fails_is_told_and_does_not_stop_the_rest(app, keeper, clock, caplog, monkeypatch):
    def full(*_args):
        raise TrainerError("the backup cannot be written: no room")

    guest = Visitor(app).become_guest()
    clock.advance(timedelta(days=91))
    with monkeypatch.context() as patch:
        patch.setattr("trainer.exchange.backup_shelf.write_backup", full)
        keeper.look()
    assert [record.getMessage() for record in caplog.records] == ["the backup cannot be written: no room"]
    assert guest not in learners(app)
    keeper.look()
    assert kinds(app) == ["daily"]


def test_a_bug_does_not_end_the_days_to_come(app, keeper, caplog, monkeypatch):
    def bug():
        raise KeyError("a bug")

    with monkeypatch.context() as patch:
        patch.setattr(services_of(app).backups, "make_daily", bug)
        keeper.look()
    assert [record.levelno for record in caplog.records] == [logging.ERROR]
    keeper.look()
    assert kinds(app) == ["daily"]


def test_the_thread_looks_soon_and_ends_when_told(app, keeper, monkeypatch):
    monkeypatch.setattr(upkeep, "FIRST", 0.01)
    keeper.start()
    deadline = time.monotonic() + 20
    while not kinds(app) and time.monotonic() < deadline:
        time.sleep(0.02)
    began = time.monotonic()
    keeper.stop()
    assert time.monotonic() - began < upkeep.LEAVE
    assert not keeper._thread.is_alive()
    assert kinds(app) == ["daily"]


def test_stopping_what_never_began_is_no_fault(keeper):
    keeper.stop()
