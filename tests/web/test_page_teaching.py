"""The first page of an instructor: groups with their sets, what waits, and where everything else is."""

import re
from datetime import timedelta

import pytest
from sqlalchemy import event
from web_visitors import BRINE, Visitor, count, dump, services_of

from trainer.practice import attempts, groups, hand_ins, people, reviews, sets, tries
from trainer.practice.plans import Chosen, Plan
from trainer.storage.learners import get_learner
from trainer.storage.models import StudyGroup


@pytest.fixture
def teacher(app) -> Visitor:
    visitor = Visitor(app)
    visitor.become_instructor()
    return visitor


def make_group(app, name: str, learners: int = 0):
    """A group and its learners."""
    found = services_of(app)
    with found.database.writing() as session:
        group = groups.make_group(session, name, found.clock())
        made = [
            people.add_person(session, f"{name} {number}", found.clock(), group_id=group.id)
            for number in range(learners)
        ]
    return group, [each.account.learner_id for each in made]


def make_sets(app, group, titles=("Week 1",), state="open", due=None):
    found = services_of(app)
    with found.database.writing() as session:
        for title in titles:
            plan = Plan(title, (Chosen(BRINE),), due=due)
            made = sets.make_set(session, group.id, plan, found.library.problems, "Ina", found.clock())
            if state != "draft":
                sets.open_set(session, made.id, found.library.problems, found.clock())
            if state == "closed":
                sets.close_set(session, made.id, found.clock())
    return made


def text_of(page: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())


def test_before_the_first_group_one_thing_is_asked(teacher):
    page = teacher.page("/teaching/")
    assert page.count("button primary") == 1
    assert "Make a group first." in page
    for address in ("/people/", "/papers/", "/papers/marks", "/own-problems/", "/room/"):
        assert f'href="{address}"' in page


def test_a_group_is_made_and_shown(app, teacher):
    answer = teacher.post("/teaching/", name="  Kiln   crew ")
    assert answer.status_code == 303
    page = teacher.page(answer.location)
    assert "<h1>Kiln crew</h1>" in page
    assert "The group is made." in page
    assert "Make a group first." not in teacher.page("/teaching/")


@pytest.mark.parametrize(
    ("name", "status", "said"),
    [(" ", 400, "1 to 80 characters"), ("x" * 81, 400, "1 to 80 characters"), ("kiln CREW", 409, "already")],
)
def test_a_name_that_cannot_be_one_is_told_beside_the_box_and_kept(app, teacher, name, status, said):
    make_group(app, "Kiln crew")
    before = dump(app)
    answer = teacher.post("/teaching/", name=name)
    page = answer.get_data(as_text=True)
    assert answer.status_code == status
    assert said in re.search(r'id="error-name".*?</span></span>|id="error-name".*', page)[0]
    assert f'value="{name}"' in page
    assert dump(app) == before


def test_sets_stand_with_state_due_time_and_what_came_back(app, teacher, clock):
    group, learners = make_group(app, "Kiln crew", 3)
    found = services_of(app)
    make_sets(app, group, ["Old"], "closed")
    make_sets(app, group, ["Next"], "draft")
    given = make_sets(app, group, ["Now"], due=clock() + timedelta(days=2))
    with found.database.writing() as session:
        begun = [
            tries.start_try(session, get_learner(session, each), given.id, found.library, clock()) for each in learners
        ]
    hand_in(app, begun[0].id, learners[0])
    page = teacher.page("/teaching/")
    rows = [text_of(row) for row in re.findall(r"<tr><th.*?</tr>", page, re.S)[1:]]
    assert rows == [
        "Now open 2026-03-04 07:30 UTC 1 2 Results Now",
        "Next draft none 0 0",
        "Old closed none 0 0 Results Old",
    ]
    assert f'href="/sets/{given.id}"' in page
    assert f'href="/sets/{given.id}/results"' in page
    assert "3 members" in page
    clock.advance(timedelta(days=3))
    teacher.post("/sign-in", name="Ina", passphrase="four tinned ferrules")
    assert "open, date passed" in teacher.page("/teaching/")


def hand_in(app, try_id, learner_id) -> None:
    found = services_of(app)
    with found.database.writing() as session:
        hand_ins.hand_in(session, get_learner(session, learner_id), try_id, found.clock(), found.library.worksheets)


