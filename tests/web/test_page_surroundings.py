"""Bad surroundings: a full disk, a folder that may not be written, a database held or damaged, a clock set back.

Each is a page with one sentence and a number that the log has too, and nothing is half-written.
"""

import logging
import os
import re
import sqlite3
import sys
import tempfile
from contextlib import closing, contextmanager
from datetime import timedelta
from pathlib import Path

import pytest
from web_visitors import BRINE, Visitor, dump, right, services_of, snapshot_of

SENTENCES = {
    "full": "is full, so nothing of this was kept",
    "read-only": "may not write to its data folder, so nothing of this was kept",
    "busy": "Another program holds the trainer&#39;s database, so nothing of this was kept",
    "damaged": "database is damaged",
    "unreachable": "cannot reach its database at this moment, so nothing of this was kept",
}


def told(answer, caplog) -> str:
    """What kind of trouble the page tells of; the log has its number, and neither a traceback."""
    page = answer.get_data(as_text=True)
    assert answer.status_code == 503, page
    number = re.search(r"The log has it as ([0-9a-f]{8})\.", page)[1]
    (record,) = [record for record in caplog.records if record.levelno == logging.ERROR]
    assert record.getMessage().startswith(f"fault {number} at ")
    assert "\n" not in record.getMessage()
    assert record.exc_info is None
    assert "Traceback" not in page + caplog.text
    caplog.clear()
    (kind,) = [kind for kind, sentence in SENTENCES.items() if sentence in page]
    return kind


def full(app) -> None:
    """A database that may not grow, as on a full disk."""
    with services_of(app).database.writer.connect() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar()
        connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")


def enough(app) -> None:
    with services_of(app).database.writer.connect() as connection:
        connection.exec_driver_sql("PRAGMA max_page_count = 1000000")


def fill_up(visitor, sheet, step, tries=200):
    """Enter until there is no room for one more."""
    for _ in range(tries):
        answer = visitor.enter(sheet, step, "0.001" + "0" * 150)
        if answer.status_code != 303:
            return answer
    raise AssertionError("there was always room")


def test_a_full_disk_keeps_all_that_was_there_and_goes_on_when_there_is_room(app, visitor, caplog):
    sheet = visitor.start()
    full(app)
    assert told(fill_up(visitor, sheet, "fraction"), caplog) == "full"
    before = dump(app)
    assert told(visitor.enter(sheet, "fraction", "0.001" + "0" * 150), caplog) == "full"
    assert dump(app) == before
    assert visitor.get(sheet).status_code == 200  # what is there can be read
    enough(app)
    assert visitor.enter(sheet, "fraction", right(snapshot_of(app, sheet), "fraction")).status_code == 303


@pytest.mark.skipif(sys.platform == "win32", reason="needs a limit on the size of files")
def test_a_file_that_may_not_grow_keeps_all_that_was_there(app, visitor, caplog):
    import resource

    sheet = visitor.start()
    journal = Path(f"{services_of(app).database.file}-wal")
    limits = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (journal.stat().st_size + 9000, limits[1]))
    try:
        answer = fill_up(visitor, sheet, "fraction")
        assert told(answer, caplog) in ("full", "unreachable")
        before = dump(app)
        assert visitor.enter(sheet, "fraction", "0.2").status_code == 503
        caplog.clear()
        assert dump(app) == before
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, limits)
    assert visitor.enter(sheet, "fraction", "0.3").status_code == 303
    with services_of(app).database.reading() as session:
        assert session.connection().exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"


@contextmanager
def nobody():
    """As a user who owns nothing; root may write where nobody may."""
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.fixture
def open_folder():
    """A folder below one that everybody may enter; pytest's own is closed to others."""
    with tempfile.TemporaryDirectory() as folder:
        os.chmod(folder, 0o755)
        yield Path(folder)


