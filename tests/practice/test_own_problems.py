"""Own problems: an unused one is changed in its place, a worked one gets a new version, nobody is overwritten."""

import sys
from pathlib import Path

import pytest

from trainer.content.library import with_own
from trainer.content.own_banks import BankChanged, read_bank, store_bank, texts_of
from trainer.errors import Conflict, TrainerError
from trainer.practice import attempts
from trainer.practice.own_problems import (
    ProblemChanged,
    add_problem,
    bank_rows,
    change_problem,
    entry_of,
    mark_of,
    store_text,
)
from trainer.practice.verification import faults_of
from trainer.storage.attempts import get_attempt, is_worked, times_worked
from trainer.worksheets.snapshot import Snapshot

sys.path.append(str(Path(__file__).parent.parent / "content"))
from bank_entries import entry as text_of_entry

ENTRY = {
    "id": "kiln-current",
    "worksheet": "value-from-signal",
    "title": "Kiln",
    "level": "F",
    "place": "kiln",
    "text": "A meter shows {signal} on a loop ranged {lower:bare} to {upper}.",
    "givens": {
        "lower": 0,
        "upper": {"choose": [160, 250]},
        "signal_low": 4,
        "signal_high": 20,
        "signal": {"low": 5.3, "high": 18.8, "step": 0.01, "avoid": [[11.4, 12.6]]},
    },
    "units": {"lower": "kPa", "upper": "kPa", "signal": "mA", "signal_low": "mA", "signal_high": "mA"},
}
SHEET = """
[[worksheet]]
name = "half-of-it"
title = "Half of a reading"
skill = "S3.2"
[[worksheet.given]]
name = "reading"
title = "Reading"
[[worksheet.step]]
name = "half"
title = "Half"
value = "reading / 2"
tolerance = 0.05
[[problem]]
id = "half-kiln"
worksheet = "half-of-it"
title = "Half"
level = "F"
place = "kiln"
text = "Half of {reading}?"
givens = { reading = { low = 10, high = 40, step = 0.2 } }
"""


@pytest.fixture
def now(library, tmp_path):
    """The library as it is now."""
    return lambda: with_own(library, tmp_path)


@pytest.fixture
def seen(tmp_path):
    """The marks of the bank and of the entry, as a form opened now has them."""

    def seen(problem="kiln-current"):
        bank = read_bank(tmp_path, "own")
        return bank.seen, mark_of(entry_of(bank, problem))

    return seen


@pytest.fixture
def change(session, tmp_path, now):
    def change(marks, problem="kiln-current", **changes):
        return change_problem(session, tmp_path, "own", problem, ENTRY | changes, marks, now())

    return change


@pytest.fixture
def work(session, learner, clock, now):
    def work(problem="kiln-current"):
        return attempts.start(session, learner.id, now().problems[problem], "guided", clock(), seed=7)

    return work


def test_a_new_problem_can_be_worked_at_once(tmp_path, now, work):
    assert add_problem(tmp_path, "own", ENTRY, now()).problem == "kiln-current"
    problem = now().problems["kiln-current"]
    assert (problem.bank, problem.title) == ("own.toml", "Kiln")
    assert problem in now().by_skill["S3.2"]
    assert Snapshot.from_json(work().snapshot).title == "Kiln"


def test_what_others_add_meanwhile_stays(tmp_path, now):
    before = now()
    add_problem(tmp_path, "own", ENTRY, before)
    add_problem(tmp_path, "own", ENTRY | {"id": "second"}, before)
    assert {"kiln-current", "second"} <= set(now().problems)
    with pytest.raises(Conflict, match="id meanwhile"):
        add_problem(tmp_path, "own", ENTRY | {"title": "Other"}, before)
    assert now().problems["kiln-current"].title == "Kiln"


def test_an_unused_problem_is_changed_in_its_place(tmp_path, now, seen, change):
    add_problem(tmp_path, "own", ENTRY, now())
    stored = change(seen(), title="Roof")
    assert (stored.problem, stored.new_version, stored.merged) == ("kiln-current", False, False)
    assert now().problems["kiln-current"].title == "Roof"
    assert len(texts_of(tmp_path, "own")) == 2


def test_a_worked_problem_gets_a_new_version(tmp_path, session, database, now, seen, change, work):
    add_problem(tmp_path, "own", ENTRY, now())
    attempt = work()
    kept = dict(get_attempt(session, attempt.id).snapshot)
    stored = change(seen(), title="Roof")
    assert (stored.problem, stored.new_version) == ("kiln-current-v2", True)
    old, new = now().problems["kiln-current"], now().problems["kiln-current-v2"]
    assert (old.title, old.replaced_by, new.title, new.replaced_by) == ("Kiln", "kiln-current-v2", "Roof", "")
    offered = [problem.id for problem in now().by_skill["S3.2"]]
    assert "kiln-current-v2" in offered
    assert "kiln-current" not in offered
    assert get_attempt(session, attempt.id).snapshot == kept
    assert attempts.start(session, attempt.learner_id, old, "guided", attempt.started, seed=7).snapshot == kept
    session.commit()
    assert faults_of(database).faults == []


