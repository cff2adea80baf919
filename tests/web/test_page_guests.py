"""Guests: a browser whose work is found again, by nobody else."""

from datetime import timedelta

import pytest
from web_visitors import BRINE, Visitor, attempt_of, count, dump, learners, services_of, snapshot_of

from trainer.storage.models import Entry, WebSession


def same_browser(visitor, app) -> Visitor:
    """The browser goes on with another run of the program: its cookies are all that is left."""
    again = Visitor(app)
    name = app.config["SESSION_COOKIE_NAME"]
    again.client.set_cookie(name, visitor.client.get_cookie(name).value)
    return again


def test_looking_around_makes_nobody(app, visitor):
    for address in ("/", "/skills/", "/skills/S3.2", "/lessons/S3.2", "/progress/", "/preferences/"):
        visitor.page(address)
    visitor.post(f"/problems/{BRINE}/start", None)
    visitor.post("/problems/no-such-problem/start")
    assert learners(app) == set()


def test_the_first_form_makes_a_guest_and_the_next_ones_do_not(app, visitor):
    visitor.start()
    assert len(learners(app)) == 1
    visitor.start(mode="unguided")
    visitor.post("/preferences/", decimal_sign=",", temperature_unit="°F")
    assert len(learners(app)) == 1
    with services_of(app).database.reading() as session:
        assert session.query(WebSession).count() == 1


def test_work_is_found_again_after_a_restart(app, visitor, make_app):
    sheet = visitor.start()
    visitor.enter(sheet, "fraction", "0.7654")
    services_of(app).database.close()
    again = same_browser(visitor, make_app())
    assert 'value="0.7654"' in again.page(sheet)
    assert sheet in again.page("/progress/")
    assert sheet in again.page("/")  # left half-done


def test_another_browser_does_not_see_it(app, visitor):
    sheet, other = visitor.start(), Visitor(app)
    other.become_guest()
    visitor.post(f"{sheet}/solution")
    before = dump(app)
    for address in (sheet, f"{sheet}/solution", f"{sheet}/figure/open-light.svg", f"{sheet}/figure/solved-light.svg"):
        assert other.get(address).status_code == 404, address
    assert other.enter(sheet, "fraction", "0.5").status_code == 404
    for part in ("steps", "solution"):
        assert other.post(f"{sheet}/{part}").status_code == 404, part
    assert attempt_of(sheet).hex not in other.page("/progress/").replace("-", "")
    assert dump(app) == before


def test_a_browser_without_a_session_is_told_so(app, visitor):
    sheet = visitor.start()
    answer = Visitor(app).get(sheet)
    assert answer.status_code == 403
    assert "session has ended" in answer.get_data(as_text=True)


@pytest.mark.parametrize("part", ["entries", "steps", "solution"])
def test_a_form_after_the_session_has_ended_is_not_taken(app, visitor, clock, part):
    sheet = visitor.start()
    csrf = visitor.csrf()
    clock.advance(timedelta(days=15))  # two weeks without a visit end a guest's session
    before = dump(app)
    answer = visitor.post(f"{sheet}/{part}", csrf, step="fraction", entry="0.5", form_token="one")
    assert answer.status_code == 403
    assert "session has ended, so nothing was taken" in answer.get_data(as_text=True)
    assert dump(app) == before


def test_coming_back_in_time_keeps_the_session(app, visitor, clock):
    sheet = visitor.start()
    for _ in range(3):
        clock.advance(timedelta(days=13))
        assert visitor.get(sheet).status_code == 200


def test_a_cookie_that_was_changed_is_nobody(app, visitor):
    sheet = visitor.start()
    name = app.config["SESSION_COOKIE_NAME"]
    value = visitor.client.get_cookie(name).value
    visitor.client.set_cookie(name, value[:-4] + "abcd")
    assert visitor.get(sheet).status_code == 403
    assert visitor.enter(sheet, "fraction", "0.5").status_code == 403
    assert count(app, Entry) == 0
    assert snapshot_of(app, sheet).problem == BRINE
