"""Preferences: the decimal sign of numbers shown and typed, and the temperature unit beside solutions."""

import re

import pytest
from web_visitors import BRINE, count, entries, right, snapshot_of, start_with_seed

from trainer.storage.models import Learner


def prefer(visitor, decimal: str = ".", unit: str = "°C") -> None:
    assert visitor.post("/preferences/", decimal_sign=decimal, temperature_unit=unit).status_code == 303


@pytest.mark.parametrize(
    ("decimal", "shown", "not_shown"), [(".", r"\d+\.\d\d mA", r"\d,\d"), (",", r"\d+,\d\d mA", r"\d\.\d")]
)
def test_numbers_are_shown_with_ones_own_sign(app, visitor, decimal, shown, not_shown):
    prefer(visitor, decimal)
    sheet = visitor.start()
    text = re.sub(r"<script.*?</script>|<[^>]+>", " ", visitor.page(sheet), flags=re.S)
    text = text.replace("\N{NO-BREAK SPACE}", " ")
    problem = text[text.index("A clamp meter") : text.index("Another like it")]
    assert re.search(shown, problem)
    assert not re.search(not_shown, problem.replace(" S3.2 ", " "))


@pytest.mark.parametrize("decimal", [".", ","])
def test_numbers_are_taken_with_ones_own_sign(app, visitor, decimal):
    prefer(visitor, decimal)
    sheet = visitor.start()
    visitor.enter(sheet, "fraction", right(snapshot_of(app, sheet), "fraction", decimal))
    assert [entry.verdict for entry in entries(app, sheet)] == ["right"]


# A sign before three digits may mark thousands: one's own decimal sign does not, the other one is asked about.
@pytest.mark.parametrize(
    ("decimal", "typed", "read"),
    [(",", "1,250", True), (",", "1.250", False), (".", "1.250", True), (".", "1,250", False)],
)
def test_the_sign_decides_what_could_be_thousands(app, visitor, decimal, typed, read):
    prefer(visitor, decimal)
    sheet = visitor.start()
    visitor.enter(sheet, "fraction", typed)
    (entry,) = entries(app, sheet)
    assert (entry.verdict != "unread") == read


def test_the_other_unit_stands_beside_a_solution(app, visitor):
    prefer(visitor, unit="°F")
    sheet = visitor.start(BRINE)
    visitor.post(f"{sheet}/solution")
    celsius = snapshot_of(app, sheet).step("value").value
    fahrenheit = f"{celsius * 1.8 + 32:.1f}".replace("-", "\N{MINUS SIGN}")  # the definition of the degree Fahrenheit
    page = visitor.page(f"{sheet}/solution").replace("\N{NO-BREAK SPACE}", " ")
    assert f"°C ({fahrenheit} °F)" in page
    prefer(visitor, unit="°C")
    assert f"({fahrenheit} °F)" not in visitor.page(f"{sheet}/solution").replace("\N{NO-BREAK SPACE}", " ")


def test_problems_in_ones_own_unit_come_first(visitor, library):
    def order() -> list[bool]:
        names = re.findall(r"/problems/([\w-]+)/example", visitor.page("/skills/S1.7"))
        return ["°F" in library.problems[name].units.values() for name in names]

    prefer(visitor, unit="°F")
    fahrenheit_first = order()
    prefer(visitor, unit="°C")
    assert sorted(fahrenheit_first) == sorted(order())
    assert len(fahrenheit_first) >= 3


@pytest.mark.parametrize("form", [{"decimal_sign": ";"}, {"temperature_unit": "K"}, {"decimal_sign": ""}])
def test_an_option_that_there_is_not_is_refused(app, visitor, form):
    answer = visitor.post("/preferences/", **({"decimal_sign": ".", "temperature_unit": "°C"} | form))
    assert answer.status_code == 400
    assert count(app, Learner) == 0


def test_the_settings_are_what_a_new_learner_starts_with(make_app):
    from web_visitors import Visitor

    visitor = Visitor(make_app(decimal_sign=",", temperature_unit="°F"))
    visitor.start()
    page = visitor.page("/preferences/")
    for value in (",", "°F"):
        assert re.search(rf'value="{value}" checked', page)


def test_a_sheet_begun_before_is_shown_in_the_new_sign(app, visitor):
    sheet = start_with_seed(app, visitor.become_guest(), BRINE, "guided", 11)
    point = visitor.page(sheet)
    prefer(visitor, ",")
    assert re.search(r"\d\.\d\d\N{NO-BREAK SPACE}mA", point)
    assert re.search(r"\d,\d\d\N{NO-BREAK SPACE}mA", visitor.page(sheet))