@pytest.mark.skipif(os.name != "posix", reason="needs the permissions of POSIX")
def test_a_folder_that_may_not_be_written_is_still_read(make_app, open_folder, caplog):
    app = make_app(database=f"sqlite:///{open_folder / 'trainer.db'}")
    visitor = Visitor(app)
    sheet = visitor.start()
    before = dump(app)
    with closing(sqlite3.connect(services_of(app).database.file)) as connection:
        services_of(app).database.close()
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").close()
        for path in open_folder.iterdir():
            path.chmod(0o444)
        open_folder.chmod(0o555)
        with nobody():
            assert visitor.get(sheet).status_code == 200
            assert told(visitor.enter(sheet, "fraction", "0.5"), caplog) == "read-only"
            assert told(visitor.post(f"/problems/{BRINE}/start", mode="guided"), caplog) == "read-only"
            services_of(app).database.close()
        open_folder.chmod(0o755)
        for path in open_folder.iterdir():
            path.chmod(0o644)
    assert dump(app) == before
    assert visitor.enter(sheet, "fraction", "0.5").status_code == 303


def test_a_database_that_another_program_holds(app, visitor, caplog, monkeypatch):
    sheet = visitor.start()
    before = dump(app)
    monkeypatch.setattr("trainer.storage.database.BUSY_TIMEOUT", 20)
    services_of(app).database.close()
    with closing(sqlite3.connect(services_of(app).database.file, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        assert told(visitor.enter(sheet, "fraction", "0.5"), caplog) == "busy"
        assert visitor.get(sheet).status_code == 200
        other.execute("ROLLBACK")
    assert dump(app) == before
    assert visitor.enter(sheet, "fraction", "0.5").status_code == 303


def test_a_damaged_page_of_the_database(app, visitor, caplog):
    sheet = visitor.start()
    file = services_of(app).database.file
    services_of(app).database.close()
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").close()
        size = connection.execute("PRAGMA page_size").fetchone()[0]
        pages = [connection.execute("SELECT rootpage FROM sqlite_master WHERE name = 'attempt'").fetchone()[0]]
    content = bytearray(file.read_bytes())
    for page in pages:
        content[(page - 1) * size : page * size] = b"\x5a" * size
    file.write_bytes(content)
    assert told(visitor.get(sheet), caplog) == "damaged"
    assert told(visitor.enter(sheet, "fraction", "0.5"), caplog) == "damaged"
    assert visitor.get("/lessons/").status_code == 200  # what does not need it goes on


def test_a_database_that_is_none_any_more_is_told_even_to_who_is_signed_in(app, visitor, caplog):
    visitor.become_instructor()
    services_of(app).database.close()
    services_of(app).database.file.write_bytes(b"a letter to the brewery " * 1000)
    assert told(visitor.get("/teaching/"), caplog) == "damaged"
    assert visitor.get("/healthz").status_code == 503


def test_a_trouble_below_a_told_fault_keeps_its_sentence(app, caplog):
    from trainer.errors import TrainerError

    def view():
        try:
            raise OSError(28, "No space left on device")
        except OSError as fault:
            raise TrainerError("the bank cannot be stored: no space left") from fault

    app.add_url_rule("/breaks", "breaks", view)
    app.view_functions["breaks"].open_to = "visitors"
    answer = Visitor(app).get("/breaks")
    assert answer.status_code == 503
    assert "the bank cannot be stored: no space left" in answer.get_data(as_text=True)


@pytest.mark.parametrize("back", [timedelta(minutes=5), timedelta(days=3), timedelta(days=400)])
def test_a_clock_set_back_loses_nothing(app, visitor, clock, caplog, back):
    visitor.become_instructor()
    sheet = visitor.start()
    visitor.enter(sheet, "fraction", "0.1")
    clock.set(clock() - back)
    snapshot = snapshot_of(app, sheet)
    for step in snapshot.steps:
        assert visitor.enter(sheet, step.name, right(snapshot, step.name)).status_code == 303
    other = visitor.start()
    for address in (sheet, other, "/", "/progress/", "/skills/S3.2", "/teaching/", "/people/", "/backups/", "/kept/"):
        assert visitor.get(address).status_code == 200, address
    assert visitor.post("/backups/").status_code == 303
    assert caplog.records == []
