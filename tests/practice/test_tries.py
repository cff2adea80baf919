"""Tries at a set: started once, kept, marked at hand-in, ended by the server's clock, picked up again."""

from datetime import timedelta

import pytest
from set_shop import RIGHT, SLIP, WRONG, Shop

from trainer.errors import Conflict, NotFound
from trainer.practice import attempts, groups, hand_ins, sets, time_limits, tries
from trainer.practice.given_sets import due_list
from trainer.practice.plans import Chosen, PlanRefused
from trainer.settings import load_settings
from trainer.storage.drafts import drafts_of
from trainer.storage.entries import entries_of, marks_of
from trainer.storage.evidence import evidence_of
from trainer.storage.learners import add_learner, get_learner
from trainer.storage.schema import open_storage
from trainer.storage.set_tries import get_try, tries_of


@pytest.fixture
def shop(session, clock, library) -> Shop:
    return Shop(session, clock, library)


@pytest.fixture
def ada(shop):
    return shop.learner()


def verdicts(shop, begun, problem):
    return [(each.step, each.verdict, each.mark) for each in entries_of(shop.session, shop.attempts(begun)[problem].id)]


# Starting


def test_a_try_begins_every_problem_of_the_set_once(shop, ada, session):
    given = shop.open()
    begun = shop.start(ada, given)
    assert (begun.number, begun.handed_in, begun.ends) == (1, None, None)
    made = shop.attempts(begun)
    assert list(made) == ["booster", "header"]
    assert {attempt.set_problem_id for attempt in made.values()} == {place.id for place in shop.places(given)}
    assert all(attempt.snapshot["problem"] == problem for problem, attempt in made.items())
    assert shop.start(ada, given).id == begun.id  # the same form twice starts nothing more
    assert len(tries_of(session, given.id)) == 1


def test_all_get_the_same_numbers_or_each_their_own(shop, ada):
    cornelis = shop.learner("Cornelis")
    same = shop.open(numbers="same", tries=2)
    seeds = [[a.seed for a in shop.attempts(shop.start(who, same)).values()] for who in (ada, cornelis)]
    assert seeds[0] == seeds[1] == [place.seed for place in shop.places(same)]
    shop.hand_in(ada, tries_of(shop.session, same.id, ada.id)[0])
    again = [a.seed for a in shop.attempts(shop.start(ada, same)).values()]
    assert set(again).isdisjoint(seeds[0])  # a second try is on fresh numbers
    own = shop.open(numbers="own", title="Week 2")
    seeds = [{a.seed for a in shop.attempts(shop.start(who, own)).values()} for who in (ada, cornelis)]
    assert seeds[0].isdisjoint(seeds[1])
    assert [place.seed for place in shop.places(own)] == [None, None]


def test_a_try_may_be_started_while_the_set_is_open_before_its_date_as_often_as_it_says(shop, ada, clock):
    given = shop.draft(tries=2, due=clock() + timedelta(hours=2))
    with pytest.raises(NotFound):
        shop.start(ada, given)
    sets.open_set(shop.session, given.id, shop.library.problems, clock())
    for _ in range(2):
        shop.work(ada, given, RIGHT)
    with pytest.raises(Conflict, match=r"You have used all tries of this set \(2\)\."):
        shop.start(ada, given)
    late, cornelis = shop.learner("Late"), shop.learner("Cornelis")
    clock.advance(timedelta(hours=2))
    with pytest.raises(Conflict, match=r"This set was due at 2026-03-02 09:30 UTC\."):
        shop.start(late, given)
    sets.close_set(shop.session, given.id, clock())
    with pytest.raises(Conflict, match=r"This set is closed\."):
        shop.start(cornelis, given)


def test_who_is_not_in_the_group_has_no_such_set(shop, ada, session, clock):
    given = shop.open()
    stranger = add_learner(session, "Stranger", clock())
    with pytest.raises(NotFound):
        shop.start(stranger, given)
    groups.remove_member(session, shop.group.id, ada.id, clock())
    with pytest.raises(NotFound):
        shop.start(ada, given)


