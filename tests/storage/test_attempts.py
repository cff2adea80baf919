from datetime import timedelta
from uuid import uuid4

import pytest
from sqlalchemy import inspect, text
from sqlalchemy.exc import IntegrityError

from trainer.errors import NotFound
from trainer.storage.attempts import (
    attempts_of,
    finish_attempt,
    get_attempt,
    note_aid,
    note_solution,
    seeds_seen,
    skills_tried,
)
from trainer.storage.drafts import clear_drafts, drafts_of, keep_draft
from trainer.storage.entries import add_entry
from trainer.storage.evidence import evidence_of
from trainer.storage.learners import add_learner


def plan(session, statement: str) -> str:
    return " ".join(row[-1] for row in session.execute(text(f"EXPLAIN QUERY PLAN {statement}")))


def test_an_attempt_keeps_its_snapshot_to_the_last_digit(session, start):
    kept = {"text": "Kühlhaus, −18 °C", "value": 112.49999999999999, "row": [0.1, 1e-300], "none": None, "yes": True}
    attempt = start(snapshot=kept, seed=2**53)
    session.expire_all()
    found = get_attempt(session, attempt.id)

    assert found.snapshot == kept
    assert list(found.snapshot) == list(kept)
    assert found.seed == 2**53


def test_somebody_elses_attempt_does_not_exist(session, attempt, learner, clock):
    other = add_learner(session, "Ben Weir", clock())

    assert get_attempt(session, attempt.id, learner_id=learner.id, lock=True) is attempt
    with pytest.raises(NotFound):
        get_attempt(session, attempt.id, learner_id=other.id)
    with pytest.raises(NotFound):
        get_attempt(session, uuid4())


def test_pages_of_attempts_newest_first(session, start, learner, clock):
    made = []
    for number in range(5):
        made.append(start(seed=number).id)
        clock.advance(timedelta(hours=number % 2))  # some begin at the same moment
    newest_first = made[::-1]

    first = attempts_of(session, learner.id, limit=2)
    second = attempts_of(session, learner.id, limit=2, before=first[-1].id)
    third = attempts_of(session, learner.id, limit=2, before=second[-1].id)

    assert [attempt.id for attempt in first + second + third] == newest_first
    assert attempts_of(session, learner.id, before=newest_first[-1]) == []
    assert attempts_of(session, learner.id, before=uuid4()) == []


def test_a_list_of_attempts_reads_no_snapshots(session, attempt, learner):
    session.expunge_all()
    (listed,) = attempts_of(session, learner.id)

    assert "snapshot" in inspect(listed).unloaded


def test_fresh_numbers_are_those_not_seen(session, start, learner, clock):
    other = add_learner(session, "Ben Weir", clock())
    start(seed=7)
    start(seed=8)
    start(seed=9, source="kiln-reading")
    start(seed=10, learner_id=other.id)
    start(seed=11, source_kind="bench")

    assert seeds_seen(session, learner.id, "cold-store-reading") == {7, 8}


def test_skills_tried_are_those_of_any_attempt(session, start, learner):
    start(skill="alarms")
    start(skill="scaling")
    start(skill="scaling", seed=8)

    assert skills_tried(session, learner.id) == {"alarms", "scaling"}


def test_a_hint_makes_an_attempt_aided(session, attempt):
    assert not attempt.aided
    note_aid(session, attempt.id)
    session.expire_all()
    assert attempt.aided


def test_the_first_opening_of_the_solution_is_noted(session, attempt, clock):
    opened = clock()
    note_solution(session, attempt.id, opened)
    clock.advance(timedelta(minutes=5))
    note_solution(session, attempt.id, clock())
    session.expire_all()

    assert attempt.solution_opened == opened
    assert attempt.aided


def test_what_is_opened_after_the_end_is_no_aid(session, attempt, clock):
    finish_attempt(session, attempt.id, clock(), value=1.0, evidence=True)
    note_aid(session, attempt.id)
    note_solution(session, attempt.id, clock())
    session.expire_all()

    assert attempt.solution_opened == clock()
    assert not attempt.aided


def test_finishing_makes_evidence_of_the_attempts_skill(session, attempt, learner, clock):
    clock.advance(timedelta(minutes=10))
    finish_attempt(session, attempt.id, clock(), value=0.75, evidence=True)
    session.expire_all()
    (row,) = evidence_of(session, learner.id)

    assert (attempt.finished, attempt.value, attempt.evidence) == (clock(), 0.75, True)
    assert (row.skill, row.finished, row.value, row.evidence) == ("scaling", clock(), 0.75, True)
    assert (row.attempt_id, row.source, row.seed, row.mode) == (attempt.id, "cold-store-reading", 7, "unguided")
    assert row.learner_id == learner.id


