"""A set marked again after its worksheet was corrected: seen first, then added to what was there."""

from dataclasses import replace
from datetime import timedelta

import pytest
from set_shop import BOOSTER, HEADER, INSTRUCTOR, RIGHT, WRONG, Shop

from trainer.errors import TrainerError
from trainer.practice import remarking, results, reviews, tries
from trainer.practice.plans import Chosen
from trainer.practice.verification import faults_of
from trainer.storage.entries import entries_of, marks_of
from trainer.storage.evidence import evidence_of
from trainer.worksheets.draw import Fixed
from trainer.worksheets.worksheet import Worksheet


@pytest.fixture
def shop(session, clock, library) -> Shop:
    return Shop(session, clock, library)


def faulty() -> Worksheet:
    """The fraction of a 4-20 mA signal by somebody who forgot that the top is 20: divided by 15."""
    made = Worksheet("value-from-signal", "Value from a signal", "S3.2")
    for name in ("signal", "signal_low", "signal_high", "lower", "upper"):
        made.given(name, name)
    made.step("Fraction", name="fraction", tolerance=0.001)(lambda signal, signal_low: (signal - signal_low) / 15)
    made.step("Value", name="value", unit="as lower", tolerance=0.3)(
        lambda fraction, lower, upper: lower + fraction * (upper - lower)
    )
    return made


def corrected() -> Worksheet:
    made = Worksheet("value-from-signal", "Value from a signal", "S3.2", version=2)
    for name in ("signal", "signal_low", "signal_high", "lower", "upper"):
        made.given(name, name)
    made.step("Fraction", name="fraction", tolerance=0.001)(lambda signal, signal_low: (signal - signal_low) / 16)
    made.step("Value", name="value", unit="as lower", tolerance=0.3)(
        lambda fraction, lower, upper: lower + fraction * (upper - lower)
    )
    return made


FAULTY = {"fraction": "0.48", "value": "120"}  # what the faulty key called right


@pytest.fixture
def worked(shop):
    """Ada worked it right, Ben as the faulty key had it, Cas neither; the key was then corrected."""
    shop.library.problems["booster"] = replace(BOOSTER, worksheet=faulty())
    given = shop.open(problems=(Chosen("booster", "guided"),), numbers="same")
    for name, texts in (("Ada", RIGHT["booster"]), ("Ben", FAULTY), ("Cas", WRONG["booster"])):
        shop.work(shop.learner(name), given, {"booster": texts})
    shop.library = replace(shop.library, problems={"booster": replace(BOOSTER, worksheet=corrected())})
    shop.clock.advance(timedelta(days=1))
    return given


def preview(shop, given):
    return {each.name: each for each in remarking.preview(shop.session, given.id, shop.library)}


def apply(shop, given, **only):
    return remarking.apply(shop.session, given.id, shop.library, "The span is 16 mA.", INSTRUCTOR, shop.clock(), **only)


def values(shop, given):
    return [row.cells[0].value for row in results.result_table(shop.session, given.id, shop.clock()).rows]


def test_a_preview_tells_what_would_change_and_writes_nothing(shop, worked, session, statements):
    assert values(shop, worked) == [0.5, 1.0, 0.0]
    session.commit()
    statements.clear()
    found = preview(shop, worked)
    assert not [each for each in statements if not each.startswith(("SELECT", "BEGIN"))]
    assert {name: (each.state, each.old, each.new) for name, each in found.items()} == {
        "Ada": ("changed", 0.5, 1.0),  # her value followed from a fraction that was called wrong
        "Ben": ("changed", 1.0, 0.5),  # the value follows from his fraction
        "Cas": ("changed", 0.0, 0.0),
    }
    (fraction, value) = found["Cas"].steps
    assert (fraction.step, fraction.old, fraction.new) == ("fraction", pytest.approx(0.48), pytest.approx(0.45))
    assert (value.step, value.old, value.new, value.unit) == (
        "value",
        pytest.approx(120.0),
        pytest.approx(112.5),
        "kPa",
    )
    assert [(each.entry.verdict, each.verdict, each.changed) for each in found["Ben"].entries] == [
        ("right", "wrong", True),
        ("right", "follows", True),
    ]
    assert not any(each.redrawn for each in found.values())
    assert values(shop, worked) == [0.5, 1.0, 0.0]


def test_marks_are_added_with_the_reason_and_both_values_are_kept(shop, worked, session, database, clock):
    assert [each.name for each in apply(shop, worked)] == ["Ada", "Ben", "Cas"]
    assert values(shop, worked) == [1.0, 0.5, 0.0]
    ben = next(each for each in results.result_table(session, worked.id, clock()).rows if each.person.name == "Ben")
    opened = reviews.review(session, ben.cells[0].attempt_id)
    first = opened.entries[0]
    assert [(mark.verdict, mark.mark, mark.reason) for mark in opened.marks[first.id]] == [
        ("right", 1.0, "first marking"),
        ("wrong", 0.0, "marked again: The span is 16 mA."),
    ]
    assert (first.text, first.verdict) == ("0.48", "wrong")
    (kept,) = opened.remarkings
    assert (kept.value_before, kept.value_after, kept.reason, kept.by_name) == (
        1.0,
        0.5,
        "The span is 16 mA.",
        INSTRUCTOR,
    )
    assert opened.sheet.snapshot.step("value").value == pytest.approx(120.0)  # what was worked on
    assert opened.corrected.step("value").value == pytest.approx(112.5)
    (shown,) = evidence_of(session, ben.person.learner_id)
    assert (shown.value, shown.evidence, shown.finished) == (0.5, True, ben.set_try.handed_in)
    session.commit()
    assert faults_of(database).faults == []


