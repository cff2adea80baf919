"""Records between PCs on the pages: taken along by their owner, handed over, looked at and kept by an instructor."""

import io
import re
from html import unescape
from uuid import UUID

import pytest
from sqlalchemy import event
from web_visitors import Visitor, dump, learners, services_of

from trainer.exchange import arrivals
from trainer.exchange import handovers as files
from trainer.exchange.handovers import unpack
from trainer.practice import groups, people
from trainer.storage import handovers as kept
from trainer.storage.learners import add_learner
from trainer.storage.models import Learner
from trainer.storage.records import delete_record
from trainer.web import handovers as pages


@pytest.fixture
def instructor(app) -> Visitor:
    visitor = Visitor(app)
    visitor.become_instructor()
    return visitor


def text_of(answer) -> str:
    page = answer if isinstance(answer, str) else answer.get_data(as_text=True)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def person(app, name: str) -> UUID:
    with services_of(app).database.writing() as session:
        return add_learner(session, name, services_of(app).clock()).id


def worked(app, name: str = "Ada Pump") -> UUID:
    """Somebody with a name and a sheet under way."""
    visitor = Visitor(app)
    guest = visitor.become_guest()
    visitor.enter(visitor.start(), "fraction", "0.4711")
    with services_of(app).database.writing() as session:
        people.rename(session, guest, name, services_of(app).clock())
    return guest


def taken(instructor, learner) -> bytes:
    answer = instructor.get(f"/handovers/record?learner={learner}")
    assert answer.status_code == 200
    return answer.data


def forgotten(app, learner) -> None:
    """As if it were another PC, on which nobody knows this person."""
    with services_of(app).database.writing() as session:
        delete_record(session, learner)


def send(visitor, content: bytes, token: str | None = "own"):
    form = {"file": (io.BytesIO(content), "../../ada.handover")}
    if token == "own":
        form["csrf_token"] = visitor.csrf()
    return visitor.client.post("/handovers/", data=form, content_type="multipart/form-data")


def sent(visitor, content: bytes) -> tuple[str, str]:
    """Send a file in: its name and the page that shows it."""
    answer = send(visitor, content)
    assert answer.status_code == 303, text_of(answer)
    return answer.location.rpartition("=")[2], visitor.page(answer.location)


# Taking it along


def test_a_guest_takes_the_own_record_along_without_sheets_under_way(app):
    visitor, other = Visitor(app), Visitor(app)
    guest = visitor.become_guest()
    visitor.enter(visitor.start(), "fraction", "0.4711")
    other.become_guest()
    other.enter(other.start(), "fraction", "0.1234")
    assert "/handovers/mine" in visitor.page("/kept/")
    before = dump(app)
    answer = visitor.get("/handovers/mine")
    assert answer.headers["Content-Disposition"] == "attachment; filename=record-2026-03-02.handover"
    assert answer.headers["Cache-Control"] == "no-store"
    carried = unpack(answer.data).carried
    assert (carried.learner["id"], carried.stays) == (guest, 1)
    assert carried.tables["attempt"] == carried.tables["entry"] == carried.tables["mark"] == []
    assert dump(app) == before


def test_who_is_not_known_has_nothing_to_take_along(app):
    assert Visitor(app).get("/handovers/mine").status_code == 403


def test_an_instructor_hands_over_anybody_with_all_their_sheets(app, instructor):
    learner = worked(app)
    page = instructor.page(f"/people/{learner}")
    assert f"/handovers/record?learner={learner}" in page
    before = dump(app)
    answer = instructor.get(f"/handovers/record?learner={learner}")
    assert answer.headers["Content-Disposition"] == "attachment; filename=Ada-Pump-2026-03-02.handover"
    carried = unpack(answer.data).carried
    assert [row["text"] for row in carried.tables["entry"]] == ["0.4711"]
    assert dump(app) == before


