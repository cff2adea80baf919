"""Copies of a database in use: whole, as of one moment, checked, and in nobody's way."""

import sqlite3
import threading
import time
from contextlib import closing

import pytest
from sqlalchemy import text

from trainer.errors import TrainerError
from trainer.storage import backup as module
from trainer.storage.backup import backup, copy_file, look_into
from trainer.storage.learners import add_learner
from trainer.storage.models import Base
from trainer.storage.schema import HEAD


def fill(database, clock, rows: int, size: int = 2000) -> None:
    with database.writing() as session:
        for number in range(rows):
            add_learner(session, f"{number} " + "x" * size, clock())


def test_a_copy_is_sound_and_whole(database, clock, tmp_path):
    fill(database, clock, 7)
    found = backup(database, tmp_path / "copy.db")

    assert found.schema == HEAD
    assert set(found.tables) == {*Base.metadata.tables, "alembic_version"}
    assert found.rows == 8  # seven learners and the revision
    assert look_into(tmp_path / "copy.db") == found
    assert [path.name for path in tmp_path.glob("copy*")] == ["copy.db"]


def test_writers_go_on_while_a_copy_is_made(database, clock, tmp_path):
    fill(database, clock, 4000)
    written, failed, stop = [], [], threading.Event()

    def write() -> None:
        while not stop.is_set():
            try:
                began = time.perf_counter()
                with database.writing() as session:
                    add_learner(session, "Ben Weir", clock())
                written.append(time.perf_counter() - began)
            except Exception as fault:
                failed.append(fault)
                return

    writer = threading.Thread(target=write)
    writer.start()
    try:
        rows = []
        for number in range(5):
            before = len(written)
            rows.append(backup(database, tmp_path / f"copy{number}.db").tables["learner"])
            assert len(written) > before  # it was not held up until the end
    finally:
        stop.set()
        writer.join()

    assert failed == []
    assert max(written) < 2.5  # s, half of the time after which SQLite gives up
    assert rows == sorted(rows)
    assert rows[0] >= 4000


def test_a_copy_that_lost_rows_does_not_take_the_name(database, clock, tmp_path, monkeypatch):
    fill(database, clock, 2)
    (tmp_path / "copy.db").write_bytes(b"the one before")
    copy = module._copy
    monkeypatch.setattr(module, "_copy", lambda opened, target: copy(opened, target) | {"learner": 3})

    with pytest.raises(TrainerError, match="cannot be written: rows are missing in the copy"):
        backup(database, tmp_path / "copy.db")

    assert (tmp_path / "copy.db").read_bytes() == b"the one before"
    assert not (tmp_path / "copy.db.partial").exists()


def test_a_damaged_database_gives_no_backup(database, clock, tmp_path):
    fill(database, clock, 300)
    database.close()
    spoil(database.file)

    with pytest.raises(TrainerError, match="cannot be written: "):
        backup(database, tmp_path / "copy.db")

    assert list(tmp_path.glob("copy*")) == []


def spoil(file) -> None:
    """Overwrite what stands in the second half of a database."""
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").close()
    content = file.read_bytes()
    file.write_bytes(content[: len(content) // 2] + b"\x5a" * (len(content) - len(content) // 2))


def test_a_broken_reference_is_found(database, clock, tmp_path):
    fill(database, clock, 1)
    backup(database, tmp_path / "copy.db")
    with closing(sqlite3.connect(tmp_path / "copy.db")) as connection, connection:
        row = {"id": "a", "code_hash": b"x", "account_id": "nobody", "made": "x", "expires": "x", "used": None}
        names = ", ".join(row)
        connection.execute(f"INSERT INTO sign_in_code ({names}) VALUES ({', '.join('?' * len(row))})", [*row.values()])

    with pytest.raises(TrainerError, match="row 1 of sign_in_code refers to a missing row of account"):
        look_into(tmp_path / "copy.db")


def test_what_is_no_database_of_the_trainer(tmp_path):
    (tmp_path / "text.db").write_text("a letter to the brewery\n" * 100)
    (tmp_path / "empty.db").write_bytes(b"")
    with closing(sqlite3.connect(tmp_path / "other.db")) as connection, connection:
        connection.execute("CREATE TABLE pumps (name TEXT)")

    for name in ("text.db", "empty.db", "other.db"):
        with pytest.raises(TrainerError, match="it is no database"):
            look_into(tmp_path / name)


def test_a_file_is_copied_with_its_journal(database, clock, tmp_path):
    fill(database, clock, 3)
    aside = tmp_path / "aside"
    aside.mkdir()
    with database.reading() as session:
        session.scalar(text("SELECT count(*) FROM learner"))
        for path in tmp_path.glob("trainer.db*"):
            (aside / path.name).write_bytes(path.read_bytes())
    assert (aside / "trainer.db-wal").stat().st_size > 0

    copy_file(aside / "trainer.db", tmp_path / "copy.db")

    assert look_into(tmp_path / "copy.db").tables["learner"] == 3
