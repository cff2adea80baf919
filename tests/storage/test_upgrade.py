"""A database of the first schema with rows in every table comes through the upgrade whole."""

from datetime import UTC, datetime
from uuid import UUID

import pytest
from alembic import command
from sqlalchemy import insert, inspect, select, text

from trainer.clock import StoppedClock
from trainer.settings import load_settings
from trainer.storage import schema
from trainer.storage.attempts import attempts_of, get_attempt
from trainer.storage.database import open_database
from trainer.storage.drafts import drafts_of
from trainer.storage.entries import entries_of, marks_of
from trainer.storage.evidence import evidence_of
from trainer.storage.learners import list_learners
from trainer.storage.models import Base
from trainer.storage.web_sessions import clear_web_sessions

AT = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)
LATER = datetime(2026, 3, 2, 7, 31, 12, 345678, tzinfo=UTC)
LEARNER, GUEST, ATTEMPT, OTHER, ENTRY, MARK, AGAIN = (UUID(int=0x0198 << 112 | 7 << 76 | n) for n in range(1, 8))
SNAPSHOT = {"title": "Kühlhaus °C", "givens": [{"name": "current", "value": 11.2}], "figure": None}

ROWS = {
    "learner": [
        (LEARNER, "Ada Pump", ",", "°F", "de", False, AT, LATER),
        (GUEST, "", ".", "°C", "en", True, AT, AT),
    ],
    "attempt": [
        (
            ATTEMPT,
            LEARNER,
            "problem",
            "brine",
            "reading",
            3,
            2**40,
            "guided",
            "S3.2",
            AT,
            LATER,
            True,
            LATER,
            0.5,
            True,
            SNAPSHOT,
        ),
        (OTHER, GUEST, "problem", "kiln", "reading", 3, 8, "unguided", "S3.2", AT, None, False, None, None, False, {}),
    ],
    "web_session": [(b"\x00\xff" * 16, LEARNER, AT, AT, LATER, LATER), (b"n" * 32, None, AT, AT, LATER, LATER)],
    "draft": [(ATTEMPT, "value", "112,5 kPa", AT)],
    "entry": [(ENTRY, ATTEMPT, "fraction", "S3.2", 1, True, "0,56", "form-1", AT)],
    "evidence": [(ATTEMPT, "S3.2", LEARNER, LATER, 0.5, True)],
    "mark": [
        (MARK, ENTRY, "slip", 0.0, "no_live_zero", "Take it off.", "first marking", AT, {"right": 0.45, "slips": []}),
        (AGAIN, ENTRY, "unread", None, None, "Which?", "marked again", LATER, {"right": None}),
    ],
}


@pytest.fixture
def first(tmp_path):
    """A database at revision 0001 with rows in every table of it."""
    database = open_database(f"sqlite:///{tmp_path}/trainer.db")
    with schema._changing(database) as connection:
        command.upgrade(schema.alembic_config(connection), "0001")
        columns = {table: [column["name"] for column in inspect(connection).get_columns(table)] for table in ROWS}
        for table, rows in ROWS.items():
            values = [dict(zip(columns[table], row, strict=True)) for row in rows]
            connection.execute(insert(Base.metadata.tables[table]), values)
    yield database
    database.close()


def stored(database, names):
    """Every row of the first schema's tables, by the columns they had, as the file holds them."""
    with database.readers.connect() as connection:
        return {
            table: connection.execute(text(f"SELECT {', '.join(columns)} FROM {table} ORDER BY 1, 2")).all()
            for table, columns in names.items()
        }


def test_every_row_of_the_first_schema_is_there_after_the_upgrade(first, tmp_path):
    with first.readers.connect() as connection:
        tables = set(inspect(connection).get_table_names()) - {"alembic_version"}
        names = {table: [f'"{each["name"]}"' for each in inspect(connection).get_columns(table)] for table in tables}
    assert tables == set(ROWS)
    before = stored(first, names)
    assert {table: len(rows) for table, rows in before.items()} == {table: len(rows) for table, rows in ROWS.items()}

    schema.upgrade(first, tmp_path / "backups", StoppedClock(LATER))

    assert stored(first, names) == before
    with first.readers.connect() as connection:
        assert schema.stored_revision(connection) == schema.HEAD
        assert connection.execute(text("PRAGMA integrity_check")).scalar() == "ok"
        assert connection.execute(text("PRAGMA foreign_key_check")).all() == []
        assert set(inspect(connection).get_table_names()) - {"alembic_version"} == set(Base.metadata.tables)


def test_the_program_reads_what_the_first_schema_held(first, tmp_path):
    schema.upgrade(first, tmp_path / "backups", StoppedClock(LATER))
    with first.reading() as session:
        (ada,) = list_learners(session)
        assert (ada.id, ada.name, ada.decimal_sign, ada.created, ada.changed) == (LEARNER, "Ada Pump", ",", AT, LATER)
        attempt = get_attempt(session, ATTEMPT, learner_id=LEARNER)
        assert (attempt.snapshot, attempt.seed, attempt.value, attempt.finished) == (SNAPSHOT, 2**40, 0.5, LATER)
        assert (attempt.set_try_id, attempt.set_problem_id) == (None, None)
        assert [each.id for each in attempts_of(session, GUEST)] == [OTHER]
        (entry,) = entries_of(session, ATTEMPT)
        assert (entry.text, entry.verdict, entry.mark) == ("0,56", "unread", None)
        assert [(each.id, each.slip, each.basis) for each in marks_of(session, ENTRY)] == [
            (MARK, "no_live_zero", {"right": 0.45, "slips": []}),
            (AGAIN, None, {"right": None}),
        ]
        assert drafts_of(session, ATTEMPT) == {"value": "112,5 kPa"}
        assert [(row.skill, row.value, row.evidence) for row in evidence_of(session, LEARNER)] == [("S3.2", 0.5, True)]
        session_table = Base.metadata.tables["web_session"]
        kept = session.execute(select(session_table.c.learner_id, session_table.c.account_id)).all()
        assert sorted(map(str, kept)) == sorted([f"({LEARNER!r}, None)", "(None, None)"])


def test_a_copy_is_made_before_and_the_upgraded_file_is_worked_with(first, tmp_path):
    schema.upgrade(first, tmp_path / "backups", StoppedClock(LATER))
    assert [path.name for path in (tmp_path / "backups").iterdir()] == ["before-upgrade-20260302T073112.345678Z.db"]
    with first.writing() as session:
        clear_web_sessions(session, LATER)
    again = schema.open_storage(load_settings(tmp_path, {}))
    with again.reading() as session:
        assert session.execute(select(Base.metadata.tables["web_session"])).all() == []
        assert list_learners(session)[0].created == AT
    again.close()
