"""The page of a problem set: what learners will see, opened, closed, copied, deleted; more time for one person."""

import html
import re
from datetime import UTC, datetime, timedelta

import pytest
from set_desk import ROUGH, TRACE, Desk, row, rows, text, words
from web_visitors import BRINE

from trainer.practice.plans import Chosen
from trainer.storage.learners import add_learner
from trainer.storage.set_tries import extensions_of, get_try


@pytest.fixture
def desk(app) -> Desk:
    return Desk(app)


# The page of a set


def test_a_set_says_what_learners_will_see(desk):
    due = datetime(2026, 11, 27, 15, 0, tzinfo=UTC)
    page = words(desk.browser.page(f"/sets/{desk.made(due=due).id}"))
    assert (
        "2 problems, 40 minutes, one try, no hints; handed in as a whole; due Friday 27 November 2026 15:00 UTC. "
        "Everybody gets numbers of their own. 70 % of the marks pass." in page
    )
    assert "The loop table is open." in page
    assert "Lessons and reference tables stay within reach all the while. The note above tells learners" in page
    other = desk.made(title="W", kind="practice", numbers="same", minutes=None, tries=2, problems=(Chosen(BRINE),))
    assert (
        "1 problem, no time limit, 2 tries, each step checked at once, with help on request; no due time. "
        "Everybody gets the same numbers." in words(desk.browser.page(f"/sets/{other.id}"))
    )


def test_an_assessed_set_without_a_note_says_so(desk):
    given = desk.made(note="")
    assert "No note tells learners which may be used" in words(desk.browser.page(f"/sets/{given.id}"))


def test_a_set_goes_from_draft_to_open_to_closed_and_back(desk):
    given = desk.made()
    address = f"/sets/{given.id}"
    assert "Close the set" not in desk.browser.page(address)
    for place, state, button in (("open", "open", "Close the set"), ("close", "closed", "Open it again"),
                                 ("open", "open", "Close the set")):  # fmt: skip
        answer = desk.browser.post(f"{address}/{place}")
        assert (answer.status_code, answer.location) == (303, address)
        assert desk.kept(given.id).state == state
        page = desk.browser.page(address)
        assert button in page
        assert f'href="{address}/results"' in page


def test_a_draft_cannot_be_closed(desk):
    given = desk.made()
    answer = desk.browser.post(f"/sets/{given.id}/close")
    assert answer.status_code == 409
    assert "This set has not been opened." in words(answer)


def test_what_keeps_a_set_from_being_opened_is_told_on_its_page(desk):
    given = desk.made(problems=(), due=desk.clock() - timedelta(hours=1))
    answer = desk.browser.post(f"/sets/{given.id}/open")
    assert answer.status_code == 400
    assert "A set needs at least one problem before it is opened." in words(answer)
    assert "The set would be due in the past, 2026-03-02 06:30 UTC." in words(answer)
    assert desk.kept(given.id).state == "draft"


@pytest.mark.parametrize("now", [False, True])
def test_solutions_are_shown_when_the_instructor_says_so(desk, now):
    given = desk.made(opened=True)
    address = f"/sets/{given.id}"
    desk.browser.post(f"{address}/close", **({"solutions": "yes"} if now else {}))
    assert desk.kept(given.id).solutions_released == now
    for released in ("yes", "no"):
        assert desk.browser.post(f"{address}/solutions", released=released).status_code == 303
        assert desk.kept(given.id).solutions_released == (released == "yes")
        assert ("Show them no more" in desk.browser.page(address)) == (released == "yes")


def test_a_copy_is_a_draft_that_can_be_changed_at_once(desk):
    given = desk.made(opened=True, due=desk.clock() + timedelta(days=1))
    answer = desk.browser.post(f"/sets/{given.id}/copy", group=str(desk.other.id))
    made = desk.all_sets()[0]
    assert (answer.status_code, answer.location) == (303, f"/sets/{made.id}/edit")
    assert (made.group_id, made.title, made.state, made.due) == (desk.other.id, "Week 1", "draft", None)
    assert rows(desk.browser.page(answer.location)) == [BRINE, TRACE]
    for wrong, status in (("", 400), ("x", 400), (str(desk.ada.id), 404)):
        assert desk.browser.post(f"/sets/{given.id}/copy", group=wrong).status_code == status
    assert len(desk.all_sets()) == 2


def test_a_draft_is_deleted_when_one_is_sure(desk):
    given = desk.made()
    refused = desk.browser.post(f"/sets/{given.id}/delete")
    assert refused.status_code == 400
    assert "tick that you are sure" in words(refused)
    assert len(desk.all_sets()) == 1
    answer = desk.browser.post(f"/sets/{given.id}/delete", sure="yes")
    assert (answer.status_code, answer.location) == (303, f"/groups/{desk.group.id}")
    assert desk.all_sets() == []