def test_marking_again_twice_adds_nothing(shop, worked, session):
    apply(shop, worked)
    assert {each.state for each in preview(shop, worked).values()} == {"unchanged"}
    assert apply(shop, worked) == []
    (row,) = [each for each in preview(shop, worked).values() if each.name == "Ben"]
    assert [len(marks_of(session, entry.id)) for entry in entries_of(session, row.attempt.id)] == [2, 2]


def test_only_some_may_be_marked_again(shop, worked):
    ada = preview(shop, worked)["Ada"].attempt.id
    assert [each.name for each in apply(shop, worked, only={ada})] == ["Ada"]
    assert values(shop, worked) == [1.0, 1.0, 0.0]


def test_it_takes_a_reason(shop, worked, session, clock):
    with pytest.raises(TrainerError, match="needs a reason"):
        remarking.apply(session, worked.id, shop.library, "", INSTRUCTOR, clock())
    assert values(shop, worked) == [0.5, 1.0, 0.0]


def test_an_override_goes_on_counting(shop, worked, session, clock):
    ada = preview(shop, worked)["Ada"].attempt.id
    reviews.override(session, ada, 0.75, "Worked on paper", INSTRUCTOR, clock())
    assert preview(shop, worked)["Ada"].override == 0.75
    apply(shop, worked)
    assert values(shop, worked)[0] == 0.75


def test_the_numbers_shown_are_used_where_the_seed_draws_others_today(shop, worked):
    today = {"lower": 0.0, "upper": 250.0, "signal_low": 4.0, "signal_high": 20.0, "signal": 16.0}
    draws = tuple(Fixed(name, value) for name, value in today.items())
    shop.library.problems["booster"] = replace(BOOSTER, worksheet=corrected(), draws=draws)
    found = preview(shop, worked)["Ada"]
    assert (found.redrawn, found.new) == (True, 1.0)  # 11.2 mA is what Ada saw
    assert found.corrected.given_values["signal"] == 11.2


def without_step() -> Worksheet:
    made = Worksheet("value-from-signal", "Value", "S3.2", version=2)
    for name in ("signal", "signal_low", "signal_high", "lower", "upper"):
        made.given(name, name)
    made.step("Value", name="value", unit="as lower", tolerance=0.3)(lambda lower, upper: upper - lower)
    return made


@pytest.mark.parametrize(
    ("problem", "why"),
    [
        (None, "The problem is no longer in the question banks."),
        (replace(HEADER, worksheet=Worksheet("other", "Other", "S3.2")), "The problem gives other quantities today."),
        (
            replace(BOOSTER, worksheet=corrected(), units=BOOSTER.units | {"lower": "bar"}),
            "The problem gives its quantities in other units today.",
        ),
        (replace(BOOSTER, worksheet=without_step()), "The problem asks for other steps today."),
    ],
)
def test_what_cannot_be_worked_again_says_why_and_stays(shop, worked, problem, why):
    problems = {} if problem is None else {"booster": problem}
    shop.library = replace(shop.library, problems=problems)
    assert {(each.state, each.why, each.new) for each in preview(shop, worked).values()} == {("impossible", why, None)}
    assert apply(shop, worked) == []
    assert values(shop, worked) == [0.5, 1.0, 0.0]


def test_practice_is_marked_again_in_the_order_it_was_typed(shop, session, clock):
    shop.library.problems["booster"] = replace(BOOSTER, worksheet=faulty())
    given, ada = shop.open(problems=(Chosen("booster", "guided"),), kind="practice"), shop.learner()
    begun = shop.start(ada, given)
    attempt = shop.attempts(begun)["booster"]
    known = shop.library.worksheets
    for number, (step, text) in enumerate(
        (("fraction", "4.5"), ("fraction", "0.45"), ("fraction", "0.48"), ("value", "120"))
    ):
        tries.enter(session, attempt.id, ada, step, text, f"form-{number}", clock(), known)
        clock.advance(timedelta(seconds=30))
    shop.hand_in(ada, begun)
    shop.library = replace(shop.library, problems={"booster": replace(BOOSTER, worksheet=corrected())})
    (found,) = remarking.preview(session, given.id, shop.library)
    # 4.5 was wrong then; against 0.45 it is a power of ten off, which has its free second look.
    assert [(each.entry.verdict, each.verdict, each.mark) for each in found.entries] == [
        ("wrong", "scale", None),
        ("wrong", "right", 1.0),
        ("right", "wrong", 0.0),
        ("right", "follows", 1.0),
    ]
    assert (found.old, found.new) == (0.5, 1.0)


def test_as_many_queries_for_ten_attempts_as_for_sixty(shop, session, database, statements, clock):
    given, counts = shop.open(problems=(Chosen("header"),)), []
    for number in range(60):
        shop.work(shop.learner(f"Learner {number:02}"), given, {"header": {"value": "2.5"}})
        if number + 1 in (10, 60):
            session.commit()
            statements.clear()
            with database.reading() as reader:
                assert len(remarking.preview(reader, given.id, shop.library)) == number + 1
            counts.append(len([each for each in statements if each.startswith("SELECT")]))
    assert counts == [5, 5]
