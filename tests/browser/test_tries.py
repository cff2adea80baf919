"""An assessed set in a real browser: kept box by box, over lost connections and closed browsers, and without script."""

from dataclasses import dataclass
from datetime import timedelta

import pytest
from sheet_walk import Brine
from test_accessibility import FEWEST_PASSES, checked
from test_keyboard import focused, tab_to

from trainer.clock import utc_now
from trainer.content.library import read_library
from trainer.practice import groups, sets
from trainer.practice.accounts import add_person
from trainer.practice.plans import Chosen, Plan
from trainer.settings import load_settings
from trainer.storage.accounts import find_account
from trainer.storage.schema import open_storage

BRINE, GATE, BATH, RETORT = (
    "brine-chiller-current",
    "canal-gate-excursions",
    "swimming-bath-first-power",
    "retort-cooling-trace",
)
NAME, WORDS = "Ada Pump", "four tinned ferrules"
OFFLINE = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED")


@dataclass
class School:
    """A served folder with a group, one learner in it who has a code, and sets by title."""

    address: str
    code: str
    sets: dict[str, str]

    def enter(self, page) -> None:
        page.goto(f"{self.address}code")
        for name, text in (("code", self.code), ("passphrase", WORDS), ("again", WORDS)):
            page.locator(f"main [name={name}]").fill(text)
        page.locator("main form button[type=submit]").first.click()
        page.wait_for_load_state()

    def start(self, page, title: str) -> str:
        """Start a try at a set, and give its address."""
        page.goto(f"{self.address}given/{self.sets[title]}")
        page.get_by_role("button", name="Start try 1").click()
        page.wait_for_url("**/tries/*")
        return page.url


@pytest.fixture
def school(serve, tmp_path) -> School:
    library, now = read_library(), utc_now()
    database = open_storage(load_settings(tmp_path / "data", {}), utc_now)
    plans = (
        Plan("Loops", (Chosen(BRINE, "guided"), Chosen(GATE, "guided"), Chosen(BATH, "guided")), minutes=12),
        Plan("Alarms", (Chosen(RETORT, "guided"), Chosen(BRINE, "unguided")), due=now + timedelta(hours=5)),
        Plan("Drill", (Chosen(BRINE, "guided"),), kind="practice"),
    )
    given = {}
    with database.writing() as session:
        code = add_person(session, NAME, "learner", now).code
        group = groups.make_group(session, "Night shift", now)
        groups.add_member(session, group.id, find_account(session, NAME).learner_id, now)
        for plan in plans:
            made = sets.make_set(session, group.id, plan, library.problems, "Berend", now)
            given[plan.title] = str(sets.open_set(session, made.id, library.problems, now).id)
    database.close()
    return School(serve().address, code, given)


def status(page) -> str:
    return page.locator("[data-kept]").inner_text()


def wait_for_status(page, words: str) -> None:
    page.wait_for_function(
        "words => document.querySelector('[data-kept]').textContent.includes(words)", arg=words, timeout=20_000
    )


def value(page, step: str) -> str:
    return page.locator(f"#entry-{step}").input_value()


def test_a_box_is_kept_on_leaving_it_and_a_closed_browser_loses_nothing(school, open_page):
    page = open_page(expected=OFFLINE)
    school.enter(page)
    address = school.start(page, "Loops")
    page.goto(f"{address}/1")
    page.locator("#entry-fraction").fill("0.5 furlong")
    page.locator("#entry-value").focus()
    wait_for_status(page, "Kept ")
    assert "furlong is no unit" in page.locator("#verdict-fraction").inner_text()  # that it is wrong is not said
    page.locator("#entry-fraction").fill("0.5")
    page.keyboard.press("Tab")
    page.wait_for_function("() => !document.querySelector('#verdict-fraction').textContent")
    page.evaluate("() => { window.fetch = () => Promise.reject(new TypeError('cut off')); }")
    page.locator("#entry-value").press_sequentially("-12.3")  # typed, not left, and nothing gets out
    profile = page.context.storage_state()
    page.context.close()
    again = open_page(storage_state=profile)
    again.goto(f"{address}")
    assert "1 of 2 steps filled" in again.content()
    assert "may not be kept yet" in again.locator("main").inner_text()
    again.goto(f"{address}/1")
    wait_for_status(again, "Kept ")
    assert (value(again, "fraction"), value(again, "value")) == ("0.5", "-12.3")
    again.goto(address)
    assert "2 of 2 steps filled" in again.content()
    assert "may not be kept yet" not in again.locator("main").inner_text()


