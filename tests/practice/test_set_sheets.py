"""Sheets of a set: kept together or not at all, found by their place, solutions shown by the rules; what was missed."""

from datetime import timedelta

import pytest
from set_shop import RIGHT, Shop

from trainer.errors import Conflict, NotFound
from trainer.practice import attempts, set_sheets, sets, tries
from trainer.practice.given_sets import given_set, still_due
from trainer.practice.results import try_result
from trainer.storage.drafts import drafts_of
from trainer.storage.groups import end_membership
from trainer.storage.results import not_begun


@pytest.fixture
def shop(session, clock, library) -> Shop:
    return Shop(session, clock, library)


@pytest.fixture
def ada(shop):
    return shop.learner()


def test_boxes_are_kept_together_and_what_cannot_be_read_is_told_by_step(shop, ada, session, clock):
    begun = shop.start(ada, shop.open())
    attempt = shop.attempts(begun)["booster"]
    told = tries.keep_drafts(session, ada, attempt.id, {"fraction": "half", "value": "112.5"}, clock())
    assert told["value"] == ""
    assert told["fraction"] != ""
    assert drafts_of(session, attempt.id) == {"fraction": "half", "value": "112.5"}
    for texts in ({"fraction": "0.4", "pressure": "1"}, {"fraction": "0.4", "value": "1" * 5000}):
        with pytest.raises(Conflict):
            tries.keep_drafts(session, ada, attempt.id, texts, clock())
        assert drafts_of(session, attempt.id) == {"fraction": "half", "value": "112.5"}
    assert tries.keep_drafts(session, ada, attempt.id, {"fraction": " "}, clock()) == {"fraction": ""}
    assert drafts_of(session, attempt.id) == {"value": "112.5"}


def test_a_sheet_is_found_by_its_place_and_the_place_by_the_sheet(shop, ada, session, clock):
    begun = shop.start(ada, shop.open())
    for number, attempt in enumerate(shop.attempts(begun).values(), 1):
        assert set_sheets.attempt_at(session, ada.id, begun.id, number).id == attempt.id
        assert set_sheets.place_of(session, attempt) == (begun.id, number)
    other = shop.learner("Cornelis")
    for learner, number in ((ada, 0), (ada, 3), (other, 1)):
        with pytest.raises(NotFound):
            set_sheets.attempt_at(session, learner.id, begun.id, number)
    alone = attempts.start(session, ada.id, shop.library.problems["header"], "guided", clock())
    assert set_sheets.place_of(session, alone) is None


def test_a_solution_is_seen_when_it_was_opened_or_is_shown(shop, ada, session, clock):
    given, alone = shop.open(), attempts.start(session, ada.id, shop.library.problems["header"], "guided", clock())
    begun = shop.start(ada, given)
    attempt = shop.attempts(begun)["booster"]
    assert not set_sheets.solution_open(session, attempt)
    assert not set_sheets.solution_open(session, alone)
    attempts.open_solution(session, alone.id, ada.id, clock())
    assert set_sheets.solution_open(session, alone)
    shop.hand_in(ada, begun)
    assert not set_sheets.solution_open(session, attempt)
    sets.release_solutions(session, given.id, clock())
    assert set_sheets.solution_open(session, attempt)


def test_a_set_is_missed_once_its_date_is_past_with_nothing_handed_in(shop, ada, session, clock):
    due = clock() + timedelta(hours=1)
    left, begun, done = (shop.open(title=title, due=due) for title in ("Left", "Begun", "Done"))
    shop.start(ada, begun)
    shop.work(ada, done, RIGHT)
    assert not given_set(session, ada.id, left.id).missed(clock())
    clock.advance(timedelta(hours=2))
    given = [given_set(session, ada.id, each.id) for each in (left, begun, done)]
    assert [each.missed(clock()) for each in given] == [True, False, False]
    assert [each.problem_set.title for each in still_due(given, clock())] == ["Begun"]
    end_membership(session, shop.group.id, ada.id, clock())
    with pytest.raises(NotFound):
        given_set(session, ada.id, left.id)


def test_problems_without_a_draft_or_an_entry_are_counted_as_not_begun(shop, ada, session, clock):
    assessed, practice = shop.start(ada, shop.open()), shop.start(ada, shop.open(title="Drill", kind="practice"))
    assert not_begun(session, ada.id) == {assessed.id: 2, practice.id: 2}
    shop.fill(ada, assessed, {"booster": {"fraction": "0.4"}})
    attempt = shop.attempts(practice)["header"]
    tries.enter(session, attempt.id, ada, "fraction", "0.3", "a", clock())
    assert not_begun(session, ada.id) == {assessed.id: 1, practice.id: 1}
    shop.hand_in(ada, assessed)
    assert not_begun(session, ada.id) == {practice.id: 1}


def test_the_result_of_a_try_is_its_own(shop, ada, session):
    given = shop.open(tries=2)
    first = shop.work(ada, given, RIGHT)
    second = shop.start(ada, given)
    total, cells = try_result(session, first)
    assert total == 1.0
    assert [cells[place.id].value for place in shop.places(given)] == [1.0, 1.0]
    assert try_result(session, second)[0] is None
