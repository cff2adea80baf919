"""Two instructors at one plan: what each has changed is in the plan that holds both."""

from dataclasses import replace
from uuid import UUID

import pytest
from set_shop import Shop

from trainer.practice import sets
from trainer.practice.plans import Chosen, Plan, PlanRefused, changes, merged, plan_of
from trainer.practice.time_limits import extend
from trainer.storage.problem_sets import get_set, list_sets

A, B, C = (Chosen(name, "guided", 1.0, UUID(int=number)) for number, name in enumerate("abc", 1))
NEW, OTHER = Chosen("n"), Chosen("o", id=UUID(int=9))
BASE = Plan("Week 1", (A, B, C))


@pytest.fixture
def shop(session, clock, library) -> Shop:
    return Shop(session, clock, library)


@pytest.mark.parametrize(
    ("now", "wanted", "both"),
    [
        ((A, B, C), (C, NEW), (C, NEW)),  # theirs left the problems alone
        ((A, B, OTHER), (A, B, C), (A, B, OTHER)),  # mine did
        ((A, B, C, OTHER), (C, A, NEW), (C, A, NEW, OTHER)),  # each has added one, one has been taken out
        (
            (replace(A, weight=3.0), B, C),
            (replace(A, mode="faded"), B, C),
            (replace(A, mode="faded", weight=3.0), B, C),
        ),
        ((replace(A, weight=3.0), B, C), (replace(A, weight=2.0), B, C), (replace(A, weight=2.0), B, C)),
        ((B, C), (A, B, replace(C, weight=2.0)), (B, replace(C, weight=2.0))),  # taken out by them, left alone here
        ((B, C), (replace(A, weight=2.0), B, C), (replace(A, weight=2.0, id=None), B, C)),  # ... but changed here
    ],
)
def test_both_sides_changes_of_the_problems_are_in_the_merged_plan(now, wanted, both):
    assert merged(BASE, replace(BASE, problems=now), replace(BASE, problems=wanted)).problems == both


def test_other_fields_are_theirs_where_mine_are_untouched_and_else_mine():
    now, wanted = replace(BASE, tries=3, minutes=30), replace(BASE, minutes=45, note="Tables")
    assert merged(BASE, now, wanted) == replace(BASE, tries=3, minutes=45, note="Tables")


def test_problems_are_told_by_their_titles_where_these_are_known():
    (change,) = changes(BASE, replace(BASE, problems=(A, replace(B, weight=2.0))), {"a": "Kiln draft"})
    assert (change.old, change.new) == (
        "Kiln draft (guided, 1), b (guided, 1), c (guided, 1)",
        "Kiln draft (guided, 1), b (guided, 2)",
    )


def test_every_fault_says_beside_what_it_stands():
    with pytest.raises(PlanRefused) as refused:
        raise PlanRefused([("title", "Too long."), ("weight 2", "Too heavy.")])
    assert refused.value.faults == ("Too long.", "Too heavy.")
    assert refused.value.beside == (("title", "Too long."), ("weight 2", "Too heavy."))


def test_a_started_set_with_a_problem_that_is_gone_can_still_be_given_more_time(shop, session, clock):
    given = shop.open(minutes=30)
    shop.start(shop.learner(), given)
    plan = plan_of(get_set(session, given.id), shop.places(given))
    changed = sets.edit_set(session, given.id, replace(plan, minutes=40), 1, {"booster"}, "Ina", clock())
    assert (changed.minutes, changed.version) == (40, 2)


@pytest.mark.parametrize("minutes", [1441, 10**12])
def test_more_time_has_a_limit(shop, session, clock, minutes):
    given, ada = shop.open(minutes=30), shop.learner()
    with pytest.raises(PlanRefused, match="At most 1440 minutes are given at once"):
        extend(session, given.id, ada.id, reason="ill", by_name="Ina", at=clock(), minutes=minutes)


def test_all_sets_are_listed_with_their_groups_the_newest_first(shop, session, clock):
    first, second = shop.draft(), shop.draft(title="Week 2", problems=())
    assert [(each.problem_set.id, each.group.name, each.problems) for each in list_sets(session)] == [
        (second.id, "Night shift", 0),
        (first.id, "Night shift", 2),
    ]