def test_a_problem_that_is_gone_is_told(shop, ada):
    given = shop.open()
    del shop.library.problems["header"]
    with pytest.raises(Conflict, match=r"The problem header is no longer in the question banks"):
        shop.start(ada, given)


# Assessed: nothing is marked before the hand-in


def test_drafts_are_kept_in_any_order_and_nothing_is_marked(shop, ada, session):
    begun = shop.start(ada, shop.open())
    shop.fill(ada, begun, {"header": {"value": "2.4", "fraction": "0.25"}})
    shop.fill(ada, begun, {"header": {"value": "2.5"}})
    attempt = shop.attempts(begun)["header"]
    assert drafts_of(session, attempt.id) == {"value": "2.5", "fraction": "0.25"}
    assert entries_of(session, attempt.id) == []
    assert evidence_of(session, ada.id) == []
    shop.fill(ada, begun, {"header": {"fraction": "  "}})
    assert drafts_of(session, attempt.id) == {"value": "2.5"}


def test_a_draft_that_cannot_be_read_is_told_and_one_that_is_wrong_is_not(shop, ada, session):
    begun = shop.start(ada, shop.open())
    attempt = shop.attempts(begun)["booster"]

    def keep(text):
        return tries.keep_draft(session, ada, attempt.id, "value", text, shop.clock())

    assert keep("112.5 kPa") == keep("999") == keep("") == ""
    assert "furlong" in keep("3 furlong")
    with pytest.raises(Conflict, match="too long"):
        keep("1" * 5000)
    with pytest.raises(Conflict, match="no such step"):
        tries.keep_draft(session, ada, attempt.id, "pressure", "1", shop.clock())


def test_hand_in_marks_everything_in_order_with_what_follows(shop, ada, session):
    given = shop.open()
    done = shop.work(ada, given, {"booster": dict(reversed(SLIP.items())), "header": RIGHT["header"]})
    assert done.handed_in == shop.clock()
    assert verdicts(shop, done, "booster") == [("fraction", "slip", 0.0), ("value", "follows", 1.0)]
    assert verdicts(shop, done, "header") == [("fraction", "right", 1.0), ("value", "right", 1.0)]
    made = shop.attempts(done)
    assert [(a.value, a.evidence, a.finished) for a in made.values()] == [
        (0.5, True, done.handed_in),
        (1.0, True, done.handed_in),
    ]
    assert [(row.skill, row.value, row.evidence) for row in evidence_of(session, ada.id)] == [
        ("S3.2", 0.5, True),
        ("S3.2", 1.0, True),
    ]
    assert drafts_of(session, made["booster"].id) == {}


def test_handing_in_twice_changes_nothing(shop, ada, session):
    done = shop.work(ada, shop.open(), RIGHT)
    when, entries = done.handed_in, entries_of(session, shop.attempts(done)["booster"].id)
    assert shop.hand_in(ada, done).handed_in == when
    assert entries_of(session, shop.attempts(done)["booster"].id) == entries
    assert len(marks_of(session, entries[0].id)) == 1
    with pytest.raises(Conflict, match=r"This try has been handed in\."):
        shop.fill(ada, done, RIGHT)


def test_no_second_look_at_a_power_of_ten_and_nothing_for_what_is_unread_or_empty(shop, ada, session):
    texts = {"booster": {"fraction": "4.5", "value": "about half"}, "header": {}}
    done = shop.work(ada, shop.open(), texts)
    assert verdicts(shop, done, "booster") == [("fraction", "scale", 0.0), ("value", "unread", None)]
    made = shop.attempts(done)
    assert [(each.value, each.evidence) for each in made.values()] == [(0.0, True), (0.0, False)]