def test_complaints_that_wait_are_told(app, teacher):
    assert "complaint" not in teacher.page("/teaching/")
    _, (learner,) = make_group(app, "Kiln crew", 1)
    found = services_of(app)
    with found.database.writing() as session:
        attempt = attempts.start(session, learner, found.library.problems[BRINE], "guided", found.clock())
        reviews.complain(session, attempt.id, learner, "The span looks wrong.", found.clock())
    page = teacher.page("/teaching/")
    assert "1 complaint about a problem waits for an answer." in text_of(page)
    assert 'href="/complaints/"' in page


def test_archived_groups_stand_apart_and_without_their_sets(app, teacher, clock):
    group, _ = make_group(app, "Kiln crew", 2)
    make_sets(app, group)
    with services_of(app).database.writing() as session:
        groups.archive_group(session, group.id, clock())
    page = teacher.page("/teaching/")
    assert re.search(r"<h2>Archived</h2>.*Kiln crew</a>, 2 members", page, re.S)
    assert "Week 1" not in page


def test_a_long_list_of_sets_is_cut_and_the_rest_is_a_click_away(app, teacher):
    group, _ = make_group(app, "Kiln crew")
    make_sets(app, group, [f"Week {n}" for n in range(12)])
    assert teacher.page("/teaching/").count('href="/sets/') == 16
    assert "All 12 sets of Kiln crew" in teacher.page("/teaching/")
    assert teacher.page(f"/groups/{group.id}").count("/results") == 12


@pytest.mark.parametrize("name", ["<script>alert(1)</script>", "{{7*7}}", '"><img src=x onerror=alert(1)>'])
def test_a_name_is_shown_as_text(app, teacher, name):
    teacher.post("/teaching/", name=name)
    assert count(app, StudyGroup) == 1
    group = re.search(r"/groups/[-0-9a-f]{36}", teacher.page("/teaching/"))[0]
    for address in ("/teaching/", "/people/", group, f"{group}/board"):
        page = teacher.page(address)
        assert name.replace("<", "&lt;").replace(">", "&gt;").replace('"', "&#34;") in page
        assert not re.search(r"<script>alert|<img src=x", page)


def statements(app, visitor, address: str) -> int:
    sent: list[str] = []

    def listen(_connection, _cursor, statement, *_rest) -> None:
        sent.append(statement)

    engine = services_of(app).database.readers
    event.listen(engine, "before_cursor_execute", listen)
    visitor.page(address)
    event.remove(engine, "before_cursor_execute", listen)
    return len(sent)


def test_the_number_of_queries_does_not_grow(app, teacher):
    counts, shown = [], []
    for rounds in (1, 6):
        for number in range(rounds):
            group, learners = make_group(app, f"Crew {rounds} {number}", 4)
            make_sets(app, group, ["Week 1", "Week 2"])
        shown = ["/teaching/", "/people/", f"/groups/{group.id}", f"/people/{learners[0]}", "/people/list", "/join"]
        counts.append([statements(app, teacher, address) for address in shown])
    assert counts[0] == counts[1]
    assert max(counts[0]) <= 10


@pytest.mark.parametrize("who", ["visitor", "guest", "learner"])
def test_only_instructors_are_let_in(app, who):
    group, (learner,) = make_group(app, "Kiln crew", 1)
    visitor = Visitor(app)
    if who == "guest":
        visitor.become_guest()
    if who == "learner":
        become(app, visitor, learner)
    before = dump(app)
    addresses = ("/teaching/", "/people/", "/people/list", f"/people/{learner}", f"/people/{learner}/record.json",
                 f"/people/{learner}/delete", f"/groups/{group.id}", f"/groups/{group.id}/board")  # fmt: skip
    for address in addresses:
        assert visitor.get(address).status_code == (403 if who == "learner" else 303), address
    for address in ("/teaching/", "/people/", "/people/list", "/people/list/make", f"/people/{learner}/code",
                    f"/people/{learner}/name", f"/people/{learner}/role", f"/people/{learner}/disabled",
                    f"/people/{learner}/groups", f"/people/{learner}/groups/out", f"/people/{learner}/delete",
                    f"/groups/{group.id}/name", f"/groups/{group.id}/code", f"/groups/{group.id}/archive",
                    f"/groups/{group.id}/members", f"/groups/{group.id}/members/out"):  # fmt: skip
        answer = visitor.post(address, name="Root", role="instructor", text="name\nRoot", disabled="yes")
        assert answer.status_code == 403, address
    assert dump(app) == before


def become(app, visitor: Visitor, learner) -> None:
    """Sign a learner in by a new code."""
    found = services_of(app)
    with found.database.writing() as session:
        known = people.find_person(session, learner, found.clock()).account_id
        code = people.new_code(session, known, found.clock())
    words = "seven copper bends"
    assert visitor.post("/code", code=code, passphrase=words, again=words).status_code == 303
