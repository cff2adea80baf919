"""Mixed practice: a run from sheet to sheet, and the look back at its end."""

import re
from itertools import pairwise
from uuid import uuid4

import pytest
from flask import session as cookie
from web_visitors import Visitor, attempt_of, count, csrf_in, dump, right, services_of, snapshot_of

from trainer.storage.attempts import get_attempt
from trainer.storage.models import Attempt
from trainer.web import runs


@pytest.fixture
def run(visitor) -> str:
    """A run over signals; its first sheet."""
    answer = visitor.post("/mixed/", strand=["S3", "S1"], mode="unguided")
    assert answer.status_code == 303
    return answer.location


def solve(app, visitor, sheet: str) -> str:
    """Open the solution, and so close the sheet."""
    assert visitor.post(f"{sheet}/solution").status_code == 303
    return visitor.page(f"{sheet}/solution")


def go_on(visitor, page: str) -> str:
    after = re.search(r'name="after" value="(\w+)"', page)[1]
    answer = visitor.post("/mixed/next", csrf_in(page), after=after)
    assert answer.status_code == 303
    return answer.location


def test_a_sheet_of_a_run_says_its_number_and_leads_on_once_it_is_closed(app, visitor, run):
    page = visitor.page(run)
    assert "sheet 1" in page
    assert "Next in the mix" not in page
    page = solve(app, visitor, run)
    assert "sheet 1" in page
    assert "Next in the mix" in page
    second = go_on(visitor, page)
    assert second != run
    assert "sheet 2" in visitor.page(second)
    assert "sheet 1" in visitor.page(f"{run}/solution")


def test_a_right_sheet_leads_on(app, visitor):
    for _ in range(20):  # until a problem comes whose answer is a plain number
        sheet = visitor.post("/mixed/", strand="S3", mode="unguided").location
        kept = snapshot_of(app, sheet)
        if kept.answer.kind == "number" and not kept.answer.ask_unit:
            break
    visitor.enter(sheet, kept.answer.name, right(kept, kept.answer.name))
    page = visitor.page(sheet)
    assert "The sheet is right." in page
    assert "Next in the mix" in page


def test_two_sheets_in_a_row_are_of_different_skills(app, visitor, run):
    sheet, skills = run, []
    for _ in range(6):
        with services_of(app).database.reading() as session:
            skills.append(get_attempt(session, attempt_of(sheet)).skill)
        sheet = go_on(visitor, solve(app, visitor, sheet))
    assert all(one != other for one, other in pairwise(skills))


def test_the_same_form_twice_is_one_sheet(app, visitor, run):
    page = solve(app, visitor, run)
    second = go_on(visitor, page)
    before = count(app, Attempt)
    assert go_on(visitor, page) == second
    assert count(app, Attempt) == before


def test_a_sheet_that_is_not_of_the_run_says_nothing_of_it(app, visitor, run):
    other = visitor.start()
    page = solve(app, visitor, other)
    assert "Next in the mix" not in page
    assert "Mixed practice" not in page


def test_the_end_shows_what_was_right_and_what_to_read(app, visitor, run):
    page = solve(app, visitor, run)  # closed without an entry
    second = go_on(visitor, page)
    kept = snapshot_of(app, second)
    with services_of(app).database.writing() as session:  # as if every first entry had been right
        attempt = get_attempt(session, attempt_of(second))
        attempt.value, attempt.finished = 1.0, services_of(app).clock()
    third = go_on(visitor, solve(app, visitor, second))
    answer = visitor.post("/mixed/end")
    assert (answer.status_code, answer.location) == (303, "/mixed/summary")
    page = visitor.page("/mixed/summary")
    assert "3 sheets begun, 2 worked or closed." in page
    assert "1 of 2 right at the first go and without help." in page
    assert f"/lessons/{snapshot_of(app, run).skill}" in page
    assert kept.skill == snapshot_of(app, run).skill or f"/lessons/{kept.skill}" not in page
    assert "Mixed practice" not in visitor.page(third)
    assert visitor.post("/mixed/next").location == "/mixed/"


def test_a_run_goes_on_after_a_look_back(app, visitor, run):
    page = visitor.page("/mixed/summary")
    assert "1 sheet begun, 0 worked or closed." in page
    assert f'href="{run}"' in page
    assert "End the mix" in visitor.page(run)


def test_without_a_run_there_is_nothing_to_look_back_on(app):
    other = Visitor(app)
    for answer in (other.get("/mixed/summary"), other.post("/mixed/end"), other.post("/mixed/next")):
        assert answer.location == "/mixed/"


def test_a_run_ends_where_the_cookie_is_full(app, visitor, monkeypatch):
    monkeypatch.setattr(runs, "LONGEST_RUN", 2)
    sheet = visitor.post("/mixed/", strand="S3", mode="unguided").location
    sheet = go_on(visitor, solve(app, visitor, sheet))
    assert go_on(visitor, solve(app, visitor, sheet)) == "/mixed/summary"


def test_the_longest_run_fits_into_a_cookie(app, visitor, run):
    """Browsers hold 4096 bytes of a cookie (RFC 6265, 6.1)."""
    name = app.config["SESSION_COOKIE_NAME"]
    with app.test_request_context():
        strands = tuple(services_of(app).library.strands)
        cookie["visit"], cookie["csrf_token"] = "v" * 43, "c" * 40
        runs.keep_run(runs.Run(strands, "unguided", tuple(uuid4() for _ in range(runs.LONGEST_RUN))))
        written = app.session_interface.get_signing_serializer(app).dumps(dict(cookie))
    assert len(name) + len(written) < 4096


@pytest.mark.parametrize("form", [{}, {"strand": "S99"}, {"strand": "S3", "mode": "shouted"}])
def test_a_mix_of_nothing_is_refused(app, visitor, form):
    visitor.become_guest()
    before = dump(app)
    assert visitor.post("/mixed/", **form).status_code == 400
    assert dump(app) == before
