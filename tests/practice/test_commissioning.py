"""Tasks with a setup record below the pages: kept, run, handed in, valued, verified."""

import json
from dataclasses import replace

import pytest

from trainer.bench.judging import SHARES
from trainer.errors import Conflict, NotFound
from trainer.practice import bench_tasks, commissioning, setup_copies
from trainer.practice.bench_tasks import Overtaken, digest
from trainer.practice.commissioning import Kept, kept_of
from trainer.practice.verification import faults_of
from trainer.storage.attempts import BRIEF, get_attempt, note_aid
from trainer.storage.entries import entries_of
from trainer.storage.evidence import evidence_of

SEED = 11


@pytest.fixture
def bench(library):
    return library.bench


def texts_of(opened, record):
    """The boxes that hold a record, with all of its questions answered right."""
    typed = {}
    for path, value in record.values.items():
        yes_no = {True: "yes", False: "no"}
        typed[f"value.{path}"] = yes_no[value] if isinstance(value, bool) else str(value)
    answers = {f"foretold.{each.name}": str(each.answer(opened.task.reference)) for each in opened.task.questions}
    reasons = {f"reason.{path}": text for path, text in record.reasons.items()}
    return typed | reasons | answers | {"tag": "TT-1", "service": "Something"}


def filled(session, bench, learner, clock, name="hold-tube", **change):
    """A task with the form of the reference in it, some boxes changed."""
    task = commissioning.start(session, learner.id, bench, name, clock(), SEED)
    opened = commissioning.look(session, task.id, bench)
    typed = texts_of(opened, opened.reference) | {key.replace("__", "."): text for key, text in change.items()}
    return commissioning.keep(session, task.id, learner, typed, digest({}), clock(), bench)


def handed(session, bench, learner, clock, opened):
    commissioning.hand_in(session, opened.attempt.id, learner, "end", clock(), bench)
    return get_attempt(session, opened.attempt.id, kind=BRIEF)


def test_every_brief_is_worth_everything_with_its_reference(session, bench, learner, clock):
    for name in bench.briefs:
        opened = filled(session, bench, learner, clock, name)
        assert opened.lacking() == []
        assert commissioning.run(session, opened, learner, "one", clock()) == 1
        assert handed(session, bench, learner, clock, opened).value == pytest.approx(1.0), name


def test_a_task_is_the_same_one_for_ever(session, bench, learner, clock):
    task = commissioning.start(session, learner.id, bench, "hold-tube", clock(), SEED)
    kept = task.snapshot
    assert commissioning.look(session, task.id, bench).task.text == bench.briefs["hold-tube"].drawn(SEED).text
    task.snapshot = kept | {"drawn": kept["drawn"] | {"top": 120.0}}
    assert commissioning.look(session, task.id, bench).task.channel.output.upper == 120.0
    task.snapshot = kept | {"drawn": {}}
    with pytest.raises(NotFound, match="has changed since"):
        commissioning.look(session, task.id, bench)


def test_parts_are_weighed_by_their_shares(session, bench, learner, clock):
    opened = filled(session, bench, learner, clock, reason__filter="", foretold__first="1")
    reasons = sum(bool(each.reasons) for each in opened.fields)
    found = handed(session, bench, learner, clock, opened)
    wanted = SHARES["settings"] + SHARES["reasons"] * (reasons - 1) / reasons + SHARES["reading"] / 2
    assert found.value == pytest.approx(wanted)


def test_a_written_reason_counts_once_it_is_accepted(session, database, bench, learner, clock):
    opened = filled(session, bench, learner, clock, reason__filter="", own__filter="Bubbles pass within a second.")
    before = handed(session, bench, learner, clock, opened).value
    with pytest.raises(Conflict):
        commissioning.accept(session, opened.attempt.id, bench, "output.upper", clock())
    commissioning.accept(session, opened.attempt.id, bench, "filter", clock())
    after = get_attempt(session, opened.attempt.id, kind=BRIEF)
    assert before < after.value == pytest.approx(1.0)
    assert [row.value for row in evidence_of(session, learner.id)] == [pytest.approx(1.0)]
    session.commit()
    assert faults_of(database).faults == []


def test_help_makes_no_evidence(session, bench, learner, clock):
    opened = filled(session, bench, learner, clock)
    note_aid(session, opened.attempt.id)
    assert not handed(session, bench, learner, clock, opened).evidence


def test_a_run_is_kept_with_all_that_it_was_judged_by(session, bench, learner, clock):
    opened = filled(session, bench, learner, clock)
    assert commissioning.run(session, opened, learner, "one", clock()) == 1
    (entry,) = entries_of(session, opened.attempt.id)
    assert (entry.step, entry.mark, entry.verdict) == ("run", None, "run")
    kept = kept_of(entry.text)
    assert kept == Kept(replace(opened.record, revision=1), opened.foretold, learner.decimal_sign)
    assert json.loads(entry.text)["record"]["checksum"] == kept.record.checksum


