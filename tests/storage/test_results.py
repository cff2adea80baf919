from dataclasses import replace
from datetime import timedelta

import pytest

from trainer.storage import results
from trainer.storage.attempts import finish_attempt
from trainer.storage.drafts import keep_draft
from trainer.storage.entries import add_entry, add_mark
from trainer.storage.groups import add_group, end_membership, put_member
from trainer.storage.learners import add_learner
from trainer.storage.problem_sets import ProblemRow, add_set, problems_of, put_problems
from trainer.storage.reviews import add_complaint, add_override
from trainer.storage.set_tries import add_try


@pytest.fixture
def group(session, clock):
    return add_group(session, "Night shift", "AAAA-2222", clock())


@pytest.fixture
def problem_set(session, group, clock):
    values = {"title": "Week 1", "kind": "assessed", "numbers": "own", "due": None, "pass_mark": 0.7, "tries": 3}
    made = add_set(session, group.id, clock(), values | {"minutes": None, "note": ""})
    put_problems(
        session,
        made.id,
        [ProblemRow(name, "guided", weight, None) for name, weight in (("a", 2.0), ("b", 1.0))],
        clock(),
    )
    return made


@pytest.fixture
def begin(session, problem_set, start, clock):
    """A try with an attempt on each problem, begun in the wrong order."""

    def begin(who, number=1):
        begun = add_try(session, problem_set.id, who.id, number, clock(), None)
        made = {}
        for place in reversed(problems_of(session, problem_set.id)):
            attempt = start(learner_id=who.id, source=place.problem)
            attempt.set_try_id, attempt.set_problem_id = begun.id, place.id
            made[place.problem] = attempt
        session.flush()
        return begun, made

    return begin


@pytest.fixture
def enter(session, clock):
    def enter(attempt, mark, step="fraction", token="form-1"):
        clock.advance(timedelta(seconds=1))
        return add_entry(session, attempt.id, step, "0.56", mark, clock(), form_token=token, step_skill="S3.2")

    return enter


def test_the_attempts_of_a_try_stand_in_the_order_of_the_set(session, begin, learner):
    begun, made = begin(learner)
    assert [each.id for each in results.attempts_of_try(session, begun.id)] == [made["a"].id, made["b"].id]


def test_drafts_and_entries_are_those_of_the_try(session, begin, learner, enter, right, wrong, clock):
    begun, made = begin(learner)
    _, others = begin(learner, number=2)
    for attempt in (made["a"], others["a"]):
        keep_draft(session, attempt.id, "value", "112", clock())
        enter(attempt, wrong)
    again = enter(made["b"], wrong)
    add_mark(session, again.id, right, clock(), reason="marked again")
    assert results.drafts_of_try(session, begun.id) == {made["a"].id: {"value": "112"}}
    entries = results.entries_of_try(session, begun.id)
    assert {key: [each.verdict for each in kept] for key, kept in entries.items()} == {
        made["a"].id: ["slip"],
        made["b"].id: ["right"],
    }


def test_what_is_handed_in_comes_with_name_and_basis(session, begin, learner, enter, wrong, right, problem_set, clock):
    begun, made = begin(learner)
    begin(learner, number=2)
    entry = enter(made["a"], wrong)
    add_mark(session, entry.id, replace(right, basis={"right": 0.5}), clock(), reason="marked again")
    assert results.attempts_handed_in(session, problem_set.id) == []
    assert results.entries_of_set(session, problem_set.id) == {}
    begun.handed_in = clock()
    session.flush()
    found = results.attempts_handed_in(session, problem_set.id)
    assert [(attempt.source, each.number, name) for attempt, each, name in found] == [
        ("a", 1, "Ada Pump"),
        ("b", 1, "Ada Pump"),
    ]
    (judged,) = results.entries_of_set(session, problem_set.id)[made["a"].id]
    assert (judged.entry.verdict, judged.basis) == ("right", {"right": 0.5})


def test_people_of_a_set_are_members_and_who_has_tried(session, begin, group, problem_set, clock):
    stays, tried, left = (add_learner(session, name, clock()) for name in ("Stays", "Tried", "Left"))
    for who in (stays, tried, left):
        put_member(session, group.id, who.id, clock())
    begin(tried)
    for who in (tried, left):
        end_membership(session, group.id, who.id, clock())
    found = results.people_of_set(session, problem_set.id, group.id)
    assert [(each.name, each.member) for each in found] == [("Stays", True), ("Tried", False)]


def test_values_with_the_newest_override_and_open_complaints(session, begin, learner, problem_set, clock):
    _, made = begin(learner)
    finish_attempt(session, made["a"].id, clock(), value=0.5, evidence=True)
    for value in (0.25, 1.0):
        clock.advance(timedelta(minutes=1))
        add_override(session, made["a"].id, value, "Why", "Berend", clock())
    add_complaint(session, made["a"].id, "Settled", clock()).settled = clock()
    add_complaint(session, made["b"].id, "Open", clock())
    session.flush()
    for chosen in ({"set_id": problem_set.id}, {"learner_id": learner.id}):
        rows = results.values_of(session, **chosen)
        assert [(row.weight, row.value, row.override, row.complaint) for row in rows] == [
            (2.0, 0.5, 1.0, False),
            (1.0, None, None, True),
        ]


def test_slips_are_counted_by_the_newest_mark(session, begin, group, learner, enter, wrong, right, problem_set, clock):
    other = add_learner(session, "Ben", clock())
    put_member(session, group.id, other.id, clock())
    _, first = begin(learner)
    _, second = begin(other)
    rare = replace(wrong, slip="upside down", message="Turn it.")
    for number, (attempt, mark) in enumerate(
        ((first["a"], wrong), (first["b"], wrong), (second["a"], wrong), (second["b"], rare))
    ):
        enter(attempt, mark, token=f"form-{number}")
    corrected = enter(second["b"], wrong, token="form-9")
    add_mark(session, corrected.id, right, clock(), reason="marked again")  # at the same moment, and yet the newest
    found = results.slip_counts(session, set_id=problem_set.id)
    assert [(each.worksheet, each.slip, each.entries, each.learners) for each in found] == [
        ("reading-from-current", "no live zero", 3, 2),
        ("reading-from-current", "upside down", 1, 1),
    ]
    assert found[1].message == "Turn it."
    assert [each.entries for each in results.slip_counts(session, group_id=group.id)] == [1, 1]
    assert results.slip_counts(session, since=clock()) == []


def test_items_say_whether_anything_was_worked(session, begin, learner, enter, unread, right, problem_set, clock):
    begun, made = begin(learner)
    enter(made["a"], right)
    enter(made["b"], unread)
    assert results.item_rows(session, problem_set.id) == []
    begun.handed_in = clock()
    session.flush()
    found = {row.set_problem_id: row.worked for row in results.item_rows(session, problem_set.id)}
    assert found == {made["a"].set_problem_id: True, made["b"].set_problem_id: False}
