from datetime import date, timedelta
from uuid import uuid4

import pytest
from sqlalchemy.exc import IntegrityError

from trainer.errors import NotFound
from trainer.storage import reviews
from trainer.storage.entries import add_entry, add_mark
from trainer.storage.models import Complaint, Override, Remark, Remarking


def test_overrides_and_remarks_are_added_never_changed(session, attempt, clock):
    for value in (0.5, 1.0):
        reviews.add_override(session, attempt.id, value, "Why", "Berend", clock())
    reviews.add_remark(session, attempt.id, "Good.", "Anke", clock())
    assert [each.value for each in reviews.added_to(session, Override, [attempt.id])] == [0.5, 1.0]
    assert [(each.text, each.by_name) for each in reviews.added_to(session, Remark, [attempt.id])] == [
        ("Good.", "Anke")
    ]
    assert reviews.added_to(session, Remark, [uuid4()]) == []
    with pytest.raises(IntegrityError):
        reviews.add_override(session, attempt.id, 1.5, "Why", "Berend", clock())


def test_complaints_are_listed_until_they_are_settled(session, attempt, clock):
    first = reviews.add_complaint(session, attempt.id, "The unit?", clock())
    clock.advance(timedelta(minutes=1))
    second = reviews.add_complaint(session, attempt.id, "The range?", clock())
    rows = reviews.list_complaints(session)
    assert [(row.complaint.id, row.problem, row.seed, row.name, row.set_id) for row in rows] == [
        (each.id, "cold-store-reading", 7, "Ada Pump", None) for each in (first, second)
    ]
    reviews.get_complaint(session, first.id).settled = clock()
    session.flush()
    assert [row.complaint.id for row in reviews.list_complaints(session)] == [second.id]
    assert [row.complaint.id for row in reviews.list_complaints(session, settled=True)] == [first.id]
    assert len(reviews.added_to(session, Complaint, [attempt.id])) == 2
    with pytest.raises(NotFound):
        reviews.get_complaint(session, uuid4())


def test_all_marks_of_an_attempt_the_newest_last(session, attempt, wrong, right, clock):
    entry = add_entry(session, attempt.id, "fraction", "0.56", wrong, clock(), form_token="a", step_skill="S3.2")
    add_mark(session, entry.id, right, clock(), reason="marked again")
    assert {
        key: [(row.verdict, row.reason) for row in rows]
        for key, rows in reviews.marks_of_attempt(session, attempt.id).items()
    } == {entry.id: [("slip", "first marking"), ("right", "marked again")]}


def test_the_newest_re_marking_comes_with_its_snapshot(session, attempt, clock):
    assert reviews.newest_remarking(session, attempt.id) is None
    for number in (1, 2):
        clock.advance(timedelta(minutes=1))
        reviews.add_remarking(
            session,
            attempt.id,
            value_before=None,
            value_after=number / 2,
            snapshot={"version": number},
            reason="Key",
            by_name="Berend",
            at=clock(),
        )
    session.expire_all()
    newest = reviews.newest_remarking(session, attempt.id)
    assert (newest.value_before, newest.value_after, newest.snapshot) == (None, 1.0, {"version": 2})
    assert [each.value_after for each in reviews.added_to(session, Remarking, [attempt.id])] == [0.5, 1.0]
    assert reviews.corrected_snapshots(session, uuid4()) == {}


def test_sign_offs_and_witnessed_work_the_newest_first(session, learner, clock):
    for skill, remark in (("S3.2", "First."), ("S3.2", "Second."), ("S1.1", "Other.")):
        clock.advance(timedelta(minutes=1))
        reviews.add_sign_off(session, learner.id, skill, by_name="Berend", remark=remark, evidence={"n": 3}, at=clock())
    for day in (date(2026, 3, 1), date(2026, 2, 1)):
        reviews.add_witnessed(
            session,
            learner.id,
            "S3.2",
            what="Range",
            equipment="Bench",
            seen_by="Anke",
            seen_on=day,
            entered_by="Berend",
            at=clock(),
        )
    session.expire_all()
    assert [each.remark for each in reviews.sign_offs_of(session, learner.id)] == ["Other.", "Second.", "First."]
    assert [each.evidence for each in reviews.sign_offs_of(session, learner.id, "S3.2")] == [{"n": 3}] * 2
    assert [each.seen_on for each in reviews.witnessed_of(session, learner.id, "S3.2")] == [
        date(2026, 3, 1),
        date(2026, 2, 1),
    ]
    assert reviews.witnessed_of(session, learner.id, "S1.1") == []
    with pytest.raises(NotFound):
        reviews.get_sign_off(session, uuid4())
