import sqlite3
import subprocess
import sys
from datetime import timedelta
from io import StringIO

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.operations import Operations
from alembic.script import ScriptDirectory
from sqlalchemy import create_engine, inspect, text

from trainer.errors import TrainerError
from trainer.settings import load_settings
from trainer.storage import schema
from trainer.storage.backup import backup
from trainer.storage.database import open_database
from trainer.storage.learners import add_learner
from trainer.storage.models import Base


@pytest.fixture
def scripts() -> ScriptDirectory:
    return ScriptDirectory(str(schema.MIGRATIONS))


@pytest.fixture
def behind(database, clock):
    """A database with a learner in it that says it was made by a revision before the first."""
    with database.writing() as session:
        add_learner(session, "Ada Pump", clock())
        session.execute(text("UPDATE alembic_version SET version_num = '0000'"))
    return database


@pytest.fixture
def known_before(monkeypatch):
    """Revision 0000 is known, and the way from there to the newest is one new table."""

    def migrate(connection) -> None:
        connection.execute(text("CREATE TABLE newcomer (id INTEGER PRIMARY KEY)"))
        connection.execute(text("UPDATE alembic_version SET version_num = :head"), {"head": schema.HEAD})

    monkeypatch.setattr(schema, "refuse_unknown", lambda revision: None)
    monkeypatch.setattr(schema, "_migrate", migrate)


def names(path) -> list[str]:
    connection = sqlite3.connect(path)
    found = [name for (name,) in connection.execute("SELECT name FROM learner")]
    connection.close()
    return found


def tables(database) -> list[str]:
    with database.readers.connect() as connection:
        return inspect(connection).get_table_names()


def test_models_and_revisions_agree(database):
    with database.readers.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), Base.metadata) == []


def test_checks_and_deletion_rules_agree(database):
    """Alembic does not compare these."""
    modelled = create_engine("sqlite://")
    Base.metadata.create_all(modelled)

    def rules(engine) -> dict:
        found = inspect(engine)
        return {
            table: (
                sorted((check["name"], check["sqltext"]) for check in found.get_check_constraints(table)),
                sorted((key["name"], str(key["options"])) for key in found.get_foreign_keys(table)),
            )
            for table in Base.metadata.tables
        }

    try:
        assert rules(database.readers) == rules(modelled)
    finally:
        modelled.dispose()


def test_the_newest_revision_is_the_one_named_in_the_code(scripts):
    assert scripts.get_heads() == [schema.HEAD]


def test_revisions_are_numbered_in_line(scripts):
    line = [script.revision for script in scripts.walk_revisions()][::-1]

    assert line == [f"{number:04d}" for number in range(1, len(line) + 1)]


# common practice: uuid, timestamptz and json are the native types of PostgreSQL for these
def test_revisions_are_good_for_postgresql(scripts):
    written = StringIO()
    context = MigrationContext.configure(
        dialect_name="postgresql", opts={"as_sql": True, "output_buffer": written, "transactional_ddl": True}
    )
    with Operations.context(context):
        for script in list(scripts.walk_revisions())[::-1]:
            script.module.upgrade()

    for part in ("id UUID NOT NULL", "started TIMESTAMP WITH TIME ZONE", "snapshot JSON", "value DOUBLE PRECISION"):
        assert part in written.getvalue()


