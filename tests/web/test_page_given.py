"""What a learner has been given: the list of what is due, the front page of a set, and who may see it."""

import re
from datetime import timedelta

import pytest
from set_room import BRINE, GATE, Room, keep
from sqlalchemy import event
from web_visitors import Visitor, dump, right, services_of


@pytest.fixture
def room(app) -> Room:
    return Room(app)


@pytest.fixture
def ada(app, visitor, room) -> Visitor:
    room.admit(visitor.become_guest())
    return visitor


@pytest.fixture
def stranger(app) -> Visitor:
    other = Visitor(app)
    other.become_guest()
    return other


def told(answer) -> str:
    return answer.get_data(as_text=True)


def right_texts(room, address, number=1) -> dict[str, str]:
    kept = room.snapshot(address, number)
    return {step.name: right(kept, step.name) for step in kept.steps}


def without_visits(app) -> list[str]:
    """The database but for when each browser was last seen."""
    return [line for line in dump(app).splitlines() if not line.startswith('INSERT INTO "web_session"')]


# What is due


def test_the_first_page_says_what_is_due_when_and_how_long(room, ada, clock):
    room.open("Loops", minutes=30, due=clock() + timedelta(hours=5), problems=((BRINE, "guided"), (GATE, "guided")))
    room.open("Drill", kind="practice")
    room.draft("Not given yet")
    page = ada.page("/")
    assert "Loops" in page
    assert "2026-03-02 12:30 UTC, in 5 hours" in page
    assert "30 minutes" in page
    assert "2 problems" in page
    assert "Drill" in page
    assert "no date" in page
    assert "Not given yet" not in page


def test_what_was_missed_is_said_plainly(room, ada, clock):
    missed = room.open("Loops", due=clock() + timedelta(hours=1))
    room.minutes(90)
    page = ada.page("/")
    assert "overdue since 2026-03-02 08:30 UTC" in page
    front = ada.page(f"/given/{missed.id}")
    assert "It can no longer be started." in front
    assert "/start" not in front
    assert ada.post(f"/given/{missed.id}/start").status_code == 409


def test_the_first_page_leads_on_with_a_try_under_way_and_shows_results(room, ada):
    given = room.open("Loops", problems=((BRINE, "guided"), (GATE, "guided")))
    address = room.begin(ada, given)
    keep(ada, address, fraction="0.5")
    page = ada.page("/")
    assert "1 of 2 problems not begun" in page
    assert f'href="{address}"' in page
    keep(ada, address, was={"fraction": "0.5"}, **right_texts(room, address))
    ada.post(f"{address}/hand-in")
    page = ada.page("/")
    assert "not begun" not in page
    assert re.search(r"50 %.*not passed", page, re.DOTALL)


def test_sheets_of_sets_are_not_left_half_done(room, ada):
    address = room.begin(ada, room.open())
    assert "Left half-done" not in ada.page("/")
    alone = ada.start()
    page = ada.page("/")
    assert alone in page
    assert str(room.attempts(address)[0].id) not in page


def test_names_are_shown_as_text(room, ada):
    made = room.open("<script>alert(1)</script> {{7*7}}", note="<b>open</b> {{7*7}}")
    for page in (ada.page("/"), ada.page(f"/given/{made.id}"), ada.page(room.begin(ada, made))):
        assert "&lt;script&gt;alert(1)&lt;/script&gt; {{7*7}}" in page
        assert "<script>alert" not in page
        assert "<b>open" not in page


def queries(app, visitor, path) -> int:
    """How many questions a page asks of the database."""
    asked = []
    readers = services_of(app).database.readers

    def note(_connection, _cursor, statement, *_):
        asked.append(statement)

    event.listen(readers, "before_cursor_execute", note)
    visitor.page(path)
    event.remove(readers, "before_cursor_execute", note)
    return sum(statement.startswith("SELECT") for statement in asked)


def test_pages_ask_as_much_of_the_database_for_much_as_for_little(app, room, ada):
    counts = []
    for number in (1, 9):
        given = room.open(f"Set {number}", tries=2, problems=((BRINE, "guided"),) * number)
        done = room.begin(ada, given)
        keep(ada, done, fraction="0.5")
        ada.post(f"{done}/hand-in")
        again = room.begin(ada, given)
        room.open(f"Another {number}")
        pages = ("/", f"/given/{given.id}", done, f"{done}/1", again, f"{again}/1", f"{again}/hand-in")
        counts.append([queries(app, ada, page) for page in pages])
    assert counts[0] == counts[1]
    assert max(counts[0]) <= 12


