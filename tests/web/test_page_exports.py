"""Results, problems, people and statements as files: what is in them, who gets them, how they are sent."""

import csv
import json
import re
from datetime import timedelta
from io import StringIO

import pytest
from set_shop import RIGHT, SLIP, WRONG, Shop
from sqlalchemy import event
from web_visitors import Visitor, dump, services_of

from trainer.exchange import csv_files
from trainer.storage.groups import members_of
from trainer.web import exports

SCRIPT = "<script>{{7*7}}"


@pytest.fixture
def ina(app) -> Visitor:
    visitor = Visitor(app)
    visitor.become_instructor()
    return visitor


@pytest.fixture
def shop(app, library, clock):
    """A group with an assessed set of two problems; what it does is kept when the block ends."""

    class Open:
        def __enter__(self) -> Shop:
            self.block = services_of(app).database.writing()
            return Shop(self.block.__enter__(), clock, library)

        def __exit__(self, *fault) -> None:
            self.block.__exit__(*fault)

    return Open


@pytest.fixture
def given(shop):
    """A set that Ada worked right, somebody with a formula for a name with a slip, and Cas has begun."""
    with shop() as opened:
        made = opened.open(title="Week 1: loops")
        opened.work(opened.learner("Ada Pump"), made, RIGHT)
        opened.work(opened.learner("=1+1"), made, {"booster": SLIP, "header": WRONG["header"]})
        opened.start(opened.learner("Cas, the third"), made)
        return made.id


def rows(answer) -> list[dict[str, str]]:
    assert answer.status_code == 200
    assert answer.data.startswith(b"\xef\xbb\xbf")
    assert b"\r\n" in answer.data
    assert b"\n" not in answer.data.replace(b"\r\n", b"")
    return list(csv.DictReader(StringIO(answer.data.decode("utf-8-sig"), newline="")))


def test_results_come_as_learners_by_problems(ina, given):
    answer = ina.get(f"/sets/{given}/results.csv")
    assert answer.headers["Content-Type"] == "text/csv; charset=utf-8"
    assert answer.headers["Content-Disposition"] == "attachment; filename=results-Week-1-loops.csv"
    found = {row["name"]: row for row in rows(answer)}
    assert list(found) == ["'=1+1", "Ada Pump", "Cas, the third"]
    ada, slipped, third = found["Ada Pump"], found["'=1+1"], found["Cas, the third"]
    assert (ada["state"], ada["total"], ada["1 booster"], ada["2 header"]) == ("passed", "1", "1", "1")
    assert (slipped["state"], slipped["total"], slipped["1 booster"]) == ("not passed", "0.25", "0.5")  # (0.5 + 0)/2
    assert (third["state"], third["total"], third["handed in"]) == ("working", "", "")
    assert ada["handed in"] == "2026-03-02T07:35:00Z"
    assert len({row["learner"] for row in found.values()}) == 3


def test_statistics_of_problems_come_as_a_file(ina, given):
    answer = ina.get(f"/sets/{given}/items.csv")
    found = rows(answer)
    assert answer.headers["Content-Disposition"] == "attachment; filename=problems-Week-1-loops.csv"
    assert [(row["number"], row["problem"], row["learners"], row["sum of marks"]) for row in found] == [
        ("1", "booster", "2", "1.5"),
        ("2", "header", "2", "1"),
    ]
    assert {(row["p"], row["alpha of the set"]) for row in found} == {("", "")}


def test_people_come_as_a_file(app, ina, given):
    found = {row["name"]: row for row in rows(ina.get("/people.csv"))}
    assert (found["Ina"]["role"], found["Ina"]["groups"]) == ("instructor", "")
    assert (found["Ada Pump"]["role"], found["Ada Pump"]["groups"]) == ("guest", "Night shift")
    assert "'=1+1" in found
    assert not any(secret in ina.get("/people.csv").data for secret in (b"scrypt", b"hash"))


