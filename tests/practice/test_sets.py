"""Problem sets: drafts, edits of which none is lost, opening, copying, and what is due."""

from dataclasses import replace
from datetime import timedelta

import pytest
from set_shop import INSTRUCTOR, RIGHT, Shop

from trainer.errors import Conflict, NotFound
from trainer.practice import groups, sets
from trainer.practice.given_sets import due_list, sets_for
from trainer.practice.plans import Chosen, Outdated, Plan, PlanRefused, changes, plan_of
from trainer.storage.problem_sets import edits_of, get_set, sets_of_group


@pytest.fixture
def shop(session, clock, library) -> Shop:
    return Shop(session, clock, library)


def plan(shop, given):
    return plan_of(get_set(shop.session, given.id), shop.places(given))


def edit(shop, given, wanted, version):
    return sets.edit_set(shop.session, given.id, wanted, version, shop.library.problems, INSTRUCTOR, shop.clock())


def refusals(shop, **changes):
    with pytest.raises(PlanRefused) as refused:
        shop.draft(**changes)
    return list(refused.value.faults)


# Plans


def test_a_draft_is_kept_as_planned(shop, session, clock):
    chosen = (Chosen("header", "unguided", 2.5), Chosen("booster", "guided"), Chosen("header", "guided"))
    due = clock() + timedelta(days=7)
    wanted = Plan("  Week   1 ", chosen, "practice", "same", due, 0.8, 3, 45, " Tables are open. ")
    given = sets.make_set(session, shop.group.id, wanted, shop.library.problems, INSTRUCTOR, clock())
    session.expire_all()
    found = plan(shop, given)
    assert (given.state, given.version) == ("draft", 1)
    assert list(changes(found, replace(wanted, title="Week 1", note="Tables are open."))) == []
    assert [(place.position, place.problem, place.weight) for place in shop.places(given)] == [
        (1, "header", 2.5),
        (2, "booster", 1.0),
        (3, "header", 1.0),
    ]
    assert Plan.from_json(found.to_json()) == found


def test_every_fault_of_a_plan_is_told_at_once(shop):
    assert refusals(
        shop,
        title=" ",
        kind="exam",
        numbers="odd",
        pass_mark=1.2,
        tries=0,
        minutes=0,
        note="x" * 3000,
        problems=(Chosen("booster", "blind", 0.0), Chosen("no-such")),
    ) == [
        "A title has 1 to 120 characters.",
        "A note has at most 2000 characters.",
        "A set is for practice or assessed.",
        "Either all learners get the same numbers, or each gets their own.",
        "The pass mark lies between 0 and 100 %.",
        "A set allows 1 to 20 tries.",
        "A time limit is 1 to 1440 minutes, or none.",
        "Problem 1: the modes are guided, faded, unguided.",
        "Problem 1: a weight is above 0 and at most 100.",
        "Problem 2, no-such, is not in the question banks.",
    ]
    assert refusals(shop, problems=(Chosen("booster"),) * 101) == ["A set holds at most 100 problems."]
    assert refusals(shop, pass_mark=float("nan")) == ["The pass mark lies between 0 and 100 %."]


def test_a_title_is_one_set_s_of_its_group(shop, session, clock):
    shop.draft()
    assert refusals(shop, title="WEEK 1") == ["There is a set WEEK 1 in this group already."]
    other = groups.make_group(session, "Day shift", clock())
    assert (
        sets.make_set(session, other.id, Plan("Week 1"), shop.library.problems, INSTRUCTOR, clock()).title == "Week 1"
    )


def test_a_draft_may_be_empty_and_a_set_may_not(shop, session, clock):
    empty = shop.draft(problems=(), due=clock() - timedelta(minutes=1))
    with pytest.raises(PlanRefused) as refused:
        sets.open_set(session, empty.id, shop.library.problems, clock())
    assert list(refused.value.faults) == [
        "A set needs at least one problem before it is opened.",
        "The set would be due in the past, 2026-03-02 07:29 UTC.",
    ]
    assert get_set(session, empty.id).state == "draft"


def test_a_problem_that_is_gone_keeps_a_set_from_being_opened(shop, session, clock):
    given = shop.draft()
    with pytest.raises(PlanRefused, match=r"Problem 2, header, is not in the question banks\."):
        sets.open_set(session, given.id, {"booster"}, clock())


# Editing


