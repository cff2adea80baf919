"""Marks from paper: versions found by their codes, answers and plain marks kept, and what they count for."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from set_shop import BOOSTER, HEADER, INSTRUCTOR, RIGHT, SLIP, WRONG, Shop

from trainer.errors import Conflict, NotFound, TrainerError
from trainer.learning.standing import NOT_STARTED
from trainer.practice import paper_marks, paper_results
from trainer.practice.attempts import enter, sheet_of
from trainer.practice.paper_marks import FoundVersion, KeptAlready, Written, WrittenRefused
from trainer.practice.papers import draw_version
from trainer.practice.progress import skill_rows
from trainer.practice.results import slip_counts
from trainer.practice.verification import faults_of
from trainer.practice.version_codes import write_code
from trainer.storage.attempts import get_attempt
from trainer.storage.entries import entries_of
from trainer.storage.evidence import evidence_of
from trainer.storage.models import Override, Remark
from trainer.storage.papers import papers_of
from trainer.storage.reviews import added_to
from trainer.worksheets.draw import Choice

NAMES = ["booster", "header"]
DAY = date(2026, 2, 26)
NOON = datetime(2026, 2, 26, 12, tzinfo=UTC)


@pytest.fixture
def shop(session, clock, library) -> Shop:
    return Shop(session, clock, library)


@pytest.fixture
def paper(shop):
    return paper_marks.keep_paper(shop.session, NAMES, 17, "Week 1", shop.clock())


@pytest.fixture
def found(shop, paper) -> FoundVersion:
    return paper_marks.open_version(shop.session, shop.library, paper.id, 3)


@pytest.fixture
def ada(shop):
    return shop.learner("Ada Pump")


@pytest.fixture
def keep(shop, found):
    """Keep what somebody wrote; each time a minute later."""

    def keep(learner, *written, worked=DAY, **more):
        shop.clock.advance(timedelta(minutes=1))
        written = [each if isinstance(each, Written) else Written(each) for each in written]
        return paper_marks.keep_work(
            shop.session, shop.library, found, learner, written, worked, shop.clock(), by_name=INSTRUCTOR, **more
        )

    return keep


def verdicts(session, attempt):
    return {entry.step: (entry.verdict, entry.mark) for entry in entries_of(session, attempt.id)}


def test_a_code_leads_back_to_its_version(shop, paper):
    version = draw_version([BOOSTER, HEADER], 17, 3)
    found = paper_marks.find_version(shop.session, shop.library, f" {version.code.lower()} ")
    assert (found.code, found.title, found.problems) == (version.code, "Week 1", ("booster", "header"))
    assert [variant.seed for variant in found.version.variants] == [10001700301, 10001700302]


def test_a_code_tells_two_papers_of_one_seed_apart(shop, paper):
    paper_marks.keep_paper(shop.session, ["header"], 17, "Resit", shop.clock())
    code = draw_version([HEADER], 17, 3).code
    assert paper_marks.find_version(shop.session, shop.library, code).title == "Resit"


def test_a_paper_made_again_is_the_same_paper(shop, paper):
    again = paper_marks.keep_paper(shop.session, NAMES, 17, "Week 2", shop.clock())
    other = paper_marks.keep_paper(shop.session, NAMES[::-1], 17, "Week 3", shop.clock())
    assert again.id == paper.id
    assert {each.title for each in papers_of(shop.session, 17)} == {"Week 2", "Week 3"}
    assert other.id != paper.id


def test_the_problems_of_a_paper_made_elsewhere_can_be_given(shop):
    code = draw_version([BOOSTER, HEADER], 5, 1).code
    with pytest.raises(NotFound, match="No paper with this code was made here"):
        paper_marks.find_version(shop.session, shop.library, code)
    assert paper_marks.find_version(shop.session, shop.library, code, NAMES).code == code
    with pytest.raises(Conflict, match="another order"):
        paper_marks.find_version(shop.session, shop.library, code, NAMES[::-1])


@pytest.mark.parametrize(
    ("code", "said"),
    [
        ("", "9 letters and figures, not 0"),
        ("222-K25-J6", "not 8"),
        ("222-K25-J60", "has the sign 0"),
        ("222-K25-J6S", "a slip in it"),
        (write_code(17, 900, 1), "a slip in it"),
        (write_code(17, 0, 1), "a slip in it"),
    ],
)
def test_a_wrong_code_is_told(shop, paper, code, said):
    with pytest.raises(TrainerError, match=said):
        paper_marks.find_version(shop.session, shop.library, code)


def test_a_code_from_another_state_of_the_banks_is_told(shop, paper, found):
    changed = replace(BOOSTER, tolerances={"value": 1.5})
    shop.library = replace(shop.library, problems={"booster": changed, "header": HEADER})
    with pytest.raises(Conflict, match="have been changed since it was printed"):
        paper_marks.find_version(shop.session, shop.library, found.code)


def test_a_problem_that_can_draw_no_numbers_any_more_counts_as_changed(shop, paper, found):
    narrow = replace(BOOSTER, keep={"value": (500.0, 600.0)})
    shop.library = replace(shop.library, problems={"booster": narrow, "header": HEADER})
    with pytest.raises(Conflict, match="have been changed since it was printed"):
        paper_marks.find_version(shop.session, shop.library, found.code)


def test_a_removed_problem_is_named(shop, paper, found):
    shop.library = replace(shop.library, problems={"booster": BOOSTER})
    with pytest.raises(Conflict, match="The problem header of this paper is no longer in the question banks"):
        paper_marks.find_version(shop.session, shop.library, found.code)
    with pytest.raises(Conflict, match="The problem header"):
        paper_marks.open_version(shop.session, shop.library, paper.id, 3)


# By hand, as in set_shop: right 0.45 and 112.5 kPa, 0.25 and 2.5 bar; 0.56 forgets the live zero and 140 kPa follows.
def test_answers_are_marked_like_entries(session, ada, keep):
    booster, header = keep(ada, SLIP, RIGHT["header"])
    assert verdicts(session, booster) == {"fraction": ("slip", 0.0), "value": ("follows", 1.0)}
    assert verdicts(session, header) == {"fraction": ("right", 1.0), "value": ("right", 1.0)}
    assert [entry.slip for entry in entries_of(session, booster.id)] == ["no_live_zero", None]
    assert (booster.value, header.value) == (0.5, 1.0)


def test_answers_are_evidence_of_the_day_of_the_paper(session, ada, keep):
    attempts = keep(ada, SLIP, RIGHT["header"])
    rows = evidence_of(session, ada.id)
    assert [(row.value, row.evidence, row.finished, row.source_kind) for row in rows] == [
        (0.5, True, NOON, "paper"),
        (1.0, True, NOON, "paper"),
    ]
    assert {(each.started, each.finished, each.aided) for each in attempts} == {(NOON, NOON, False)}


def test_slips_on_paper_are_counted_with_the_others(shop, ada, keep):
    keep(ada, SLIP, {})
    (slip,) = slip_counts(shop.session, group_id=shop.group.id)
    assert (slip.slip, slip.entries) == ("no_live_zero", 1)


def test_work_of_today_is_not_dated_into_the_future(clock, ada, keep):
    clock.set(datetime(2026, 3, 2, 8, 0, tzinfo=UTC))
    (attempt, _) = keep(ada, RIGHT["booster"], {}, worked=date(2026, 3, 2))
    assert attempt.finished == clock() == datetime(2026, 3, 2, 8, 1, tzinfo=UTC)


def test_the_sign_of_who_types_is_read(session, ada, keep):
    (attempt, _) = keep(ada, {"fraction": "0,45", "value": "112,5"}, {}, decimal=",")
    assert verdicts(session, attempt) == {"fraction": ("right", 1.0), "value": ("right", 1.0)}


def test_a_plain_mark_is_a_value_and_no_evidence(session, shop, ada, keep):
    booster, header = keep(ada, Written(mark="75 %"), Written(mark="100"))
    assert (booster.value, header.value) == (0.75, 1.0)
    assert not any(row.evidence for row in evidence_of(session, ada.id))
    assert slip_counts(session, group_id=shop.group.id) == []
    (override,) = added_to(session, Override, [booster.id])
    assert (override.value, override.by_name) == (0.75, INSTRUCTOR)
    row = next(row for row in skill_rows(session, shop.library, ada.id) if row.lesson.skill == "S3.2")
    assert row.standing.stage != NOT_STARTED
    assert row.attempts == 0


def test_what_was_left_empty_is_worth_nothing_and_no_evidence(session, ada, keep):
    booster, header = keep(ada, {"fraction": " ", "value": "112.5"}, {})
    assert (booster.value, booster.evidence) == (0.5, True)
    assert (header.value, header.evidence) == (0.0, False)


def test_who_typed_it_in_and_from_which_version_is_kept(session, found, ada, keep):
    booster, _ = keep(ada, RIGHT["booster"], {})
    (remark,) = added_to(session, Remark, [booster.id])
    assert (remark.text, remark.by_name) == (f"From paper, version {found.code}.", INSTRUCTOR)


def test_the_sheet_is_closed_for_its_learner(session, shop, ada, keep):
    booster, _ = keep(ada, {"fraction": "0.9"}, {})
    attempt = get_attempt(session, booster.id, learner_id=ada.id)
    assert {row.state for row in sheet_of(attempt, entries_of(session, attempt.id)).rows} <= {"done", "given"}
    with pytest.raises(Conflict, match="closed"):
        enter(session, attempt.id, ada, "value", "112.5", "form-1", shop.clock())


@pytest.mark.parametrize(
    ("written", "worked", "place", "said"),
    [
        ([Written({"fraction": "about half"}), Written()], DAY, (1, "fraction"), ""),
        ([Written({"fraction": "0.45"}, "50"), Written()], DAY, (1, "mark"), "not both"),
        ([Written(), Written(mark="101")], DAY, (2, "mark"), "0 to 100"),
        ([Written(), Written(mark="-1")], DAY, (2, "mark"), "0 to 100"),
        ([Written(), Written(mark="half")], DAY, (2, "mark"), "0 to 100"),
        ([Written(), Written(mark="5 mA")], DAY, (2, "mark"), "0 to 100"),
        ([Written({"fraction": "  "}), Written()], DAY, (0, ""), "Nothing is typed"),
        ([Written(mark="50"), Written()], date(2026, 3, 3), (0, "worked"), "today, 2026-03-02"),
        ([Written(mark="50"), Written()], date(202, 3, 3), (0, "worked"), "between 2000-01-01"),
    ],
)
def test_what_cannot_be_taken_is_told_by_its_box_and_nothing_is_kept(shop, ada, keep, written, worked, place, said):
    with pytest.raises(WrittenRefused) as refused:
        keep(ada, *written, worked=worked)
    assert list(refused.value.faults) == [place]
    assert said in refused.value.faults[place]
    assert paper_results.all_works(shop.session) == []


def test_every_fault_is_told_at_once(ada, keep):
    with pytest.raises(WrittenRefused) as refused:
        keep(ada, Written({"fraction": "x", "value": "y"}), Written(mark="z"), worked=date(2027, 1, 1))
    assert set(refused.value.faults) == {(0, "worked"), (1, "fraction"), (1, "value"), (2, "mark")}


def test_a_unit_that_the_learner_left_out_is_no_fault_of_who_types(session, shop, ada):
    asks = replace(BOOSTER, worksheet=_asking_for_its_unit())
    shop.library = replace(shop.library, problems={"booster": asks})
    made = paper_marks.keep_paper(session, ["booster"], 1, "", shop.clock())
    version = paper_marks.open_version(session, shop.library, made.id, 1)
    (attempt,) = paper_marks.keep_work(
        session, shop.library, version, ada, [Written({"value": "112.5"})], DAY, shop.clock(), by_name=INSTRUCTOR
    )
    assert verdicts(session, attempt) == {"value": ("missing unit", None)}
    assert (attempt.value, attempt.evidence) == (0.0, False)


def _asking_for_its_unit():
    from trainer.worksheets.worksheet import Worksheet

    made = Worksheet("value-alone", "Value", "S3.2")
    for name in ("signal", "signal_low", "signal_high", "lower", "upper"):
        made.given(name, name)
    made.step("Value", name="value", unit="as lower", tolerance=0.3, ask_unit=True)(
        lambda signal, upper: (signal - 4) / 16 * upper
    )
    return made


def test_work_typed_again_is_asked_about_and_then_stands_beside_the_first(session, found, ada, keep):
    first = keep(ada, WRONG["booster"], RIGHT["header"])
    with pytest.raises(KeptAlready, match="Work of Ada Pump on version"):
        keep(ada, RIGHT["booster"], RIGHT["header"])
    again = keep(ada, RIGHT["booster"], RIGHT["header"], worked=date(2026, 2, 20), again=True)
    (work,) = paper_results.works_on(session, found.version, found.problems)
    assert (work.attempt_ids, work.times, work.total) == (tuple(each.id for each in again), 2, 1.0)
    counted = {row.attempt_id for row in evidence_of(session, ada.id) if row.evidence}
    assert counted == {each.id for each in again}
    assert all(entries_of(session, each.id) for each in first)
    assert not any(each.evidence for each in first if session.refresh(each) is None)


def test_the_work_of_one_learner_does_not_stand_in_the_way_of_another(session, shop, found, ada, keep):
    keep(ada, RIGHT["booster"], {})
    keep(shop.learner("Ben Flow"), WRONG["booster"], Written(mark="40"))
    works = paper_results.works_on(session, found.version, found.problems)
    assert [(work.name, work.values, [paper_results.how(each) for each in work.attempts]) for work in works] == [
        ("Ada Pump", (1.0, 0.0), ["answers", "left empty"]),
        ("Ben Flow", (0.0, 0.4), ["answers", "plain mark"]),
    ]


def test_work_on_another_paper_of_the_same_seed_is_another_work(session, shop, ada, keep):
    keep(ada, RIGHT["booster"], {})
    made = paper_marks.keep_paper(session, ["header"], 17, "Resit", shop.clock())
    resit = paper_marks.open_version(session, shop.library, made.id, 3)
    paper_marks.keep_work(
        session, shop.library, resit, ada, [Written(mark="10")], DAY, shop.clock(), by_name=INSTRUCTOR
    )
    lines = paper_results.all_works(session)
    assert [(line.paper.title, line.version, len(line.works)) for line in lines] == [("Resit", 3, 1), ("Week 1", 3, 1)]


def test_work_on_a_paper_made_elsewhere_makes_its_code_known(session, shop, ada):
    version = draw_version([HEADER], 5, 2)
    found = paper_marks.find_version(session, shop.library, version.code, ["header"])
    paper_marks.keep_work(
        session, shop.library, found, ada, [Written(mark="10")], DAY, shop.clock(), by_name=INSTRUCTOR
    )
    assert paper_marks.find_version(session, shop.library, version.code).problems == ("header",)


def test_results_take_the_same_queries_for_any_number(session, shop, found, keep, statements):
    counts = []
    for number in (1, 6):
        for each in range(number):
            keep(shop.learner(f"Learner {number}.{each}"), RIGHT["booster"], Written(mark="50"))
        statements.clear()
        assert paper_results.works_on(session, found.version, found.problems)
        assert paper_results.all_works(session)
        counts.append(len(statements))
    assert counts[0] == counts[1] == 3


def test_what_was_typed_in_is_verified_like_other_work(database, session, ada, keep):
    keep(ada, SLIP, {"fraction": "0.25", "value": "2.4"})
    session.commit()
    verified = faults_of(database)
    assert (verified.attempts, verified.entries, verified.faults) == (2, 4, [])


def test_versions_have_numbers_of_their_own(shop, ada):
    drawn = [Choice(("signal",), ((5.6,), (8.8,), (13.6,)))]
    fixed = [draw for draw in BOOSTER.draws if draw.names != ("signal",)]
    shop.library.problems["booster"] = replace(BOOSTER, draws=(*drawn, *fixed))
    made = paper_marks.keep_paper(shop.session, ["booster"], 2, "", shop.clock())
    signals = {
        paper_marks.open_version(shop.session, shop.library, made.id, number).version.variants[0].givens["signal"]
        for number in range(1, 20)
    }
    assert signals == {5.6, 8.8, 13.6}
