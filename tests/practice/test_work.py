"""Attempts through a real database: started, worked in order, marked, valued by their first entries."""

import json
from dataclasses import replace
from datetime import timedelta
from uuid import uuid4

import pytest

from trainer.content.library import read_library
from trainer.errors import Conflict, NotFound
from trainer.grading.marking import Basis, mark
from trainer.practice import attempts
from trainer.practice.sheet import asked_steps
from trainer.storage.attempts import get_attempt
from trainer.storage.entries import entries_of, marks_of
from trainer.storage.evidence import evidence_of
from trainer.storage.learners import add_learner
from trainer.worksheets.draw import Choice, Fixed
from trainer.worksheets.problem import Problem
from trainer.worksheets.snapshot import snapshot
from trainer.worksheets.worksheet import Worksheet

WORKSHEETS = read_library().worksheets


def shown(session, learner):
    return [(row.skill, row.value, row.evidence, row.mode) for row in evidence_of(session, learner.id)]


# Guided


def test_guided_asks_the_steps_in_order(work):
    sheet = work()
    assert sheet.states == {"fraction": "open", "value": "locked"}
    with pytest.raises(Conflict, match=r"^Step 1 comes first\.$"):
        sheet.enter("value", "112.5")
    assert sheet.entries == []
    assert sheet.enter("fraction", "0.45").verdict == "right"
    assert sheet.states == {"fraction": "done", "value": "open"}
    assert sheet.enter("value", "112.5").verdict == "right"
    assert sheet.states == {"fraction": "done", "value": "done"}
    assert sheet.sheet.complete


def test_all_right_is_full_evidence(work, session, learner):
    sheet = work()
    sheet.enter("fraction", "0.45")
    assert (sheet.attempt.finished, shown(session, learner)) == (None, [])
    sheet.enter("value", "112.5")
    session.refresh(sheet.attempt)
    assert (sheet.attempt.value, sheet.attempt.evidence, sheet.attempt.finished) == (1.0, True, sheet.clock())
    assert shown(session, learner) == [("S3.2", 1.0, True, "guided")]


def test_a_slip_followed_through_and_mended(work, session, learner):
    sheet = work()
    first = sheet.enter("fraction", "0.56")
    assert (first.verdict, first.slip, first.mark, first.first) == ("slip", "no_live_zero", 0.0, True)
    assert sheet.states == {"fraction": "mend", "value": "open"}
    second = sheet.enter("value", "140")
    assert (second.verdict, second.mark) == ("follows", 1.0)
    assert sheet.states == {"fraction": "mend", "value": "done"}
    assert not sheet.sheet.complete
    assert shown(session, learner) == [("S3.2", 0.5, True, "guided")]
    sheet.enter("fraction", "0.45")
    assert sheet.states == {"fraction": "done", "value": "mend"}
    assert sheet.enter("value", "112.5").first is False
    assert sheet.sheet.complete
    assert shown(session, learner) == [("S3.2", 0.5, True, "guided")]  # the first entries count


def test_a_right_step_is_closed(work):
    sheet = work()
    sheet.enter("fraction", "0.45")
    with pytest.raises(Conflict, match="This step is closed"):
        sheet.enter("fraction", "0.46")
    with pytest.raises(Conflict, match="no such step"):
        sheet.enter("pressure", "1")


def test_what_cannot_be_read_is_no_entry_of_the_attempt(work, session, learner):
    sheet = work()
    first = sheet.enter("fraction", "about half")
    assert (first.verdict, first.mark, first.first) == ("unread", None, False)
    assert sheet.states == {"fraction": "open", "value": "locked"}
    assert sheet.enter("fraction", "0.45").first is True
    sheet.enter("value", "112.5")
    assert shown(session, learner) == [("S3.2", 1.0, True, "guided")]