def test_a_lost_connection_is_said_and_what_was_typed_is_sent_when_it_is_back(school, open_page):
    page = open_page(expected=OFFLINE)
    school.enter(page)
    address = school.start(page, "Loops")
    page.goto(f"{address}/1")
    page.context.set_offline(True)
    page.locator("#entry-fraction").fill("0.25")
    page.keyboard.press("Tab")
    wait_for_status(page, "Not kept yet, will try again")
    page.get_by_role("button", name="Keep and go on").click()  # which cannot lead away from what is not kept
    page.wait_for_timeout(300)
    assert page.url == f"{address}/1"
    assert value(page, "fraction") == "0.25"
    page.context.set_offline(False)
    wait_for_status(page, "Kept ")
    page.get_by_role("button", name="Keep and go on").click()
    page.wait_for_url(f"{address}/2")
    page.go_back()
    page.reload()
    assert value(page, "fraction") == "0.25"


def test_something_newer_is_not_undone_by_what_waited_in_a_browser(school, open_page):
    page = open_page(expected=OFFLINE)
    school.enter(page)
    address = school.start(page, "Loops")
    page.goto(f"{address}/1")
    page.context.set_offline(True)
    page.locator("#entry-fraction").fill("0.1")
    page.keyboard.press("Tab")
    wait_for_status(page, "Not kept yet")
    profile = page.context.storage_state()
    page.context.close()
    elsewhere = open_page(storage_state={"cookies": profile["cookies"], "origins": []})
    elsewhere.goto(f"{address}/1")
    elsewhere.locator("#entry-fraction").fill("0.2")
    elsewhere.keyboard.press("Tab")
    wait_for_status(elsewhere, "Kept ")
    again = open_page(storage_state=profile)
    again.goto(f"{address}/1")
    assert value(again, "fraction") == "0.2"
    assert "In this browser there was also: 0.1" in again.locator("#verdict-fraction").inner_text()


def test_other_kinds_of_boxes_are_kept_too(school, open_page):
    page = open_page(expected=("status of 400",))
    school.enter(page)
    address = school.start(page, "Loops")
    page.goto(f"{address}/2")
    page.locator("input[type=checkbox]").nth(1).check()
    wait_for_status(page, "Kept ")
    page.goto(f"{address}/3")
    page.locator("input[type=radio]").nth(2).check()
    wait_for_status(page, "Kept ")
    places = page.locator("select")
    places.nth(0).select_option("3")
    places.nth(1).select_option("3")
    page.wait_for_function("() => document.body.textContent.includes('A place is given twice.')")
    places.nth(1).select_option("1")
    page.wait_for_function("() => !document.body.textContent.includes('A place is given twice.')")
    wait_for_status(page, "Kept ")
    page.reload()
    assert page.locator("input[type=radio]").nth(2).is_checked()
    assert [places.nth(index).input_value() for index in range(3)] == ["3", "1", ""]
    page.goto(f"{address}/2")
    assert page.locator("input[type=checkbox]").nth(1).is_checked()


def test_the_time_left_counts_down_and_is_told_at_ten_five_and_one_minute(school, open_page):
    page = open_page()
    page.clock.install()
    school.enter(page)
    page.goto(f"{school.start(page, 'Loops')}/1")
    told = page.locator("#minutes-left")
    for forward, words in (("01:00", ""), ("01:30", "10 minutes left."), ("05:00", "5 minutes left.")):
        page.clock.fast_forward(forward)
        page.clock.run_for(1000)
        assert told.inner_text() == words
    page.clock.fast_forward("04:00")
    page.clock.run_for(1000)
    assert told.inner_text() == "One minute left."
    assert page.locator("[data-left]").inner_text().startswith("0:")
    page.clock.fast_forward("00:40")
    page.clock.run_for(1000)
    assert "The time is over" in told.inner_text()
    assert page.locator("[data-left]").inner_text() == "0:00"


