"""Problem sets are planned in one form: what was typed stays, every fault stands beside its box; variants are shown."""

import html
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from set_desk import GATE, TRACE, Desk, row, rows, text, words
from web_visitors import BRINE, Visitor, dump

from trainer.practice.accounts import add_person
from trainer.practice.attempts import SEEDS
from trainer.practice.plans import Plan
from trainer.web.practice import EXAMPLES, example_of


@pytest.fixture
def desk(app) -> Desk:
    return Desk(app)


# Who


@pytest.mark.parametrize("part", ["", "/edit", "/preview"])
def test_sets_are_for_instructors(app, desk, part):
    given = desk.made()
    assert Visitor(app).get(f"/sets/{given.id}{part}").status_code == 303
    learner = Visitor(app)
    with desk.found.database.writing() as session:
        code = add_person(session, "Lea", "learner", desk.clock()).code
    words = "four tinned ferrules"
    assert learner.post("/code", code=code, passphrase=words, again=words).status_code == 303
    assert learner.get(f"/sets/{given.id}{part}").status_code == 403
    before = dump(app)
    for place in ("open", "close", "solutions", "copy", "delete", "time", "edit"):
        assert learner.post(f"/sets/{given.id}/{place}").status_code == 403
    assert dump(app) == before


@pytest.mark.parametrize("address", ["/sets/{0}", "/sets/{0}/edit", "/sets/{0}/preview", "/groups/{0}/sets/new"])
def test_what_there_is_not_is_not_found(desk, address):
    assert desk.browser.get(address.format(desk.ada.id)).status_code == 404


# A new set


def test_a_set_is_planned_in_one_form(desk):
    answer = desk.new(
        **row(1, BRINE, weight="2.5", position="2"),
        **row(2, TRACE, mode="unguided", position="1"),
        kind="practice", numbers="same", tries="3", pass_mark="62.5", minutes="45",
        due_date="2026-03-06", due_time="15:00", note="Bring the\r\nloop table.",
    )  # fmt: skip
    assert answer.status_code == 303
    (made,) = desk.all_sets()
    assert answer.location == f"/sets/{made.id}"
    plan = desk.plan(made.id)
    assert [(each.problem, each.mode, each.weight) for each in plan.problems] == [
        (TRACE, "unguided", 1.0),
        (BRINE, "guided", 2.5),
    ]
    assert replace(plan, problems=()) == Plan(
        "Kiln week", (), "practice", "same", datetime(2026, 3, 6, 15, 0, tzinfo=UTC), 0.625, 3, 45,
        "Bring the\nloop table.",
    )  # fmt: skip
    assert (made.state, made.version) == ("draft", 1)


def test_what_is_ticked_stays_while_other_skills_are_looked_at(app, desk):
    before = dump(app)
    first = desk.new("look", problem=[BRINE, GATE], skill="S4.3", title="Half a ti", minutes="soo")
    assert first.status_code == 200
    assert rows(first) == [BRINE, GATE]
    assert f'value="{TRACE}"' in text(first)
    assert 'value="Half a ti"' in text(first)
    assert 'value="soo"' in text(first)
    form = desk.form("", text(first)) | {"strand": "S1"}
    second = desk.send(f"/groups/{desk.group.id}/sets/new", form, "look", problem=[TRACE])
    assert rows(second) == [BRINE, GATE, TRACE]
    assert dump(app) == before


def test_a_set_with_ticks_that_were_not_put_in_yet_keeps_them(desk):
    desk.new(problem=[BRINE])
    (made,) = desk.all_sets()
    assert [each.problem for each in desk.plan(made.id).problems] == [BRINE]


@pytest.mark.parametrize(
    ("positions", "order"),
    [
        (("1", "2", "3", "4"), "abcd"),
        (("4", "2", "3", "4"), "bcda"),
        (("1", "2", "3", "2"), "adbc"),
        (("2", "2", "3", "4"), "bacd"),
        (("9", "2", "3", "1"), "dbca"),
        (("1", "x", "3", "1"), "dabc"),
    ],
)
def test_a_problem_takes_the_place_that_is_typed(desk, positions, order):
    names = dict(zip("abcd", (BRINE, TRACE, GATE, "milk-silo-ohms"), strict=True))
    boxes = [row(number, name, position=positions[number - 1]) for number, name in enumerate(names.values(), 1)]
    answer = desk.new("order", **{key: value for each in boxes for key, value in each.items()})
    assert rows(answer) == [names[letter] for letter in order]


def test_a_problem_is_taken_out(desk):
    answer = desk.new("order", **row(1, BRINE), **row(2, "no-longer-here"), **row(3, GATE), **{"out-2": "yes"})
    assert rows(answer) == [BRINE, GATE]