def test_unguided_asks_the_answer_and_faded_is_no_evidence(shop, ada, session):
    given = shop.open(problems=(Chosen("booster", "unguided"), Chosen("header", "faded")))
    begun = shop.start(ada, given)
    with pytest.raises(Conflict, match="no such step"):
        shop.fill(ada, begun, {"booster": {"fraction": "0.45"}})
    shop.fill(ada, begun, {"booster": {"value": "112.5"}, "header": {"fraction": "0.25"}})
    done = shop.hand_in(ada, begun)
    made = shop.attempts(done)
    assert [(each.value, each.evidence) for each in made.values()] == [(1.0, True), (1.0, False)]


def test_the_ordinary_sheet_of_an_assessed_problem_answers_nothing(shop, ada, session, clock):
    begun = shop.start(ada, shop.open())
    attempt = shop.attempts(begun)["booster"]
    for refused in (
        lambda: attempts.enter(session, attempt.id, ada, "fraction", "0.45", "form", clock()),
        lambda: attempts.open_steps(session, attempt.id, ada.id),
        lambda: attempts.open_solution(session, attempt.id, ada.id, clock()),
    ):
        with pytest.raises(Conflict, match="part of a problem set"):
            refused()
    for refused in (
        lambda: tries.enter(session, attempt.id, ada, "fraction", "0.45", "form", clock()),
        lambda: tries.open_steps(session, ada.id, attempt.id, clock()),
        lambda: tries.open_solution(session, ada.id, attempt.id, clock()),
    ):
        with pytest.raises(Conflict, match="This set is assessed"):
            refused()
    assert entries_of(session, attempt.id) == []
    assert (attempt.aided, attempt.solution_opened) == (False, None)


def test_another_learner_s_try_does_not_exist(shop, ada, session, clock):
    begun, other = shop.start(ada, shop.open()), shop.learner("Cornelis")
    attempt = shop.attempts(begun)["booster"]
    for refused in (
        lambda: tries.look(session, other.id, begun.id, clock()),
        lambda: tries.keep_draft(session, other, attempt.id, "value", "1", clock()),
        lambda: tries.enter(session, attempt.id, other, "value", "1", "form", clock()),
        lambda: hand_ins.hand_in(session, other, begun.id, clock()),
    ):
        with pytest.raises(NotFound):
            refused()


# Practice: each step is marked at once


def test_practice_marks_at_once_with_retries(shop, ada, session, clock):
    given = shop.open(kind="practice")
    begun = shop.start(ada, given)
    attempt = shop.attempts(begun)["booster"]

    def enter(step, text, token):
        known = shop.library.worksheets
        return tries.enter(session, attempt.id, ada, step, text, token, clock(), known)

    assert enter("fraction", "4.5", "a").verdict == "scale"  # the free second look
    assert enter("fraction", "0.56", "b").verdict == "slip"
    assert enter("fraction", "0.45", "c").verdict == "right"
    assert enter("value", "112.5", "d").verdict == "right"
    session.refresh(attempt)
    assert (attempt.value, attempt.evidence) == (0.5, True)
    done = shop.hand_in(ada, begun)
    session.refresh(attempt)
    assert (attempt.value, attempt.evidence) == (0.5, True)
    left = shop.attempts(done)["header"]
    assert (left.value, left.evidence, left.finished) == (0.0, False, done.handed_in)
    with pytest.raises(Conflict, match="handed in"):
        enter("value", "112.5", "e")


def test_hints_in_practice_are_hints(shop, ada, session, clock):
    begun = shop.start(ada, shop.open(kind="practice", problems=(Chosen("booster"), Chosen("header"))))
    made = shop.attempts(begun)
    tries.open_steps(session, ada.id, made["booster"].id, clock())
    tries.open_solution(session, ada.id, made["header"].id, clock())
    assert [(each.aided, each.solution_opened) for each in made.values()] == [(True, None), (True, clock())]


# The clock of the server


