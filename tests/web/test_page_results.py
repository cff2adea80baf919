"""Results of a set: who may look, the table, the slips of a group."""

import re
from datetime import timedelta
from uuid import UUID, uuid4

import pytest
from results_course import Course, row_of, words
from sqlalchemy import event
from web_visitors import Visitor, count, dump, services_of

from trainer.practice import groups
from trainer.practice.accounts import add_person
from trainer.storage.models import Mark

HOSTILE = ["<script>alert(1)</script>", "{{7*7}}"]


@pytest.fixture
def course(app) -> Course:
    return Course(app)


@pytest.fixture
def ina(app) -> Visitor:
    visitor = Visitor(app)
    visitor.become_instructor()
    return visitor


def queries(app, ask):
    sent = []
    engine = services_of(app).database.readers

    def listen(_connection, _cursor, statement, *_rest):
        sent.append(statement)

    event.listen(engine, "before_cursor_execute", listen)
    ask()
    event.remove(engine, "before_cursor_execute", listen)
    return len(sent)


# Who may look


def addresses(course, attempt):
    return [course.results, course.marking, course.slips, f"/results/{attempt}", "/complaints/"]


def test_learners_and_visitors_see_no_results(app, course, ina):
    attempt = course.work()
    learner = Visitor(app)
    with course.found.database.writing() as session:
        code = add_person(session, "Ada", "learner", course.now).code
    assert learner.post("/code", code=code, passphrase="four tinned ferrules", again="four tinned ferrules").location
    for address in [*addresses(course, attempt), f"/results/{attempt}/solved-light.svg"]:
        assert learner.get(address).status_code == 403, address
        assert Visitor(app).get(address).status_code == 303, address
        assert ina.get(address).status_code == 200, address


@pytest.mark.parametrize(
    "address", ["/sets/{}/results", "/sets/{}/marking", "/groups/{}/slips", "/results/{}", "/results/{}/open-dark.svg"]
)
def test_what_there_is_not_is_not_found(ina, address):
    assert ina.get(address.format(uuid4())).status_code == 404


@pytest.mark.parametrize("path", ["override", "remark"])
def test_nothing_can_be_said_of_a_sheet_that_there_is_not(app, ina, path):
    before = dump(app)
    assert ina.post(f"/results/{uuid4()}/{path}", value="50", reason="Kind", text="Well").status_code == 404
    assert ina.post(f"/complaints/{uuid4()}/answer", answer="No.").status_code == 404
    assert dump(app) == before


def test_looking_writes_nothing(app, course, ina):
    attempt = course.work(wrong=course.slip())
    course.complain(attempt)
    before = dump(app)
    for address in [*addresses(course, attempt), "/complaints/?settled=1", course.slips + "?days=all&names=1"]:
        ina.page(address)
    assert dump(app) == before


# The table


def test_a_row_says_result_total_and_each_mark(course, ina):
    ada = course.work("Ada")
    course.work("Ben", course.slip())
    course.work("Cas", {"fraction": "0.9999", "value": "1"})
    course.work("Dirk", hand_in=False)
    course.add_person("Eva")
    page = ina.page(course.results)
    assert row_of(page, "Ada") == "Ada ✓ passed 100 % ✓ 100"
    # By hand: the fraction is the slip and worth 0, the value follows from it and is worth 1.
    assert row_of(page, "Ben") == "Ben ✗ not passed 50 % ≈ 50"
    assert row_of(page, "Cas") == "Cas ✗ not passed 0 % ✗ 0"
    assert row_of(page, "Dirk") == "Dirk ◐ at work - ◐ open"
    assert row_of(page, "Eva") == "Eva ○ not started - -"
    assert f'href="/results/{ada}"' in page
    assert "Handed in 3 of 5" in words(page)
    assert "Passed 1" in words(page)


def test_a_mark_just_missed_is_not_rounded_up_to_the_pass_mark(app, ina):
    course = Course(app, pass_mark=0.7)
    attempt = course.work()
    assert ina.post(f"/results/{attempt}/override", value="69.96", reason="Units").status_code == 303
    assert row_of(ina.page(course.results), "Ada Pump") == "Ada Pump ✗ not passed 69.9 % ≈ 69.9 ✎ by hand"
    assert ina.post(f"/results/{attempt}/override", value="69,5 %", reason="Units").status_code == 303
    assert "69.5 %" in row_of(ina.page(course.results), "Ada Pump")


def test_a_mark_by_hand_and_a_complaint_are_told_by_words_and_signs(course, ina):
    attempt = course.work(wrong=course.slip())
    assert ina.post(f"/results/{attempt}/override", value="80", reason="Kind").status_code == 303
    course.complain(attempt)
    page = ina.page(course.results)
    assert row_of(page, "Ada Pump") == "Ada Pump ✓ passed 80 % ≈ 80 ✎ by hand ⚑ said to be wrong"
    assert "✎ a mark given by hand" in page


