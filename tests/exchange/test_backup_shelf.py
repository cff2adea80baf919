"""The backups that a server makes: when it is time, and which stay."""

import os
from datetime import UTC, datetime, timedelta

import pytest

from trainer.clock import StoppedClock
from trainer.errors import Conflict, TrainerError
from trainer.exchange.backup_shelf import BEFORE_UPGRADE, BY_HAND, DAILY, BackupShelf, KeptBackup, to_go
from trainer.settings import load_settings
from trainer.storage.schema import open_storage

AT = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)  # a Monday


@pytest.fixture
def clock() -> StoppedClock:
    return StoppedClock(AT)


@pytest.fixture
def shelf(tmp_path, clock):
    database = open_storage(load_settings(tmp_path, {}), clock)
    yield BackupShelf(database, tmp_path, clock)
    database.close()


def days_kept(tmp_path, days) -> list[int]:
    """Which stay, as days before the newest, of a backup made on each of the days, pruned on each of them."""
    kept: list[KeptBackup] = []
    for day in days:
        kept.append(KeptBackup(tmp_path / f"daily-{day}", DAILY, AT + timedelta(days=day), 1))
        gone = to_go(kept)
        kept = [each for each in kept if each not in gone]
    return sorted(days[-1] - (each.made - AT).days for each in kept)


def test_seven_days_and_a_day_of_each_of_four_weeks_before_stay(tmp_path):
    # Day 59 is a Thursday: the seven days reach back to a Friday, and of the weeks before the Sunday stays; of the
    # week that the seven days begin in, the Thursday before them.
    assert days_kept(tmp_path, range(60)) == [0, 1, 2, 3, 4, 5, 6, 7, 11, 18, 25]


def test_a_pc_that_is_used_on_thursdays_keeps_eleven_weeks(tmp_path):
    assert days_kept(tmp_path, range(3, 200, 7)) == [7 * week for week in range(11)]


def test_on_every_day_of_two_months_there_is_one_of_each_age(tmp_path):
    for last in range(40, 100):
        ages = days_kept(tmp_path, range(last))
        assert ages[:7] == list(range(7))
        assert 21 <= ages[-1] <= 35
        assert len(ages) == 11


def test_those_made_by_hand_and_before_upgrades_have_their_own_count(tmp_path):
    made = [AT + timedelta(minutes=n) for n in range(15)]
    kept = [KeptBackup(tmp_path / f"{kind}{at}", kind, at, 1) for kind in (BY_HAND, BEFORE_UPGRADE) for at in made]
    assert [(each.kind, each.made) for each in to_go(kept)] == [(BY_HAND, at) for at in reversed(made[:5])]


def test_one_is_made_a_day(shelf, clock):
    first = shelf.make_daily()
    assert first.path.name == "daily-20260302T073000.000000Z.zip"
    clock.advance(timedelta(hours=23, minutes=59))
    assert shelf.make_daily() is None
    clock.advance(timedelta(minutes=1))
    assert shelf.make_daily() is not None
    assert [each.made for each in shelf.kept()] == [AT + timedelta(days=1), AT]


def test_one_made_by_hand_does_not_take_the_place_of_the_daily_one(shelf):
    assert shelf.make().kind == BY_HAND
    assert shelf.make_daily() is not None


def test_a_clock_set_back_does_not_stop_the_backups(shelf, clock):
    shelf.make_daily()
    clock.set(AT - timedelta(days=40))
    made = shelf.make_daily()
    assert made.path.exists()
    assert shelf.make_daily() is None
    clock.advance(timedelta(days=1))
    assert shelf.make_daily() is not None


def test_other_files_of_the_folder_are_not_listed(shelf):
    made = shelf.make()
    names = ["notes.txt", "daily-20260302T073000.000000Z.zip.bak", "daily-20269902T073000.000000Z.zip", "../secret.key"]
    for name in names:
        (shelf.folder / name).write_text("x")
    (shelf.folder / "daily-20260301T073000.000000Z.zip").mkdir()
    assert [each.path for each in shelf.kept()] == [made.path]
    assert shelf.find(made.path.name) == made
    assert all(shelf.find(name) is None for name in (*names, "", ".", "..", str(made.path)))


def test_a_failure_is_remembered_until_the_next_good_one(shelf, clock, monkeypatch):
    def full(*_args):
        raise TrainerError("no room")

    with monkeypatch.context() as patch:
        patch.setattr("trainer.exchange.backup_shelf.write_backup", full)
        with pytest.raises(TrainerError, match="no room"):
            shelf.make_daily()
    assert (shelf.failure.at, shelf.failure.said) == (AT, "no room")
    assert shelf.kept() == []
    shelf.make_daily()
    assert shelf.failure is None


def test_two_at_a_time_are_refused(shelf, monkeypatch):
    def again(*_args):
        with pytest.raises(Conflict, match="being made at this moment"):
            shelf.make()
        raise TrainerError("seen")

    monkeypatch.setattr("trainer.exchange.backup_shelf.write_backup", again)
    with pytest.raises(TrainerError, match="seen"):
        shelf.make()


def test_what_an_ended_process_left_is_swept_after_a_day(shelf):
    for name, age in (("old", 2 * 86400), ("new", 60)):
        left = shelf.folder / f".backup-{name}"
        left.mkdir(parents=True)
        (left / "trainer.db").write_text("half")
        at = datetime.now(UTC).timestamp() - age
        os.utime(left, (at, at))
    shelf.make()
    assert [path.name for path in shelf.folder.glob(".backup-*")] == [".backup-new"]