def test_a_set_that_was_started_is_not_deleted(desk):
    given = desk.made(opened=True)
    desk.start(given, desk.ada)
    assert desk.browser.post(f"/sets/{given.id}/delete", sure="yes").status_code == 409
    assert len(desk.all_sets()) == 1


def test_who_has_started_is_shown(desk):
    given = desk.made(opened=True)
    assert "0 of 2 learners have started." in words(desk.browser.page(f"/sets/{given.id}"))
    desk.start(given, desk.bo)
    page = desk.browser.page(f"/sets/{given.id}")
    assert "1 of 2 learners have started." in words(page)
    assert "1 try is under way" in words(page)
    assert "2026-03-02 08:10 UTC" in page  # 40 minutes from half past seven


def test_a_set_is_printed_with_the_same_problems(desk):
    given = desk.made(title="x" * 120)
    page = desk.browser.page(f"/sets/{given.id}")
    address = html.unescape(re.search(r'href="(/papers/paper\?[^"]+)"', page)[1])
    assert f"problem={BRINE}&problem={TRACE}&versions=2" in address
    assert desk.browser.get(address).status_code == 200


def test_names_and_titles_are_shown_as_text(desk):
    given = desk.made(opened=True, title=ROUGH, note=ROUGH)
    desk.start(given, desk.bo)
    desk.browser.post(f"/sets/{given.id}/time", learner=str(desk.bo.id), minutes="5", reason=ROUGH)
    for address in (f"/sets/{given.id}", f"/sets/{given.id}/edit", f"/sets/{given.id}/preview"):
        page = desk.browser.page(address)
        assert html.escape(ROUGH) in page
        assert "<script>alert" not in page
        assert "{{7*7}}" in page
    answer = desk.new(**row(1, ROUGH, mode=ROUGH, weight=ROUGH, position=ROUGH), title=ROUGH, tries=ROUGH)
    assert answer.status_code == 400
    assert "<script>alert" not in text(answer)


# More time


def test_one_person_is_given_more_time(desk):
    due = desk.clock() + timedelta(days=1)
    given = desk.made(opened=True, due=due)
    begun = desk.start(given, desk.ada)
    answer = desk.browser.post(
        f"/sets/{given.id}/time", learner=str(desk.ada.id), minutes="15", due_date="2026-03-04", due_time="12:00",
        reason="Hand in plaster",
    )  # fmt: skip
    assert answer.status_code == 303
    with desk.found.database.reading() as session:
        (extension,) = extensions_of(session, given.id)
        assert (extension.minutes, extension.by_name, extension.reason) == (15, "Ina", "Hand in plaster")
        assert extension.due == datetime(2026, 3, 4, 12, 0, tzinfo=UTC)
        assert get_try(session, begun.id).ends == begun.started + timedelta(minutes=55)
    page = words(desk.browser.page(f"/sets/{given.id}"))
    assert "Ada Pump 15 minutes 2026-03-04 12:00 UTC Hand in plaster Ina" in page


@pytest.mark.parametrize(
    ("typed", "sentences"),
    [
        ({"minutes": "soon", "due_date": "2026-03-01", "due_time": "12:00"},
         ("This is a whole number", "not later than that of the set", "More time needs a reason.")),
        ({"reason": "ill"}, ("Give more minutes, a later date, or both.",)),
        ({"reason": "ill", "minutes": "99999"}, ("At most 1440 minutes are given at once.",)),
        ({"reason": "ill", "minutes": "5", "due_time": "12:00"}, ("Give the day and the time, or neither.",)),
        ({"reason": "ill", "minutes": "5", "learner": ""}, ("Choose who gets more time.",)),
    ],
)  # fmt: skip
def test_more_time_that_cannot_be_given_is_told_and_kept_in_the_boxes(desk, typed, sentences):
    given = desk.made(opened=True, due=desk.clock() + timedelta(days=1))
    answer = desk.browser.post(f"/sets/{given.id}/time", **({"learner": str(desk.bo.id)} | typed))
    assert answer.status_code == 400
    for sentence in sentences:
        assert sentence in words(answer)
    for value in filter(None, typed.values()):
        assert f'value="{value}"' in text(answer)
    if "learner" not in typed:
        assert f'value="{desk.bo.id}" selected' in text(answer)
    with desk.found.database.reading() as session:
        assert extensions_of(session, given.id) == []


def test_who_has_not_this_set_gets_no_more_time(desk):
    given = desk.made(opened=True)
    with desk.found.database.writing() as session:
        stranger = add_learner(session, "Cem", desk.clock())
    for learner, status in ((str(stranger.id), 404), (str(given.id), 404), ("x", 400)):
        answer = desk.browser.post(f"/sets/{given.id}/time", learner=learner, minutes="5", reason="ill")
        assert answer.status_code == status
