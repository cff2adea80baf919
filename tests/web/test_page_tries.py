"""An assessed try on the pages: drafts kept and not checked, hand-in, time limit, what came of it."""

import re
from datetime import timedelta

import pytest
from set_room import BATH, BRINE, GATE, INSTRUCTOR, Room, keep
from web_visitors import Visitor, csrf_in, dump, right, services_of

from trainer.practice import reviews
from trainer.storage.models import SetTry
from trainer.storage.results import values_of


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


# Assessed: kept, not checked


def test_what_is_kept_comes_back_and_is_not_checked(room, ada):
    address = room.begin(ada, room.open())
    answer = keep(ada, address, fraction="0.9", value="-2.5")
    assert (answer.status_code, answer.location) == (303, f"{address}/1")
    page = ada.page(answer.location)
    assert "Kept 07:30:00 UTC." in page
    assert 'value="0.9"' in page
    assert 'value="-2.5"' in page
    assert "Marked" not in page
    assert room.drafts(address) == {"fraction": "0.9", "value": "-2.5"}
    assert room.verdicts(address) == []


def test_the_buttons_lead_on(room, ada):
    address = room.begin(ada, room.open(problems=((BRINE, "guided"), (BRINE, "guided"))))
    assert keep(ada, address, fraction="1", then="on").location == f"{address}/2"
    assert keep(ada, address, number=2, fraction="1", then="on").location == address
    assert keep(ada, address, fraction="1", then="list").location == address
    assert "1 of 2 steps filled" in ada.page(address)


def test_an_old_page_sent_again_undoes_nothing(room, ada):
    address = room.begin(ada, room.open())
    keep(ada, address, fraction="0.5", value="7")
    keep(ada, address, fraction="", value="8")  # from a page that was made before: only the value was typed anew
    assert room.drafts(address) == {"fraction": "0.5", "value": "8"}
    keep(ada, address, was={"fraction": "0.5"}, fraction="")
    assert room.drafts(address) == {"value": "8"}


def test_all_of_a_form_is_kept_or_nothing(app, room, ada):
    address = room.begin(ada, room.open())
    before = dump(app)
    answer = keep(ada, address, fraction="0.5", value="9" * 5000)
    assert answer.status_code == 409
    page = told(answer)
    assert "too long" in page
    assert 'value="0.5"' in page  # what was typed is in its box still
    assert dump(app) == before


def test_what_cannot_be_read_is_told_and_kept(room, ada):
    address = room.begin(ada, room.open())
    page = ada.page(keep(ada, address, fraction="half", value="12 furlong").location)
    assert "furlong is no unit known here" in page
    assert room.drafts(address) == {"fraction": "half", "value": "12 furlong"}


def test_things_in_order_are_kept_with_gaps_and_a_place_given_twice_is_told(room, ada):
    address = room.begin(ada, room.open(problems=((BATH, "guided"),)))
    kept = room.snapshot(address)
    step = next(step for step in kept.steps if step.kind == "order")
    page = ada.page(f"{address}/1")
    options = sorted(step.options)

    def send(*places):
        cells = {f"entry.{step.name}-{index}": place for index, place in enumerate(places)}
        return ada.post(f"{address}/1", csrf_in(page), **{f"was.{step.name}": "?"}, **cells)

    assert send("2", "5").status_code == 303
    assert room.drafts(address) == {step.name: f";{options[0]};;;{options[1]}"}
    shown = ada.page(f"{address}/1")
    assert re.findall(r'<option value="(\d)" selected>', shown) == ["2", "5"]
    answer = send("2", "2", "4")
    assert answer.status_code == 400
    assert "A place is given twice." in told(answer)
    assert room.drafts(address) == {step.name: f";{options[0]};;;{options[1]}"}
    send("", "")
    assert room.drafts(address) == {}


def test_a_row_and_several_are_kept(room, ada):
    address = room.begin(ada, room.open(problems=((GATE, "guided"),)))
    kept = room.snapshot(address)
    row, several = kept.steps
    form = {f"was.{row.name}": "", f"was.{several.name}": "", f"entry.{several.name}": list(several.options[:2])}
    ada.post(f"{address}/1", **form, **{f"entry.{row.name}-0": "4", f"entry.{row.name}-2": "5"})
    assert room.drafts(address) == {row.name: "4;;5", several.name: ";".join(several.options[:2])}
    page = ada.page(f"{address}/1")
    assert page.count("checked>") == 2
    assert 'value="4"' in page
    assert 'value="5"' in page