@pytest.mark.parametrize("wrong", ["x", str(UUID(int=4)), "../secret.key"])
def test_nobody_of_that_id_is_handed_over(instructor, wrong):
    assert instructor.get("/handovers/record", query_string={"learner": wrong}).status_code == 404


def test_a_learner_hands_over_and_collects_nobody(app, instructor):
    learner = worked(app)
    content = taken(instructor, learner)
    visitor = Visitor(app)
    with services_of(app).database.writing() as session:
        made = people.add_person(session, "Lea", services_of(app).clock())
    visitor.post("/code", code=made.code, passphrase="four tinned ferrules", again="four tinned ferrules")
    before = dump(app)
    assert visitor.get(f"/handovers/record?learner={learner}").status_code == 403
    assert visitor.get("/handovers/look?file=" + "0" * 64).status_code == 403
    assert send(visitor, content).status_code == 403
    assert visitor.post("/handovers/keep", file="0" * 64).status_code == 403
    assert send(Visitor(app), content).status_code == 403
    assert dump(app) == before


# Collecting


def test_a_file_is_looked_at_before_it_is_kept(app, instructor):
    learner = worked(app)
    content = taken(instructor, learner)
    forgotten(app, learner)
    before = dump(app)
    name, page = sent(instructor, content)
    shown = text_of(page)
    assert "Ada Pump" in shown
    assert "This record is new here" in shown
    assert "1 sheet 1 entry" in shown
    assert "Nothing has been kept yet." in shown
    assert "Made on this PC." in shown
    assert dump(app) == before
    answer = instructor.post("/handovers/keep", file=name, into="")
    assert (answer.status_code, answer.location) == (303, f"/people/{learner}")
    person_page = instructor.page(answer.location)
    assert "The record of Ada Pump is kept: 1 sheet; 1 entry." in text_of(person_page)
    assert "Make an account and show its code" in person_page
    assert unpack(taken(instructor, learner)).carried == unpack(content).carried
    assert "Ada Pump" in text_of(instructor.page("/handovers/").partition("No account")[2])
    assert instructor.get(f"/handovers/look?file={name}").status_code == 404  # it has served its turn


def test_what_is_here_already_is_said_and_changes_nothing(app, instructor):
    learner = worked(app)
    name, page = sent(instructor, taken(instructor, learner))
    assert "This very record is here already" in text_of(page)
    assert "all of it is here already" in text_of(page)
    assert "Keep it" not in page
    state = unpack(taken(instructor, learner)).carried
    instructor.post("/handovers/keep", file=name)
    assert unpack(taken(instructor, learner)).carried == state


def test_a_file_can_be_left(app, instructor):
    learner = worked(app)
    content = taken(instructor, learner)
    forgotten(app, learner)
    name, _ = sent(instructor, content)
    assert instructor.post("/handovers/leave", file=name).location == "/handovers/"
    assert learner not in learners(app)
    assert instructor.post("/handovers/keep", file=name).status_code == 404
    assert learner not in learners(app)


def test_the_same_name_is_offered_first_and_never_chosen_by_itself(app, instructor):
    learner = worked(app)
    content = taken(instructor, learner)
    forgotten(app, learner)
    person(app, "Zeno Weir")
    same = person(app, "ada pump")
    name, page = sent(instructor, content)
    options = re.findall(r'<option value="([^"]*)"( selected)?', page.partition('name="into"')[2])
    assert options[0][0] == ""
    assert options[1][0] == str(same)
    assert " selected" not in "".join(chosen for value, chosen in options if value)
    before = dump(app)
    for told in ({}, {"do": "look"}):  # somebody else was chosen than the page was about: look first
        answer = instructor.post("/handovers/keep", file=name, seen="" if not told else same, into=same, **told)
        assert answer.location == f"/handovers/look?file={name}&into={same}"
    assert dump(app) == before
    page = instructor.page(answer.location)
    assert "The work would go to the record of: ada pump" in text_of(page)
    answer = instructor.post("/handovers/keep", file=name, into=same)
    assert answer.location == f"/people/{same}"
    assert learner not in learners(app)
    assert len(unpack(taken(instructor, same)).carried.tables["attempt"]) == 1


