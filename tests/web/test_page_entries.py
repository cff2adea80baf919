"""Entries as forms: their order, forged ones, repeated ones, and texts that nobody should type."""

import re
from graphlib import TopologicalSorter
from itertools import islice, pairwise

import pytest
from web_visitors import (
    BRINE,
    attempt_of,
    count,
    csrf_in,
    dump,
    entries,
    right,
    services_of,
    snapshot_of,
    start_with_seed,
)

from trainer.practice.sheet import MODES
from trainer.storage.attempts import get_attempt
from trainer.storage.models import Attempt, Entry
from trainer.worksheets.snapshot import KeptStep


def form_of(step: KeptStep) -> dict[str, object]:
    """The boxes of a step filled in right."""
    if step.kind == "number":
        unit = f" {step.unit}" if step.ask_unit else ""
        return {"entry": f"{step.value:.{step.decimals}f}{unit}"}
    if step.kind == "choice":
        return {"entry": step.value}
    if step.kind == "several":
        return {"entry": list(step.value)}
    if step.kind == "order":
        before = {each: {a for chain in step.value for a, b in pairwise(chain) if b == each} for each in step.options}
        place = {each: number for number, each in enumerate(TopologicalSorter(before).static_order(), 1)}
        return {f"entry-{index}": place[each] for index, each in enumerate(sorted(step.options))}
    texts = (f"{each:.{step.decimals}f}" if step.kind == "row" else each for each in step.value)
    return {f"entry-{index}": text for index, text in enumerate(texts)}


SHARES = 3  # so that several processes can share the problems