def test_the_free_second_look_at_a_power_of_ten(work, session, learner):
    sheet = work()
    first = sheet.enter("fraction", "4.5")
    assert (first.verdict, first.mark, first.first) == ("scale", None, False)
    assert sheet.states["fraction"] == "open"
    assert sheet.enter("fraction", "0.45").first is True
    sheet.enter("value", "11.25")
    again = sheet.enter("value", "1.125")
    assert (again.verdict, again.mark, again.first) == ("scale", 0.0, True)
    assert shown(session, learner) == [("S3.2", 0.5, True, "guided")]


def test_what_was_not_marked_is_not_followed_up(work):
    sheet = work()
    sheet.enter("fraction", "0.2")
    assert sheet.enter("fraction", "4.5").mark is None
    assert sheet.enter("value", "50").verdict == "follows"


def test_half_for_another_unit_once_a_sheet(work, session, learner):
    units = {"x": "°C", "y": "°C"}
    made = Worksheet("two", "Two", "S1.7")
    for name in "xy":
        made.given(name, name)
        made.step(name, name=f"{name}_again", unit=f"as {name}", tolerance=0.1)(eval(f"lambda {name}: {name}"))
    draws = (Fixed("x", 10.0), Fixed("y", 20.0))
    sheet = work(problem=Problem("two", made, "Two", "T", "F", "dairy", draws, units=units, skill="S1.7"))
    assert [sheet.enter("x_again", "50 °F").mark, sheet.enter("y_again", "68 °F").mark] == [0.5, 0.0]
    assert shown(session, learner) == [("S1.7", 0.25, True, "guided")]


def test_the_same_form_twice_is_one_entry(work):
    sheet = work()
    first = sheet.enter("fraction", "0.56", token="form-a")
    assert sheet.enter("fraction", "0.45", token="form-a") == first
    assert [(each.text, each.number) for each in sheet.entries] == [("0.56", 1)]
    sheet.enter("fraction", "0.45", token="form-b")
    assert sheet.enter("fraction", "0.45", token="form-b").number == 2  # closed by now, and yet no conflict


def test_a_learner_s_own_decimal_sign(session, clock, work):
    comma = add_learner(session, "Ada", clock(), decimal_sign=",")
    sheet = work(who=comma)
    assert sheet.enter("fraction", "0,450").verdict == "right"
    sheet = work()
    assert sheet.enter("fraction", "1,450").verdict == "unread"


# Unguided and faded


def test_unguided_asks_the_answer_alone(work, session, learner):
    sheet = work("unguided")
    assert sheet.states == {"value": "open"}
    with pytest.raises(Conflict):
        sheet.enter("fraction", "0.45")
    found = sheet.enter("value", "140")
    assert (found.verdict, found.slip) == ("slip", "no_live_zero")
    assert shown(session, learner) == [("S3.2", 0.0, True, "unguided")]


def test_opening_the_steps_is_a_help(work, session, learner):
    sheet = work("unguided")
    attempts.open_steps(session, sheet.attempt.id, learner.id)
    assert sheet.states == {"fraction": "open", "value": "locked"}
    sheet.enter("fraction", "0.45")
    sheet.enter("value", "112.5")
    assert sheet.attempt.aided is True
    assert shown(session, learner) == [("S3.2", 1.0, False, "unguided")]


def test_opening_the_steps_after_the_answer_changes_no_evidence(work, session, learner):
    sheet = work("unguided")
    sheet.enter("value", "112.5")
    attempts.open_steps(session, sheet.attempt.id, learner.id)
    assert shown(session, learner) == [("S3.2", 1.0, True, "unguided")]
    assert sheet.states["fraction"] == "open"


def test_faded_asks_the_first_half_and_is_no_evidence(work, session, learner):
    sheet = work("faded")
    assert sheet.states == {"fraction": "open", "value": "locked"}
    sheet.enter("fraction", "0.56")
    assert sheet.states == {"fraction": "mend", "value": "given"}
    with pytest.raises(Conflict, match="This step is closed"):
        sheet.enter("value", "140")
    sheet.enter("fraction", "0.45")
    assert sheet.sheet.complete
    assert shown(session, learner) == [("S3.2", 0.0, False, "faded")]


