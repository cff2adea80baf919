"""A learner's sheet and what is said of it, complaints and their answers, marking again."""

import re

import pytest
from results_course import Course, row_of, words
from web_visitors import Visitor, count, dump

from trainer.practice import reviews
from trainer.storage.models import Complaint, Override, Remark
from trainer.units import format_number
from trainer.web import results


@pytest.fixture
def course(app) -> Course:
    return Course(app)


@pytest.fixture
def ina(app) -> Visitor:
    visitor = Visitor(app)
    visitor.become_instructor()
    return visitor


# A learner's sheet


def test_a_sheet_shows_what_was_typed_in_time_order_with_the_true_values(course, ina):
    slip = course.slip()
    attempt = course.work(wrong=slip)
    page = words(ina.page(f"/results/{attempt}"))
    true = course.review(attempt).sheet.snapshot
    for step in true.steps:
        assert format_number(step.value, step.decimals) in page
    assert page.index(slip["fraction"]) < page.index(slip["value"])
    assert "✗ slip" in page
    assert "→ follows" in page
    assert "Mark 50 %" in page


def test_a_sheet_of_a_problem_that_is_gone_stays_readable(course, ina):
    attempt = course.work(wrong=course.slip())
    course.remove_problem()
    page = ina.page(f"/results/{attempt}")
    assert "no longer in the question banks" in page
    assert "Brine chiller" in page
    assert "no longer in the question banks" in ina.page(course.results)


def test_the_figure_of_a_sheet_is_open_to_instructors(course, ina):
    attempt = course.work()
    answer = ina.get(f"/results/{attempt}/solved-light.svg")
    assert (answer.status_code, answer.mimetype) == (200, "image/svg+xml")


def test_marks_by_hand_are_all_kept_and_the_newest_counts(course, ina):
    attempt = course.work(wrong=course.slip())
    for value, reason in (("60", "Typing slip"), ("75", "Worked on paper")):
        assert ina.post(f"/results/{attempt}/override", value=value, reason=reason).status_code == 303
    page = words(ina.page(f"/results/{attempt}"))
    assert "Mark 75 %" in page
    assert "Mark given by hand : 60 % , replaced by a later one" in page.replace("60 %,", "60 % ,")
    assert "Typing slip Ina" in page
    assert "By the entries the sheet is worth 50 %" in page
    assert [each.value for each in course.review(attempt).overrides] == [0.6, 0.75]


@pytest.mark.parametrize(
    ("value", "reason", "sentence", "status"),
    [
        ("101", "Kind", "A mark lies between 0 and 100 %.", 400),
        ("-1", "Kind", "A mark lies between 0 and 100 %.", 400),
        ("50 mA", "Kind", "A mark lies between 0 and 100 %.", 400),
        ("half", "Kind", "half", 400),
        ("50", " ", "A mark given by hand needs a reason.", 400),
        ("50", "x" * 2001, "longer than 2000 characters", 400),
    ],
)
def test_a_mark_that_cannot_be_kept_is_shown_again_as_typed(app, course, ina, value, reason, sentence, status):
    attempt = course.work()
    answer = ina.post(f"/results/{attempt}/override", value=value, reason=reason)
    page = answer.get_data(as_text=True)
    assert answer.status_code == status
    assert sentence in page
    assert f'value="{value}"' in page
    assert reason in page
    assert count(app, Override) == 0


def test_work_under_way_gets_no_mark_by_hand_and_the_reason_is_shown_again(app, course, ina):
    attempt = course.work(hand_in=False)
    assert "Mark by hand" not in ina.page(f"/results/{attempt}")
    answer = ina.post(f"/results/{attempt}/override", value="50", reason="Kind to all")
    assert answer.status_code == 409
    assert "not been handed in" in answer.get_data(as_text=True)
    assert "Kind to all" in answer.get_data(as_text=True)
    assert count(app, Override) == 0


def test_a_remark_stands_on_the_sheet_with_who_said_it(app, course, ina):
    attempt = course.work()
    assert ina.post(f"/results/{attempt}/remark", text="Mind the live zero.").status_code == 303
    assert "Mind the live zero. Ina" in words(ina.page(f"/results/{attempt}"))
    answer = ina.post(f"/results/{attempt}/remark", text="  ")
    assert (answer.status_code, "The remark is empty." in answer.get_data(as_text=True)) == (400, True)
    assert count(app, Remark) == 1


# Complaints


def test_a_complaint_comes_with_its_variant_and_is_settled_by_an_answer(course, ina):
    attempt = course.work()
    made = course.complain(attempt, "The range is missing.")
    page = ina.page("/complaints/")
    kept = course.review(attempt).sheet.snapshot
    assert " ".join(kept.text().split()) in words(page)
    assert f"variant {kept.seed}" in page
    assert f'href="/results/{attempt}"' in page
    assert ina.post(f"/complaints/{made}/answer", answer="It stands in the text.").location == "/complaints/"
    assert "Nobody waits for an answer." in ina.page("/complaints/")
    assert "Ina" in words(ina.page("/complaints/?settled=1"))
    assert "It stands in the text." in ina.page(f"/results/{attempt}")
    assert "said to be wrong" not in row_of(ina.page(course.results), "Ada Pump")


