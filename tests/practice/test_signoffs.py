"""Sign-offs: their evidence is frozen, work on real equipment stands beside it, and a word can be taken back."""

import json
from datetime import date, timedelta
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest

from trainer.errors import Conflict, NotFound, TrainerError
from trainer.practice import signoffs
from trainer.practice.signoffs import FieldFault
from trainer.practice.skill_summaries import record_sheet
from trainer.practice.skill_summaries import summary as summary_of
from trainer.storage.reviews import sign_offs_of

SKILL, SAFETY_SKILL = "S3.2", "S4.5"


@pytest.fixture
def shown(work, clock):
    """A number of attempts, right or not, an hour apart."""

    def show(number, right=True):
        for _ in range(number):
            sheet = work()
            sheet.enter("fraction", "0.45" if right else "0.9")
            sheet.enter("value", "112.5")
            clock.advance(timedelta(hours=1))

    return show


@pytest.fixture
def summary(session, library, learner, clock):
    return lambda **more: summary_of(session, library, learner.id, SKILL, clock(), **more)


@pytest.fixture
def sign(session, library, learner, clock):
    return lambda remark="": signoffs.sign_off(session, library, learner.id, SKILL, "Berend", clock(), remark)


@pytest.fixture
def witness(session, library, learner, clock):
    def seen(skill=SKILL, **changes):
        told = {
            "what": "Set the range of a conditioner",
            "equipment": "Bench 2, conditioner with two relays",
            "seen_by": "Anke",
            "seen_on": clock().date(),
            "by_name": "Berend",
            "at": clock(),
        }
        return signoffs.witness(session, library, learner.id, skill, **(told | changes))

    return seen


def test_nothing_shown_is_not_started(summary):
    found = summary()
    assert (found.standing.stage, found.estimate.entries, found.shown, found.signed) == ("not started", 0, False, None)


def test_what_the_evidence_says(summary, shown, clock):
    first = clock()
    shown(5)
    found = summary()
    assert (found.standing.stage, found.standing.in_a_row, found.jobs) == ("ready", 5, 1)
    assert (found.estimate.entries, len(found.rows), found.rows[0].source) == (5, 5, "booster")
    assert first < found.rows[0].finished < found.rows[-1].finished
    # Five right of five just now: a = 6, b = 1, so the mean is 6/7 and the 95 % ends are those of x^6.
    assert found.estimate.mean == pytest.approx(6 / 7, abs=1e-3)
    assert found.estimate.interval.low == pytest.approx(0.025 ** (1 / 6), abs=1e-3)
    assert len({row.seed for row in found.rows}) == 5


def test_a_sign_off_keeps_the_evidence_of_its_day(sign, shown, summary, session, learner, clock):
    shown(3)
    signed = sign()
    frozen = json.loads(json.dumps(signed.evidence))
    assert (frozen["skill"], frozen["standing"]["stage"], len(frozen["attempts"])) == (SKILL, "ready", 3)
    assert frozen["estimate"]["entries"] == 3
    assert frozen["made"] == clock().isoformat()
    shown(1, right=False)
    session.expire_all()
    assert summary().standing.stage == "practicing"
    (kept,) = sign_offs_of(session, learner.id)
    assert kept.evidence == frozen
    assert summary().signed.id == signed.id


def test_without_evidence_a_remark_says_what_the_word_rests_on(sign, summary):
    with pytest.raises(TrainerError, match="Say in a remark what the sign-off rests on"):
        sign("  ")
    assert summary().signed is None
    assert sign("Ten years on site.").remark == "Ten years on site."


def test_a_sign_off_is_withdrawn_once_and_stays_on_record(sign, shown, summary, session, clock):
    shown(3)
    signed = sign()
    with pytest.raises(TrainerError, match="needs a reason"):
        signoffs.withdraw(session, signed.id, "", "Anke", clock())
    signoffs.withdraw(session, signed.id, "Another person worked it.", "Anke", clock())
    with pytest.raises(Conflict, match=r"withdrawn by Anke\."):
        signoffs.withdraw(session, signed.id, "Again.", "Berend", clock())
    found = summary()
    assert (found.signed, found.sign_offs[0].withdrawn_reason) == (None, "Another person worked it.")
    clock.advance(timedelta(days=1))
    assert summary().signed is None
    again = sign("Seen again at the bench.")  # by now a review is due, so the evidence alone does not carry it
    assert summary().signed.id == again.id
    with pytest.raises(NotFound):
        signoffs.withdraw(session, uuid4(), "Why.", "Anke", clock())