def test_a_normal_start_does_not_import_alembic(tmp_path, database):
    program = (
        "import sys; from trainer.settings import load_settings; from trainer.storage.schema import open_storage; "
        f"open_storage(load_settings({str(tmp_path)!r}, {{}})).close(); print('alembic' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)

    assert done.stdout.strip() == "False"


def test_a_fresh_database_is_made_without_a_backup(tmp_path, database):
    assert {"learner", "attempt", "entry", "mark", "alembic_version"} <= set(tables(database))
    assert not (tmp_path / "backups").exists()


def test_a_database_behind_is_copied_and_then_upgraded(tmp_path, behind, known_before, clock):
    schema.upgrade(behind, tmp_path / "backups", clock)

    assert "newcomer" in tables(behind)
    (copy,) = (tmp_path / "backups").iterdir()
    assert copy.name == "before-upgrade-20260302T073000.000000Z.db"
    assert names(copy) == ["Ada Pump"]


def test_a_second_upgrade_does_nothing(tmp_path, behind, known_before, clock, monkeypatch):
    schema.upgrade(behind, tmp_path / "backups", clock)
    schema.upgrade(behind, tmp_path / "backups", clock)

    assert len(list((tmp_path / "backups").iterdir())) == 1


def test_an_upgrade_that_fails_changes_nothing(tmp_path, behind, known_before, clock, monkeypatch):
    migrate = schema._migrate

    def fail(connection) -> None:
        migrate(connection)
        raise RuntimeError("the disk is full")

    monkeypatch.setattr(schema, "_migrate", fail)
    with pytest.raises(RuntimeError, match="the disk is full"):
        schema.upgrade(behind, tmp_path / "backups", clock)

    assert "newcomer" not in tables(behind)
    with behind.readers.connect() as connection:
        assert schema.stored_revision(connection) == "0000"


def test_an_upgrade_that_breaks_a_reference_is_undone(tmp_path, behind, known_before, clock, monkeypatch):
    def orphan(connection) -> None:
        connection.execute(text("CREATE TABLE newcomer (learner_id CHAR(32) REFERENCES learner (id))"))
        connection.execute(text("INSERT INTO newcomer VALUES ('nobody')"))

    monkeypatch.setattr(schema, "_migrate", orphan)
    with pytest.raises(TrainerError, match="would leave 1 rows without the row they refer to"):
        schema.upgrade(behind, tmp_path / "backups", clock)

    assert "newcomer" not in tables(behind)
    with behind.new_session(writing=True) as session:
        assert session.scalar(text("PRAGMA foreign_keys")) == 1


def test_the_last_ten_backups_stay(tmp_path, behind, known_before, clock):
    for _ in range(12):
        with behind.writing() as session:
            session.execute(text("DROP TABLE IF EXISTS newcomer"))
            session.execute(text("UPDATE alembic_version SET version_num = '0000'"))
        clock.advance(timedelta(hours=1))
        schema.upgrade(behind, tmp_path / "backups", clock)

    kept = sorted(path.name for path in (tmp_path / "backups").iterdir())
    assert len(kept) == 10
    assert kept[0] == "before-upgrade-20260302T103000.000000Z.db"
    assert kept[-1] == "before-upgrade-20260302T193000.000000Z.db"


def test_a_database_of_a_newer_version_is_refused_and_left_as_it_is(tmp_path, database, clock):
    with database.writing() as session:
        session.execute(text("UPDATE alembic_version SET version_num = '9999'"))

    with pytest.raises(
        TrainerError, match=rf"newer version of this program \(schema 9999, this one knows {schema.HEAD}\)"
    ):
        schema.open_storage(load_settings(tmp_path, {}), clock)

    assert not (tmp_path / "backups").exists()


def test_a_database_of_another_program_is_refused(tmp_path):
    connection = sqlite3.connect(tmp_path / "trainer.db")
    connection.execute("CREATE TABLE recipe (name TEXT)")
    connection.close()

    with pytest.raises(TrainerError, match="holds tables of another program"):
        schema.open_storage(load_settings(tmp_path, {}))


def test_two_processes_may_start_at_once(tmp_path):
    program = (
        "from trainer.settings import load_settings; from trainer.storage.schema import open_storage; "
        f"open_storage(load_settings({str(tmp_path)!r}, {{}})).close()"
    )
    started = [subprocess.Popen([sys.executable, "-c", program], stderr=subprocess.PIPE) for _ in range(2)]

    assert [(one.communicate()[1], one.returncode) for one in started] == [(b"", 0), (b"", 0)]


def test_a_backup_under_way_holds_what_was_committed(tmp_path, database, clock):
    with database.writing() as session:
        add_learner(session, "Ada Pump", clock())
    with database.writing() as session:
        add_learner(session, "Not yet kept", clock())
        backup(database, tmp_path / "copy.db")

    assert names(tmp_path / "copy.db") == ["Ada Pump"]
    assert not list(tmp_path.glob("copy.db?*"))


def test_a_backup_can_be_opened_as_a_database(tmp_path, database):
    backup(database, tmp_path / "copy.db")
    copy = open_database(f"sqlite:///{tmp_path}/copy.db")
    try:
        schema.upgrade(copy, tmp_path / "backups")
        assert tables(copy) == tables(database)
    finally:
        copy.close()


def test_a_backup_that_cannot_be_written_is_one_sentence(tmp_path, database):
    with pytest.raises(TrainerError, match=r"the backup .*copy\.db cannot be written"):
        backup(database, tmp_path / "missing" / "copy.db")
