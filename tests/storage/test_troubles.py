"""Faults of the surroundings are told apart from faults of the program."""

import errno
import sqlite3
from contextlib import closing

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError, SQLAlchemyError
from sqlalchemy.exc import TimeoutError as Timeout

from trainer.errors import TrainerError
from trainer.storage.database import open_database
from trainer.storage.learners import add_learner
from trainer.storage.troubles import trouble_of


def fault_of(doing) -> BaseException:
    with pytest.raises(SQLAlchemyError) as caught:
        doing()
    return caught.value


def write(database, clock) -> None:
    with database.writing() as session:
        add_learner(session, "x" * 100_000, clock())


def test_a_full_disk(database, clock):
    with database.writer.connect() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar()
        connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")
    assert trouble_of(fault_of(lambda: write(database, clock))) == "full"


def test_a_database_that_another_program_holds(database, clock, monkeypatch):
    monkeypatch.setattr("trainer.storage.database.BUSY_TIMEOUT", 20)
    database.close()
    with closing(sqlite3.connect(database.file, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        assert trouble_of(fault_of(lambda: write(database, clock))) == "busy"


def test_a_database_that_may_not_be_written(database, clock):
    with database.reading() as session:
        assert trouble_of(fault_of(lambda: add_learner(session, "Ada", clock()))) == "read-only"


def test_a_broken_rule_of_the_program_is_none(session, clock):
    learner = add_learner(session, "Ada", clock())
    fault = fault_of(lambda: session.execute(text("INSERT INTO learner (id) VALUES (:id)"), {"id": learner.id.hex}))
    assert isinstance(fault, IntegrityError)
    assert trouble_of(fault) is None


# POSIX.1-2017, errno.h: what each number stands for.
@pytest.mark.parametrize(
    ("number", "trouble"),
    [
        (errno.ENOSPC, "full"),
        (errno.EDQUOT, "full"),
        (errno.EROFS, "read-only"),
        (errno.EACCES, "read-only"),
        (errno.EIO, "unreachable"),
        (errno.ENOENT, None),
        (errno.EPIPE, None),
    ],
)
def test_faults_of_the_system(number, trouble):
    assert trouble_of(OSError(number, "said by the system")) == trouble
    told = TrainerError("the bank cannot be stored")
    told.__cause__ = OSError(number, "said by the system")
    assert trouble_of(told) == trouble


def test_waiting_in_vain_for_a_turn_is_busy_and_a_bug_is_none():
    assert trouble_of(Timeout("the database was busy for 30 s")) == "busy"
    assert trouble_of(sqlite3.ProgrammingError("a bug")) is None
    assert trouble_of(KeyError("a bug")) is None


def test_a_database_that_cannot_be_reached(database, clock, tmp_path):
    (tmp_path / "folder").mkdir()
    with pytest.raises(TrainerError) as caught:
        open_database(f"sqlite:///{(tmp_path / 'folder').as_posix()}")
    assert trouble_of(caught.value) == "unreachable"


# OWASP ASVS 5.0.0, V16.2.5: what was typed, and what lets anybody in, is in no log.
def test_a_fault_of_the_database_does_not_tell_what_was_typed(database):
    with database.reading() as session, pytest.raises(SQLAlchemyError) as caught:
        session.execute(text("SELECT * FROM nowhere WHERE name = :name"), {"name": "four tinned ferrules"})
    assert "nowhere" in str(caught.value)
    assert "ferrules" not in str(caught.value)
