"""A backup as one file, written and read back; what is refused, and that nothing is changed by what is refused."""

import json
import shutil
import sqlite3
import zipfile
from contextlib import closing
from datetime import UTC, datetime

import pytest

from trainer.clock import StoppedClock
from trainer.errors import Conflict, TrainerError
from trainer.exchange.backup_files import write_backup
from trainer.exchange.restoring import restore
from trainer.settings import load_settings
from trainer.storage.learners import add_learner, list_learners
from trainer.storage.schema import HEAD, open_storage
from trainer.storage.serving import serving_alone

AT = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)
ASIDE = "before-restore-20260302T073000.000000Z"


@pytest.fixture
def shop(tmp_path):
    """A data folder with one learner, a bank with its history, and a lesson."""
    settings = load_settings(tmp_path / "shop", {})
    database = open_storage(settings, StoppedClock(AT))
    with database.writing() as session:
        add_learner(session, "Ada Pump", AT)
    history = settings.data / "question_banks" / "history" / "kiln"
    history.mkdir(parents=True)
    (history / "1.toml").write_text("# the first\n", "utf-8")
    (settings.data / "question_banks" / "kiln.toml").write_text("# Kühlhaus\n", "utf-8")
    (settings.data / "lessons").mkdir()
    (settings.data / "lessons" / "own.md").write_text("+++\n+++\n", "utf-8")
    (settings.data / "lessons" / "notes.docx").write_bytes(b"no lesson")
    (settings.data / "config.toml").write_text("port = 8009\n", "utf-8")
    yield settings, database
    database.close()


@pytest.fixture
def packed(shop, tmp_path):
    settings, database = shop
    write_backup(database, settings.data, tmp_path / "week.zip", AT)
    return tmp_path / "week.zip"


def names_in(settings) -> list[str]:
    database = open_storage(settings, StoppedClock(AT))
    try:
        with database.reading() as session:
            return [learner.name for learner in list_learners(session)]
    finally:
        database.close()


def files_of(folder) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def changed(file, members: dict[str, bytes | None], target):
    """A backup with members put in, replaced, or taken out."""
    with zipfile.ZipFile(file) as old, zipfile.ZipFile(target, "w") as new:
        for name in old.namelist():
            if name not in members:
                new.writestr(name, old.read(name))
        for name, content in members.items():
            if content is not None:
                new.writestr(name, content)
    return target


def test_a_backup_holds_the_database_and_ones_own_texts_alone(packed):
    with zipfile.ZipFile(packed) as found:
        assert sorted(found.namelist()) == [
            "backup.json",
            "lessons/own.md",
            "question_banks/history/kiln/1.toml",
            "question_banks/kiln.toml",
            "trainer.db",
        ]
        note = json.loads(found.read("backup.json"))
    assert (note["made"], note["schema"], note["rows"]["learner"]) == ("2026-03-02T07:30:00+00:00", HEAD, 1)
    assert packed.stat().st_mode & 0o077 == 0


def test_a_new_pc_has_everything_after_a_restore(packed, shop, tmp_path):
    new = load_settings(tmp_path / "new", {})
    done = restore(new, packed, AT)
    assert (done.aside, done.contents.texts) == (None, 3)
    assert names_in(new) == ["Ada Pump"]
    old = files_of(shop[0].data)
    carried = {name: content for name, content in files_of(new.data).items() if name.endswith((".toml", ".md"))}
    assert carried == {name: old[name] for name in carried}
    assert len(carried) == 3


def test_what_was_there_is_kept_aside_and_can_be_gone_back_to(packed, shop):
    settings, database = shop
    with database.writing() as session:
        add_learner(session, "Ben Weir", AT)
    (settings.data / "question_banks" / "later.toml").write_text("# later\n", "utf-8")
    database.close()
    done = restore(settings, packed, AT)
    assert done.aside == settings.data / "backups" / ASIDE
    assert names_in(settings) == ["Ada Pump"]
    assert not (settings.data / "question_banks" / "later.toml").exists()
    assert (done.aside / "question_banks" / "later.toml").read_text("utf-8") == "# later\n"
    again = restore(settings, done.aside / "trainer.db", datetime(2026, 3, 3, tzinfo=UTC))
    assert again.contents.texts is None
    assert names_in(settings) == ["Ada Pump", "Ben Weir"]


def test_the_journal_of_the_old_database_does_not_get_into_the_new_one(packed, shop):
    settings, database = shop
    with database.writing() as session:
        add_learner(session, "Ben Weir", AT)
    journal = settings.data / "trainer.db-wal"
    kept = journal.read_bytes()
    database.close()
    journal.write_bytes(kept)  # as after a power cut
    done = restore(settings, packed, AT)
    assert not journal.exists()
    assert (done.aside / journal.name).read_bytes() == kept
    assert names_in(settings) == ["Ada Pump"]


def test_a_database_alone_leaves_banks_and_lessons_where_they_are(shop, tmp_path):
    settings, database = shop
    assert write_backup(database, settings.data, tmp_path / "week.db", AT).texts is None
    with closing(sqlite3.connect(tmp_path / "week.db")) as found:
        assert found.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    database.close()
    before = {name: content for name, content in files_of(settings.data).items() if not name.startswith("trainer.db")}
    restore(settings, tmp_path / "week.db", AT)
    after = files_of(settings.data)
    assert {name: after.get(name) for name in before} == before


def test_a_present_database_that_is_damaged_is_no_hindrance(packed, shop):
    settings, database = shop
    database.close()
    database.file.write_bytes(b"not a database any more" * 100)
    restore(settings, packed, AT)
    assert names_in(settings) == ["Ada Pump"]


def members(name: str, content: bytes = b"x"):
    return lambda file, target: changed(file, {name: content}, target)


