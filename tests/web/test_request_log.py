"""The log of requests: a line each, with who by id, and nothing that was typed."""

import json
import sys

import pytest
from web_visitors import Visitor, services_of

from trainer.web import request_log
from trainer.web.request_log import logged


@pytest.fixture
def lines(app, tmp_path):
    """The lines of the log so far."""
    with logged(app):
        yield lambda: [
            json.loads(line) for line in (tmp_path / "logs" / "requests.log").read_text("utf-8").splitlines()
        ]


# OWASP ASVS 5.0.0, V16.2.1: when, who, what, and how it went.
def test_a_line_says_when_who_what_and_how_it_went(app, lines):
    visitor = Visitor(app)
    visitor.get("/skills/?x=1")
    guest = visitor.become_guest()
    visitor.get("/nowhere")
    found = lines()
    assert {key: value for key, value in found[0].items() if key != "ms"} == {
        "at": "2026-03-02T07:30:00.000+00:00",
        "who": None,
        "method": "GET",
        "path": "/skills/",
        "status": 200,
    }
    assert 0 < found[0]["ms"] < 60_000
    assert (found[-1]["who"], found[-1]["path"], found[-1]["status"]) == (str(guest), "/nowhere", 404)
    assert [each["method"] for each in found].count("POST") == 1


# OWASP ASVS 5.0.0, V16.2.5: no passphrase, code, token or typed text.
def test_nothing_secret_or_typed_is_in_it(app, lines, tmp_path):
    visitor = Visitor(app)
    visitor.become_instructor()
    visitor.enter(visitor.start(), "fraction", "0.4711")
    visitor.get("/sign-in?next=/people/&token=eigenheimer")
    visitor.post("/sign-in", name="Ina", passphrase="a secret of mine")
    text = (tmp_path / "logs" / "requests.log").read_text("utf-8")
    cookie = visitor.client.get_cookie(app.config["SESSION_COOKIE_NAME"]).value
    assert len(text.splitlines()) >= 6
    for secret in ("ferrules", "0.4711", "secret of mine", "eigenheimer", cookie, "Ina", "csrf"):
        assert secret not in text


# OWASP ASVS 5.0.0, V16.4.1.
def test_a_line_break_in_an_address_begins_no_line(app, lines):
    Visitor(app).get('/nowhere%0d%0a{"at":"forged"}%e2%80%a8%1b[31m')
    (line,) = lines()
    assert line["path"] == '/nowhere\r\n{"at":"forged"}\u2028\x1b[31m'


def test_a_fault_of_the_program_has_its_number_and_where_it_was(app, lines):
    def view():
        raise KeyError("particulars")

    app.add_url_rule("/breaks", "breaks", view)
    app.view_functions["breaks"].open_to = "visitors"
    page = Visitor(app).get("/breaks").get_data(as_text=True)
    (line,) = lines()
    assert line["status"] == 500
    assert f"The log has it as {line['fault']}." in page
    assert "KeyError: 'particulars'" in line["trace"]


def test_a_full_file_makes_room_for_a_new_one_and_old_ones_go(app, tmp_path, monkeypatch):
    monkeypatch.setattr(request_log, "LARGEST", 1000)
    monkeypatch.setattr(request_log, "OLDER", 2)
    visitor = Visitor(app)
    with logged(app):
        for number in range(60):
            visitor.get(f"/nowhere/{number}")
    found = sorted((tmp_path / "logs").iterdir())
    assert [path.name for path in found] == ["requests.log", "requests.log.1", "requests.log.2"]
    assert all(path.stat().st_size <= 1000 for path in found)
    assert "/nowhere/59" in found[0].read_text("utf-8")


def test_a_setting_turns_it_off(make_app, tmp_path):
    app = make_app(request_log="off")
    with logged(app):
        Visitor(app).get("/")
    assert not (tmp_path / "logs").exists()
    assert "a line in a log" not in Visitor(app).page("/kept/")
    assert "a line in a log" in Visitor(make_app()).page("/kept/")


def test_a_log_that_cannot_be_written_does_not_stop_the_pages(app, tmp_path, capsys):
    (tmp_path / "logs").write_text("a file where a folder should be")
    with logged(app):
        assert Visitor(app).get("/").status_code == 200
    assert capsys.readouterr().err == ""


@pytest.mark.skipif(sys.platform == "win32", reason="needs the permissions of POSIX")
def test_it_is_for_the_owner_alone(app, lines, tmp_path):
    Visitor(app).get("/")
    assert (tmp_path / "logs").stat().st_mode & 0o077 == 0
    assert services_of(app).settings.request_log == "on"
