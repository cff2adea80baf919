"""Faults: an unforeseen one is a page with a number that the log has too; broken content leaves the rest working."""

import logging
import re

import pytest
from web_visitors import Visitor, dump

from trainer.errors import OutOfRange, TrainerError


def breaking(app, fault: Exception) -> Visitor:
    def view():
        raise fault

    app.add_url_rule("/breaks", "breaks", view, methods=["GET"])
    app.view_functions["breaks"].open_to = "visitors"
    return Visitor(app)


# OWASP ASVS 5.0.0, V16.5.1: a generic message, the particulars in the log only.
def test_an_unforeseen_fault_is_a_page_with_a_number(app, caplog):
    visitor = breaking(app, KeyError("particulars of the inside"))
    answer = visitor.get("/breaks")
    page = answer.get_data(as_text=True)
    assert answer.status_code == 500
    number = re.search(r"The log has it as ([0-9a-f]{8})\.", page)[1]
    assert "particulars" not in page
    assert "Traceback" not in page
    (record,) = [record for record in caplog.records if record.levelno == logging.ERROR]
    assert record.getMessage() == f"fault {number} at GET '/breaks'"
    assert "particulars of the inside" in caplog.text


def test_a_line_break_in_an_address_makes_no_line_in_the_log(app, caplog):
    def view(name):
        raise KeyError(name)

    app.add_url_rule("/breaks/<name>", "breaks", view)
    app.view_functions["breaks"].open_to = "visitors"
    Visitor(app).get("/breaks/one%0d%0aCRITICAL%20two")
    (record,) = [record for record in caplog.records if record.levelno == logging.ERROR]
    assert "\n" not in record.getMessage()


@pytest.mark.parametrize(
    ("fault", "status"),
    [(TrainerError("said in one sentence"), 400), (OutOfRange("temperature", 851, -200, 850, "°C"), 400)],
)
def test_a_foreseen_fault_is_a_page_with_its_sentence(app, caplog, fault, status):
    answer = breaking(app, fault).get("/breaks")
    assert answer.status_code == status
    assert str(fault) in answer.get_data(as_text=True)
    assert caplog.records == []


def test_a_plain_value_error_is_a_fault_of_the_program(app, caplog):
    answer = breaking(app, ValueError("a bug")).get("/breaks")
    assert answer.status_code == 500
    assert "a bug" not in answer.get_data(as_text=True)


# OWASP ASVS 5.0.0, V2.3.3: all or nothing.
def test_a_fault_in_the_middle_of_an_entry_leaves_nothing(app, visitor, monkeypatch):
    sheet = visitor.start()
    before = dump(app)

    def fails(*_args, **_more):
        raise RuntimeError("after the rows were added")

    monkeypatch.setattr("trainer.practice.attempts._finish", fails)
    assert visitor.enter(sheet, "fraction", "0.5").status_code == 500
    assert dump(app) == before


BROKEN = """
[[problem]]
id = "bakery-oven-current"
worksheet = "value-from-sygnal"
title = "Bakery oven"
level = "F"
place = "bakery"
text = "A meter shows {signal}."
"""
SOUND = """
[[problem]]
id = "bakery-prover-current"
worksheet = "value-from-signal"
title = "Bakery prover: temperature from the loop current"
level = "F"
place = "bakery"
text = "A meter shows {signal} on a 4-20 mA loop ranged {lower:bare} to {upper}. What is the temperature?"
together = [{ givens = ["lower", "upper"], rows = [[10, 60]] }]
[problem.givens]
signal_low = 4
signal_high = 20
signal = { low = 5.3, high = 10.8, step = 0.01 }
[problem.units]
lower = "°C"
upper = "°C"
signal_low = "mA"
signal_high = "mA"
signal = "mA"
"""


@pytest.mark.parametrize("broken", [BROKEN, "this is = not TOML ["])
def test_a_broken_bank_of_ones_own_leaves_the_rest_working(make_app, tmp_path, caplog, broken):
    banks = tmp_path / "question_banks"
    banks.mkdir()
    (banks / "bakery.toml").write_text(broken, "utf-8")
    (banks / "prover.toml").write_text(SOUND, "utf-8")
    visitor = Visitor(make_app(own=True))
    said = [record.getMessage() for record in caplog.records if "bakery.toml" in record.getMessage()]
    assert said
    assert all(line.startswith("left out: ") for line in said)
    page = visitor.page("/skills/S3.2")
    assert "Bakery prover" in page
    assert "Brine chiller" in page
    assert "Bakery oven" not in page
    assert visitor.get(visitor.start("bakery-prover-current")).status_code == 200


def test_an_attempt_outlives_its_problem(make_app, tmp_path):
    """What is needed is kept with the attempt."""
    banks = tmp_path / "question_banks"
    banks.mkdir()
    (banks / "prover.toml").write_text(SOUND, "utf-8")
    app = make_app(own=True)
    visitor = Visitor(app)
    sheet = visitor.start("bakery-prover-current")
    (banks / "prover.toml").unlink()
    again = Visitor(make_app(own=True))
    again.client = again.app.test_client()
    name = app.config["SESSION_COOKIE_NAME"]
    again.client.set_cookie(name, visitor.client.get_cookie(name).value)
    assert "Bakery prover" in again.page(sheet)
    assert again.enter(sheet, "fraction", "0.5").status_code == 303
    assert "bakery-prover-current" in again.page("/progress/")
    again.post(f"{sheet}/solution")
    assert "Another like it" not in again.page(f"{sheet}/solution")
