"""How a learner stands in every skill."""

import pytest

from trainer.practice.progress import skill_rows
from trainer.storage.learners import add_learner


def row_of(session, library, learner, skill="S3.2"):
    (row,) = [each for each in skill_rows(session, library, learner.id) if each.lesson.skill == skill]
    return row


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
def test_two_queries_however_much_there_is(database, session, library, learner, work, statements, sheets):
    for _ in range(sheets):
        sheet = work()
        sheet.enter("fraction", "0.45")
        sheet.enter("value", "112.5")
    session.commit()
    statements.clear()
    with database.reading() as reading:
        assert len(skill_rows(reading, library, learner.id)) == len(library.lessons)
    assert len([each for each in statements if each.startswith("SELECT")]) == 2
