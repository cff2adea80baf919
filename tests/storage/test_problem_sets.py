from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from sqlalchemy.exc import IntegrityError

from trainer.errors import NotFound
from trainer.storage import problem_sets, set_tries
from trainer.storage.groups import add_group, put_member
from trainer.storage.problem_sets import ProblemRow
from trainer.storage.set_tries import Allowance, ends_at

DUE = datetime(2026, 3, 9, 12, 0, tzinfo=UTC)


@pytest.fixture
def group(session, clock):
    return add_group(session, "Night shift", "AAAA-2222", clock())


@pytest.fixture
def make(session, group, clock):
    def make(title="Week 1", **changes):
        values = {
            "title": title,
            "kind": "assessed",
            "numbers": "own",
            "due": DUE,
            "pass_mark": 0.7,
            "tries": 1,
            "minutes": 30,
            "note": "",
        }
        state = changes.pop("state", "draft")
        made = problem_sets.add_set(session, group.id, clock(), values | changes)
        made.state = state
        session.flush()
        return made

    return make


def test_a_set_is_kept_as_given(session, make):
    made = make()
    session.expire_all()
    found = problem_sets.get_set(session, made.id)
    assert (found.title, found.due, found.pass_mark, found.version, found.solutions_released) == (
        "Week 1",
        DUE,
        0.7,
        1,
        False,
    )
    with pytest.raises(NotFound):
        problem_sets.get_set(session, uuid4())


@pytest.mark.parametrize("changes", [{"kind": "exam"}, {"numbers": "odd"}, {"pass_mark": 1.1}, {"state": "half"}])
def test_the_database_refuses_what_a_set_cannot_be(make, changes):
    with pytest.raises(IntegrityError):
        make(**changes)


def test_problems_stand_in_their_order_and_keep_their_rows(session, make, clock):
    made = make()
    problem_sets.put_problems(session, made.id, [ProblemRow(name, "guided", 1.0, 5) for name in "abc"], clock())
    a, b, c = (each.id for each in problem_sets.problems_of(session, made.id))
    rows = [
        ProblemRow("c", "faded", 2.0, 5, c),
        ProblemRow("d", "guided", 1.0, None),
        ProblemRow("a", "guided", 1.0, 5, a),
    ]
    problem_sets.put_problems(session, made.id, rows, clock())
    session.expire_all()
    found = problem_sets.problems_of(session, made.id)
    assert [(each.position, each.problem, each.mode, each.weight) for each in found] == [
        (1, "c", "faded", 2.0),
        (2, "d", "guided", 1.0),
        (3, "a", "guided", 1.0),
    ]
    assert (found[0].id, found[2].id) == (c, a)
    assert b not in {each.id for each in found}


def test_a_weight_counts(session, make, clock):
    with pytest.raises(IntegrityError):
        problem_sets.put_problems(session, make().id, [ProblemRow("a", "guided", 0.0, None)], clock())


def test_a_problem_of_another_set_is_put_in_anew(session, make, clock):
    first, second = make(), make("Week 2")
    problem_sets.put_problems(session, first.id, [ProblemRow("a", "guided", 1.0, None)], clock())
    (there,) = problem_sets.problems_of(session, first.id)
    problem_sets.put_problems(session, second.id, [ProblemRow("a", "guided", 9.0, None, there.id)], clock())
    assert [each.weight for each in problem_sets.problems_of(session, first.id)] == [1.0]
    assert problem_sets.problems_of(session, second.id)[0].id != there.id


def test_titles_are_compared_without_capitals(session, make, group):
    made = make()
    assert problem_sets.title_taken(session, group.id, "WEEK 1")
    assert not problem_sets.title_taken(session, group.id, "week 1", made.id)
    assert not problem_sets.title_taken(session, uuid4(), "Week 1")