def test_the_seed_all_get_is_drawn_once_and_stays_with_its_problem(shop):
    given = shop.draft(numbers="same")
    before = plan(shop, given)
    drawn = {place.id: place.seed for place in shop.places(given)}
    assert None not in drawn.values()
    first, second = before.problems
    edit(shop, given, replace(before, problems=(second, replace(first, weight=3.0), Chosen("header"))), 1)
    after = shop.places(given)
    assert [place.problem for place in after] == ["header", "booster", "header"]
    assert [drawn.get(place.id) for place in after] == [*(place.seed for place in after[:2]), None]
    edit(shop, given, replace(plan(shop, given), numbers="own"), 2)
    assert [place.seed for place in shop.places(given)] == [None, None, None]


def test_a_problem_taken_out_is_gone_and_another_in_its_place_has_its_own_seed(shop):
    given = shop.draft(numbers="same")
    first = shop.places(given)[0]
    edit(shop, given, Plan("Week 1", (Chosen("header", id=first.id),), numbers="same"), 1)
    (place,) = shop.places(given)
    assert (place.id, place.problem) == (first.id, "header")
    with pytest.raises(Conflict):
        edit(shop, given, Plan("Week 1"), 1)


def test_an_outdated_edit_is_told_what_changed_and_loses_nothing(shop, clock):
    given = shop.draft(note="Bring the tables.")
    seen = plan(shop, given)
    edit(shop, given, replace(seen, title="Week 2", pass_mark=0.8), 1)
    mine = replace(seen, pass_mark=0.75, note="No tables.", due=clock() + timedelta(days=1))
    with pytest.raises(Outdated) as refused:
        edit(shop, given, mine, 1)
    assert str(refused.value) == (
        "This set has been changed meanwhile: the title was Week 1, is now Week 2; the pass mark was 70 %, "
        "is now 80 %. What you typed is kept; look at it and save again."
    )
    assert [(each.field, each.old, each.new) for each in refused.value.changes] == [
        ("the title", "Week 1", "Week 2"),
        ("the pass mark", "70 %", "80 %"),
    ]
    assert refused.value.wanted == mine
    assert refused.value.merged == replace(mine, title="Week 2")  # theirs where I had left it alone
    assert plan(shop, given).title == "Week 2"
    saved = edit(shop, given, refused.value.merged, refused.value.version)
    assert (saved.version, saved.title, saved.pass_mark, saved.note) == (3, "Week 2", 0.75, "No tables.")
    assert [(each.version, each.plan["title"], each.by_name) for each in edits_of(shop.session, given.id)] == [
        (1, "Week 1", INSTRUCTOR),
        (2, "Week 2", INSTRUCTOR),
        (3, "Week 2", INSTRUCTOR),
    ]


def test_a_change_of_the_problems_is_told_in_words(shop, clock):
    base = Plan("Week 1", (Chosen("booster", "guided"),), minutes=30)
    now = replace(base, problems=(*base.problems, Chosen("header", "unguided", 2.0)), minutes=None, due=clock())
    assert [(each.field, each.old, each.new) for each in changes(base, now)] == [
        ("the problems", "booster (guided, 1)", "booster (guided, 1), header (unguided, 2)"),
        ("the due time", "none", "2026-03-02 07:30 UTC"),
        ("the time limit", "30 minutes", "none"),
    ]


def test_a_set_that_was_started_keeps_its_problems(shop):
    given = shop.open(minutes=30)
    begun = shop.start(shop.learner(), given)
    before = plan(shop, given)
    for other in (
        replace(before, problems=before.problems[:1]),
        replace(before, problems=before.problems[::-1]),
        replace(before, kind="practice"),
        replace(before, numbers="same"),
    ):
        with pytest.raises(Conflict, match="Learners have started this set"):
            edit(shop, given, other, 1)
    heavier = (replace(before.problems[0], weight=4.0), before.problems[1])
    edit(shop, given, replace(before, problems=heavier, minutes=60, tries=2), 1)
    assert [place.weight for place in shop.places(given)] == [4.0, 1.0]
    assert begun.ends == begun.started + timedelta(minutes=60)