def test_work_that_stands_under_another_record_is_proposed_for_it_and_never_moved(app, instructor):
    learner = worked(app)
    content = taken(instructor, learner)
    forgotten(app, learner)
    other, third = person(app, "Bea Loop"), person(app, "Cem Span")
    name, _ = sent(instructor, content)
    instructor.post("/handovers/keep", file=name, into=other)
    name, page = sent(instructor, content)
    assert "stands here already under the record of Bea Loop" in text_of(page)
    assert re.search(rf'value="{other}" selected', page)
    instructor.page("/people/")
    before = dump(app)
    for into in ("", str(third)):
        answer = instructor.post("/handovers/keep", file=name, into=into)
        assert answer.status_code == 409
        assert "under the record of Bea Loop" in text_of(answer)
        assert "nothing was taken" in text_of(answer)
        assert instructor.get(f"/handovers/look?file={name}&into={into}").status_code == 409
    assert dump(app) == before
    assert instructor.post("/handovers/keep", file=name, into=other).status_code == 303


def test_an_account_here_stays_as_it_is(app, instructor):
    learner = worked(app)
    content = taken(instructor, learner)
    with services_of(app).database.writing() as session:
        people.give_account(session, learner, services_of(app).clock())
        people.rename(session, learner, "Ada Weir", services_of(app).clock())
    name, _ = sent(instructor, content)
    instructor.post("/handovers/keep", file=name)
    assert "Ada Weir" in instructor.page(f"/people/{learner}")


# What is refused


def test_no_file_is_told_beside_the_box(instructor):
    answer = instructor.post("/handovers/")
    assert answer.status_code == 400
    assert "Choose the file that was handed over." in text_of(answer)
    assert 'id="error-file"' in answer.get_data(as_text=True)


@pytest.mark.parametrize("content", [b"name,group\nAda,Night", b"PK\x03\x04 but no archive"], ids=["text", "odd"])
def test_a_file_of_another_kind_is_refused_and_not_put_by(app, instructor, content):
    instructor.page("/handovers/")
    before = dump(app)
    answer = send(instructor, content)
    assert answer.status_code == 400
    assert "no record handed over by this program" in text_of(answer)
    assert dump(app) == before
    assert not (services_of(app).settings.data / arrivals.FOLDER).exists()


def test_a_cut_file_is_refused(app, instructor):
    content = taken(instructor, worked(app))
    answer = send(instructor, content[:-40])
    assert answer.status_code == 400
    assert "damaged or was cut off" in text_of(answer)


# OWASP ASVS 5.0.0, V5.2.1: a size that can be handled, and not a byte more.
def test_a_file_of_the_largest_size_is_looked_at_and_one_byte_more_is_not(app, instructor, monkeypatch):
    content = taken(instructor, worked(app))
    for module in (files, pages):
        monkeypatch.setattr(module, "LARGEST_FILE", len(content))
    assert send(instructor, content).status_code == 303
    for module in (files, pages):
        monkeypatch.setattr(module, "LARGEST_FILE", len(content) - 1)
    assert send(instructor, content).status_code == 413


def test_a_form_far_beyond_the_largest_file_is_refused_before_it_is_read(instructor, monkeypatch):
    monkeypatch.setattr(pages, "LARGEST_FILE", 1000)
    token = instructor.csrf()
    form = {"file": (io.BytesIO(bytes(200_000)), "x.handover"), "csrf_token": token}
    answer = instructor.client.post("/handovers/", data=form, content_type="multipart/form-data")
    assert answer.status_code == 413
    assert "too large" in text_of(answer)


