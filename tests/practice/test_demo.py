"""The invented training shop."""

import pytest

from trainer.practice.accounts import SignInRefused, sign_in
from trainer.practice.demo import GROUP, INSTRUCTOR, PEOPLE, fill
from trainer.practice.people import list_people
from trainer.storage.attempts import attempts_of
from trainer.storage.entries import entries_of
from trainer.storage.evidence import evidence_of
from trainer.storage.learners import list_learners
from trainer.worksheets.kinds import one_order


def test_a_shop_is_the_same_every_time_and_looks_lived_in(database, library, clock, session):
    session.close()
    fill(database, library, clock())
    with database.reading() as reading:
        people = {learner.name: learner for learner in list_learners(reading)}
        assert set(people) == {INSTRUCTOR, *(name for name, *_ in PEOPLE)}
        stages, verdicts = {}, set()
        for name, *_, sheets in PEOPLE:
            kept = attempts_of(reading, people[name].id, of_sets=False)
            assert len(kept) == sheets
            entries = [entry for attempt in kept for entry in entries_of(reading, attempt.id)]
            assert all(entry.made <= clock() for entry in entries)
            verdicts |= {entry.verdict for entry in entries}
            stages[name] = len(evidence_of(reading, people[name].id))
        assert {"right", "slip"} <= verdicts
        assert "unread" not in verdicts
        assert all(stages.values())


def test_its_learners_are_in_a_group_and_nobody_is_let_in_by_a_passphrase(database, library, clock, session):
    session.close()
    fill(database, library, clock())
    with database.reading() as reading:
        rows = list_people(reading, clock())
    assert {row.name: [name for _, name in row.groups] for row in rows} == {
        INSTRUCTOR: [],
        **{name: [GROUP] for name, *_ in PEOPLE},
    }
    assert {row.state for row in rows} == {"active"}
    for passphrase in ("", INSTRUCTOR):
        with pytest.raises(SignInRefused):
            sign_in(database, INSTRUCTOR, passphrase, "192.0.2.7", clock())


def test_orders_are_written_so_that_every_chain_is_kept():
    order = list(one_order("abcd", [("d", "b"), ("b", "a"), ("c", "a")]))
    assert sorted(order) == list("abcd")
    assert order.index("d") < order.index("b") < order.index("a") > order.index("c")
