"""What is kept of a person: true to the code, a copy for who it is about, and deletion."""

import json
import re
from html import unescape
from uuid import UUID

import pytest
from sqlalchemy import select
from web_visitors import Visitor, dump, learners, services_of

from trainer.practice import groups
from trainer.practice.accounts import TRIES, WINDOW, add_person
from trainer.storage.models import Base, SignInFailure, WebSession
from trainer.storage.records import NOT_EXPORTED, record_of
from trainer.storage.web_sessions import ABSOLUTE, GUEST_IDLE

WORDS = "four tinned ferrules"


def text_of(page: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def signed_in(app, name: str, role: str = "learner") -> Visitor:
    with services_of(app).database.writing() as session:
        code = add_person(session, name, role, services_of(app).clock()).code
    visitor = Visitor(app)
    assert visitor.post("/code", code=code, passphrase=WORDS, again=WORDS).status_code == 303
    return visitor


def copy_of(visitor: Visitor) -> dict:
    answer = visitor.get("/kept/record.json")
    assert (answer.status_code, answer.mimetype) == (200, "application/json")
    return json.loads(answer.data)


def test_the_page_is_open_to_all_and_tells_who_is_asking(app):
    visitor = Visitor(app)
    assert "Of this browser nothing is kept yet" in text_of(visitor.page("/kept/"))
    visitor.become_guest()
    assert "without an account and without a name" in text_of(visitor.page("/kept/"))
    assert "You are signed in as Lea." in text_of(signed_in(app, "Lea").page("/kept/"))


def test_only_instructors_are_told_where_the_files_lie(app, tmp_path):
    for visitor in (Visitor(app), signed_in(app, "Lea")):
        page = text_of(visitor.page("/kept/"))
        assert "On this PC, in the trainer's data folder" in page
        assert str(tmp_path) not in page
    page = text_of(signed_in(app, "Ina", "instructor").page("/kept/"))
    assert str(services_of(app).settings.data) in page
    assert str(services_of(app).database.file) in page


# Each number on the page is checked against what the program does, not against where the page takes it from.
def test_a_guest_is_known_as_long_as_the_page_says(app, clock):
    page = text_of(Visitor(app).page("/kept/"))
    days, most = map(
        int, re.search(r"for (\d+) days after your latest visit, and for (\d+) days at most", page).groups()
    )
    visitor = Visitor(app)
    guest = visitor.become_guest()
    begun = clock()
    while clock() - begun < ABSOLUTE - GUEST_IDLE:
        clock.advance(GUEST_IDLE * 0.9)
        assert "Take my record" in visitor.page("/kept/")
    assert (days, most) == (GUEST_IDLE.days, ABSOLUTE.days)
    late = Visitor(app)
    late.become_guest()
    clock.advance(GUEST_IDLE)
    assert "Take my record" not in late.page("/kept/")
    assert guest in learners(app)


def test_an_account_is_signed_out_after_the_minutes_that_the_page_says(app, clock):
    visitor = signed_in(app, "Lea")
    minutes = int(re.search(r"not used the trainer for (\d+) minutes", text_of(visitor.page("/kept/")))[1])
    assert minutes == services_of(app).settings.idle_minutes
    clock.advance(WINDOW * minutes / (WINDOW.total_seconds() / 60))
    assert "You are signed in" not in text_of(visitor.page("/kept/"))


def test_failed_tries_go_when_the_next_person_signs_in(app, clock):
    page = text_of(Visitor(app).page("/kept/"))
    assert f"older than {WINDOW.seconds // 60} minutes go when the next person signs in or joins" in page
    signed_in(app, "Lea")
    for _ in range(TRIES - 1):
        Visitor(app).post("/sign-in", name="Lea", passphrase="something else")
    clock.advance(WINDOW * 2)
    assert Visitor(app).post("/sign-in", name="Lea", passphrase=WORDS).status_code == 303
    with services_of(app).database.reading() as session:
        assert session.scalars(select(SignInFailure)).all() == []


def test_every_table_with_a_learner_is_in_the_copy_and_named_on_the_page(app):
    """A table that is added one day is in the record, or named here."""
    with services_of(app).database.reading() as session:
        record = record_of(session, UUID(int=1))
    hangs = {"learner"}
    while True:
        more = {
            table.name
            for table in Base.metadata.sorted_tables
            if any(key.column.table.name in hangs for key in table.foreign_keys)
        }
        if more <= hangs:
            break
        hangs |= more
    assert hangs - set(record) == NOT_EXPORTED | {"sign_in_code"}


def test_a_guest_takes_a_copy_of_everything_and_of_nobody_else(app):
    ada, ben = Visitor(app), Visitor(app)
    ada.become_guest()
    sheet = ada.start()
    ada.enter(sheet, "fraction", "0.4711")
    ben.become_guest()
    ben.enter(ben.start(), "fraction", "0.1234")
    copy = copy_of(ada)
    assert [entry["text"] for entry in copy["record"]["entry"]] == ["0.4711"]
    assert len(copy["record"]["attempt"]) == 1
    assert "0.1234" not in json.dumps(copy)


def test_a_copy_holds_nothing_that_lets_anybody_in(app):
    visitor = signed_in(app, "Lea")
    copy = json.dumps(copy_of(visitor))
    assert "Lea" in copy
    assert not any(word in copy for word in ("scrypt", "hash", "token_hash"))


def test_taking_a_copy_changes_nothing(app):
    visitor = signed_in(app, "Lea")
    visitor.page("/kept/")
    before = dump(app)
    copy_of(visitor)
    assert dump(app) == before


def test_who_is_not_known_has_no_copy(app):
    assert Visitor(app).get("/kept/record.json").status_code == 403


def test_a_guest_without_a_group_deletes_the_own_record_by_the_key_of_its_copy(app):
    visitor, other = Visitor(app), Visitor(app)
    guest, left = visitor.become_guest(), other.become_guest()
    visitor.enter(visitor.start(), "fraction", "0.45")
    key = copy_of(visitor)["deletion_key"]
    answer = visitor.post("/kept/delete", key=key.lower())
    assert (answer.status_code, answer.location) == (303, "/")
    assert "Your record is deleted" in visitor.page("/")
    assert guest not in learners(app)
    assert left in learners(app)
    assert "Of this browser nothing is kept yet" in text_of(visitor.page("/kept/"))
    with services_of(app).database.reading() as session:
        assert session.scalars(select(WebSession).where(WebSession.learner_id == guest)).all() == []


@pytest.mark.parametrize("key", ["", "ABCD-EFGH", "old"])
def test_a_wrong_or_an_old_key_deletes_nothing(app, key):
    visitor = Visitor(app)
    visitor.become_guest()
    old = copy_of(visitor)["deletion_key"]
    visitor.start()
    visitor.page("/kept/")
    before = dump(app)
    answer = visitor.post("/kept/delete", key=old if key == "old" else key)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 409
    assert "deleted with the key of its export" in page
    assert dump(app) == before


def test_who_has_results_elsewhere_asks_an_instructor(app, clock):
    visitor = Visitor(app)
    guest = visitor.become_guest()
    with services_of(app).database.writing() as session:
        group = groups.make_group(session, "Night shift", clock())
        groups.add_member(session, group.id, guest, clock())
        groups.remove_member(session, group.id, guest, clock())
    for asking in (visitor, signed_in(app, "Lea")):
        page = asking.page("/kept/")
        assert "Ask an instructor" in page
        assert "/kept/delete" not in page
        before = len(learners(app))
        answer = asking.post("/kept/delete", key=copy_of(asking)["deletion_key"])
        assert answer.status_code == 409
        assert "results of a group hang on it" in answer.get_data(as_text=True)
        assert len(learners(app)) == before


def test_a_name_is_shown_as_text(app):
    page = signed_in(app, "<script>{{7*7}}").page("/kept/")
    assert "&lt;script&gt;{{7*7}}" in page
    assert "<script>{{" not in page
