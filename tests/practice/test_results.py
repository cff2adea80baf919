"""Results: the table, what an instructor adds, slips by frequency, and the table for statistics."""

import math
from datetime import timedelta
from uuid import uuid4

import numpy as np
import pytest
from set_shop import INSTRUCTOR, RIGHT, SLIP, WRONG, Shop

from trainer.errors import Conflict, NotFound, TrainerError
from trainer.learning.statistics import alpha, difficulty, item_rest_correlation, standard_error, sums
from trainer.practice import groups, results, reviews, tries
from trainer.practice.plans import Chosen
from trainer.storage.attempts import finish_attempt, start_attempt
from trainer.storage.entries import NewMark, add_entry
from trainer.storage.evidence import evidence_of
from trainer.storage.learners import add_learner
from trainer.storage.set_tries import add_try

HALF = {"booster": SLIP, "header": RIGHT["header"]}


@pytest.fixture
def shop(session, clock, library) -> Shop:
    return Shop(session, clock, library)


def rows(shop, given):
    table = results.result_table(shop.session, given.id, shop.clock())
    return {row.person.name: row for row in table.rows}


def values(row):
    return [cell and cell.value for cell in row.cells]


# The table


def test_the_total_is_weighted_and_held_against_the_pass_mark(shop):
    problems = (Chosen("booster", "guided", 3.0), Chosen("header", "guided", 1.0))
    given = shop.open(problems=problems, pass_mark=0.625)
    for name, texts in (("Ada", HALF), ("Ben", RIGHT), ("Cas", WRONG)):
        shop.work(shop.learner(name), given, texts)
    shop.learner("Dirk")
    found = rows(shop, given)
    # By hand: (3 * 0.5 + 1 * 1) / 4 = 0.625, which passes; in floating point a hair may be missing.
    assert [(row.total, row.state) for row in found.values()] == [
        (0.625, "passed"),
        (1.0, "passed"),
        (0.0, "not passed"),
        (None, "not started"),
    ]
    assert values(found["Ada"]) == [0.5, 1.0]
    assert found["Dirk"].cells == (None, None)
    assert results.totals(shop.session, found["Ada"].person.learner_id) == {found["Ada"].set_try.id: 0.625}


@pytest.mark.parametrize(("wanted", "total"), [(0.7, 0.1 + 0.2 + 0.4), (0.3, 0.1 * 3), (1.0, 1 - 1e-12)])
def test_a_hair_of_floating_point_fails_nobody(shop, wanted, total):
    assert results.passed(shop.draft(pass_mark=wanted), total)
    assert not results.passed(shop.draft(pass_mark=wanted, title="Week 2"), total - 0.001)


def test_states_of_a_try_under_way(shop, clock):
    given, ada = shop.open(minutes=10), shop.learner()
    begun = shop.start(ada, given)
    row = rows(shop, given)["Ada Pump"]
    assert (row.state, values(row), row.total, row.running) == ("working", [None, None], None, begun)
    clock.advance(timedelta(minutes=11))
    assert rows(shop, given)["Ada Pump"].state == "time over"


def test_the_newest_try_handed_in_is_shown_beside_the_one_that_runs(shop):
    given, ada = shop.open(tries=3), shop.learner()
    shop.work(ada, given, RIGHT)
    shop.work(ada, given, HALF)
    running = shop.start(ada, given)
    row = rows(shop, given)["Ada Pump"]
    assert (row.set_try.number, row.running.id, row.tries, row.total) == (2, running.id, 3, 0.75)


def test_who_has_left_is_shown_only_with_work(shop, session, clock):
    given = shop.open()
    ada, ben = shop.learner("Ada"), shop.learner("Ben")
    shop.work(ada, given, RIGHT)
    for who in (ada, ben):
        groups.remove_member(session, shop.group.id, who.id, clock())
    assert [(row.person.name, row.person.member, row.total) for row in rows(shop, given).values()] == [
        ("Ada", False, 1.0)
    ]


def test_as_many_queries_for_ten_learners_as_for_three_hundred(shop, session, database, statements, clock):
    given, counts = shop.open(problems=(Chosen("header"),)), []
    for number in range(300):
        who = shop.learner(f"Learner {number:03}")
        shop.work(who, given, {"header": {"value": "2.5" if number % 3 else "5"}})
        if number + 1 in (10, 300):
            session.commit()
            counts.append([])
            for look in (
                lambda reader: results.result_table(reader, given.id, clock()).rows,
                lambda reader: results.item_table(reader, given.id).learners,
                lambda reader: reviews.complaints(reader),
                lambda reader: results.slip_counts(reader, set_id=given.id),
                lambda reader, own=who.id: results.totals(reader, own),
            ):
                statements.clear()
                with database.reading() as reader:
                    found = look(reader)
                counts[-1].append(len([each for each in statements if each.startswith("SELECT")]))
                if len(counts[-1]) <= 2:
                    assert len(found) == number + 1
    assert counts == [[5, 2, 1, 1, 1], [5, 2, 1, 1, 1]]


