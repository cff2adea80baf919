"""Statements of a learning record: valid by a schema, told from the work itself, the same ids every time."""

import json
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import UUID

import pytest
from jsonschema import Draft202012Validator
from set_shop import INSTRUCTOR, RIGHT, SLIP, WRONG, Shop
from sqlalchemy import event

from trainer.clock import StoppedClock
from trainer.exchange.interactions import interaction, response
from trainer.exchange.statements import duration, statement_lines, statements
from trainer.grading.marking import Basis
from trainer.practice import reviews, tries
from trainer.practice.plans import Chosen
from trainer.settings import load_settings
from trainer.storage.database import Database
from trainer.storage.entries import NewMark, add_mark, entries_of
from trainer.storage.schema import open_storage
from trainer.storage.set_records import attempt_records

SCHEMA = json.loads(Path(__file__).with_name("statement.schema.json").read_text("utf-8"))
VALIDATOR = Draft202012Validator(SCHEMA, format_checker=Draft202012Validator.FORMAT_CHECKER)


@pytest.fixture
def clock() -> StoppedClock:
    return StoppedClock(datetime(2026, 3, 2, 7, 30, tzinfo=UTC))


@pytest.fixture
def database(tmp_path, clock) -> Iterator[Database]:
    opened = open_storage(load_settings(tmp_path, {}), clock)
    yield opened
    opened.close()


@pytest.fixture
def session(database):
    with database.new_session(writing=True) as opened:
        yield opened


@pytest.fixture
def shop(session, clock, library) -> Shop:
    return Shop(session, clock, library)


@pytest.fixture
def told(shop):
    """The statements of a set."""

    def told(problem_set) -> list[dict]:
        return list(statements(problem_set, attempt_records(shop.session, problem_set.id)))

    return told


def by_verb(told: list[dict], verb: str) -> list[dict]:
    return [each for each in told if each["verb"]["display"]["en"] == verb]


def faults(statement: dict) -> list[str]:
    return [f"{fault.json_path}: {fault.message}" for fault in VALIDATOR.iter_errors(statement)]


# The formats of JSON Schema 2020-12 (draft-bhutton-json-schema-validation-01, section 7.3) that the schema asks for.
def test_the_schema_checks_formats_and_refuses_what_is_wrong(shop, told):
    Draft202012Validator.check_schema(SCHEMA)
    given = shop.open()
    shop.work(shop.learner(), given, RIGHT)
    good = told(given)[0]
    assert faults(good) == []
    for wrong in (
        {"id": "17"},
        {"timestamp": "2026-03-02 07:30"},
        {"timestamp": "2026-03-02T07:30:00+01:00"},
        {"verb": {"id": "answered", "display": {"en": "answered"}}},
        {"result": good["result"] | {"duration": "5 minutes"}},
        {"result": good["result"] | {"score": {"scaled": 1.5, "raw": 1, "min": 0, "max": 1}}},
        {"result": good["result"] | {"extensions": {"typed": "0.45"}}},
        {"extra": 1},
    ):
        assert faults(good | wrong), wrong
    pattern = json.loads(json.dumps(good))
    pattern["object"]["definition"]["correctResponsesPattern"] = ["0.45"]
    assert faults(pattern)


def test_every_statement_is_valid(shop, told):
    given = shop.open(note="Tables are open.")
    for name, texts in (("Ada", RIGHT), ("Ben", {"booster": SLIP}), ("Cas", {}), ("", WRONG)):
        shop.work(shop.learner(name), given, texts)
    every = told(given)
    assert Counter(each["verb"]["display"]["en"] for each in every) == {
        "answered": 10,
        "completed": 8,
        "passed": 1,
        "failed": 3,
    }
    assert [fault for each in every for fault in faults(each)] == []
    assert len({each["id"] for each in every}) == len(every)


