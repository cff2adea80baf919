"""Changing a problem set: two instructors at once, sets that were started, problems that have left the banks."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from set_desk import GATE, TRACE, Desk, rows, text, words
from sqlalchemy import event
from web_visitors import BRINE, dump, services_of

from trainer.practice import groups, sets, tries
from trainer.practice.plans import Chosen, Plan, plan_of
from trainer.storage.learners import add_learner
from trainer.storage.problem_sets import get_set, problems_of
from trainer.storage.set_tries import tries_of


@pytest.fixture
def desk(app) -> Desk:
    return Desk(app)


# Changing a set


def test_a_form_sent_back_as_it_is_changes_nothing_but_the_version(desk):
    due = datetime(2026, 3, 6, 15, 0, 42, 7, tzinfo=UTC)
    given = desk.made(due=due, pass_mark=0.55, note="Two\nlines")
    before = desk.plan(given.id)
    assert before.due == due.replace(second=0, microsecond=0)  # a form has no boxes for seconds
    assert desk.send(f"/sets/{given.id}/edit").status_code == 303
    assert desk.plan(given.id) == before
    assert desk.kept(given.id).version == 2


def other_edit(desk, given, **changes):
    with desk.found.database.writing() as session:
        plan = replace(plan_of(get_set(session, given.id), problems_of(session, given.id)), **changes)
        return sets.edit_set(
            session, given.id, plan, get_set(session, given.id).version, desk.found.library.problems,
            "Berend <b>", desk.clock(),
        )  # fmt: skip


def test_of_two_instructors_the_second_sees_both_and_nothing_is_lost(app, desk):
    given = desk.made()
    address = f"/sets/{given.id}/edit"
    form = desk.form(address)
    other_edit(desk, given, title="Week 2", minutes=50, problems=(*desk.plan(given.id).problems, Chosen(GATE)))
    before = dump(app)
    answer = desk.send(address, form, minutes="45", note="No tables.", **{"weight-1": "4"})
    assert answer.status_code == 409
    assert dump(app) == before
    said = words(answer)
    assert "Berend <b> changed this set while you were at it, so nothing of yours is kept yet." in said
    assert "Berend &lt;b&gt;" in text(answer)
    assert "the title Week 1 Week 2 Week 1" in said
    assert "the time limit 40 minutes 50 minutes 45 minutes" in said
    assert "the note The loop table is open. The loop table is open. No tables." in said
    brine, gate = (desk.found.library.problems[name].title for name in (BRINE, GATE))
    assert f"{gate} (unguided, 1)" in said
    assert f"{brine} (guided, 4)" in said
    merged = desk.form("", text(answer))
    assert (merged["title"], merged["minutes"], merged["note"]) == ("Week 2", "45", "No tables.")
    assert rows(answer) == [BRINE, TRACE, GATE]
    assert (merged["version"], merged["weight-1"]) == ("2", "4")
    assert desk.send(address, merged).status_code == 303
    plan = desk.plan(given.id)
    assert (plan.title, plan.minutes, plan.note) == ("Week 2", 45, "No tables.")
    assert [(each.problem, each.weight) for each in plan.problems] == [(BRINE, 4.0), (TRACE, 2.0), (GATE, 1.0)]


def test_what_cannot_be_read_is_told_before_the_other_s_changes(desk):
    given = desk.made()
    address = f"/sets/{given.id}/edit"
    form = desk.form(address)
    other_edit(desk, given, title="Week 2")
    answer = desk.send(address, form, minutes="soon", note="Mine.")
    assert answer.status_code == 400
    assert 'value="soon"' in text(answer)
    again = desk.send(address, desk.form("", text(answer)), minutes="45")
    assert again.status_code == 409
    assert desk.form("", text(again))["note"] == "Mine."


@pytest.mark.parametrize("version", ["", "x", "-", "9" * 30])
def test_a_forged_version_is_refused(app, desk, version):
    given = desk.made()
    before = dump(app)
    assert desk.send(f"/sets/{given.id}/edit", version=version).status_code == 400
    assert dump(app) == before


def test_a_set_that_was_started_says_what_may_change(desk):
    given = desk.made(opened=True)
    address = f"/sets/{given.id}/edit"
    assert "This set is open, and nobody has started it: everything may change." in words(desk.browser.page(address))
    desk.start(given, desk.ada)
    page = desk.browser.page(address)
    assert "Learners have started this set: its problems, their order and what is asked of them" in words(page)
    for button in ("order", "look", "add", "earlier"):
        assert f'name="do" value="{button}"' not in page
    assert 'type="radio"' not in page
    assert desk.send(address, minutes="60", **{"weight-1": "3"}).status_code == 303
    assert desk.plan(given.id).problems[0].weight == 3.0
    with desk.found.database.reading() as session:
        (begun,) = tries_of(session, given.id)
        assert begun.ends == begun.started + timedelta(minutes=60)


def test_who_was_overtaken_by_a_learner_s_start_loses_nothing_typed(app, desk):
    given = desk.made(opened=True)
    address = f"/sets/{given.id}/edit"
    form = desk.form(address)
    desk.start(given, desk.ada)
    before = dump(app)
    answer = desk.send(address, form, title="Week 1b", kind="practice", problem=[GATE])
    assert answer.status_code == 409
    assert dump(app) == before
    assert "Learners have started this set: its problems, kind and numbers stay as they are." in words(answer)
    assert rows(answer) == [BRINE, TRACE, GATE]
    assert desk.form("", text(answer))["title"] == "Week 1b"
    mended = desk.form("", text(answer)) | {"kind": "assessed", "out-3": "yes"}
    assert desk.send(address, mended).status_code == 303
    assert desk.kept(given.id).title == "Week 1b"


def test_an_open_set_keeps_a_problem_and_a_time_ahead(desk):
    given = desk.made(opened=True)
    address = f"/sets/{given.id}/edit"
    answer = desk.send(
        address, due_date="2026-03-01", due_time="10:00", title="Week 1b", **{"out-1": "yes", "out-2": "yes"}
    )
    assert answer.status_code == 400
    assert "A set needs at least one problem before it is opened." in words(answer)
    assert "The set would be due in the past, 2026-03-01 10:00 UTC." in words(answer)
    assert 'value="Week 1b"' in text(answer)


def test_a_problem_that_has_left_the_banks_is_shown_and_can_be_taken_out(desk):
    with desk.found.database.writing() as session:
        plan = Plan("Old", (Chosen(BRINE), Chosen("left-the-banks")))
        given = sets.make_set(session, desk.group.id, plan, {BRINE, "left-the-banks"}, "Ina", desk.clock())
    page = words(desk.browser.page(f"/sets/{given.id}"))
    assert "No longer in the question banks: left-the-banks. Nobody can start this set" in page
    assert "/papers/paper" not in desk.browser.page(f"/sets/{given.id}")
    refused = desk.browser.post(f"/sets/{given.id}/open")
    assert refused.status_code == 400
    assert "Problem 2, left-the-banks, is not in the question banks." in words(refused)
    assert "left-the-banks" in words(desk.browser.page(f"/sets/{given.id}/preview"))
    address = f"/sets/{given.id}/edit"
    assert "left-the-banks no longer in the question banks" in words(desk.browser.page(address))
    assert desk.send(address).status_code == 400
    assert desk.send(address, **{"out-2": "yes"}).status_code == 303
    assert [each.problem for each in desk.plan(given.id).problems] == [BRINE]


# Load


def queries(app, browser, address) -> int:
    sent = []
    engine = services_of(app).database.readers
    event.listen(engine, "before_cursor_execute", lambda *given: sent.append(given[2]))
    browser.page(address)
    return len(sent)


@pytest.mark.parametrize("part", ["", "/edit", "/preview"])
def test_the_number_of_queries_does_not_grow(app, desk, part):
    given = desk.made(opened=True)
    few = queries(app, desk.browser, f"/sets/{given.id}{part}")
    names = list(desk.found.library.problems)[:40]
    many = desk.made(opened=True, title="Many", problems=tuple(map(Chosen, names)))
    with desk.found.database.writing() as session:
        for number in range(12):
            learner = add_learner(session, f"Learner {number}", desk.clock())
            groups.add_member(session, desk.group.id, learner.id, desk.clock())
            tries.start_try(session, learner, given.id, desk.found.library, desk.clock())
    assert few >= 4
    assert queries(app, desk.browser, f"/sets/{many.id}{part}") == few