# What an instructor adds


def test_an_override_has_a_reason_and_the_newest_counts(shop, session, clock):
    given, ada = shop.open(), shop.learner()
    done = shop.work(ada, given, WRONG)
    attempt = shop.attempts(done)["booster"]
    with pytest.raises(TrainerError, match="needs a reason"):
        reviews.override(session, attempt.id, 1.0, "  ", INSTRUCTOR, clock())
    with pytest.raises(TrainerError, match="between 0 and 100"):
        reviews.override(session, attempt.id, 1.1, "Typing slip", INSTRUCTOR, clock())
    reviews.override(session, attempt.id, 0.5, "Typing slip", INSTRUCTOR, clock())
    reviews.override(session, attempt.id, 1.0, "Working on paper was right", "Anke", clock())
    row = rows(shop, given)["Ada Pump"]
    assert (values(row), [cell.overridden for cell in row.cells], row.total) == ([1.0, 0.0], [True, False], 0.5)
    opened = reviews.review(session, attempt.id)
    assert [(each.value, each.reason, each.by_name) for each in opened.overrides] == [
        (0.5, "Typing slip", INSTRUCTOR),
        (1.0, "Working on paper was right", "Anke"),
    ]
    assert (opened.value, opened.attempt.value) == (1.0, 0.0)
    assert evidence_of(session, ada.id)[0].value == 0.0  # what the entries showed stays as it was


def test_work_under_way_is_not_overridden(shop, session, clock):
    begun = shop.start(shop.learner(), shop.open())
    with pytest.raises(Conflict, match="not been handed in"):
        reviews.override(session, shop.attempts(begun)["booster"].id, 1.0, "Kind", INSTRUCTOR, clock())


def test_an_attempt_is_opened_with_all_that_was_typed_marked_and_said(shop, session, clock):
    ada = shop.learner()
    done = shop.work(ada, shop.open(), HALF)
    attempt = shop.attempts(done)["booster"]
    reviews.remark(session, attempt.id, "Take the live zero off first.", INSTRUCTOR, clock())
    opened = reviews.review(session, attempt.id, ada.id)
    assert opened.learner.name == "Ada Pump"
    assert [(each.step, each.text, each.slip) for each in opened.entries] == [
        ("fraction", "0.56", "no_live_zero"),
        ("value", "140", None),
    ]
    assert [[mark.verdict for mark in opened.marks[each.id]] for each in opened.entries] == [["slip"], ["follows"]]
    assert [each.text for each in opened.remarks] == ["Take the live zero off first."]
    assert (opened.corrected, opened.remarkings, opened.sheet.snapshot.problem) == (None, (), "booster")
    with pytest.raises(NotFound):
        reviews.review(session, attempt.id, uuid4())
    with pytest.raises(TrainerError, match="empty"):
        reviews.remark(session, attempt.id, "\n", INSTRUCTOR, clock())


def test_a_complaint_leads_to_its_variant_and_gets_one_answer(shop, session, clock):
    given, ada = shop.open(), shop.learner()
    begun = shop.start(ada, given)
    attempt = shop.attempts(begun)["header"]
    with pytest.raises(TrainerError, match="Say what looks wrong"):
        reviews.complain(session, attempt.id, ada.id, "", clock())
    with pytest.raises(NotFound):
        reviews.complain(session, attempt.id, uuid4(), "The unit is missing.", clock())
    made = reviews.complain(session, attempt.id, ada.id, "The unit is missing.", clock())
    assert reviews.complain(session, attempt.id, ada.id, " The unit is missing. ", clock()).id == made.id
    with pytest.raises(Conflict, match="waits for an answer"):
        reviews.complain(session, attempt.id, ada.id, "And the range.", clock())
    (row,) = reviews.complaints(session)
    assert (row.complaint.id, row.problem, row.seed, row.name, row.set_id) == (
        made.id,
        "header",
        attempt.seed,
        "Ada Pump",
        given.id,
    )
    assert [cell.complaint for cell in rows(shop, given)["Ada Pump"].cells] == [False, True]
    reviews.answer(session, made.id, "It is bar; mended.", INSTRUCTOR, clock())
    assert (reviews.complaints(session), len(reviews.complaints(session, settled=True))) == ([], 1)
    with pytest.raises(Conflict, match=r"Berend has answered this already: It is bar; mended\."):
        reviews.answer(session, made.id, "No.", "Anke", clock())
    assert reviews.review(session, attempt.id).complaints[0].answer == "It is bar; mended."
    assert reviews.complain(session, attempt.id, ada.id, "And the range.", clock()).settled is None


# Slips