# By hand: 0.45 within 0.001, 112.5 kPa within 0.3 % of 250 kPa; xAPI 1.0.3 part 2, 2.4.4.1: "min[:]max".
def test_a_step_tells_what_would_have_been_right_and_what_was_answered(shop, told):
    given = shop.open()
    shop.work(shop.learner(), given, {"booster": SLIP})
    fraction, value = by_verb(told(given), "answered")
    low, high = map(float, fraction["object"]["definition"]["correctResponsesPattern"][0].split("[:]"))
    assert (low, high) == pytest.approx((0.449, 0.451))
    low, high = map(float, value["object"]["definition"]["correctResponsesPattern"][0].split("[:]"))
    assert (low + high) / 2 == pytest.approx(112.5)
    assert fraction["object"]["definition"]["interactionType"] == "numeric"
    assert (fraction["result"]["response"], fraction["result"]["success"]) == ("0.56", False)
    assert set(fraction["result"]["extensions"].values()) == {"0.56", "slip", "no_live_zero"}
    assert (value["result"]["success"], set(value["result"]["extensions"].values())) == (True, {"140", "follows"})
    assert value["timestamp"] == "2026-03-02T07:35:00.000Z"


def test_a_problem_and_a_try_tell_their_scores(shop, told):
    given = shop.open(problems=(Chosen("booster", "guided", 3.0), Chosen("header", "guided")), pass_mark=0.6)
    ada = shop.learner()
    done = shop.work(ada, given, {"booster": SLIP, "header": RIGHT["header"]})
    booster, header = by_verb(told(given), "completed")
    assert booster["result"]["score"] == {"scaled": 0.5, "raw": 1.5, "min": 0, "max": 3.0}
    assert (booster["result"]["success"], header["result"]["success"]) == (False, True)
    (whole,) = by_verb(told(given), "passed")
    assert whole["result"]["score"] == {"scaled": 0.625, "raw": 2.5, "min": 0, "max": 4.0}  # (3 x 0.5 + 1)/4 by hand
    assert (whole["result"]["success"], whole["result"]["duration"]) == (True, "PT5M")
    assert {each["context"]["registration"] for each in told(given)} == {str(done.id)}
    assert whole["object"]["id"] == f"urn:uuid:{given.id}"
    account = whole["actor"]["account"]
    assert account["name"] == str(ada.id)
    assert UUID(account["homePage"].removeprefix("urn:uuid:"))


def test_a_mark_by_hand_counts(shop, told):
    given = shop.open()
    done = shop.work(shop.learner(), given, {"booster": SLIP})
    reviews.override(shop.session, shop.attempts(done)["booster"].id, 1.0, "Zero was shifted", INSTRUCTOR, shop.clock())
    assert by_verb(told(given), "completed")[0]["result"]["score"]["scaled"] == 1.0


def test_the_same_work_has_the_same_ids_and_work_marked_again_has_new_ones(shop, told):
    given = shop.open()
    done = shop.work(shop.learner(), given, RIGHT)
    before = {each["id"] for each in told(given)}
    assert {each["id"] for each in told(given)} == before
    entry = entries_of(shop.session, shop.attempts(done)["booster"].id)[0]
    (basis,) = [
        record.basis
        for _, entries in attempt_records(shop.session, given.id)
        for record in entries
        if record.entry_id == entry.id
    ]
    add_mark(shop.session, entry.id, NewMark("wrong", 0.0, "", basis), shop.clock() + timedelta(days=1), reason="again")
    after = told(given)
    (new,) = [each for each in after if each["id"] not in before]
    assert (new["verb"]["display"]["en"], new["result"]["success"]) == ("answered", False)


def test_all_first_tries_and_later_ones_are_told_and_running_ones_are_not(shop, told):
    given, ada = shop.open(tries=2), shop.learner()
    shop.work(ada, given, WRONG)
    shop.work(ada, given, RIGHT)
    shop.start(shop.learner("Ben"), given)
    every = told(given)
    assert len(by_verb(every, "failed")) == len(by_verb(every, "passed")) == 1
    assert len({each["context"]["registration"] for each in every}) == 2


def test_all_entries_of_practice_are_told_but_those_that_could_not_be_read(shop, told):
    given, ada = shop.open(kind="practice"), shop.learner()
    begun = shop.start(ada, given)
    attempt = shop.attempts(begun)["booster"]
    for number, text in enumerate(("abc", "0.56", "0.45"), 1):
        tries.enter(shop.session, attempt.id, ada, "fraction", text, f"form-{number}", shop.clock())
    shop.hand_in(ada, begun)
    assert [each["result"]["response"] for each in by_verb(told(given), "answered")] == ["0.56", "0.45"]


def test_a_set_without_work_has_no_statements(shop, told):
    assert told(shop.open()) == []