@pytest.mark.parametrize(
    ("mode", "opened", "asked"),
    [("guided", False, "abcde"), ("faded", False, "abc"), ("unguided", False, "e"), ("unguided", True, "abcde")],
)
def test_which_steps_are_asked(mode, opened, asked):
    made = Worksheet("s", "S", "S1.1")
    made.given("x", "X")
    for name in "abcde":
        made.step(name, name=name)(lambda x: x)
    kept = snapshot(Problem("p", made, "P", "T", "F", "dairy", (Fixed("x", 1.0),)).variant(0))
    assert asked_steps(kept, mode, opened) == tuple(asked)


# The solution


def test_the_solution_closes_the_sheet(work, session, learner):
    sheet = work()
    sheet.enter("fraction", "0.56")
    attempts.open_solution(session, sheet.attempt.id, learner.id, sheet.clock())
    assert sheet.states == {"fraction": "done", "value": "given"}
    for step in ("fraction", "value"):
        with pytest.raises(Conflict, match="This step is closed"):
            sheet.enter(step, "0.45")
    assert (sheet.attempt.aided, sheet.attempt.finished, shown(session, learner)) == (True, None, [])


def test_the_solution_after_the_end_is_no_help(work, session, learner):
    sheet = work()
    sheet.enter("fraction", "0.45")
    sheet.enter("value", "112.5")
    opened = sheet.clock()
    attempts.open_solution(session, sheet.attempt.id, learner.id, opened)
    sheet.clock.advance(timedelta(hours=1))
    attempts.open_solution(session, sheet.attempt.id, learner.id, sheet.clock())
    session.refresh(sheet.attempt)
    assert (sheet.attempt.aided, sheet.attempt.solution_opened) == (False, opened)
    assert shown(session, learner) == [("S3.2", 1.0, True, "guided")]


# Whose it is


def test_another_learner_s_attempt_does_not_exist(work, session, clock, learner):
    sheet, other = work(), add_learner(session, "Cornelis", clock())
    for refused in (
        lambda: attempts.enter(session, sheet.attempt.id, other, "fraction", "0.45", "form", clock()),
        lambda: attempts.open_steps(session, sheet.attempt.id, other.id),
        lambda: attempts.open_solution(session, sheet.attempt.id, other.id, clock()),
        lambda: attempts.enter(session, uuid4(), learner, "fraction", "0.45", "form", clock()),
    ):
        with pytest.raises(NotFound, match="there is no such attempt"):
            refused()
    assert sheet.entries == []
    assert (sheet.attempt.aided, sheet.attempt.solution_opened) == (False, None)


# Fresh numbers, skills, and code that has changed


def test_a_learner_gets_numbers_not_met_before(session, learner, clock, booster, monkeypatch):
    drawn = iter([5, 5, 5, 9])
    monkeypatch.setattr(attempts.secrets, "randbelow", lambda _: next(drawn))
    begun = [attempts.start(session, learner.id, booster, "guided", clock()) for _ in range(2)]
    assert [attempt.seed for attempt in begun] == [5, 9]
    assert attempts.start(session, learner.id, booster, "guided", clock(), seed=5).seed == 5


def test_each_step_s_own_skill_is_valued_by_its_steps(work, session, learner):
    made = Worksheet("mixed", "Mixed", "S3.2")
    made.given("x", "X")
    made.step("A", name="a", tolerance=0.1, skill="S1.7")(lambda x: x)
    made.step("B", name="b", tolerance=0.1)(lambda a: 2 * a)
    sheet = work(problem=Problem("mixed", made, "M", "T", "F", "dairy", (Fixed("x", 7.0),), skill="S3.9"))
    sheet.enter("a", "5.5")
    sheet.enter("b", "14")
    assert {(skill, value) for skill, value, *_ in shown(session, learner)} == {
        ("S3.9", 0.5),
        ("S1.7", 0.0),
        ("S3.2", 1.0),
    }