def test_a_step_that_is_not_asked_is_not_kept(app, room, ada):
    address = room.begin(ada, room.open(problems=((BRINE, "unguided"),)))
    before = dump(app)
    assert keep(ada, address, fraction="0.5").status_code == 409
    assert dump(app) == before
    assert 'name="entry.fraction"' not in ada.page(f"{address}/1")


def box(visitor, address, step, text, number=1):
    return visitor.post(f"{address}/{number}/box", step=step, **{f"entry.{step}": text})


def test_one_box_is_kept_for_the_script(room, ada):
    address = room.begin(ada, room.open(minutes=10))
    room.minutes(1)
    answer = box(ada, address, "fraction", "0.5 furlong")
    assert answer.status_code == 200
    assert answer.json["kept"] == "Kept 07:31:00 UTC."
    assert answer.json["text"] == "0.5 furlong"
    assert answer.json["left"] == 540
    assert "furlong" in answer.json["said"]
    assert box(ada, address, "value", "9").json["said"] == ""
    assert room.drafts(address) == {"fraction": "0.5 furlong", "value": "9"}
    assert box(ada, address, "fraction", " ").status_code == 200
    assert room.drafts(address) == {"value": "9"}


def test_a_box_that_cannot_be_kept_is_answered_in_json(app, room, ada):
    address = room.begin(ada, room.open())
    before = dump(app)
    for step, text, status in (("nothing", "1", 404), ("fraction", "1" * 5000, 409)):
        answer = box(ada, address, step, text)
        assert (answer.status_code, answer.mimetype) == (status, "application/json")
        assert answer.json["sentence"]
    assert ada.client.post(f"{address}/1/box", data={"step": "fraction", "entry.fraction": "1"}).status_code == 403
    assert dump(app) == before


# Hand-in


def test_the_hand_in_lists_what_is_open_and_then_marks_all_at_once(app, room, ada):
    address = room.begin(ada, room.open(problems=((BRINE, "guided"), (BRINE, "guided"))))
    texts = right_texts(room, address)
    keep(ada, address, fraction=texts["fraction"], value="about zero")
    page = ada.page(f"{address}/hand-in")
    assert "These steps would count nothing as they are:" in page
    assert page.count(": empty") == 2
    assert "Fraction of span" in page  # of the second problem
    answer = ada.post(f"{address}/hand-in")
    assert (answer.status_code, answer.location) == (303, address)
    assert room.verdicts(address) == [("fraction", texts["fraction"], "right"), ("value", "about zero", "unread")]
    after = dump(app)
    assert ada.post(f"{address}/hand-in").status_code == 303  # the same form twice
    assert dump(app) == after
    assert keep(ada, address, fraction="0.1").status_code == 409
    assert box(ada, address, "fraction", "0.1").status_code == 409
    assert dump(app) == after


def test_after_the_hand_in_values_and_verdicts_are_shown_but_no_solution(room, ada):
    given = room.open(problems=((BRINE, "guided"),))
    address = room.begin(ada, given)
    texts = right_texts(room, address)
    keep(ada, address, fraction=texts["fraction"], value="99999")
    ada.post(f"{address}/hand-in")
    result = ada.page(address)
    assert "50 %" in result
    assert "Worked solutions are shown when your instructor opens them." in result
    sheet = ada.page(f"{address}/1")
    assert "Right." in sheet
    assert "Not right." in sheet
    assert texts["value"] not in sheet
    assert "more</summary>" not in sheet
    assert ada.get(f"{address}/1/solution").location == f"{address}/1"
    figure = f"/sheets/{room.attempts(address)[0].id}/figure"
    assert ada.get(f"{figure}/open-light.svg").status_code == 200
    assert ada.get(f"{figure}/solved-light.svg").status_code == 404
    room.close(given, release_solutions=True)
    assert texts["value"] in ada.page(f"{address}/1/solution")
    assert ada.get(f"{figure}/solved-light.svg").status_code == 200
    assert "more</summary>" not in ada.page(f"{address}/1")