# Who


def test_another_learner_has_neither_the_set_nor_the_try(app, room, ada, stranger):
    given = room.open()
    address = room.begin(ada, given)
    attempt = room.attempts(address)[0]
    before = dump(app)
    for path in (f"/given/{given.id}", address, f"{address}/1", f"{address}/1/solution", f"{address}/hand-in"):
        assert stranger.get(path).status_code == 404, path
    for path, form in (
        (f"/given/{given.id}/start", {}),
        (f"{address}/1", {"was.fraction": "", "entry.fraction": "1"}),
        (f"{address}/1/box", {"step": "fraction", "entry.fraction": "1"}),
        (f"{address}/1/entries", {"step": "fraction", "entry": "1", "form_token": "a"}),
        (f"{address}/1/steps", {}),
        (f"{address}/1/solution", {}),
        (f"{address}/hand-in", {}),
        (f"/sheets/{attempt.id}/complaint", {"text": "wrong"}),
    ):
        assert stranger.post(path, **form).status_code == 404, path
    assert dump(app) == before


def test_a_draft_and_a_group_left_give_nothing(room, ada):
    assert ada.get(f"/given/{room.draft().id}").status_code == 404
    assert ada.get(f"/tries/{room.group_id}").status_code == 404


def test_a_visitor_without_a_session_is_told(app, room):
    answer = Visitor(app).get(f"/given/{room.open().id}")
    assert answer.status_code == 403


@pytest.mark.parametrize("number", [0, 2, 99])
def test_a_place_that_the_try_does_not_have_is_not_found(room, ada, number):
    address = room.begin(ada, room.open())
    assert ada.get(f"{address}/{number}").status_code == 404
    assert ada.post(f"{address}/{number}", **{"was.fraction": "", "entry.fraction": "1"}).status_code == 404


# The front page


def test_the_front_page_says_what_it_is_and_asks_before_the_clock_runs(room, ada, clock):
    given = room.open("Loops", minutes=45, tries=2, note="Resistance table open.", due=clock() + timedelta(days=3))
    page = ada.page(f"/given/{given.id}")
    for said in (
        "Night shift",
        "Nothing is checked while you work",
        "Passed from 70 % on.",
        "Resistance table open.",
        "Due 2026-03-05 07:30 UTC, in 3 days.",
        "0 of 2 tries used.",
        "The time starts when you press the button and runs on while the page is closed: 45 minutes.",
        "Start try 1: 45 minutes",
    ):
        assert said in page
    plain = ada.page(f"/given/{room.open('Drill', kind='practice').id}")
    assert "The time starts" not in plain
    assert "Each step is checked at once" in plain


def test_start_twice_is_one_try_and_earlier_ones_are_listed(app, room, ada):
    given = room.open(tries=2)
    first = room.begin(ada, given)
    assert room.begin(ada, given) == first
    assert "Go on with try 1" in ada.page(f"/given/{given.id}")
    keep(ada, first, **right_texts(room, first))
    ada.post(f"{first}/hand-in")
    page = ada.page(f"/given/{given.id}")
    assert "1 of 2 tries used." in page
    assert "100 %" in page
    assert "Start try 2" in page
    second = room.begin(ada, given)
    assert second != first
    ada.post(f"{second}/hand-in")
    assert "No try is left." in ada.page(f"/given/{given.id}")
    answer = ada.post(f"/given/{given.id}/start")
    assert answer.status_code == 409
    assert "You have used all tries of this set (2)." in told(answer)


def test_looking_writes_nothing(app, room, ada):
    given = room.open(minutes=2, problems=((BRINE, "guided"), (GATE, "unguided")))
    address = room.begin(ada, given)
    before = without_visits(app)
    looked = ("/", f"/given/{given.id}", address, f"{address}/1", f"{address}/2", f"{address}/hand-in")
    for minutes in (0, 3):
        room.minutes(minutes)
        for path in looked:
            assert ada.get(path, follow_redirects=True).status_code == 200, path
    assert without_visits(app) == before
