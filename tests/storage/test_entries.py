from datetime import timedelta

import pytest
from sqlalchemy.exc import IntegrityError

from trainer.storage.entries import NewMark, add_entry, add_mark, entries_of, marks_of


@pytest.fixture
def enter(session, attempt, clock):
    def enter(mark, token, step="fraction", text="0.45", **more):
        return add_entry(session, attempt.id, step, text, mark, clock(), form_token=token, step_skill="scaling", **more)

    return enter


def test_an_entry_comes_back_as_typed(session, attempt, enter, wrong, clock):
    made = enter(wrong, "a", text="  0,56 ")
    (found,) = entries_of(session, attempt.id)

    assert found == made
    assert (found.text, found.step, found.step_skill, found.made) == ("  0,56 ", "fraction", "scaling", clock())
    assert (found.verdict, found.mark, found.slip) == ("slip", 0.0, "no live zero")


def test_the_same_form_sent_again_is_one_entry(session, attempt, enter, right, wrong):
    made = enter(wrong, "a", text="0.56")
    again = enter(right, "a", text="0.45")

    assert again == made
    assert len(entries_of(session, attempt.id)) == 1
    assert len(marks_of(session, made.id)) == 1


def test_one_form_may_hold_several_steps(session, attempt, enter, right):
    enter(right, "a", step="fraction")
    enter(right, "a", step="value")

    assert [entry.step for entry in entries_of(session, attempt.id)] == ["fraction", "value"]


def test_the_database_itself_refuses_a_form_twice(session, enter, right):
    enter(right, "a")

    with pytest.raises(IntegrityError, match="UNIQUE"):
        enter(right, "a", kept=[])


def test_entries_are_numbered_per_step_and_the_first_that_counts_is_first(enter, right, wrong, unread):
    made = [enter(unread, "a"), enter(wrong, "b"), enter(right, "c"), enter(right, "d", step="value")]

    assert [entry.number for entry in made] == [1, 2, 3, 1]
    assert [entry.first for entry in made] == [False, True, False, True]


def test_entries_of_one_moment_keep_their_order(session, attempt, enter, wrong):
    for number in range(20):
        enter(wrong, f"token {number}", text=str(number))

    assert [entry.text for entry in entries_of(session, attempt.id)] == [str(number) for number in range(20)]


def test_the_newest_mark_counts_and_the_old_one_stays(session, attempt, enter, wrong, clock):
    entry = enter(wrong, "a")
    clock.advance(timedelta(days=40))
    kinder = NewMark("right", 1.0, "Right.", {"right": 0.56, "tolerance": 0.001})
    add_mark(session, entry.id, kinder, clock(), reason="the key was wrong")
    (found,) = entries_of(session, attempt.id)
    old, new = marks_of(session, entry.id)

    assert (found.verdict, found.mark, found.slip) == ("right", 1.0, None)
    assert (old.verdict, old.reason, old.basis["right"]) == ("slip", "first marking", 0.45)
    assert (new.verdict, new.reason, new.basis["right"]) == ("right", "the key was wrong", 0.56)
    assert new.made - old.made == timedelta(days=40)


def test_of_two_marks_of_one_moment_the_later_counts(session, attempt, enter, right, wrong, clock):
    entry = enter(wrong, "a")
    for mark in [right, wrong] * 5 + [right]:
        add_mark(session, entry.id, mark, clock(), reason="back and forth")

    assert [found.verdict for found in entries_of(session, attempt.id)] == ["right"]


def test_an_entry_takes_few_statements_however_many_there_are(session, attempt, enter, wrong, statements):
    def sent(token, **more) -> int:
        statements.clear()
        enter(wrong, token, **more)
        return len(statements)

    first = sent("a")
    for number in range(10):
        enter(wrong, str(number))

    assert first == sent("b") == 3
    kept = entries_of(session, attempt.id)
    assert sent("c", kept=kept) == 2


def test_an_empty_attempt_has_no_entries(session, attempt):
    assert entries_of(session, attempt.id) == []