@pytest.mark.parametrize("mode", MODES)
@pytest.mark.parametrize("share", range(SHARES))
def test_every_problem_can_be_worked_to_its_end(app, visitor, library, mode, share):
    guest = visitor.become_guest()
    for problem in islice(library.problems, share, None, SHARES):
        sheet = start_with_seed(app, guest, problem, mode, 1_357)
        steps = snapshot_of(app, sheet).steps
        asked = {"guided": steps, "faded": steps[: (len(steps) + 1) // 2], "unguided": steps[-1:]}[mode]
        page = visitor.page(sheet)
        for step in asked:
            answer = visitor.post(f"{sheet}/entries", csrf_in(page), step=step.name, form_token="one", **form_of(step))
            assert answer.status_code == 303, (problem, step.name)
            page = visitor.page(answer.location)
            assert "Marked right:" in page, (problem, step.name)
        assert "sheet is right." in page, problem
        assert f'id="ask-{steps[-1].name}"' not in page
        assert visitor.post(f"{sheet}/solution", csrf_in(page)).status_code == 303
        assert "You entered" in visitor.page(f"{sheet}/solution"), problem


def test_steps_come_in_their_order(app, visitor):
    sheet = visitor.start()
    answer = visitor.enter(sheet, "value", "12.5")
    assert answer.status_code == 409
    assert "Step 1 comes first." in answer.get_data(as_text=True)
    assert count(app, Entry) == 0
    visitor.enter(sheet, "fraction", "0.99")
    assert visitor.enter(sheet, "value", "12.5").status_code == 303


def test_a_right_step_is_closed(app, visitor):
    sheet = visitor.start()
    visitor.enter(sheet, "fraction", right(snapshot_of(app, sheet), "fraction"))
    answer = visitor.enter(sheet, "fraction", "0.1")
    assert answer.status_code == 409
    assert "closed" in answer.get_data(as_text=True)
    assert count(app, Entry) == 1


def test_an_unguided_sheet_takes_its_other_steps_once_they_are_shown(app, visitor):
    sheet = visitor.start(mode="unguided")
    assert visitor.enter(sheet, "fraction", "0.5").status_code == 409
    assert visitor.post(f"{sheet}/steps").status_code == 303
    assert visitor.enter(sheet, "fraction", "0.5").status_code == 303


def test_nothing_is_taken_after_the_solution(app, visitor):
    sheet = visitor.start()
    visitor.post(f"{sheet}/solution")
    assert visitor.enter(sheet, "fraction", "0.5").status_code == 409
    assert count(app, Entry) == 0


@pytest.mark.parametrize(
    ("form", "status"),
    [
        ({"step": "no_such_step"}, 404),
        ({"step": ""}, 404),
        ({"form_token": ""}, 400),
        ({"form_token": "x" * 65}, 400),
    ],
)
def test_a_form_that_no_page_holds_is_refused(app, visitor, form, status):
    sheet = visitor.start()
    before = dump(app)
    fields = {"step": "fraction", "entry": "0.5", "form_token": "one"} | form
    assert visitor.post(f"{sheet}/entries", **fields).status_code == status
    assert dump(app) == before


def test_a_missing_form_token_is_refused(app, visitor):
    sheet = visitor.start()
    assert visitor.post(f"{sheet}/entries", step="fraction", entry="0.5").status_code == 400
    assert count(app, Entry) == 0


def test_the_same_form_twice_is_one_entry(app, visitor):
    sheet = visitor.start()
    first = visitor.enter(sheet, "fraction", "0.123", token="one")
    second = visitor.enter(sheet, "fraction", "0.123", token="one")
    assert (first.status_code, first.location) == (second.status_code, second.location)
    assert [entry.text for entry in entries(app, sheet)] == ["0.123"]


# OWASP ASVS 5.0.0, V15.3.3: fields that a form does not have are not taken.
def test_extra_fields_are_not_taken(app, visitor):
    sheet = visitor.start()
    visitor.enter(sheet, "fraction", "0.123", mark="1", verdict="right", value="1", learner_id="1")
    (entry,) = entries(app, sheet)
    assert (entry.verdict, entry.mark) == ("wrong", 0.0)


@pytest.mark.parametrize(("problem", "mode"), [("no-such-problem", "guided"), (BRINE, "shouted"), (BRINE, "")])
def test_a_start_that_no_page_offers_is_refused(app, visitor, problem, mode):
    assert visitor.post(f"/problems/{problem}/start", mode=mode).status_code in (400, 404)
    assert count(app, Attempt) == 0


ORDERED = {
    "kind": "order",
    "options": ["work", "lock", "tell", "prove dead"],
    "value": [["lock", "prove dead", "work"], ["tell", "work"]],
    "tolerance": 0.0,
    "unit": "",
    "possible": None,
}


def ask_for_an_order(app, sheet: str) -> None:
    """Turn the last step into one that asks for an order: two chains, so that more than one order is right."""
    with services_of(app).database.writing() as session:
        attempt = get_attempt(session, attempt_of(sheet))
        *others, last = attempt.snapshot["steps"]
        attempt.snapshot = attempt.snapshot | {"steps": [*others, last | ORDERED], "slips": [], "figure": None}


# Listed by name: lock, prove dead, tell, work.
@pytest.mark.parametrize(
    ("places", "verdict"),
    [("1 3 2 4", "right"), ("2 3 1 4", "right"), ("1 4 2 3", "wrong"), ("1 2 3 3", "unread"), ("1 2 3", "unread")],
)
def test_things_are_put_in_order_by_their_places(app, visitor, places, verdict):
    sheet = visitor.start(mode="unguided")
    ask_for_an_order(app, sheet)
    page = visitor.page(sheet)
    assert re.findall(r"</select> ([\w ]+)</label>", page) == ["lock", "prove dead", "tell", "work"]
    form = {f"entry-{index}": place for index, place in enumerate(places.split())}
    visitor.post(f"{sheet}/entries", csrf_in(page), step="value", form_token="one", **form)
    assert [entry.verdict for entry in entries(app, sheet)] == [verdict]
    if verdict == "wrong":
        assert re.findall(r'<option value="(\d)" selected>', visitor.page(sheet)) == places.split()
    visitor.post(f"{sheet}/solution", csrf_in(page))
    shown = re.search(r'class="chosen">([^<]+)', visitor.page(f"{sheet}/solution"))[1].split(" → ")
    assert sorted(shown) == ["lock", "prove dead", "tell", "work"]
    assert (shown[-1], shown.index("lock") < shown.index("prove dead")) == ("work", True)


NONSENSE = {
    "nothing": "",
    "spaces": "  \t ",
    "a null character": "1\x002",
    "control characters": "\x01\x1b[31m\x7f",
    "emoji": "🙂🙂",
    "right to left": "\u202e12.5\u202c",
    "Arabic digits": "١٢٫٥",
    "a half pair": "\ud83d".encode("utf-8", "surrogatepass"),
    "bytes that are not UTF-8": b"\xff\xfe\x80",
    "many lines": "1\r\n2\n3",
    "separators": ";;;;;",
    "not a number": "nan",
    "infinity": "1e999",
    "a long number": "9" * 63,
    "a long text": "word " * 900,
    "sixty thousand": "7" * 60_000,
}


def fields(step: KeptStep, text: object) -> dict[str, object]:
    """A text in every box of a step."""
    if step.kind in ("number", "choice", "several"):
        return {"entry": text}
    return {f"entry-{index}": text for index in range(max(len(step.value), len(step.options)))}


def first_step_of(library, kind: str) -> tuple[str, int]:
    """A problem with a step of a kind, and how many steps come before it."""
    for name, problem in library.problems.items():
        for number, step in enumerate(problem.worksheet.steps.values()):
            if step.kind == kind:
                return name, number
    pytest.fail(f"no problem has a step of kind {kind}")


@pytest.mark.parametrize("kind", ["number", "choice", "states"])
@pytest.mark.parametrize("text", NONSENSE.values(), ids=NONSENSE.keys())
def test_nonsense_is_answered_with_a_page(app, visitor, library, kind, text):
    name, before = first_step_of(library, kind)
    sheet = start_with_seed(app, visitor.become_guest(), name, "guided", 97)
    steps = snapshot_of(app, sheet).steps
    for step in steps[:before]:
        visitor.post(f"{sheet}/entries", step=step.name, form_token="one", **form_of(step))
    asked = steps[before]
    several = kind == "states" and len(text) > 10_000  # then all boxes together are more than a form may hold
    answer = visitor.post(f"{sheet}/entries", step=asked.name, form_token="two", **fields(asked, text))
    assert answer.status_code == (413 if several else 303)
    page = visitor.page(sheet)
    assert "\x00" not in page
    if not several:
        newest = entries(app, sheet)[-1]
        assert newest.verdict in ("unread", "wrong"), newest.message
        assert len(newest.text) <= 4096
        assert "Not marked:" in page or "Marked to mend:" in page


def test_more_than_a_form_may_hold_is_refused(app, visitor):
    sheet = visitor.start()
    answer = visitor.enter(sheet, "fraction", "7" * 70_000)
    assert answer.status_code == 413
    assert "too large" in answer.get_data(as_text=True)
    assert count(app, Entry) == 0


def test_a_text_that_cannot_be_read_does_not_show_the_formula(app, visitor):
    """It is not marked, so it must not be a way to a hint."""
    sheet = visitor.start()
    visitor.enter(sheet, "fraction", "abc")
    assert "<details>" not in visitor.page(sheet)
    visitor.enter(sheet, "fraction", "0.999")
    assert "<details>" in visitor.page(sheet)


def test_an_unknown_attempt_is_not_found(app, visitor):
    sheet = visitor.start()
    unknown = sheet.replace(str(attempt_of(sheet)), "0198c0de-0000-7000-8000-000000000000")
    assert visitor.get(unknown).status_code == 404
    assert visitor.enter(unknown, "fraction", "0.5").status_code == 404