def test_slips_the_most_frequent_first(shop, session, clock):
    given = shop.open()
    direction = {"booster": {"fraction": "0.55"}}  # 1 - 0.45
    for name, texts in (("Ada", HALF), ("Ben", HALF), ("Cas", direction)):
        shop.work(shop.learner(name), given, texts)
    found = results.slip_counts(session, set_id=given.id)
    assert (found[0].worksheet, found[0].slip, found[0].entries, found[0].learners) == (
        "value-from-signal",
        "no_live_zero",
        2,
        2,
    )
    assert "zero" in found[0].message
    assert [each.entries for each in found] == sorted((each.entries for each in found), reverse=True)
    assert results.slip_counts(session, group_id=shop.group.id) == found
    assert results.slip_counts(session, set_id=shop.draft(title="Week 2").id) == []
    clock.advance(timedelta(days=1))
    assert results.slip_counts(session, group_id=shop.group.id, since=clock()) == []


# Statistics


# East Carolina University, teaching example of KR-20: ten learners by ten items, and the values worked from it.
ANSWERS = (
    "1111110110 1011011101 1111011001 0010001000 0000010010 1110111111 1101110111 1111111101 0101111101 1101101110"
)


def worked(shop, learner, given, marks, number=1, aided=False):
    """A try handed in whose attempts are worth these marks; a space is a sheet left empty."""
    session, at = shop.session, shop.clock()
    begun = add_try(session, given.id, learner.id, number, at, None)
    for place, mark in zip(shop.places(given), marks, strict=True):
        attempt = start_attempt(
            session,
            learner.id,
            at,
            source=place.problem,
            seed=1,
            worksheet="value-from-signal",
            worksheet_version=1,
            skill="S3.2",
            mode="guided",
            snapshot={},
        )
        attempt.set_try_id, attempt.set_problem_id, attempt.aided = begun.id, place.id, aided
        value = float(mark) if mark.strip() else 0.0
        if mark.strip():
            kept = NewMark("right" if value else "wrong", value, "", {})
            add_entry(session, attempt.id, "value", "1", kept, at, form_token="form", step_skill="S3.2")
        finish_attempt(session, attempt.id, at, value=value, evidence=not aided)
    begun.handed_in = at
    session.flush()


def test_the_table_of_marks_gives_published_statistics(shop, session, clock):
    given = shop.open(problems=(Chosen("header"),) * 10)
    for number, marks in enumerate(ANSWERS.split()):
        worked(shop, add_learner(session, f"Learner {number}", clock()), given, marks)
    added = sums(results.item_table(session, given.id).marks)
    assert difficulty(added).tolist() == pytest.approx([0.7, 0.7, 0.6, 0.7, 0.6, 0.8, 0.7, 0.7, 0.5, 0.6])
    assert alpha(added) == pytest.approx(0.6963, abs=5e-5)
    assert standard_error(added) == pytest.approx(1.4037, abs=5e-5)
    assert item_rest_correlation(added)[[0, 2, 8]] == pytest.approx([0.7059, 0.0, -0.1236], abs=5e-5)
    problems, report = results.items(session, given.id)
    assert (len(problems), report.learners, report.items[0].marks, report.items[0].p) == (10, 10, 7.0, None)


def test_first_tries_that_are_complete_count(shop, session, clock):
    given = shop.open(tries=5)
    first, gap, helped, twice = (shop.learner(name) for name in ("First", "Gap", "Helped", "Twice"))
    worked(shop, first, given, "10")
    worked(shop, gap, given, "1 ")
    worked(shop, helped, given, "11", aided=True)
    worked(shop, twice, given, "01")
    worked(shop, twice, given, "11", number=2)
    shop.start(shop.learner("Running"), given)
    table = results.item_table(session, given.id)
    found = dict(zip(table.learners, table.marks.tolist(), strict=True))
    assert (found[first.id], found[twice.id]) == ([1.0, 0.0], [0.0, 1.0])
    assert found[gap.id][0] == 1.0
    assert all(map(math.isnan, (found[gap.id][1], *found[helped.id])))
    assert len(found) == 4
    assert sums(table.marks).learners == 2


def test_a_set_that_nobody_has_handed_in_has_an_empty_table(shop, session):
    table = results.item_table(session, shop.open().id)
    assert table.marks.shape == (0, 2)
    assert results.items(session, shop.draft(title="Week 2").id)[1].learners == 0
    assert np.isnan(difficulty(sums(table.marks))).all()


def test_an_override_is_no_answer_of_the_learner(shop, session, clock):
    given = shop.open()
    done = shop.work(shop.learner(), given, WRONG)
    reviews.override(session, shop.attempts(done)["booster"].id, 1.0, "Kind", INSTRUCTOR, clock())
    assert results.item_table(session, given.id).marks.tolist() == [[0.0, 0.0]]
    assert tries.state_of(done, clock()) == "handed in"