def test_the_time_limit_is_kept_by_the_server(shop, ada, session, clock):
    begun = shop.start(ada, shop.open(minutes=30))
    assert begun.ends == clock() + timedelta(minutes=30)
    shop.fill(ada, begun, {"booster": {"fraction": "0.45"}})
    clock.advance(timedelta(minutes=30, seconds=30))
    shop.fill(ada, begun, {"booster": {"value": "112.5"}})  # was on its way
    assert not hand_ins.unsettled(session, clock())
    clock.advance(timedelta(seconds=1))
    with pytest.raises(Conflict, match="The time for this try is over"):
        shop.fill(ada, begun, {"header": RIGHT["header"]})
    assert hand_ins.unsettled(session, clock(), learner_id=ada.id)
    assert tries.look(session, ada.id, begun.id, clock()).state == "time over"
    assert hand_ins.settle(session, clock(), shop.library.worksheets, set_id=begun.set_id) == 1
    assert begun.handed_in == begun.ends
    assert [each.value for each in shop.attempts(begun).values()] == [1.0, 0.0]
    assert hand_ins.settle(session, clock()) == 0


def test_a_late_hand_in_takes_what_was_kept(shop, ada, session):
    begun = shop.start(ada, shop.open(minutes=10))
    shop.fill(ada, begun, RIGHT)
    done = shop.hand_in(ada, begun, minutes=60)
    assert done.handed_in == done.ends
    assert [(each.value, each.finished) for each in shop.attempts(done).values()] == [(1.0, done.ends)] * 2


def test_the_date_ends_a_try_too(shop, ada, clock):
    begun = shop.start(ada, shop.open(minutes=60, due=clock() + timedelta(minutes=20)))
    assert begun.ends == clock() + timedelta(minutes=20)


def test_more_time_for_one_person(shop, ada, session, clock):
    cornelis = shop.learner("Cornelis")
    given = shop.open(minutes=30, due=clock() + timedelta(hours=1))
    begun, other = shop.start(ada, given), shop.start(cornelis, given)
    clock.advance(timedelta(minutes=31))
    more = {"reason": "Called to the pump room.", "by_name": "Berend", "at": clock()}
    time_limits.extend(session, given.id, ada.id, minutes=15, **more)
    assert (begun.ends, other.ends) == (begun.started + timedelta(minutes=45), other.started + timedelta(minutes=30))
    shop.fill(ada, begun, RIGHT)
    time_limits.extend(session, given.id, ada.id, minutes=60, due=given.due + timedelta(minutes=10), **more)
    assert begun.ends == given.due + timedelta(minutes=10)
    (row,) = due_list(session, ada.id, clock())
    assert (row.minutes, row.due) == (105, given.due + timedelta(minutes=10))
    late = shop.learner("Late")
    time_limits.extend(session, given.id, late.id, minutes=5, **more)
    assert shop.start(late, given).ends == given.due  # minutes alone do not put the date off


@pytest.mark.parametrize(
    ("wanted", "told"),
    [
        ({"reason": " ", "minutes": 5}, "needs a reason"),
        ({"reason": "Ill.", "minutes": 0}, "Give more minutes, a later date, or both"),
        ({"reason": "Ill.", "minutes": -5}, "Give more minutes"),
        ({"reason": "Ill.", "minutes": 5}, "no time limit to extend"),
    ],
)
def test_an_extension_says_what_and_why(shop, ada, session, clock, wanted, told):
    given = shop.open()
    with pytest.raises(PlanRefused, match=told):
        time_limits.extend(session, given.id, ada.id, by_name="Berend", at=clock(), **wanted)


def test_closing_ends_what_runs_and_opening_again_goes_on(shop, ada, session, clock):
    given = shop.open(minutes=60)
    begun = shop.start(ada, given)
    clock.advance(timedelta(minutes=5))
    sets.close_set(session, given.id, clock())
    assert begun.ends == clock()
    clock.advance(timedelta(minutes=2))
    with pytest.raises(Conflict, match="time for this try is over"):
        shop.fill(ada, begun, RIGHT)
    sets.open_set(session, given.id, shop.library.problems, clock())
    assert begun.ends == begun.started + timedelta(minutes=60)
    shop.fill(ada, begun, RIGHT)