def test_an_answer_from_the_sheet_leads_back_to_it(course, ina):
    attempt = course.work()
    made = course.complain(attempt)
    assert ina.post(f"/complaints/{made}/answer", answer="No.", back="sheet").location == f"/results/{attempt}"


def test_an_empty_answer_is_asked_for_again(app, course, ina):
    made = course.complain(course.work())
    answer = ina.post(f"/complaints/{made}/answer", answer="")
    assert (answer.status_code, "The answer is empty." in answer.get_data(as_text=True)) == (400, True)
    before = dump(app)
    answer = ina.post(f"/complaints/{made}/answer", answer="z" * 2001)
    assert (answer.status_code, "z" * 2001 in answer.get_data(as_text=True)) == (400, True)
    assert dump(app) == before


def test_of_two_answers_the_second_is_told_of_the_first_and_not_lost(app, course, ina):
    made = course.complain(course.work())
    assert ina.post(f"/complaints/{made}/answer", answer="It is bar.").status_code == 303
    answer = ina.post(f"/complaints/{made}/answer", answer="It is kilopascal.")
    page = answer.get_data(as_text=True)
    assert answer.status_code == 409
    assert "Ina has answered this already: It is bar." in page
    assert "It is kilopascal." in page
    with course.found.database.reading() as session:
        assert session.get(Complaint, made).answer == "It is bar."


# Marking again


def test_a_preview_says_that_nothing_changes(course, ina):
    assert "Nothing has been handed in yet." in ina.page(course.marking)
    course.work()
    page = ina.page(course.marking)
    assert "Nothing changes" in page
    assert 'name="reason"' not in page


@pytest.fixture
def corrected(course):
    """Ada is right, Ben's value is far off but the corrected problem takes it."""
    ada, ben = course.work("Ada"), course.work("Ben", {"value": "900"})
    course.change_key()
    return ada, ben


def test_a_preview_shows_old_and_new_marks_and_what_changed(course, ina, corrected):
    page = words(ina.page(course.marking))
    assert "50 % → 100 %" in page
    assert "900 : ✗ wrong → ✓ right" in page.replace("999:", "900 :")
    assert re.search(r"within \S+ °C becomes within 1000 °C", page)


def test_ticked_sheets_are_marked_again_and_both_marks_are_kept(course, ina, corrected):
    ada, ben = corrected
    answer = ina.post(course.marking, attempt=str(ben), reason="The tolerance was a misprint.")
    assert answer.location == course.marking
    assert "1 sheet was marked again." in ina.page(course.marking)
    page = words(ina.page(f"/results/{ben}"))
    assert "Mark 100 %" in page
    assert "50 % became 100 %" in page
    assert "before, from 2026-03-02 07:30 UTC: wrong" in page
    assert "marked again: The tolerance was a misprint." in page
    assert re.search(r"within \S+ °C becomes within 1000 °C", page)
    assert course.review(ada).remarkings == ()
    assert row_of(ina.page(course.results), "Ben") == "Ben ✓ passed 100 % ✓ 100"


@pytest.mark.parametrize(
    ("ticks", "reason", "sentence"), [(1, "", "Marking again needs a reason."), (0, "Misprint", "Tick at least one")]
)
def test_marking_again_takes_ticks_and_a_reason(app, course, ina, corrected, ticks, reason, sentence):
    before = dump(app)
    answer = ina.post(course.marking, reason=reason, **({"attempt": str(corrected[1])} if ticks else {}))
    page = answer.get_data(as_text=True)
    assert answer.status_code == 400
    assert sentence in page
    assert reason in page
    assert page.count(" checked") == ticks
    assert dump(app) == before


def test_more_sheets_than_a_form_holds_come_in_parts(app, course, ina, corrected, monkeypatch):
    monkeypatch.setattr(results, "MOST_TICKED", 1)
    page = ina.page(course.marking)
    assert "The first 1 are listed" in page
    assert page.count('type="checkbox"') == 1
    per_tick = len("attempt=") + len(str(corrected[0])) + len("&")
    monkeypatch.undo()
    assert per_tick * results.MOST_TICKED + 9 * reviews.LONGEST_TEXT < app.config["MAX_FORM_MEMORY_SIZE"]


def test_what_cannot_be_marked_again_says_why(course, ina):
    course.work()
    course.remove_problem()
    page = words(ina.page(course.marking))
    assert "The problem is no longer in the question banks. It stays as it is." in page
    assert "Nothing changes" not in page
