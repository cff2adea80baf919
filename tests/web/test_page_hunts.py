"""Fault hunts by their pages: measured, answered, looked back at; nothing told before its time."""

import re
from uuid import UUID

import pytest
from web_visitors import Visitor, attempt_of, dump, services_of

from trainer.practice import hunts
from trainer.storage.attempts import HUNT, get_attempt
from trainer.storage.entries import entries_of
from trainer.storage.evidence import evidence_of

RIG = "dairy-outlet"
TOKEN = re.compile(r'name="form_token" value="([^"]+)')


def begin(visitor, rig=RIG) -> str:
    answer = visitor.post("/hunts/", rig=rig)
    assert answer.status_code == 303, answer.get_data(as_text=True)
    return answer.location


def do(visitor, hunt, act, token="") -> int:
    visitor.acts = getattr(visitor, "acts", 0) + 1
    return visitor.post(f"{hunt}/acts", act=act, form_token=token or f"act-{visitor.acts}").status_code


def truth(app, hunt):
    with services_of(app).database.reading() as session:
        return hunts.look(session, UUID(hunt.rpartition("/")[2]), services_of(app).library.bench)


def end(visitor, hunt, fault, remedy):
    return visitor.post(f"{hunt}/answer", fault=fault, remedy=remedy, form_token="end")


def test_the_page_tells_symptom_gauge_and_what_can_be_measured(app, visitor):
    hunt = begin(visitor)
    page = visitor.page(hunt)
    opened = truth(app, hunt)
    assert "The gauge at the process says" in page
    for each in opened.hunt.situation.measurements.values():
        assert f'value="{each.name}"' in page
    assert "Nothing measured yet." in page


@pytest.mark.parametrize(
    "rig", ["tile-kiln", "heating-return", "cold-store", "filter-flow", "pump-bearing", "frost-watch"]
)
def test_every_rig_can_be_hunted_on(visitor, rig):
    hunt = begin(visitor, rig)
    assert do(visitor, hunt, "display") == 303
    assert 'id="newest"' in visitor.page(hunt)


def test_a_hunt_by_the_best_plan_is_worth_everything(app, visitor):
    hunt = begin(visitor)
    opened = truth(app, hunt)
    for act in opened.hunt.best_plan().acts:
        assert do(visitor, hunt, act.name) == 303
    answer = end(visitor, hunt, opened.hunt.fault.name, opened.hunt.fault.remedy)
    assert answer.status_code == 303
    page = visitor.page(f"{hunt}/debrief")
    assert opened.hunt.fault.tell_tale.split("'")[0][:20] in page
    with services_of(app).database.reading() as session:
        kept = get_attempt(session, attempt_of(hunt), kind=HUNT)
        rows = {row.skill: row.value for row in evidence_of(session, kept.learner_id)}
    assert kept.value == pytest.approx(1.0)
    assert kept.evidence
    assert rows == {"S9.1": pytest.approx(1.0), "S9.2": pytest.approx(1.0)}


def test_a_wrong_answer_is_worth_its_safety_only(app, visitor):
    hunt = begin(visitor)
    opened = truth(app, hunt)
    other = next(name for name in opened.suspects if name != opened.hunt.fault.name and name not in opened.hunt.twins())
    remedy = hunts.remedies(opened, other)[0]
    assert end(visitor, hunt, other, remedy).status_code == 303
    assert truth(app, hunt).score.total == pytest.approx(0.2)


def test_an_unsafe_order_is_stopped_with_its_reason_and_the_hunt_goes_on(app, visitor):
    hunt = begin(visitor)
    assert do(visitor, hunt, "cable-ohms") == 303
    page = visitor.page(hunt)
    assert "Stopped." in page
    assert "Arrange the bypass with the operator first." in page
    for act in ("arrange-bypass", "isolate", "cable-ohms", "restore-power", "remove-bypass"):
        assert do(visitor, hunt, act) == 303
    assert "Terminals a and b" in visitor.page(hunt).replace("between ", "")
    assert truth(app, hunt).notes.unsafe == 1