def test_a_try_survives_a_restart_and_is_picked_up_where_it_stopped(shop, ada, session, clock, tmp_path, database):
    begun = shop.start(ada, shop.open(minutes=30))
    shop.fill(ada, begun, {"booster": RIGHT["booster"], "header": {"fraction": "0.25"}})
    session.commit()
    database.close()
    clock.advance(timedelta(minutes=12))
    again = open_storage(load_settings(tmp_path, {}), clock)
    with again.new_session(writing=True) as later:
        seen = tries.look(later, ada.id, begun.id, clock())
        assert (seen.state, seen.seconds_left) == ("running", 18 * 60)
        assert (seen.next.place.problem, seen.next.drafts) == ("header", {"fraction": "0.25"})
        assert [step.name for step in seen.next.asked] == ["fraction", "value"]
        person = get_learner(later, ada.id)
        tries.keep_draft(later, person, seen.next.attempt.id, "value", "2.5", clock())
        hand_ins.hand_in(later, person, begun.id, clock(), shop.library.worksheets)
        assert get_try(later, begun.id).handed_in == clock()
        assert [each.attempt.value for each in tries.look(later, ada.id, begun.id, clock()).problems] == [1.0, 1.0]
        later.commit()
    again.close()


def test_a_hand_in_that_fails_leaves_the_drafts(shop, ada, session, database, monkeypatch):
    begun = shop.start(ada, shop.open())
    shop.fill(ada, begun, RIGHT)
    session.commit()
    real, calls = hand_ins.close, []

    def fail(*arguments):
        calls.append(arguments)
        if len(calls) == 2:
            raise RuntimeError("the disk is full")
        return real(*arguments)

    monkeypatch.setattr(hand_ins, "close", fail)
    with pytest.raises(RuntimeError):
        shop.hand_in(ada, begun)
    session.rollback()
    session.expire_all()
    assert [each.finished for each in shop.attempts(begun).values()] == [None, None]
    assert entries_of(session, shop.attempts(begun)["booster"].id) == []
    assert drafts_of(session, shop.attempts(begun)["booster"].id) == RIGHT["booster"]


def test_solutions_after_the_hand_in_of_practice_or_when_released(shop, ada, session, clock):
    assessed, practice = shop.open(), shop.open(title="Week 2", kind="practice")
    first, second = shop.start(ada, assessed), shop.start(ada, practice)

    def shown():
        return [tries.look(session, ada.id, each.id, clock()).shows_solutions for each in (first, second)]

    assert shown() == [False, False]
    shop.hand_in(ada, first)
    shop.hand_in(ada, second)
    assert shown() == [False, True]
    sets.close_set(session, assessed.id, clock(), release_solutions=True)
    assert shown() == [True, True]
    sets.release_solutions(session, assessed.id, clock(), released=False)
    assert shown() == [False, True]


def test_a_look_at_a_try_takes_as_many_queries_for_many_problems(shop, ada, session, database, statements, clock):
    counts = []
    for number in (1, 12):
        chosen = tuple(Chosen("booster", "guided") for _ in range(number))
        begun = shop.start(ada, shop.open(title=f"Set {number}", problems=chosen))
        for attempt in tries.look(session, ada.id, begun.id, clock()).problems:
            tries.keep_draft(session, ada, attempt.attempt.id, "fraction", WRONG["booster"]["fraction"], clock())
        session.commit()
        statements.clear()
        with database.reading() as reader:
            assert len(tries.look(reader, ada.id, begun.id, clock()).problems) == number
        counts.append(len([each for each in statements if each.startswith("SELECT")]))
    assert counts[0] == counts[1] == 6