def test_what_a_learner_has_been_given(session, make, group, learner, clock):
    put_member(session, group.id, learner.id, clock())
    make("Draft")
    late, none, soon = make("Late", state="open"), make("None", state="open", due=None), make("Soon", state="closed")
    soon.due = DUE - timedelta(days=1)
    session.flush()
    given = problem_sets.sets_given_to(session, learner.id)
    assert [each.problem_set.id for each in given] == [soon.id, late.id, none.id]
    assert (given[0].group.name, given[0].problems) == ("Night shift", 0)
    assert problem_sets.sets_given_to(session, uuid4()) == []


def test_edits_are_kept_by_version(session, make, clock):
    made = make()
    problem_sets.keep_edit(session, made, {"title": "Week 1"}, "Berend", clock())
    made.version = 2
    problem_sets.keep_edit(session, made, {"title": "Week 2"}, "Anke", clock())
    assert [(each.version, each.by_name) for each in problem_sets.edits_of(session, made.id)] == [
        (1, "Berend"),
        (2, "Anke"),
    ]
    assert problem_sets.edit_at(session, made.id, 1).plan == {"title": "Week 1"}
    assert problem_sets.edit_at(session, made.id, 3) is None


# Tries


def test_tries_are_numbered_and_one_s_own(session, make, learner, clock):
    made = make()
    begun = set_tries.add_try(session, made.id, learner.id, 1, clock(), None)
    assert set_tries.get_try(session, begun.id, learner_id=learner.id) is begun
    for wrong in ({"learner_id": uuid4()}, {"lock": True}):
        target = uuid4() if "lock" in wrong else begun.id
        with pytest.raises(NotFound, match="no such try"):
            set_tries.get_try(session, target, **wrong)
    assert set_tries.tries_by(session, learner.id) == set_tries.running_tries(session, made.id) == [begun]
    with pytest.raises(IntegrityError):
        set_tries.add_try(session, made.id, learner.id, 1, clock(), None)


def test_tries_whose_time_is_over(session, make, learner, clock):
    made, now = make(), clock()
    for number, ends in enumerate((now - timedelta(seconds=1), now, None), 1):
        set_tries.add_try(session, made.id, learner.id, number, now, ends)
    done = set_tries.add_try(session, made.id, learner.id, 4, now, now - timedelta(hours=1))
    done.handed_in = now
    session.flush()
    for chosen in ({}, {"set_id": made.id}, {"learner_id": learner.id}):
        assert [each.number for each in set_tries.ended_tries(session, now, **chosen)] == [1]
    assert set_tries.ended_tries(session, now, set_id=uuid4()) == []


def test_extensions_add_up(session, make, learner, clock):
    made = make()
    for minutes, due in ((10, None), (5, DUE + timedelta(days=1)), (0, DUE + timedelta(hours=1))):
        set_tries.add_extension(
            session, made.id, learner.id, minutes=minutes, due=due, reason="Ill", by_name="Berend", at=clock()
        )
    assert set_tries.allowances(session, set_id=made.id) == {
        (made.id, learner.id): Allowance(15, DUE + timedelta(days=1))
    }
    assert set_tries.allowances(session, learner_id=uuid4()) == {}
    assert [each.minutes for each in set_tries.extensions_of(session, made.id)] == [10, 5, 0]


HOUR = timedelta(hours=1)


@pytest.mark.parametrize(
    ("minutes", "due", "allowed", "ends"),
    [
        (None, None, Allowance(), None),
        (30, None, Allowance(), timedelta(minutes=30)),
        (30, None, Allowance(15), timedelta(minutes=45)),
        (None, HOUR, Allowance(15), HOUR),
        (90, HOUR, Allowance(), HOUR),
        (90, HOUR, Allowance(30, None), HOUR),
        (30, HOUR, Allowance(45), HOUR),
        (90, HOUR, Allowance(30, DUE + 2 * HOUR), timedelta(minutes=120)),
    ],
)
def test_a_try_ends_by_its_minutes_or_the_date(make, minutes, due, allowed, ends):
    made = make(minutes=minutes, due=None if due is None else DUE + due)
    assert ends_at(made, DUE, allowed) == (None if ends is None else DUE + ends)
