"""Whether the trainer works, said to a program that asks; nobody signs in and nothing is written."""

from datetime import timedelta

import pytest
from web_visitors import Visitor, dump, services_of

from trainer.errors import TrainerError


@pytest.fixture
def sound(app):
    def sound(visitor: Visitor | None = None) -> tuple[int, dict[str, str]]:
        answer = (visitor or Visitor(app)).get("/healthz")
        return answer.status_code, answer.json

    return sound


def test_all_is_well(sound):
    assert sound() == (200, {"status": "ok", "database": "ok", "disk": "ok", "backups": "ok"})


def test_nothing_is_written_and_nobody_is_looked_up(app, sound, visitor, clock):
    visitor.become_guest()
    before = dump(app)
    clock.advance(timedelta(minutes=5))
    assert sound(visitor)[0] == 200
    assert dump(app) == before
    assert "Set-Cookie" not in visitor.get("/healthz").headers
    visitor.page("/preferences/")
    assert dump(app) != before  # which any page writes down: the browser was here


def test_a_database_that_is_gone(app, sound):
    services_of(app).database.close()
    services_of(app).database.file.unlink()
    assert sound() == (503, {"status": "failing", "database": "missing", "disk": "ok", "backups": "ok"})
    assert not services_of(app).database.file.exists()


def test_a_database_that_is_damaged(app, sound):
    services_of(app).database.close()
    services_of(app).database.file.write_bytes(b"a letter to the brewery " * 1000)
    status, parts = sound()
    assert (status, parts["database"]) == (503, "damaged")


def test_a_database_of_another_version(app, sound, monkeypatch):
    monkeypatch.setattr("trainer.storage.health.HEAD", "9999")
    assert sound()[1]["database"] == "of another version"


def test_a_disk_that_is_almost_full(sound, monkeypatch):
    monkeypatch.setattr("trainer.web.health.LEAST_FREE", 10**18)
    assert sound() == (503, {"status": "failing", "database": "ok", "disk": "almost full", "backups": "ok"})


def test_a_folder_that_cannot_be_written_to(sound, monkeypatch):
    monkeypatch.setattr("trainer.web.health.os.access", lambda _path, _mode: False)
    assert sound()[1]["disk"] == "the data folder cannot be written to"


def test_a_backup_that_failed(app, sound, monkeypatch):
    def full(*_args):
        raise TrainerError("no room")

    monkeypatch.setattr("trainer.exchange.backup_shelf.write_backup", full)
    with pytest.raises(TrainerError):
        services_of(app).backups.make_daily()
    assert sound()[1]["backups"] == "the newest could not be made"


def test_no_particulars_are_told_to_visitors(app, sound, tmp_path):
    services_of(app).database.close()
    services_of(app).database.file.write_bytes(b"a letter to the brewery " * 1000)
    assert str(tmp_path) not in Visitor(app).get("/healthz").get_data(as_text=True)