def cut(file, target):
    target.write_bytes(file.read_bytes()[:-400])
    return target


def other_database(file, target):
    with closing(sqlite3.connect(target)) as connection, connection:
        connection.execute("CREATE TABLE pumps (name TEXT)")
    return target


def newer(file, target):
    with zipfile.ZipFile(file) as old:
        target.write_bytes(old.read("trainer.db"))
    with closing(sqlite3.connect(target)) as connection, connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    return target


def fewer_rows(file, target):
    with zipfile.ZipFile(file) as old:
        target.write_bytes(old.read("trainer.db"))
    with closing(sqlite3.connect(target)) as connection, connection:
        connection.execute("DELETE FROM learner")
    return changed(file, {"trainer.db": target.read_bytes()}, target)


def bad_sum(file, target):
    """A bit of the packed database turned over."""
    with zipfile.ZipFile(file) as old:
        start = old.getinfo("trainer.db").header_offset
    content = bytearray(file.read_bytes())
    content[start + 2000] ^= 1
    target.write_bytes(content)
    return target


# OWASP ASVS 5.0.0, V5.2 and V5.3.2: content is checked by what it is, and a name in an archive decides no path.
@pytest.mark.parametrize(
    ("spoilt", "said"),
    [
        (members("../../outside.toml"), "has no place in a backup"),
        (members("question_banks/../../outside.toml"), "has no place in a backup"),
        (members("/etc/outside.toml"), "has no place in a backup"),
        (members("question_banks/C:\\outside.toml"), "has no place in a backup"),
        (members("question_banks/con.toml"), "has no place in a backup"),
        (members("question_banks/.hidden.toml"), "has no place in a backup"),
        (members("question_banks/a\nb.toml"), "has no place in a backup"),
        (members("question_banks/run.exe"), "has no place in a backup"),
        (members("config.toml"), "has no place in a backup"),
        (members("secret.key"), "has no place in a backup"),
        (members("lessons/large.md", b"0" * (4 * 1024 * 1024 + 1)), "or is too large"),
        (members("trainer.db", b"a letter"), "it is no database"),
        (members("backup.json", b"{"), "its note cannot be read"),
        (lambda file, target: changed(file, {"trainer.db": None}, target), "holds no database of the trainer"),
        (other_database, "it is no database of the trainer"),
        (newer, "newer version of this program \\(schema 9999"),
        (fewer_rows, "does not hold the rows that its note names"),
        (bad_sum, "is damaged|is no backup"),
        (cut, "is no backup that can be restored|is damaged"),
    ],
)
def test_what_is_not_sound_is_refused_and_changes_nothing(packed, shop, tmp_path, spoilt, said):
    settings, database = shop
    database.close()
    file = spoilt(packed, tmp_path / "spoilt.zip")
    before, around = files_of(settings.data), sorted(tmp_path.iterdir())
    with pytest.raises(TrainerError, match=said) as caught:
        restore(settings, file, AT)
    assert "\n" not in str(caught.value)
    after = files_of(settings.data)
    assert {name: after[name] for name in after if name != "trainer.db.serving"} == before
    assert sorted(tmp_path.iterdir()) == around


def test_a_bomb_of_many_members_is_refused_before_any_is_written(packed, shop, tmp_path, monkeypatch):
    monkeypatch.setattr("trainer.exchange.backup_files.MOST_MEMBERS", 10)
    file = changed(packed, {f"lessons/{number}.md": b"" for number in range(20)}, tmp_path / "many.zip")
    shop[1].close()
    with pytest.raises(TrainerError, match="holds too many files"):
        restore(shop[0], file, AT)


def test_more_than_the_disk_holds_is_refused_before_any_is_written(packed, shop, monkeypatch):
    shop[1].close()
    monkeypatch.setattr("shutil.disk_usage", lambda _path: type("Usage", (), {"free": 1000})())
    with pytest.raises(TrainerError, match="not enough room on the disk"):
        restore(shop[0], packed, AT)


def test_nothing_is_restored_under_a_running_server(packed, shop):
    with serving_alone(shop[1].file), pytest.raises(Conflict, match="already runs"):
        restore(shop[0], packed, AT)


def test_a_move_that_fails_puts_all_back(packed, shop, monkeypatch):
    settings, database = shop
    database.close()
    before = files_of(settings.data)
    move, moved = shutil.move, []

    def fails(path, to):
        if len(moved) == 3:
            moved.append("failed")
            raise PermissionError(13, "Permission denied")
        moved.append(path)
        return move(path, to)

    monkeypatch.setattr("trainer.exchange.restoring.shutil.move", fails)
    with pytest.raises(TrainerError, match="cannot be put in place \\(permission denied\\); all is as it was"):
        restore(settings, packed, AT)
    after = files_of(settings.data)
    assert {name: after[name] for name in after if name != "trainer.db.serving"} == before


def test_the_database_itself_is_not_written_over(shop):
    settings, database = shop
    with pytest.raises(TrainerError, match="is the database itself"):
        write_backup(database, settings.data, database.file, AT)
    assert names_in(settings) == ["Ada Pump"]


def test_a_backup_that_cannot_be_written_leaves_nothing(shop, tmp_path):
    settings, database = shop
    with pytest.raises(TrainerError, match="cannot be written: no such file"):
        write_backup(database, settings.data, tmp_path / "missing" / "week.zip", AT)
    assert not (tmp_path / "missing").exists()


def test_postgresql_is_left_to_its_own_tools(tmp_path):
    settings = load_settings(tmp_path, {}, database="postgresql://shop@localhost/trainer")
    with pytest.raises(TrainerError, match="pg_restore"):
        restore(settings, tmp_path / "week.zip", AT)
