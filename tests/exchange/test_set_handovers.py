"""Sheets of problem sets in a record that is carried: when they go along, and what they are elsewhere."""

from dataclasses import replace

import pytest
from handover_shop import CLOCK, Pc
from set_shop import BOOSTER, RIGHT, WRONG, Shop
from sqlalchemy import text as sql

from trainer.errors import Conflict
from trainer.exchange.handovers import unpack
from trainer.practice import remarking
from trainer.practice.handovers import STAYS, hand_over
from trainer.practice.sets import close_set
from trainer.practice.verification import faults_of


@pytest.fixture
def pc(tmp_path):
    opened = Pc(tmp_path, "class")
    yield opened
    opened.database.close()


@pytest.fixture
def other(tmp_path):
    opened = Pc(tmp_path, "site")
    yield opened
    opened.database.close()


@pytest.fixture
def shop(pc, library) -> Shop:
    with pc.database.writing() as session:
        return Shop(session, CLOCK, library)


def hand_in(pc, shop, texts, **changes):
    """A person and a set that this person has handed in."""
    with pc.database.writing() as session:
        shop.session = session
        learner, given = shop.learner("Gus Range"), shop.open(**changes)
        shop.work(learner, given, texts)
        return learner.id, given.id


@pytest.fixture
def worked(pc, shop):
    learner, given = hand_in(pc, shop, WRONG)
    with pc.database.writing() as session:
        close_set(session, given, CLOCK(), release_solutions=True)
    return learner, given


def test_sheets_of_a_set_go_along_once_they_may_be_seen_solved(pc, shop):
    learner, given = hand_in(pc, shop, RIGHT)
    content = pc.handed_over(learner)
    carried = unpack(content).carried
    assert (carried.stays, carried.tables["attempt"], carried.tables["entry"], carried.tables["mark"]) == (
        2,
        [],
        [],
        [],
    )
    with pc.database.writing() as session:
        close_set(session, given, CLOCK(), release_solutions=True)
    carried = unpack(pc.handed_over(learner)).carried
    assert (carried.stays, len(carried.tables["attempt"])) == (0, 2)


def test_a_try_under_way_stays_with_its_set(pc, shop):
    with pc.database.writing() as session:
        shop.session = session
        learner = shop.learner()
        shop.fill(learner, shop.start(learner, shop.open(kind="practice")), RIGHT)
        carried = hand_over(session, learner.id)
    assert (carried.stays, carried.tables["attempt"], carried.tables["draft"]) == (2, [], [])


def test_who_takes_the_own_record_leaves_sheets_under_way_whose_values_would_be_in_it(pc, shop):
    with pc.database.writing() as session:
        shop.session = session
        learner = shop.learner().id
    begun, done = pc.start(learner), pc.start(learner)
    for step, text in RIGHT["booster"].items():
        pc.enter(learner, done, step, text)
    pc.enter(learner, begun, "fraction", "0.45")
    with pc.database.reading() as session:
        carried = hand_over(session, learner, under_way=False)
    assert ([row["id"] for row in carried.tables["attempt"]], carried.stays) == ([done], 1)
    assert {row["attempt_id"] for row in carried.tables["entry"]} == {done}
    assert len(carried.tables["mark"]) == 2


def test_elsewhere_a_sheet_of_a_set_is_closed_and_says_where_it_is_from(pc, other, worked):
    learner, _ = worked
    other.collect(pc.handed_over(learner))
    state = other.state(learner)
    assert len(state["evidence"]) == len(pc.state(learner)["evidence"]) > 0
    for row in state["attempt"]:
        with pytest.raises(Conflict, match="closed"):
            other.enter(learner, row["id"], "value", "1")
    (row,) = other.rows("attempt", "id", [state["attempt"][0]["id"]])
    assert {row[name] for name in STAYS} == {None}
    said = [each["text"] for each in state["remark"]]
    assert len(said) == 2
    assert all(text.startswith("From the problem set Week 1 (assessed), try 1: begun 2026-03-02") for text in said)


def test_back_at_its_set_a_sheet_stays_what_it_was(pc, other, worked):
    learner, _ = worked
    before = pc.state(learner)
    other.collect(pc.handed_over(learner))
    other.steps(other.state(learner)["attempt"][0]["id"], learner)
    other.remark(other.state(learner)["attempt"][0]["id"])
    pc.collect(other.handed_over(learner))
    after = pc.state(learner)
    assert [each["text"] for each in after.pop("remark")] == ["Mind the zero."]
    del before["remark"]
    assert after == before
    (row,) = pc.rows("attempt", "id", [before["attempt"][0]["id"]])
    assert None not in {row[name] for name in STAYS}
    assert pc.collect(other.handed_over(learner)).nothing_new


def test_a_sheet_whose_try_is_under_way_here_is_left_alone(tmp_path, pc, shop, worked):
    """As on a PC that was set up from an older copy of the data folder."""
    learner, _ = worked
    content = pc.handed_over(learner)
    with pc.database.writing() as session:
        session.execute(sql("UPDATE set_try SET handed_in = NULL"))
    before = pc.state(learner)
    arrival = pc.collect(content)
    assert (arrival.waits, arrival.nothing_new) == (2, True)
    assert pc.state(learner) == before


def test_what_has_arrived_is_sound(pc, other, worked):
    learner, _ = worked
    other.collect(pc.handed_over(learner))
    other.enter(learner, other.start(learner), "fraction", "0.45")
    assert faults_of(other.database).faults == []


def test_marking_again_holds_over_an_older_copy_and_a_later_end(shop, worked, pc, other):
    learner, problem_set = worked
    before = pc.handed_over(learner)
    other.collect(before)
    steeper = replace(BOOSTER, tolerances={"value": 200.0})
    shop.library = replace(shop.library, problems=shop.library.problems | {"booster": steeper})
    with pc.database.writing() as session:
        (done,) = remarking.apply(session, problem_set, shop.library, "Too strict.", "Ina", CLOCK())
    assert done.new > done.old
    after = pc.handed_over(learner)
    other.collect(after)
    values = {row["id"]: row["value"] for row in other.state(learner)["attempt"]}
    assert values[done.attempt.id] == done.new
    assert len(other.state(learner)["remarking"]) == 1
    assert other.collect(before).nothing_new
