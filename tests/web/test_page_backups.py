"""The page of backups: when the last good one was made, a list to take from, and one made now."""

import io
import re
import zipfile
from datetime import timedelta

import pytest
from sqlalchemy import event
from web_visitors import Visitor, dump, services_of

from trainer.errors import TrainerError
from trainer.practice.accounts import add_person

NAME = "by-hand-20260302T073000.000000Z.zip"


@pytest.fixture
def teacher(app) -> Visitor:
    visitor = Visitor(app)
    visitor.become_instructor()
    return visitor


def text_of(page: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())


def test_before_the_first_one_the_page_says_when_it_comes(app, teacher):
    page = teacher.page("/backups/")
    assert "There is none yet. The trainer makes one a day by itself while it runs" in page
    assert page.count("button primary") == 1
    assert str(services_of(app).settings.data / "backups") in page
    assert "trainer restore FILE" in page
    assert 'href="/backups/"' in teacher.page("/teaching/")


def test_one_is_made_now_listed_and_taken(app, teacher, clock):
    answer = teacher.post("/backups/")
    assert (answer.status_code, answer.location) == (303, "/backups/")
    page = teacher.page("/backups/")
    assert "The backup is made, read back and found sound." in page
    assert "The last good backup was made just now: 2026-03-02 07:30 UTC." in page
    clock.advance(timedelta(minutes=50))
    shown = text_of(teacher.page("/backups/"))
    assert "The last good backup was made 50 minutes ago: 2026-03-02 07:30 UTC." in shown
    assert re.search(r"2026-03-02 07:30 UTC made by hand 0\.\d\d MB", shown)
    assert f'href="/backups/{NAME}"' in page
    file = teacher.get(f"/backups/{NAME}")
    assert file.status_code == 200
    assert file.headers["Content-Disposition"] == f"attachment; filename={NAME}"
    assert file.headers["Cache-Control"] == "private, no-store"
    with zipfile.ZipFile(io.BytesIO(file.data)) as packed:
        assert packed.testzip() is None
        assert set(packed.namelist()) == {"backup.json", "trainer.db"}


def test_size_and_age_stand_in_ones_own_way_of_writing(app, teacher, clock):
    teacher.post("/preferences/", decimal_sign=",", temperature_unit="°C")
    teacher.post("/backups/")
    assert re.search(r"0,\d\d MB", teacher.page("/backups/"))


def test_an_old_one_and_a_failure_are_told(app, teacher, clock, monkeypatch):
    teacher.post("/backups/")
    assert "long ago" not in teacher.page("/backups/")

    def full(*_args):
        raise TrainerError("no room for {it} <here>")

    monkeypatch.setattr("trainer.exchange.backup_shelf.write_backup", full)
    clock.advance(timedelta(days=3))
    teacher.post("/sign-in", name="Ina", passphrase="four tinned ferrules")
    answer = teacher.post("/backups/")
    assert answer.status_code == 400
    assert "no room for {it} &lt;here&gt;" in answer.get_data(as_text=True)
    page = teacher.page("/backups/")
    assert "The last good backup was made 3 days ago" in page
    assert "That is long ago for a trainer in use." in page
    assert "The newest try, 2026-03-05 07:30 UTC, failed: no room for {it} &lt;here&gt;" in page


# OWASP ASVS 5.0.0, V5.3.2: a name from outside decides no path.
@pytest.mark.parametrize(
    "name", ["secret.key", "trainer.db", "..%2fsecret.key", "%2e%2e%2fsecret.key", "notes.txt", "by-hand-.zip", "mine"]
)
def test_no_other_file_is_given_out(app, teacher, name):
    teacher.post("/backups/")
    (services_of(app).backups.folder / "notes.txt").write_text("x")
    answer = teacher.get(f"/backups/{name}")
    assert answer.status_code in (303, 404)
    if answer.status_code == 303:
        assert answer.location == "/backups/"
        assert "This backup is not there any more." in teacher.page("/backups/")


def test_a_learner_neither_sees_takes_nor_makes_one(app, teacher):
    teacher.post("/backups/")
    learner = Visitor(app)
    with services_of(app).database.writing() as session:
        code = add_person(session, "Lea", "learner", services_of(app).clock()).code
    words = "seven tinned ferrules"
    assert learner.post("/code", code=code, passphrase=words, again=words).status_code == 303
    for who, status in ((learner, 403), (Visitor(app), 303)):
        assert who.get("/backups/").status_code == status
        assert who.get(f"/backups/{NAME}").status_code == status
        assert who.post("/backups/").status_code == 403
    assert len(services_of(app).backups.kept()) == 1
    assert teacher.post("/backups/", None).status_code == 403
    assert len(services_of(app).backups.kept()) == 1


def test_looking_changes_neither_database_nor_folder(app, teacher):
    teacher.post("/backups/")
    teacher.page("/backups/")
    before, files = dump(app), sorted(services_of(app).settings.data.rglob("*"))
    teacher.page("/backups/")
    teacher.get(f"/backups/{NAME}")
    assert dump(app) == before
    assert sorted(services_of(app).settings.data.rglob("*")) == files


def test_the_number_of_queries_does_not_grow(app, teacher, clock):
    counts = []
    for _ in range(2):
        for _ in range(4):
            clock.advance(timedelta(seconds=1))
            services_of(app).backups.make()
        sent: list[str] = []
        listen = lambda _connection, _cursor, statement, *_rest, sent=sent: sent.append(statement)  # noqa: E731
        engine = services_of(app).database.readers
        event.listen(engine, "before_cursor_execute", listen)
        teacher.page("/backups/")
        event.remove(engine, "before_cursor_execute", listen)
        counts.append(len(sent))
    assert 0 < counts[0] == counts[1] <= 4