def test_an_open_set_stays_fit_to_be_open(shop, clock):
    given = shop.open()
    before = plan(shop, given)
    for changed, told in (
        ({"problems": ()}, "at least one problem"),
        ({"due": clock() - timedelta(hours=1)}, "due in the past"),
    ):
        with pytest.raises(PlanRefused, match=told):
            edit(shop, given, replace(before, **changed), 1)
    overdue = shop.open(title="Week 2", due=clock() + timedelta(hours=1))
    clock.advance(timedelta(hours=2))
    assert edit(shop, overdue, replace(plan(shop, overdue), note="Late."), 1).note == "Late."


# Closing, copying, deleting


def test_a_draft_cannot_be_closed(shop, session, clock):
    with pytest.raises(Conflict, match="has not been opened"):
        sets.close_set(session, shop.draft().id, clock())


def test_a_copy_is_a_draft_with_other_numbers(shop, session, clock):
    given = shop.open(numbers="same", due=clock() + timedelta(days=1), minutes=20, note="Tables.")
    other = groups.make_group(session, "Day shift", clock())
    copies = [sets.copy_set(session, given.id, group.id, INSTRUCTOR, clock()) for group in (shop.group, other)]
    assert [(each.title, each.state, each.due, each.minutes) for each in copies] == [
        ("Week 1 (2)", "draft", None, 20),
        ("Week 1", "draft", None, 20),
    ]
    for copy in copies:
        assert [place.problem for place in shop.places(copy)] == ["booster", "header"]
        seeds = [{place.seed for place in shop.places(each)} for each in (given, copy)]
        assert seeds[0].isdisjoint(seeds[1])
    assert sets.copy_set(session, given.id, shop.group.id, INSTRUCTOR, clock()).title == "Week 1 (3)"


def test_what_nobody_has_started_can_be_deleted(shop, session):
    draft, started = shop.draft(), shop.open(title="Week 2")
    shop.start(shop.learner(), started)
    sets.delete_draft(session, draft.id)
    with pytest.raises(NotFound):
        get_set(session, draft.id)
    with pytest.raises(Conflict, match="close it instead"):
        sets.delete_draft(session, started.id)


def test_a_group_s_sets_with_counts(shop):
    ada, cornelis = shop.learner(), shop.learner("Cornelis")
    first, second = shop.open(), shop.open(title="Week 2", tries=2)
    shop.work(ada, second, RIGHT)
    shop.start(ada, second)
    shop.start(cornelis, second)
    lines = {line.problem_set.id: line for line in sets_of_group(shop.session, shop.group.id)}
    assert [
        (lines[each.id].problems, lines[each.id].handed_in, lines[each.id].running) for each in (first, second)
    ] == [
        (2, 0, 0),
        (2, 1, 2),
    ]


# What is due


def test_the_due_list_of_a_learner(shop, session, clock):
    ada = shop.learner()
    shop.open(title="Later", due=clock() + timedelta(days=2))
    soon = shop.open(title="Soon", due=clock() + timedelta(days=1))
    shop.open(title="Never due")
    shop.draft(title="A draft")
    sets.close_set(session, shop.open(title="Closed").id, clock())
    done = shop.open(title="Done", tries=2)
    shop.work(ada, done, RIGHT)

    def due():
        return [
            (row.problem_set.title, row.running is not None, row.problems) for row in due_list(session, ada.id, clock())
        ]

    assert due() == [("Soon", False, 2), ("Later", False, 2), ("Never due", False, 2)]
    shop.start(ada, soon)
    shop.start(ada, done)
    assert due() == [("Soon", True, 2), ("Later", False, 2), ("Never due", False, 2), ("Done", True, 2)]
    clock.advance(timedelta(days=3))
    assert [title for title, *_ in due()] == ["Soon", "Never due", "Done"]  # what runs is still to be handed in
    given = {row.problem_set.title: row for row in sets_for(session, ada.id)}
    assert set(given) == {"Soon", "Later", "Never due", "Closed", "Done"}
    assert given["Done"].handed_in.number == 1
    assert not given["Later"].may_start(clock())
    groups.archive_group(session, shop.group.id, clock())
    assert due_list(session, ada.id, clock()) == []


def test_three_queries_for_any_number_of_sets(shop, session, database, statements, clock):
    ada, counts = shop.learner(), []
    for number in range(25):
        given = shop.open(title=f"Set {number}")
        if number in (0, 24):
            shop.start(ada, given)
            session.commit()
            statements.clear()
            with database.reading() as reader:
                assert len(due_list(reader, ada.id, clock())) == number + 1
            counts.append(len([each for each in statements if each.startswith("SELECT")]))
    assert counts == [3, 3]