def test_every_fault_is_told_beside_its_box_and_what_was_typed_stays(app, desk):
    desk.made()
    before = dump(app)
    typed = {
        "title": "week 1", "kind": "exam", "numbers": "odd", "tries": "many", "pass_mark": "120", "minutes": "-5",
        "due_date": "2026-03-06", "note": "x" * 2001, **row(1, BRINE, weight="0"), **row(2, TRACE, weight="-1"),
        **row(3, GATE, weight="nan", mode="blind"), **row(4, "gone-for-good", weight="1e30", position="last"),
    }  # fmt: skip
    answer = desk.new(**typed)
    assert answer.status_code == 400
    page, said = text(answer), words(answer)
    for sentence in (
        "There is a set week 1 in this group already.",
        "A set is for practice or assessed.",
        "Either all learners get the same numbers, or each gets their own.",
        "This is a whole number, such as 40.",
        "The pass mark lies between 0 and 100 %.",
        "A time limit is 1 to 1440 minutes, or none.",
        "Give the day and the time, or neither.",
        "A note has at most 2000 characters.",
        "Problem 1: a weight is above 0 and at most 100.",
        "Problem 2: a weight is above 0 and at most 100.",
        "nan is not a number.",
        "Problem 3: the modes are guided, faded, unguided.",
        "Problem 4: a weight is above 0 and at most 100.",
        "Problem 4, gone-for-good, is not in the question banks.",
        "no longer in the question banks",
        "A place is a whole number, 1 for the first.",
    ):
        assert sentence in said, sentence
    for value in ("week 1", "many", "120", "-5", "2026-03-06", "0", "-1", "nan", "1e30", "last", "blind"):
        assert f'value="{value}"' in page, value
    assert "x" * 2001 in page
    told, marked = re.findall(r'aria-describedby="[^"]*(error-[^" ]+)"', page), re.findall(r'id="(error-[^"]+)"', page)
    assert set(told) == set(marked)
    assert len(marked) == len(set(marked)) >= 15
    assert dump(app) == before


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"title": "  "}, "A title has 1 to 120 characters."),
        ({"title": "x" * 121}, "A title has 1 to 120 characters."),
        ({"minutes": "0"}, "A time limit is 1 to 1440 minutes, or none."),
        ({"minutes": "40.5"}, "This is a whole number, such as 40."),
        ({"minutes": "9" * 5000}, "This is a whole number, such as 40."),
        ({"minutes": "４０"}, "This is a whole number, such as 40."),
        ({"tries": ""}, "This is a whole number, such as 40."),
        ({"tries": "21"}, "A set allows 1 to 20 tries."),
        ({"pass_mark": ""}, "Nothing is typed here yet."),
        ({"pass_mark": "70 mA"}, "Only a number stands here, not mA."),
        ({"due_date": "2026-02-30", "due_time": "10:00"}, "There is no such day or time."),
        ({"due_date": "6.3.2026", "due_time": "10:00"}, "Write the day like 2026-11-27 and the time like 15:00."),
        ({"due_date": "0001-01-01", "due_time": "10:00"}, "Write the day like 2026-11-27"),
    ],
)
def test_a_wrong_box_is_told_in_a_sentence(desk, typed, said):
    answer = desk.new(**typed)
    assert answer.status_code == 400
    assert said in words(answer)
    assert desk.all_sets() == []


def test_a_decimal_comma_is_read_as_the_instructor_writes(desk):
    desk.browser.post("/preferences/", decimal_sign=",", temperature_unit="°C")
    assert desk.new(**row(1, BRINE, weight="2,5"), pass_mark="62,5 %").status_code == 303
    (made,) = desk.all_sets()
    assert (desk.plan(made.id).pass_mark, desk.plan(made.id).problems[0].weight) == (0.625, 2.5)
    assert 'value="62,5"' in desk.browser.page(f"/sets/{made.id}/edit")


def test_an_earlier_set_gives_its_problems_and_whatever_was_not_typed(desk):
    earlier = desk.made(tries=3, numbers="same", due=desk.clock() + timedelta(days=2))
    answer = desk.new("earlier", **row(1, GATE), tries="2", earlier=str(earlier.id), title="")
    form = desk.form("", text(answer))
    assert rows(answer) == [GATE, BRINE, TRACE]
    assert (form["tries"], form["minutes"], form["numbers"]) == ("2", "40", "same")
    assert (form["title"], form["due_date"], form["note"]) == ("Week 1 (2)", "", "The loop table is open.")
    assert (form["mode-3"], form["weight-3"], form["place-3"]) == ("unguided", "2", "")
    none = desk.new("earlier", **row(1, GATE), earlier="")
    assert none.status_code == 200
    assert rows(none) == [GATE]
    assert "Choose an earlier set." in words(none)


# Variants


def test_variants_are_drawn_from_seeds_that_no_learner_gets(desk, library):
    assert {example_of(library.problems[BRINE], number).seed < SEEDS for number in (1, EXAMPLES)} == {False}
    page = desk.browser.page(f"/sets/{desk.made().id}/preview")
    for number in (1, 2, 3):
        kept = example_of(library.problems[BRINE], number)
        assert words(html.escape(kept.text("."))) in words(page)
    assert page.count("<details") >= 6
    assert page.count('class="step is-solved') >= 12
    other = desk.browser.page(f"/sets/{desk.all_sets()[0].id}/preview?round=2")
    assert words(html.escape(example_of(library.problems[BRINE], 4).text("."))) in words(other)


@pytest.mark.parametrize("wanted", ["0", "-3", "9999999", "x", ""])
def test_a_round_of_variants_that_there_is_not_is_no_fault(desk, wanted):
    assert desk.browser.get(f"/sets/{desk.made().id}/preview?round={wanted}").status_code == 200


def test_the_form_shows_variants_and_keeps_what_is_typed(app, desk):
    before = dump(app)
    answer = desk.new("preview", **row(1, BRINE), **row(2, "gone-for-good"), title="Not kept yet")
    assert "Variant 3:" in words(answer)
    assert "This problem is no longer in the question banks." in words(answer)
    assert 'value="Not kept yet"' in text(answer)
    assert dump(app) == before
