"""Sheets of sets for practice, the ordinary sheets of problems in sets, and what is told to look wrong."""

import pytest
from set_room import BRINE, GATE, INSTRUCTOR, Room
from web_visitors import Visitor, attempt_of, dump, right, services_of

from trainer.practice import reviews
from trainer.storage.models import Complaint


@pytest.fixture
def room(app) -> Room:
    return Room(app)


@pytest.fixture
def ada(app, visitor, room) -> Visitor:
    room.admit(visitor.become_guest())
    return visitor


def told(answer) -> str:
    return answer.get_data(as_text=True)


def right_texts(room, address, number=1) -> dict[str, str]:
    kept = room.snapshot(address, number)
    return {step.name: right(kept, step.name) for step in kept.steps}


# Practice


def test_practice_checks_at_once_with_another_go_and_help(room, ada):
    address = room.begin(ada, room.open(kind="practice", problems=((BRINE, "guided"), (BRINE, "unguided"))))
    answer = ada.enter(f"{address}/1", "fraction", "0.987")
    assert answer.status_code == 303
    assert answer.location == f"{address}/1?checked=fraction#step-fraction"
    page = ada.page(answer.location)
    assert "Marked to mend:" in page
    texts = right_texts(room, address)
    ada.enter(f"{address}/1", "fraction", texts["fraction"])
    ada.enter(f"{address}/1", "value", texts["value"])
    page = ada.page(f"{address}/1")
    assert "The sheet is right." in page
    assert f'href="{address}/2"' in page
    assert ada.post(f"{address}/2/steps").status_code == 303
    assert "entry-fraction" in ada.page(f"{address}/2")
    assert ada.get(f"{address}/2/solution").location == f"{address}/2"
    answer = ada.post(f"{address}/2/solution")
    assert answer.location == f"{address}/2/solution"
    assert right(room.snapshot(address, 2), "value") in ada.page(answer.location)
    assert ada.get(f"/sheets/{room.attempts(address)[1].id}/figure/solved-dark.svg").status_code == 200
    assert "seen worked" in ada.page(address)
    ada.post(f"{address}/hand-in")
    assert "Worked solution" in ada.page(f"{address}/1")
    assert texts["value"] in ada.page(f"{address}/1/solution")


def test_entries_hints_and_solutions_are_not_for_assessed_sets(app, room, ada):
    address = room.begin(ada, room.open(problems=((BRINE, "unguided"),)))
    before = dump(app)
    assert ada.enter(f"{address}/1", "value", "1").status_code == 409
    assert ada.post(f"{address}/1/steps").status_code == 409
    assert ada.post(f"{address}/1/solution").status_code == 409
    assert ada.enter(f"{address}/1", "value", "1", token="x" * 65).status_code == 400
    assert dump(app) == before


# The ordinary sheet of a problem in a set


@pytest.mark.parametrize("kind", ["assessed", "practice"])
def test_the_ordinary_sheet_leads_to_the_try(app, room, ada, kind):
    address = room.begin(ada, room.open(kind=kind, problems=((GATE, "guided"), (BRINE, "unguided"))))
    sheet = f"/sheets/{room.attempts(address)[1].id}"
    before = dump(app)
    assert ada.get(sheet).location == f"{address}/2"
    assert ada.get(f"{sheet}/solution").location == sheet
    assert ada.get(f"{sheet}/figure/open-light.svg").status_code == 200
    assert ada.get(f"{sheet}/figure/solved-light.svg").status_code == 404
    for answer in (ada.enter(sheet, "value", "1"), ada.post(f"{sheet}/steps"), ada.post(f"{sheet}/solution")):
        assert answer.status_code == 409
        assert "part of a problem set" in told(answer)
    assert dump(app) == before


# This problem looks wrong


def complaints(app) -> list[tuple[str, str]]:
    with services_of(app).database.reading() as session:
        return [(str(each.attempt_id), each.text) for each in session.query(Complaint)]


def test_a_problem_that_looks_wrong_is_told_from_any_sheet(app, room, ada):
    address = room.begin(ada, room.open())
    of_set, alone = room.attempts(address)[0].id, attempt_of(ada.start())
    for attempt, back in ((of_set, f"{address}/1"), (alone, f"/sheets/{alone}")):
        assert f'action="/sheets/{attempt}/complaint"' in ada.page(back)
        answer = ada.post(f"/sheets/{attempt}/complaint", text="The <b>unit</b> is missing.")
        assert (answer.status_code, answer.location) == (303, back)
        page = ada.page(back)
        assert "Your instructor has this now" in page
        assert "The &lt;b&gt;unit&lt;/b&gt; is missing." in page
    assert complaints(app) == [(str(each), "The <b>unit</b> is missing.") for each in (of_set, alone)]
    ada.post(f"/sheets/{alone}/solution")
    solution = ada.page(f"/sheets/{alone}/solution")
    assert "not answered yet" in solution
    with services_of(app).database.writing() as session:
        (_, row) = reviews.complaints(session)
        reviews.answer(session, row.complaint.id, "Mended, thank you.", INSTRUCTOR, room.clock())
    assert "Mended, thank you." in ada.page(f"/sheets/{alone}/solution")


@pytest.mark.parametrize(("text", "status"), [("  ", 400), ("long " * 500, 400), ("Something else", 409)])
def test_a_complaint_that_is_not_taken_keeps_its_text(app, ada, text, status):
    sheet = ada.start()
    ada.post(f"{sheet}/complaint", text="First.")
    answer = ada.post(f"{sheet}/complaint", text=text)
    assert answer.status_code == status
    page = told(answer)
    assert text.strip() in page
    assert f'href="{sheet}"' in page
    assert [said for _, said in complaints(app)] == ["First."]


def test_a_worked_example_has_nothing_to_complain_about(ada):
    assert "complaint" not in ada.page(f"/problems/{BRINE}/example/1")