def test_a_set_is_worked_and_handed_in_with_the_keyboard(school, open_page):
    page = open_page()
    school.enter(page)
    page.goto(school.address)
    for _ in range(40):
        page.keyboard.press("Tab")
        if school.sets["Loops"] in page.evaluate("() => document.activeElement.href || ''"):
            break
    page.keyboard.press("Enter")
    page.wait_for_url("**/given/*")
    tab_to(page, "Start try 1: 12 minutes")
    page.keyboard.press("Enter")
    page.wait_for_url("**/tries/*")
    tab_to(page, "Work on problem 1")
    page.keyboard.press("Enter")
    page.wait_for_url("**/tries/*/1")
    page.wait_for_function("() => document.activeElement.id === 'entry-fraction'")
    sheet = Brine(page)
    page.keyboard.type(f"{sheet.fraction:.5f}")
    page.keyboard.press("Tab")
    assert focused(page) == "entry-value"
    page.keyboard.type(f"{sheet.value(sheet.fraction):.3f}")
    with page.expect_navigation():
        page.keyboard.press("Enter")  # keeps the sheet, and stays on it
    assert page.url.endswith("/1")
    tab_to(page, "Keep and see all problems")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    tab_to(page, "Hand in ...")
    page.keyboard.press("Enter")
    page.wait_for_url("**/hand-in")
    assert page.locator(".inner li").count() == 4  # the steps of the two other sheets
    tab_to(page, "Hand in now")
    page.keyboard.press("Enter")
    page.wait_for_function("() => document.body.textContent.includes('Passed from')")
    assert "33.3 %" in page.locator(".find").inner_text()


def test_without_script_everything_is_kept_by_its_buttons(school, open_page):
    page = open_page(java_script_enabled=False)
    school.enter(page)
    address = school.start(page, "Alarms")
    page.goto(f"{address}/1")
    page.locator("#entry-reset").fill("41.5")
    radios = page.locator("table.states input")
    radios.first.check()
    page.get_by_role("button", name="Keep", exact=True).click()
    assert "Kept " in page.locator(".notices").inner_text()
    assert value(page, "reset") == "41.5"
    assert radios.first.is_checked()
    page.get_by_role("button", name="Keep and go on").click()
    assert page.url == f"{address}/2"
    page.locator("#entry-value").fill("3")
    page.get_by_role("button", name="Keep and see all problems").click()
    page.get_by_role("link", name="Hand in ...").click()
    page.get_by_role("button", name="Hand in now").click()
    assert "%" in page.locator(".find").inner_text()


def every_page(school, page, scheme_pages) -> None:
    """Walk the pages of a try, and call for each of them."""
    page.goto(school.address)
    scheme_pages("home")
    page.goto(f"{school.address}given/{school.sets['Loops']}")
    scheme_pages("given")
    address = school.start(page, "Loops")
    scheme_pages("list")
    for number in (1, 2, 3):
        page.goto(f"{address}/{number}")
        scheme_pages(f"sheet {number}")
    page.goto(f"{address}/1")
    page.locator("#entry-fraction").fill("half")
    page.keyboard.press("Tab")
    wait_for_status(page, "Kept ")
    scheme_pages("kept")
    page.goto(f"{address}/hand-in")
    scheme_pages("hand-in")
    page.get_by_role("button", name="Hand in now").click()
    page.wait_for_load_state()
    scheme_pages("result")
    page.goto(f"{address}/1")
    scheme_pages("done")
    page.goto(f"{school.start(page, 'Drill')}/1")
    scheme_pages("practice")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_rule_is_broken_on_the_pages_of_a_try(school, open_page, axe, scheme):
    page = open_page(color_scheme=scheme)
    school.enter(page)
    found = {}

    def look(name: str) -> None:
        faults, passes = checked(page, axe)
        found[name] = faults if passes >= FEWEST_PASSES else ["too few rules were looked at"]

    every_page(school, page, look)
    assert {name: faults for name, faults in found.items() if faults} == {}
    assert len(found) == 11


def test_the_pages_of_a_try_fit_a_narrow_screen(school, open_page):
    page = open_page(viewport={"width": 320, "height": 640})
    school.enter(page)
    wide = []

    def look(name: str) -> None:
        if page.evaluate("() => document.documentElement.scrollWidth") > 320:
            wide.append(name)

    every_page(school, page, look)
    assert wide == []