def test_rows_are_chosen_by_state_and_put_in_order(course, ina):
    course.work("Ada")
    course.work("Ben", {"fraction": "0.9999", "value": "1"})
    course.work("Cas", course.slip())
    course.add_person("Dirk")
    names = re.compile(r'<th scope="row"><a [^>]*>(\w+)')
    assert names.findall(ina.page(course.results)) == ["Ada", "Ben", "Cas", "Dirk"]
    assert names.findall(ina.page(course.results + "?order=total")) == ["Ben", "Cas", "Ada", "Dirk"]
    assert names.findall(ina.page(course.results + "?state=not+passed")) == ["Ben", "Cas"]
    assert "Nobody is in this state." in ina.page(course.results + "?state=shouted")


def test_the_most_frequent_slips_are_sentences_with_their_lesson(course, ina):
    for name in ("Ada", "Ben"):
        course.work(name, course.slip())
    page = ina.page(course.results)
    assert "Live zero forgotten" in page
    assert "2 learners, 2 entries" in words(page)
    assert 'href="/lessons/S3.2"' in page


def test_an_empty_set_says_what_is_missing(course, ina):
    page = ina.page(course.results)
    assert "Nobody is in the group of this set yet." in page
    assert "No slip has been met in this set yet." in page


def test_tries_whose_time_is_over_are_taken_in_by_a_button(app, clock, ina):
    course = Course(app, minutes=10)
    for name in ("Ada", "Ben"):
        course.work(name, hand_in=False)
    assert "Take in" not in ina.page(course.results)
    clock.advance(timedelta(minutes=11))
    page = ina.page(course.results)
    assert "Take in 2 tries whose time is over" in page
    assert row_of(page, "Ada") == "Ada ◔ time over - ◐ open"
    assert count(app, Mark) == 0
    assert ina.post(f"{course.results}/taken-in").location == course.results
    page = ina.page(course.results)
    assert "2 tries were taken in." in page
    assert "Take in" not in page
    assert row_of(page, "Ada") == "Ada ✓ passed 100 % ✓ 100"


@pytest.mark.parametrize("name", HOSTILE)
def test_a_name_is_text_everywhere(course, ina, name):
    attempt = course.work(name, course.slip())
    course.complain(attempt, name)
    escaped = name.replace("<", "&lt;").replace(">", "&gt;")
    for address in [course.results, f"/results/{attempt}", "/complaints/", course.slips + "?names=1"]:
        page = ina.page(address)
        assert escaped in page, address
        assert "<script>alert" not in page
    course.change_key()
    assert escaped in ina.page(course.marking)


def test_as_many_queries_for_two_learners_as_for_twelve(app, course, ina):
    counted = []
    for names in (range(2), range(2, 12)):
        for number in names:
            attempt = course.work(f"Learner {number}", course.slip())
            course.complain(attempt)
        looks = [*addresses(course, attempt), course.slips + "?names=1"]
        counted.append([queries(app, lambda address=address: ina.page(address)) for address in looks])
    assert counted[0] == counted[1]


# Slips of a group


def test_the_slip_that_most_people_make_comes_first_with_its_lesson(course, ina):
    slip = course.slip()
    for name in ("Ada", "Ben"):
        course.work(name, slip)
    course.work("Cas")
    page = words(ina.page(course.slips))
    assert "2 of 3 people at work, 2 entries" in page
    assert "So few have worked" in page
    assert "Lesson S3.2" in page
    assert "/room/?skill=S3.2" in ina.page(course.slips)


def test_names_are_told_only_on_asking(course, ina):
    course.work("Ada Pump", course.slip())
    assert "Ada Pump" not in ina.page(course.slips)
    assert "Ada Pump" in ina.page(course.slips + "?names=1")


def test_slips_count_in_the_window_asked_for(course, ina, clock):
    course.work("Ada", course.slip())
    clock.advance(timedelta(days=31))
    ina = Visitor(course.app)
    with course.found.database.writing() as session:
        code = add_person(session, "Ivo", "instructor", course.now).code
    ina.post("/code", code=code, passphrase="four tinned ferrules", again="four tinned ferrules")
    assert "Nobody of the group has worked in this time." in ina.page(course.slips)
    assert "1 of 1 person at work, 1 entry" in words(ina.page(course.slips + "?days=all"))
    assert "Nobody of the group" in ina.page(course.slips + "?days=shouted")


def test_own_practice_of_the_members_counts_and_that_of_others_does_not(app, course, ina):
    guest, other = Visitor(app), Visitor(app)
    member = guest.become_guest()
    other.become_guest()
    with course.found.database.writing() as session:
        groups.add_member(session, course.group, member, course.now)
    for visitor in (guest, other):
        sheet = visitor.start()
        kept = course.review(UUID(sheet.rpartition("/")[2])).sheet.snapshot
        visitor.enter(sheet, "fraction", f"{kept.given_values['signal'] / 20:.4f}")
    assert "1 of 1 person at work, 1 entry" in words(ina.page(course.slips))