def test_a_composite_is_evidence_of_each_skill_inside(session, attempt, learner, clock):
    finish_attempt(session, attempt.id, clock(), value=0.5, evidence=True, skills={"scaling": 1.0, "alarms": 0.0})

    assert {row.skill: row.value for row in evidence_of(session, learner.id)} == {"scaling": 1.0, "alarms": 0.0}
    assert [row.value for row in evidence_of(session, learner.id, skill="alarms")] == [0.0]


def test_valuing_anew_replaces_the_evidence_and_keeps_the_time(session, attempt, learner, clock):
    finished = clock()
    finish_attempt(session, attempt.id, finished, value=0.0, evidence=True, skills={"scaling": 0.0, "alarms": 0.0})
    clock.advance(timedelta(days=30))
    finish_attempt(session, attempt.id, clock(), value=1.0, evidence=False)
    (row,) = evidence_of(session, learner.id)

    assert (row.skill, row.value, row.evidence, row.finished) == ("scaling", 1.0, False, finished)


def test_evidence_comes_oldest_first_and_for_several_learners_at_once(session, start, learner, clock):
    other = add_learner(session, "Ben Weir", clock())
    begun = [start(seed=1), start(seed=2, learner_id=other.id), start(seed=3)]
    for attempt in (begun[2], begun[1], begun[0]):
        clock.advance(timedelta(days=1))
        finish_attempt(session, attempt.id, clock(), value=1.0, evidence=True)

    assert [row.seed for row in evidence_of(session, learner.id)] == [3, 1]
    assert [row.seed for row in evidence_of(session, {learner.id, other.id})] == [3, 2, 1]


def test_an_unfinished_attempt_is_no_evidence(session, attempt, learner):
    assert evidence_of(session, learner.id) == []


@pytest.mark.parametrize("change", [note_aid, lambda s, a: note_solution(s, a, None)])
def test_an_unknown_attempt_is_not_found(session, change):
    with pytest.raises(NotFound):
        change(session, uuid4())


def test_a_draft_is_kept_per_step_until_cleared(session, attempt, clock):
    keep_draft(session, attempt.id, "fraction", "0.4", clock())
    keep_draft(session, attempt.id, "fraction", "0.45", clock())
    keep_draft(session, attempt.id, "value", "112", clock())
    assert drafts_of(session, attempt.id) == {"fraction": "0.45", "value": "112"}

    clear_drafts(session, attempt.id, "fraction")
    assert drafts_of(session, attempt.id) == {"value": "112"}

    clear_drafts(session, attempt.id)
    assert drafts_of(session, attempt.id) == {}


def test_a_learner_with_attempts_is_not_deleted_by_mistake(session, attempt, learner):
    session.delete(learner)

    with pytest.raises(IntegrityError, match="FOREIGN KEY"):
        session.flush()


def test_an_attempt_takes_all_of_its_own_with_it(session, attempt, right, clock):
    add_entry(session, attempt.id, "fraction", "0.45", right, clock(), form_token="a", step_skill="scaling")
    keep_draft(session, attempt.id, "value", "112", clock())
    finish_attempt(session, attempt.id, clock(), value=1.0, evidence=True)
    session.delete(attempt)
    session.flush()

    left = {
        table: session.scalar(text(f"SELECT count(*) FROM {table}"))
        for table in ("attempt", "entry", "mark", "draft", "evidence", "learner")
    }
    assert left == {"attempt": 0, "entry": 0, "mark": 0, "draft": 0, "evidence": 0, "learner": 1}


@pytest.mark.parametrize(
    ("statement", "index"),
    [
        (
            "SELECT id FROM attempt WHERE learner_id = 'a' ORDER BY started DESC, id DESC LIMIT 50",
            "ix_attempt_learner_id_started_id",
        ),
        (
            "SELECT source, count(*), avg(value) FROM attempt WHERE source_kind = 'problem' AND evidence "
            "GROUP BY source",
            "COVERING INDEX ix_attempt_source_kind_source",
        ),
        ("SELECT value FROM evidence WHERE learner_id = 'a' AND skill = 'b'", "ix_evidence_learner_id_skill_made"),
        ("SELECT text FROM entry WHERE attempt_id = 'a'", "(attempt_id=?)"),
        ("SELECT mark FROM mark WHERE entry_id = 'a' ORDER BY made, id", "ix_mark_entry_id_made_id"),
    ],
)
def test_what_is_asked_often_has_an_index(session, statement, index):
    found = plan(session, statement)

    assert index in found
    assert "SCAN" not in found
    assert "TEMP B-TREE" not in found
