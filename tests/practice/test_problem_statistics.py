"""The statistics of a set: whose first tries count, and the ways in which problems went wrong."""

from uuid import uuid4

import pytest
from set_shop import RIGHT, SLIP, WRONG, Shop

from trainer.errors import NotFound
from trainer.practice.problem_statistics import study

HALF = {"booster": SLIP, "header": RIGHT["header"]}


@pytest.fixture
def shop(session, clock, library) -> Shop:
    return Shop(session, clock, library)


def studied(shop, given):
    return study(shop.session, given.id, shop.library.problems)


def ways(shop, given, found):
    (booster, header) = shop.places(given)
    return [
        [(way.step, way.kind, way.learners, way.better) for way in found.wrong[each.id]] for each in (booster, header)
    ]


def test_a_set_that_nobody_has_handed_in_says_nothing(shop):
    given = shop.open()
    shop.start(shop.learner(), given)
    found = studied(shop, given)
    assert (found.report.learners, found.totals, found.left_out, found.above) == (0, (), 0, 0)
    assert ways(shop, given, found) == [[], []]
    with pytest.raises(NotFound):
        study(shop.session, uuid4(), shop.library.problems)


# By hand: a booster with its slip in the first step and the second that follows is worth 1/2, so the totals are 2,
# 1.5 and 0; above the middle one, 1.5, is one learner.
def test_first_tries_count_with_the_ways_in_which_they_went_wrong(shop):
    given = shop.open(kind="assessed", tries=2)
    ada, ben, cas = (shop.learner(name) for name in ("Ada", "Ben", "Cas"))
    shop.work(ada, given, RIGHT)
    shop.work(ben, given, HALF)
    shop.work(cas, given, WRONG)
    shop.work(cas, given, HALF)  # a second try counts for nothing here
    shop.work(shop.learner("Dirk"), given, {"booster": RIGHT["booster"]})
    found = studied(shop, given)
    assert sorted(found.totals) == [0.0, 1.5, 2.0]
    assert (found.report.learners, found.left_out, found.above) == (3, 1, 1)
    booster, header = ways(shop, given, found)
    assert ("fraction", "slip", 1, 0) in booster
    assert ("fraction", "other", 1, 0) in booster
    assert {way[2] for way in header} == {1}
    (slip,) = [way for way in found.wrong[shop.places(given)[0].id] if way.kind == "slip"]
    assert slip.said.startswith("Live zero forgotten")


def test_a_problem_that_has_left_the_banks_is_still_counted(shop):
    given = shop.open(kind="assessed")
    shop.work(shop.learner(), given, HALF)
    found = study(shop.session, given.id, {})
    assert found.totals == (1.5,)
    assert [way.kind for way in found.wrong[shop.places(given)[0].id]] == ["slip"]


def test_four_queries_whoever_has_worked(shop, session, database, statements):
    given = shop.open(kind="assessed")
    counted = []
    for number in (1, 6):
        for each in range(number):
            shop.work(shop.learner(f"Learner {number}-{each}"), given, HALF)
        session.commit()
        statements.clear()
        with database.reading() as reader:
            study(reader, given.id, shop.library.problems)
        counted.append(len([each for each in statements if each.startswith("SELECT")]))
    assert counted == [4, 4]