def test_what_was_started_still_shows_and_marks_when_its_problem_is_gone(work):
    sheet = work()
    sheet.worksheets = {}
    assert sheet.sheet.snapshot.text().startswith("A meter reads 11.2")
    assert sheet.enter("fraction", "0.56").slip == "no_live_zero"
    assert sheet.enter("value", "60").verdict == "wrong"
    assert sheet.enter("value", "140").slip == "no_live_zero"  # nothing is followed up, but the slip is still known
    assert sheet.enter("value", "112.5").verdict == "right"


def test_a_newer_worksheet_does_not_change_what_was_started(work):
    newer = Worksheet("value-from-signal", "Newer", "S3.2", version=WORKSHEETS["value-from-signal"].version + 1)
    sheet = work()
    sheet.worksheets = {"value-from-signal": newer}
    sheet.enter("fraction", "0.2")
    assert sheet.enter("value", "50").verdict == "wrong"
    assert sheet.enter("fraction", "0.45").verdict == "right"


def test_a_worksheet_that_a_bank_defines_is_followed_with_the_library_s_worksheets(work, session, learner, clock):
    made = Worksheet("of-a-bank", "Of a bank", "S1.1")
    made.given("x", "X")
    made.step("A", name="a", tolerance=0.1)(lambda x: x + 1)
    made.step("B", name="b", tolerance=0.1)(lambda a: 2 * a)
    sheet = work(problem=Problem("p", made, "P", "T", "F", "dairy", (Fixed("x", 7.0),), skill="S1.1"))
    sheet.enter("a", "5.5")
    known = {"of-a-bank": made}
    alone = sheet.enter("b", "11")
    followed = attempts.enter(session, sheet.attempt.id, learner, "b", "11", "form-z", clock(), known)
    assert (alone.verdict, followed.verdict) == ("wrong", "follows")


def test_every_mark_can_be_made_again_from_its_basis(work, session):
    sheet = work()
    for step, text in (("fraction", "x"), ("fraction", "4.5"), ("fraction", "0.2"), ("value", "50"), ("value", "51")):
        if step == "value" and sheet.states["value"] == "done":
            break
        sheet.enter(step, text)
    entries = entries_of(session, sheet.attempt.id)
    assert [entry.verdict for entry in entries] == ["unread", "scale", "wrong", "follows"]
    for entry in entries:
        (kept,) = marks_of(session, entry.id)
        again = mark(entry.text, Basis.from_json(json.loads(json.dumps(kept.basis))))
        assert (again.verdict, again.mark, again.message, again.slip) == (
            kept.verdict,
            kept.mark,
            kept.message,
            kept.slip,
        )


def test_the_whole_snapshot_is_in_the_database(work, session, booster, learner):
    sheet = work()
    session.commit()
    session.expire_all()
    stored = get_attempt(session, sheet.attempt.id, learner_id=learner.id)
    assert attempts.sheet_of(stored, []).snapshot == snapshot(replace(booster).variant(stored.seed))


def test_rows_orders_and_states_survive_the_database(work):
    made = Worksheet("kinds", "Kinds", "S4.3")
    made.given("x", "X")
    made.step("Row", name="row", kind="row", tolerance=0.1)(lambda x: (x, 2 * x))
    made.step("Order", name="order", kind="order", options=("a", "b", "c"))(lambda: (("a", "b"), ("a", "c")))
    made.step("States", name="states", kind="states", options=("on", "off"))(lambda: ("on", "off"))
    made.step("Some", name="some", kind="several", options=("a", "b"))(lambda: ("a",))
    made.slip_of("row", "Once.", name="once")(lambda x: (x, x))
    draws = (Choice(("x",), ((4.0,), (5.0,))),)
    sheet = work(problem=Problem("kinds", made, "K", "T", "F", "dairy", draws, skill="S4.3"))
    x = sheet.sheet.snapshot.given_values["x"]
    assert sheet.enter("row", f"{x}; {x}").slip == "once"
    assert sheet.enter("row", f"{x}; {2 * x}").verdict == "right"
    assert sheet.enter("order", "a;c;b").verdict == "right"
    assert sheet.enter("states", "on;off").verdict == "right"
    assert sheet.enter("some", "a").verdict == "right"
    assert sheet.sheet.complete