def test_lines_are_json_with_names_as_text(shop):
    given = shop.open(title='Week "1"\u2028')
    shop.work(shop.learner("Zoë <script>"), given, RIGHT)
    content = b"".join(statement_lines(given, attempt_records(shop.session, given.id)))
    lines = content.decode("utf-8").split("\n")
    assert lines.pop() == ""
    assert {json.loads(line)["actor"]["name"] for line in lines} == {"Zoë <script>"}


def test_any_number_of_learners_takes_the_same_queries_and_little_memory(shop, database, session):
    given = shop.open()
    sent: list[str] = []
    event.listen(database.writer, "before_cursor_execute", lambda *arguments: sent.append(arguments[2]))
    counts = []
    for number in (1, 8):
        for _ in range(number):
            shop.work(shop.learner(), given, RIGHT)
        session.flush()
        sent.clear()
        assert list(statement_lines(given, attempt_records(session, given.id)))
        counts.append(len(sent))
    assert counts == [2, 2]


def basis(kind, right, options=(), tolerance=0.0) -> Basis:
    return Basis(kind, "", False, tuple(options), ",", right, tolerance, 1, 0.0, "")


# xAPI 1.0.3 part 2, 2.4.4.1: choices and sequences are lists of component ids parted by [,].
@pytest.mark.parametrize(
    ("of", "typed", "kind", "right", "answered"),
    [
        (basis("number", -5.0, tolerance=0.25), "−5,2", "numeric", "-5.25[:]-4.75", "-5.2"),
        (basis("choice", "falls", ("rises", "falls")), "Falls", "choice", "option-2", "option-2"),
        (basis("several", ("b", "c"), "abc"), "c;b", "choice", "option-2[,]option-3", "option-3[,]option-2"),
        (basis("order", (("b", "a"),), "ab"), "a;b", "sequencing", "option-2[,]option-1", "option-1[,]option-2"),
        (basis("order", (("b", "a"),), "abc"), "c;b;a", "sequencing", None, "option-3[,]option-2[,]option-1"),
        (basis("row", (4.0, 8.0), tolerance=0.5), "4,1; 8", "other", "3.5[:]4.5; 7.5[:]8.5", "4.1; 8"),
        (basis("states", ("off", "on"), ("off", "on")), "on;on", "other", "off; on", "on; on"),
    ],
)
def test_every_kind_of_step_is_an_interaction(of, typed, kind, right, answered):
    told = interaction(of, "Step")
    assert told["interactionType"] == kind
    assert told.get("correctResponsesPattern") == (None if right is None else [right])
    assert response(of, typed) == answered
    whole = {"objectType": "Activity", "id": "urn:uuid:0198c0de-0000-7000-8000-000000000000", "definition": told}
    activity = VALIDATOR.evolve(schema={"$ref": "#/$defs/activity", "$defs": SCHEMA["$defs"]})
    assert list(activity.iter_errors(whole)) == []
    assert list(activity.iter_errors(whole | {"id": "step 1"}))


def test_a_value_of_another_kind_is_no_response():
    given = Basis("number", "mA", False, (), ".", 12.0, 0.1, 1, 0.0, "")
    assert response(given, "12 kPa") == ""
    assert response(given, "0.012 A") == "12"


# ISO 8601-1:2019, 5.5.2.2; xAPI 1.0.3 part 2, 4.6: to the hundredth of a second.
@pytest.mark.parametrize(
    ("seconds", "text"),
    [(0, "PT0S"), (59.994, "PT59.99S"), (60, "PT1M"), (3600, "PT1H"), (5025.5, "PT1H23M45.5S"), (90000, "PT25H")],
)
def test_a_duration_is_written_as_the_standard_has_it(seconds, text):
    assert duration(timedelta(seconds=seconds)) == text


def test_the_numbers_of_two_learners_are_two_activities(shop, told):
    given = shop.open(numbers="own", problems=(Chosen("booster", "guided"),))
    for name in ("Ada", "Ben"):
        shop.work(shop.learner(name), given, {"booster": SLIP})
    completed = by_verb(told(given), "completed")
    assert len({each["object"]["id"] for each in completed}) == 2
    assert len({each["context"]["contextActivities"]["grouping"][0]["id"] for each in completed}) == 1