def test_a_version_that_was_replaced_is_not_changed(tmp_path, now, seen, change, work):
    add_problem(tmp_path, "own", ENTRY, now())
    work()
    change(seen(), title="Roof")
    with pytest.raises(Conflict, match="replaced by kiln-current-v2"):
        change(seen(), title="Floor")
    work("kiln-current-v2")
    assert change(seen("kiln-current-v2"), "kiln-current-v2", title="Wall").problem == "kiln-current-v3"


def test_a_worked_problem_kept_without_a_change_stays(tmp_path, now, seen, change, work):
    add_problem(tmp_path, "own", ENTRY, now())
    work()
    assert not change(seen()).new_version
    assert set(now().problems) & {"kiln-current-v2"} == set()


def test_who_changes_the_same_problem_second_is_told(tmp_path, now, seen, change):
    add_problem(tmp_path, "own", ENTRY, now())
    marks = seen()
    change(marks, title="Roof")
    with pytest.raises(ProblemChanged):
        change(marks, title="Floor")
    assert now().problems["kiln-current"].title == "Roof"


def test_who_changes_another_problem_of_the_bank_loses_nothing(tmp_path, now, seen, change):
    for name in ("kiln-current", "second"):
        add_problem(tmp_path, "own", ENTRY | {"id": name}, now())
    first, second = seen(), seen("second")
    change(first, title="Roof")
    stored = change(second, "second", title="Floor")
    assert stored.merged
    assert [now().problems[name].title for name in ("kiln-current", "second")] == ["Roof", "Floor"]


def test_a_bank_that_cannot_be_read_is_not_written_over(tmp_path, now):
    store_bank(tmp_path, "own", "[[problem]\n", "")
    with pytest.raises(TrainerError, match="mend its text first"):
        add_problem(tmp_path, "own", ENTRY, now())
    assert read_bank(tmp_path, "own").text == "[[problem]\n"


def test_rows_of_the_front_page(tmp_path, session, now, work):
    add_problem(tmp_path, "own", ENTRY, now())
    store_bank(tmp_path, "broken", text_of_entry(head={"id": '"other"', "level": '"X"'}) + SHEET, "")
    (tmp_path / "question_banks" / "By Hand.toml").write_text(text_of_entry(head={"id": '"by-hand"'}), "utf-8")
    work()
    work()
    hand, broken, own = bank_rows(session, tmp_path, now())
    assert [(problem.id, times) for problem, times in own.problems] == [("kiln-current", 2)]
    assert (own.faults, own.versions, own.open) == ((), 1, True)
    assert (hand.name, hand.open, [problem.id for problem, _ in hand.problems]) == ("By Hand", False, ["by-hand"])
    assert [sheet.name for sheet in broken.worksheets] == ["half-of-it"]
    assert broken.faults == ("broken.toml: other: level = X: is not known (F, W, A)",)


def test_times_worked(session, tmp_path, now, work):
    add_problem(tmp_path, "own", ENTRY, now())
    assert not is_worked(session, "kiln-current")
    work()
    assert is_worked(session, "kiln-current")
    assert times_worked(session, ["kiln-current", "brine-chiller-current"]) == {"kiln-current": 1}


def store(session, tmp_path, text, now, seen=None):
    bank = read_bank(tmp_path, "own")
    return store_text(session, tmp_path, "own", text, bank.seen if seen is None else seen, now())


def test_a_text_replaces_the_bank_and_who_is_late_is_told(tmp_path, session, now):
    assert store(session, tmp_path, SHEET, now) == []
    seen = read_bank(tmp_path, "own").seen
    assert store(session, tmp_path, SHEET + "# theirs\n", now) == []
    with pytest.raises(BankChanged):
        store(session, tmp_path, SHEET + "# mine\n", now, seen)
    assert read_bank(tmp_path, "own").text.endswith("# theirs\n")


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('title = "Half"\n', 'title = "Other"\n', "half-kiln: id = half-kiln: has been worked: leave it as it is, add"),
        ('id = "half-kiln"', 'id = "another"', "half-kiln: id = nothing: has been worked, so it stays"),
        ("reading / 2", "reading / 3", "worksheet = half-of-it: has been worked by this problem: raise its version"),
    ],
)
def test_a_text_does_not_change_what_has_been_worked(tmp_path, session, now, work, old, new, told):
    assert old in SHEET
    assert store(session, tmp_path, SHEET, now) == []
    assert store(session, tmp_path, SHEET.replace(old, new), now) == []  # nobody has worked it
    assert store(session, tmp_path, SHEET, now) == []
    work("half-kiln")
    (fault,) = store(session, tmp_path, SHEET.replace(old, new), now)
    assert told in fault
    assert read_bank(tmp_path, "own").text == SHEET


def test_what_has_been_worked_may_be_replaced_and_its_worksheet_be_raised(tmp_path, session, now, work):
    store(session, tmp_path, SHEET, now)
    work("half-kiln")
    replaced = SHEET.replace('id = "half-kiln"', 'id = "half-kiln"\nreplaced_by = "half-kiln-v2"')
    assert store(session, tmp_path, replaced, now) == []
    raised = replaced.replace("reading / 2", "reading / 2 + 0").replace('skill = "S3.2"', 'skill = "S3.2"\nversion = 2')
    assert store(session, tmp_path, raised, now) == []