def test_what_the_instructor_says_is_shown(app, room, ada):
    address = room.begin(ada, room.open())
    ada.post(f"{address}/hand-in")
    attempt = room.attempts(address)[0].id
    with services_of(app).database.writing() as session:
        reviews.remark(session, attempt, "Draw it <i>first</i>.", INSTRUCTOR, room.clock())
        reviews.override(session, attempt, 0.75, "The meter was off.", INSTRUCTOR, room.clock())
    sheet, result = ada.page(f"{address}/1"), ada.page(address)
    assert "Draw it &lt;i&gt;first&lt;/i&gt;." in sheet
    assert "The meter was off." in sheet
    assert "75 %" in result
    assert "marked by your instructor" in result


# The time


def test_the_time_left_is_shown_and_after_it_nothing_is_taken(app, room, ada):
    address = room.begin(ada, room.open(minutes=30))
    keep(ada, address, fraction="0.5")
    room.minutes(10)
    assert ">20:00</span>" in ada.page(f"{address}/1")
    room.minutes(20.4)  # what was on its way is taken still
    assert box(ada, address, "value", "7").status_code == 200
    assert ada.get(f"{address}/1").location == address  # but nothing more is asked
    room.minutes(0.2)
    page = ada.page(address)
    assert "The time for this try is over." in page
    assert "It ended 2026-03-02 08:00 UTC." in page
    assert room.set_try(address).handed_in is None  # looking did not hand it in
    assert "the time is over" in ada.page("/")
    ada.post(f"{address}/hand-in")
    done = room.set_try(address)
    assert done.handed_in == done.ends
    assert [text for _, text, _ in room.verdicts(address)] == ["0.5", "7"]


def test_what_comes_too_late_is_shown_and_the_rest_is_handed_in(room, ada):
    address = room.begin(ada, room.open(minutes=30))
    keep(ada, address, fraction="0.5")
    page = ada.page(f"{address}/1")
    room.minutes(31)
    form = {"was.fraction": "0.5", "entry.fraction": "0.5", "was.value": "", "entry.value": "12.34"}
    answer = ada.post(f"{address}/1", csrf_in(page), **form)
    assert answer.status_code == 409
    late = told(answer)
    assert "The time for this try is over" in late
    assert "12.34" in late
    assert ">0.5<" not in late  # which was kept in time
    assert room.set_try(address).handed_in is not None  # any form of the learner's takes in what is over
    assert [text for _, text, _ in room.verdicts(address)] == ["0.5"]
    assert "See the result" in late


def test_another_form_takes_in_what_is_over(room, ada):
    timed, other = room.open("Timed", minutes=5, tries=2), room.open("Other", kind="practice")
    address = room.begin(ada, timed)
    room.minutes(6)
    room.begin(ada, other)
    assert room.set_try(address).handed_in is not None
    again = room.begin(ada, timed)
    assert again != address
    room.minutes(6)
    assert ada.post(f"/given/{timed.id}/start").status_code == 409
    assert room.set_try(again).handed_in is not None


def test_the_time_survives_another_run_of_the_program(app, room, ada, make_app, clock):
    address = room.begin(ada, room.open(minutes=30))
    keep(ada, address, fraction="0.5")
    services_of(app).database.close()
    again = Visitor(make_app())
    name = app.config["SESSION_COOKIE_NAME"]
    again.client.set_cookie(name, ada.client.get_cookie(name).value)
    clock.advance(timedelta(minutes=12))
    page = again.page(f"{address}/1")
    assert ">18:00</span>" in page
    assert 'value="0.5"' in page


# The result table and the learner's page agree


def test_the_total_is_that_of_the_instructor_s_table(app, room, ada):
    given = room.open(problems=((BRINE, "guided"), (BRINE, "guided"), (BRINE, "guided")))
    address = room.begin(ada, given)
    keep(ada, address, **right_texts(room, address))
    ada.post(f"{address}/hand-in")
    with services_of(app).database.reading() as session:
        assert [row.value for row in values_of(session, set_id=given.id)] == [1.0, 0.0, 0.0]
        assert session.query(SetTry).count() == 1
    assert "33.3 %" in ada.page(address)