@pytest.mark.parametrize(
    "name", ["../../secret.key", "/etc/passwd", "CON", "0" * 63, "0" * 64, "G" * 64, "a\0b", "é" * 64]
)
def test_a_name_that_waits_nowhere_leads_nowhere(instructor, name):
    for address in ("/handovers/keep", "/handovers/leave"):
        assert instructor.post(address, file=name).status_code == 404
    answer = instructor.get("/handovers/look", query_string={"file": name})
    assert answer.status_code == 404
    assert "send it again" in text_of(answer)


def test_a_file_that_was_changed_while_it_waited_is_not_kept(app, instructor):
    learner = worked(app)
    content = taken(instructor, learner)
    forgotten(app, learner)
    name, _ = sent(instructor, content)
    (services_of(app).settings.data / arrivals.FOLDER / name).write_bytes(content + b"x")
    assert instructor.post("/handovers/keep", file=name).status_code == 404
    assert learner not in learners(app)


def test_files_that_wait_are_for_their_owner_alone_and_go_after_a_day(app, instructor, clock):
    content = taken(instructor, worked(app))
    name, _ = sent(instructor, content)
    folder = services_of(app).settings.data / arrivals.FOLDER
    assert (folder / name).stat().st_mode & 0o077 == 0
    clock.advance(2 * arrivals.WAIT)
    arrivals.put_by(services_of(app).settings.data, b"another", clock())
    assert not (folder / name).exists()


def test_a_forged_form_keeps_nothing(app, instructor):
    learner = worked(app)
    content = taken(instructor, learner)
    forgotten(app, learner)
    name, _ = sent(instructor, content)
    assert instructor.post("/handovers/keep", None, file=name).status_code == 403
    assert send(instructor, content, None).status_code == 403
    assert learner not in learners(app)


@pytest.mark.parametrize("odd", ["<script>alert(1)</script>", "{{7*7}}", '"><b>'])
def test_names_are_shown_as_text(app, instructor, odd):
    learner = worked(app, odd)
    content = taken(instructor, learner)
    forgotten(app, learner)
    person(app, odd)
    name, page = sent(instructor, content)
    kept = instructor.post("/handovers/keep", file=name)
    for shown in (page, instructor.page(kept.location), instructor.page("/handovers/")):
        assert odd in unescape(shown)
        assert "<script>alert" not in shown
        assert '"><b>' not in shown


def test_a_refused_record_writes_no_row(app, instructor, monkeypatch):
    """All of it or nothing (V2.3.3): a fault in the middle leaves no row."""
    learner = worked(app)
    content = taken(instructor, learner)
    forgotten(app, learner)
    name, _ = sent(instructor, content)
    added = kept.add_rows

    def breaks(session, table, rows):
        if table == "mark":
            raise RuntimeError("the disk is full")
        added(session, table, rows)

    monkeypatch.setattr(kept, "add_rows", breaks)
    assert instructor.post("/handovers/keep", file=name).status_code == 500
    assert learner not in learners(app)
    monkeypatch.undo()
    assert instructor.post("/handovers/keep", file=name).status_code == 303


def test_the_list_takes_as_many_queries_for_many_people_as_for_few(app, instructor):
    sent_now: list[str] = []
    engine = services_of(app).database.readers
    event.listen(engine, "before_cursor_execute", lambda *told: sent_now.append(told[2]))
    instructor.page("/handovers/")
    few = len(sent_now)
    with services_of(app).database.writing() as session:
        group = groups.make_group(session, "Night shift", services_of(app).clock())
        for number in range(20):
            made = people.add_person(session, f"Person {number}", services_of(app).clock(), group_id=group.id)
            assert isinstance(session.get(Learner, made.account.learner_id), Learner)
            add_learner(session, f"Guest {number}", services_of(app).clock())
    sent_now.clear()
    page = instructor.page("/handovers/")
    assert "Guest 19" in page
    assert len(sent_now) == few