def test_a_revision_counts_what_was_run(session, bench, learner, clock):
    opened = filled(session, bench, learner, clock)
    commissioning.run(session, opened, learner, "one", clock())
    typed = {"value.filter": "1.1"}
    again = commissioning.keep(session, opened.attempt.id, learner, typed, digest(opened.texts), clock(), bench)
    assert again.record.revision == 2
    assert commissioning.run(session, again, learner, "two", clock()) == 2
    assert commissioning.look(session, opened.attempt.id, bench).record.revision == 2


def test_what_is_no_box_is_not_kept(session, bench, learner, clock):
    opened = filled(session, bench, learner, clock, value__sensor="x", own__output__lower="y", mark__filter="z")
    kept = set(opened.texts)
    assert not {"value.sensor", "own.output.lower", "mark.filter"} & kept
    assert {"tag", "value.filter", "reason.filter"} <= kept


def test_a_form_shown_earlier_changes_nothing(session, bench, learner, clock):
    opened = filled(session, bench, learner, clock)
    with pytest.raises(Overtaken):
        commissioning.keep(session, opened.attempt.id, learner, {"tag": "TT-2"}, digest({}), clock(), bench)
    same = {"tag": "TT-1"}  # the same text again is no change
    assert (
        commissioning.keep(session, opened.attempt.id, learner, same, digest({}), clock(), bench).texts["tag"] == "TT-1"
    )


def test_each_kind_is_found_by_its_own_name_alone(session, bench, learner, clock):
    task = commissioning.start(session, learner.id, bench, "hold-tube", clock())
    copy = setup_copies.start_copy(session, learner.id, bench, "second-house", clock())
    pair = setup_copies.start_comparison(session, learner.id, bench, "hold-tube", clock())
    assert [bench_tasks.kind_of(session, each.id) for each in (task, copy, pair)] == ["setup", "copy", "comparison"]
    for look in (setup_copies.look_at_copy, setup_copies.look_at_comparison):
        with pytest.raises(NotFound):
            look(session, task.id, bench)
    titles = [bench_tasks.title_of(bench, each.source) for each in (task, copy, pair)]
    assert titles[2] == f"Compare: {titles[0]}"
    assert bench_tasks.title_of(bench, "gone") is None


def test_comparisons_differ_in_one_to_four_lines_and_write_some_values_otherwise(session, bench, learner, clock):
    for name in bench.briefs:
        for seed in range(6):
            made = setup_copies.start_comparison(session, learner.id, bench, name, clock(), seed)
            opened = setup_copies.look_at_comparison(session, made.id, bench)
            changed, otherwise = made.snapshot["found"], made.snapshot["otherwise"]
            assert 1 <= len(changed) <= setup_copies.MOST_DIFFERENCES
            assert not set(changed) & set(otherwise)
            lines = {each.path: each for each in opened.pairs}
            assert all(lines[path].approved != lines[path].found for path in (*changed, *otherwise))
            assert set(opened.comparison.missed) == set(changed)


# By hand: of two differences one found is 1/2, with another consequence 1/4; one false mark takes 1/2.
@pytest.mark.parametrize(
    ("marks", "score"),
    [
        ({"filter": "the alarm", "output.upper": "the number"}, 1.0),
        ({"filter": "the alarm"}, 0.5),
        ({"filter": "only the look"}, 0.25),
        ({"filter": "the alarm", "output.upper": "the number", "contact": "the alarm"}, 0.5),
        ({"contact": "the alarm"}, 0.0),
        ({}, 0.0),
    ],
)
def test_a_comparison_is_worth_what_was_found(session, bench, learner, clock, marks, score):
    made = setup_copies.start_comparison(session, learner.id, bench, "hold-tube", clock(), SEED)
    made.snapshot = made.snapshot | {"found": {"filter": 10.0, "output.upper": 130.0}, "otherwise": []}
    session.flush()
    places = {"contact": "relays.0.contact"}
    typed = {f"mark.{places.get(path, path)}": mark for path, mark in marks.items()}
    setup_copies.keep_comparison(session, made.id, learner, typed, digest({}), clock(), bench)
    setup_copies.hand_in_comparison(session, made.id, learner, "end", clock(), bench)
    assert get_attempt(session, made.id, kind=BRIEF).value == pytest.approx(score)


def test_a_copy_is_worth_what_was_adapted(session, database, bench, learner, clock):
    for name, sister in bench.sisters.items():
        made = setup_copies.start_copy(session, learner.id, bench, name, clock(), SEED)
        right = setup_copies.look_at_copy(session, made.id, bench).sister.right
        typed = {
            f"value.{need['path']}": str(right.values[need["path"]]) for need in sister.needs if "." in need["path"]
        }
        typed |= {"tag": right.tag, "service": right.service}
        setup_copies.keep_copy(session, made.id, learner, typed, digest({}), clock(), bench)
        setup_copies.hand_in_copy(session, made.id, learner, "end", clock(), bench)
        assert get_attempt(session, made.id, kind=BRIEF).value == 1.0
        bare = setup_copies.start_copy(session, learner.id, bench, name, clock(), SEED)
        setup_copies.hand_in_copy(session, bare.id, learner, "end", clock(), bench)
        assert get_attempt(session, bare.id, kind=BRIEF).value == 0.0
    session.commit()
    assert faults_of(database).faults == []