def test_statements_come_a_line_each(ina, given):
    answer = ina.get(f"/sets/{given}/statements.jsonl")
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "application/jsonl"
    assert answer.headers["Content-Disposition"] == "attachment; filename=statements-Week-1-loops.jsonl"
    told = [json.loads(line) for line in answer.data.decode("utf-8").splitlines()]
    verbs = [each["verb"]["display"]["en"] for each in told]
    assert {verb: verbs.count(verb) for verb in verbs} == {"answered": 8, "completed": 4, "passed": 1, "failed": 1}
    assert {each["actor"]["name"] for each in told} == {"Ada Pump", "=1+1"}


FILES = ("results.csv", "items.csv", "statements.jsonl")


@pytest.mark.parametrize("name", FILES)
def test_a_set_that_there_is_not_has_no_file(ina, name):
    assert ina.get(f"/sets/0198c0de-0000-7000-8000-000000000000/{name}").status_code == 404


def test_files_are_for_instructors(app, given, shop, clock):
    with services_of(app).database.writing() as session:
        from trainer.practice.accounts import add_person

        code = add_person(session, "Lea", "learner", clock()).code
    visitor, learner = Visitor(app), Visitor(app)
    assert (
        learner.post("/code", code=code, passphrase="four tinned ferrules", again="four tinned ferrules").status_code
        == 303
    )
    for address in ("/people.csv", *(f"/sets/{given}/{name}" for name in FILES)):
        assert visitor.get(address).status_code == 303
        assert learner.get(address).status_code == 403


def test_giving_out_files_changes_nothing(app, ina, given):
    ina.page("/")
    before = dump(app)
    for address in ("/people.csv", *(f"/sets/{given}/{name}" for name in FILES)):
        assert ina.get(address).status_code == 200
    assert dump(app) == before


def test_names_are_text_wherever_they_end_up(app, ina, shop):
    with shop() as opened:
        made = opened.open(title=SCRIPT)
        opened.work(opened.learner(SCRIPT), made, RIGHT)
    answer = ina.get(f"/sets/{made.id}/results.csv")
    assert answer.headers["Content-Disposition"] == "attachment; filename=results-script-7-7.csv"
    assert rows(answer)[0]["name"] == SCRIPT
    assert answer.headers["X-Content-Type-Options"] == "nosniff"


def statements(app, visitor, address: str) -> int:
    sent: list[str] = []

    def listen(_connection, _cursor, statement, *_rest) -> None:
        sent.append(statement)

    readers = services_of(app).database.readers
    event.listen(readers, "before_cursor_execute", listen)
    assert visitor.get(address).status_code == 200
    event.remove(readers, "before_cursor_execute", listen)
    return len(sent)


def test_files_take_the_same_queries_for_any_number_of_learners(app, ina, shop, clock):
    with shop() as opened:
        made = opened.open()
        opened.work(opened.learner("Ada"), made, RIGHT)
        addresses = ("/people.csv", *(f"/sets/{made.id}/{name}" for name in FILES))
    few = [statements(app, ina, address) for address in addresses]
    with services_of(app).database.writing() as session:
        opened.session = session
        for number in range(8):
            opened.work(opened.learner(f"Learner {number}"), made, RIGHT)
        assert len(members_of(session, opened.group.id)) == 9
    clock.advance(timedelta(seconds=1))
    assert [statements(app, ina, address) for address in addresses] == few
    assert max(few) <= 10


def test_a_file_is_sent_while_it_is_made(app, ina, given, monkeypatch):
    monkeypatch.setattr(csv_files, "ROWS_AT_ONCE", 1)
    answer = ina.client.get(f"/sets/{given}/results.csv")
    assert answer.is_streamed
    chunks = list(answer.response)
    assert len(chunks) >= 3
    assert all(len(re.findall(b"\r\n", chunk)) <= 2 for chunk in chunks)


@pytest.mark.parametrize("text", ["", ".", "../../etc/passwd", "CON:?*", "é\r\nX: y", "x" * 500])
def test_a_file_name_is_harmless(text):
    assert re.fullmatch(r"[A-Za-z0-9-]{1,80}\.csv", exports.file_name(f"{text}.csv"))
