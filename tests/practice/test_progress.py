"""How a learner stands in every skill."""

from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest

from trainer.practice.progress import skill_rows
from trainer.storage.learners import add_learner
from trainer.storage.reviews import add_witnessed


def row_of(session, library, learner, skill="S3.2", **more):
    (row,) = [each for each in skill_rows(session, library, learner.id, **more) if each.lesson.skill == skill]
    return row


def three_right(work):
    for _ in range(3):
        sheet = work()
        sheet.enter("fraction", "0.45")
        sheet.enter("value", "112.5")


def test_a_visitor_has_not_started(library):
    rows = skill_rows(None, library, None)
    assert [row.lesson.skill for row in rows] == list(library.lessons)
    assert {(row.standing.stage, row.attempts, row.newest) for row in rows} == {("not started", 0, None)}
    assert all(row.problems == len(library.by_skill.get(row.lesson.skill, [])) for row in rows)


def test_from_not_started_to_ready(session, library, learner, work, clock):
    assert row_of(session, library, learner).standing.stage == "not started"
    sheet = work()
    assert row_of(session, library, learner).standing.stage == "practicing"
    assert row_of(session, library, learner).attempts == 0
    for number in range(1, 4):
        sheet = sheet if number == 1 else work()
        sheet.enter("fraction", "0.45")
        sheet.enter("value", "112.5")
        found = row_of(session, library, learner)
        assert (found.attempts, found.standing.in_a_row, found.newest) == (number, number, clock())
    assert found.standing.stage == "ready"


def test_faded_and_aided_work_is_practice_and_no_evidence(session, library, learner, work):
    sheet = work("faded")
    sheet.enter("fraction", "0.45")
    found = row_of(session, library, learner)
    assert (found.standing.stage, found.attempts) == ("practicing", 0)


def test_others_do_not_count(session, library, learner, work, clock):
    other = add_learner(session, "Cornelis", clock())
    sheet = work(who=other)
    sheet.enter("fraction", "0.45")
    sheet.enter("value", "112.5")
    assert row_of(session, library, learner).standing.stage == "not started"


@pytest.mark.parametrize("sheets", [0, 1, 12])
def test_three_queries_however_much_there_is(database, session, library, learner, work, statements, sheets):
    for _ in range(sheets):
        sheet = work()
        sheet.enter("fraction", "0.45")
        sheet.enter("value", "112.5")
    session.commit()
    statements.clear()
    with database.reading() as reading:
        assert len(skill_rows(reading, library, learner.id)) == len(library.lessons)
    assert len([each for each in statements if each.startswith("SELECT")]) == 3


# The first review falls one day after a skill became ready (days 1, 7, 30 without a date), at the plant.
def test_a_refresh_falls_due_and_witnessed_work_renews_it(session, library, learner, work, clock):
    three_right(work)
    day = clock().replace(hour=0, minute=0)
    assert row_of(session, library, learner, now=clock()).standing.stage == "ready"
    assert row_of(session, library, learner, now=day + timedelta(hours=47)).standing.stage == "refresh due"
    evening = day + timedelta(hours=23, minutes=30)
    assert row_of(session, library, learner, now=evening).standing.stage == "ready"
    plant = row_of(session, library, learner, now=evening, zone=ZoneInfo("Europe/Amsterdam"))
    assert plant.standing.stage == "refresh due"
    add_witnessed(
        session,
        learner.id,
        "S3.2",
        what="Set a range",
        equipment="Bench 2",
        seen_by="Anke",
        seen_on=date(2026, 3, 3),
        entered_by="Berend",
        at=clock(),
    )
    found = row_of(session, library, learner, now=day + timedelta(hours=47)).standing
    assert (found.stage, found.review) == ("ready", date(2026, 3, 9))


# By hand: to a day 14 days off the gap is 0.20 * 14 = 2.8, so 3 days.
def test_reviews_lead_up_to_a_start_up(session, library, learner, work, clock):
    three_right(work)
    found = row_of(session, library, learner, now=clock(), start_up=date(2026, 3, 16)).standing
    assert (found.stage, found.review) == ("ready", date(2026, 3, 5))


def test_what_is_lacking_is_told(session, library, learner, work):
    sheet = work()
    sheet.enter("fraction", "0.45")
    sheet.enter("value", "112.5")
    found = row_of(session, library, learner).standing
    assert (found.lacks, found.in_a_row, found.wanted) == ("more right in a row", 1, 3)
