import threading
from datetime import UTC, datetime
from uuid import uuid4

import pytest
from sqlalchemy import select, text, update
from sqlalchemy.exc import DBAPIError, IntegrityError, StatementError

from trainer.errors import TrainerError
from trainer.storage.database import Database, open_database
from trainer.storage.learners import add_learner, change_learner, get_learner
from trainer.storage.models import Learner


def learners(session) -> int:
    return session.scalar(text("SELECT count(*) FROM learner"))


@pytest.mark.parametrize("writing", [False, True])
def test_every_connection_is_durable_and_checks_references(database, writing):
    with database.new_session(writing=writing) as session:
        found = {
            name: session.scalar(text(f"PRAGMA {name}"))
            for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout", "query_only")
        }

    # SQLite's documentation of pragmas: synchronous 2 is FULL
    assert found == {
        "journal_mode": "wal",
        "synchronous": 2,
        "foreign_keys": 1,
        "busy_timeout": 5000,
        "query_only": 0 if writing else 1,
    }


def test_writing_keeps_all_at_the_end(database, clock):
    with database.writing() as session:
        learner = add_learner(session, "Ada Pump", clock())

    with database.reading() as session:
        assert get_learner(session, learner.id).name == "Ada Pump"


def test_writing_keeps_nothing_where_the_block_raises(database, clock):
    def fail() -> None:
        with database.writing() as session:
            add_learner(session, "Ada Pump", clock())
            raise RuntimeError("halfway")

    with pytest.raises(RuntimeError, match="halfway"):
        fail()

    with database.reading() as session:
        assert learners(session) == 0


def test_a_reading_session_cannot_write(database, clock):
    with database.reading() as session, pytest.raises(DBAPIError, match="readonly database"):
        add_learner(session, "Ada Pump", clock())


def test_a_reading_session_sees_one_state(database, clock):
    with database.reading() as reader:
        assert learners(reader) == 0
        with database.writing() as writer:
            add_learner(writer, "Ada Pump", clock())
        assert learners(reader) == 0

    with database.reading() as reader:
        assert learners(reader) == 1


def test_a_session_that_did_nothing_holds_up_no_writer(database, clock):
    with database.new_session(writing=True), database.writing() as session:
        add_learner(session, "Ada Pump", clock())
    with database.reading() as reader:
        assert learners(reader) == 1


def test_read_then_write_from_threads_and_two_openings_never_meets_a_lock(database, clock):
    """Two openings stand for two processes: what they have in common is the file alone."""
    rounds, faults = 25, []
    with database.writing() as session:
        learner_id = add_learner(session, "0", clock()).id
    other = open_database(str(database.url))

    def count_up(opened: Database) -> None:
        try:
            for _ in range(rounds):
                with opened.writing() as session:
                    name = session.scalar(select(Learner.name).where(Learner.id == learner_id))
                    session.execute(update(Learner).values(name=str(int(name) + 1)))
        except Exception as error:
            faults.append(error)

    threads = [threading.Thread(target=count_up, args=(opened,)) for opened in (database, other) * 2]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    other.close()

    assert faults == []
    with database.reading() as session:
        assert get_learner(session, learner_id).name == str(4 * rounds)


def test_readers_go_on_while_one_writes(database, clock):
    with database.writing() as writer:
        add_learner(writer, "Ada Pump", clock())
        with database.reading() as reader:
            assert learners(reader) == 0


def test_times_come_back_in_utc(session, learner, clock):
    session.expire_all()

    assert get_learner(session, learner.id).created == clock()
    assert get_learner(session, learner.id).created.tzinfo is UTC


def test_a_time_without_a_zone_is_refused(session, learner):
    with pytest.raises(StatementError, match="does not say its time zone"):
        change_learner(session, learner.id, datetime(2026, 3, 2))  # noqa: DTZ001


def test_a_reference_to_nothing_is_refused(start):
    with pytest.raises(IntegrityError, match="FOREIGN KEY"):
        start(learner_id=uuid4())


def test_a_value_above_one_is_refused(session, attempt):
    attempt.value = 1.5

    with pytest.raises(IntegrityError, match="value_is_a_fraction"):
        session.flush()


def test_a_number_that_json_does_not_know_is_refused(start):
    with pytest.raises(StatementError, match="JSON compliant"):
        start(snapshot={"value": float("nan")})


@pytest.mark.parametrize(
    ("url", "sentence"),
    [
        ("trainer.db", "not a URL"),
        ("mysql://localhost/trainer", "is SQLite or PostgreSQL, not mysql"),
        ("sqlite://", "must be a file"),
        ("sqlite:///:memory:", "must be a file"),
        ("sqlite:////nowhere/at/all/trainer.db", "cannot be opened: unable to open database file"),
    ],
)
def test_a_database_that_cannot_be_opened_is_one_sentence(url, sentence):
    with pytest.raises(TrainerError, match=sentence):
        open_database(url)


def test_a_file_that_is_no_database_is_one_sentence(tmp_path):
    (tmp_path / "trainer.db").write_text("a shopping list, long enough to be taken for a header" * 20)

    with pytest.raises(TrainerError, match=r"trainer\.db cannot be opened: file is not a database"):
        open_database(f"sqlite:///{tmp_path}/trainer.db")