def test_witnessed_work_stands_beside_and_renews(summary, shown, witness, clock):
    shown(3)
    clock.advance(timedelta(days=2))
    assert summary().standing.stage == "refresh due"
    seen = witness()
    found = summary()
    assert found.standing.stage == "ready"
    assert (found.estimate.entries, [each.id for each in found.witnessed]) == (3, [seen.id])
    assert found.to_json()["witnessed"] == [
        {
            "what": "Set the range of a conditioner",
            "equipment": "Bench 2, conditioner with two relays",
            "by": "Anke",
            "on": "2026-03-04",
        }
    ]


def test_witnessed_work_makes_nobody_ready(summary, witness):
    witness()
    assert summary().standing.stage == "not started"


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"what": ""}, "Say what was done"),
        ({"equipment": " "}, "Say what was done"),
        ({"seen_by": ""}, "Say what was done"),
        ({"seen_on": date(2026, 3, 3)}, "still to come"),
        ({"what": "x" * 501}, "longer than 500"),
    ],
)
def test_a_witnessed_sheet_is_complete(witness, changes, told):
    with pytest.raises(FieldFault, match=told) as refused:
        witness(**changes)
    assert [refused.value.field] == list(changes)


# Common practice: what hangs on hands is signed off at the bench, not at the desk.
def test_a_safety_skill_is_signed_off_once_it_was_seen_on_equipment(session, library, learner, clock, witness):
    def sign():
        return signoffs.sign_off(session, library, learner.id, SAFETY_SKILL, "Berend", clock(), "Twenty years on site.")

    assert library.lessons[SAFETY_SKILL].safety
    with pytest.raises(Conflict, match="enter first what was seen of it on real equipment"):
        sign()
    assert sign_offs_of(session, learner.id) == []
    witness(skill=SAFETY_SKILL)
    assert sign().evidence["witnessed"][0]["by"] == "Anke"


def test_a_form_sent_twice_is_one_sign_off_and_one_witnessed_sheet(session, learner, sign, witness, summary, clock):
    first = sign("Seen at the bench.")
    clock.advance(timedelta(seconds=20))
    assert sign("Seen at the bench.").id == first.id
    clock.advance(timedelta(minutes=1))
    assert sign("Seen at the bench.").id != first.id
    assert witness().id == witness().id
    assert witness(what="Set the alarms").id != witness().id
    assert (len(summary().sign_offs), len(summary().witnessed)) == (2, 2)


def test_what_does_not_count_stands_beside_and_is_practice(work, summary):
    sheet = work("faded")
    assert summary().standing.stage == "practicing"  # a sheet left half-done, too
    sheet.enter("fraction", "0.45")
    found = summary()
    assert (found.standing.stage, found.rows, [row.mode for row in found.beside]) == ("practicing", (), ["faded"])


def test_today_is_the_day_at_the_plant(witness, clock):
    late = clock().replace(hour=23, minute=30)
    zone = ZoneInfo("Europe/Amsterdam")
    assert witness(at=late, seen_on=date(2026, 3, 3), zone=zone).seen_on == date(2026, 3, 3)


def test_unknown_people_and_skills_are_not_found(session, library, learner, clock, witness):
    with pytest.raises(NotFound, match="There is no skill S99"):
        summary_of(session, library, learner.id, "S99", clock())
    with pytest.raises(NotFound):
        summary_of(session, library, uuid4(), SKILL, clock())
    with pytest.raises(NotFound):
        signoffs.sign_off(session, library, learner.id, "S99", "Berend", clock(), "Word.")


def test_the_record_sheet_has_what_there_is_to_show(
    session, library, learner, clock, shown, sign, database, statements
):
    assert record_sheet(session, library, learner.id, clock()).rows == ()
    shown(3)
    sign()
    other = next(skill for skill in library.lessons if skill != SKILL)
    signoffs.sign_off(session, library, learner.id, other, "Berend", clock(), "Seen on site.")
    session.commit()
    statements.clear()
    with database.reading() as reader:
        sheet = record_sheet(reader, library, learner.id, clock())
    assert len([each for each in statements if each.startswith("SELECT")]) == 5
    assert {row.lesson.skill: (len(row.rows), row.signed is not None) for row in sheet.rows} == {
        other: (0, True),
        SKILL: (3, True),
    }
    whole = record_sheet(session, library, learner.id, clock(), all_skills=True)
    assert [row.lesson.skill for row in whole.rows] == list(library.lessons)