def test_the_same_form_twice_is_one_act(app, visitor):
    hunt = begin(visitor)
    do(visitor, hunt, "display", "once")
    do(visitor, hunt, "display", "once")
    assert len(truth(app, hunt).notes.acts) == 1


def test_help_is_given_and_the_hunt_does_not_count(app, visitor):
    hunt = begin(visitor)
    assert visitor.post(f"{hunt}/advice").status_code == 303
    assert "With this help the hunt does not count." in visitor.page(f"{hunt}?advice=1")
    opened = truth(app, hunt)
    end(visitor, hunt, opened.hunt.fault.name, opened.hunt.fault.remedy)
    with services_of(app).database.reading() as session:
        assert not get_attempt(session, attempt_of(hunt), kind=HUNT).evidence


def test_advice_without_asking_is_not_given(visitor):
    hunt = begin(visitor)
    assert "With this help" not in visitor.page(f"{hunt}?advice=1")


def test_an_ended_hunt_takes_nothing_more(app, visitor):
    hunt = begin(visitor)
    opened = truth(app, hunt)
    end(visitor, hunt, opened.hunt.fault.name, opened.hunt.fault.remedy)
    assert do(visitor, hunt, "display") == 409
    assert visitor.post(f"{hunt}/advice").status_code == 409
    assert visitor.get(hunt).location.endswith("/debrief")


@pytest.mark.parametrize(
    ("form", "status", "sentence"),
    [
        ({"fault": "nonsense", "remedy": "x"}, 400, "Choose what is wrong."),
        ({"fault": "left-forced", "remedy": "x"}, 400, "Choose what is to be done."),
    ],
)
def test_an_answer_that_is_none(app, visitor, form, status, sentence):
    hunt = begin(visitor)
    before = dump(app)
    answer = visitor.post(f"{hunt}/answer", form_token="end", **form)
    assert answer.status_code == status
    assert sentence in answer.get_data(as_text=True)
    assert dump(app) == before


def test_unknown_names_are_refused(visitor):
    assert visitor.post("/hunts/", rig="space-station").status_code == 404
    hunt = begin(visitor)
    assert do(visitor, hunt, "look-inside") == 404
    assert visitor.post(f"{hunt}/acts", act="display").status_code == 400


def test_another_learner_finds_no_hunt(app, visitor):
    hunt = begin(visitor)
    other = Visitor(app)
    other.become_guest()
    for address in (hunt, f"{hunt}/answer", f"{hunt}/debrief"):
        assert other.get(address).status_code == 404
    assert do(other, hunt, "display") == 404


# Non-interference: with another fault of the same reading on the rig the open page stays the same.
def test_an_open_hunt_does_not_tell_its_fault(app, visitor):
    hunt = begin(visitor)
    before = TOKEN.sub("", visitor.page(hunt))
    found = services_of(app)
    with found.database.writing() as session:
        kept = get_attempt(session, attempt_of(hunt), kind=HUNT)
        other = next(name for name in truth(app, hunt).suspects if name != kept.snapshot["fault"])
        kept.snapshot = kept.snapshot | {"fault": other}
        kept.seed += 1
    assert TOKEN.sub("", visitor.page(hunt)) == before
    name = visitor.page(f"{hunt}/answer")
    assert name.count('name="fault"') == len(truth(app, hunt).suspects)


def test_acts_are_entries_that_survive(app, visitor):
    hunt = begin(visitor)
    do(visitor, hunt, "display")
    with services_of(app).database.reading() as session:
        (kept,) = entries_of(session, attempt_of(hunt))
    assert (kept.step, kept.text, kept.verdict, kept.mark) == ("act", "display", "done", None)


def test_a_hunt_is_no_sheet(visitor):
    hunt = begin(visitor)
    assert visitor.get(hunt.replace("/hunts/", "/sheets/")).status_code == 404
