"""The walk of a learner from the first page to progress, with and without JavaScript."""

import pytest
from sheet_walk import Brine, enter, start, verdict

BRINE = "brine-chiller-current"


def mend_a_slip(page) -> None:
    """Every step of the sheet: a slip, named; what follows from it; both mended."""
    sheet = Brine(page)
    slip = sheet.without_live_zero
    enter(page, "fraction", f"{slip:.4f}")
    assert "Live zero forgotten" in verdict(page, "fraction")
    assert page.locator("#step-fraction.is-mend").count() == 1
    enter(page, "value", f"{sheet.value(slip):.3f}")
    assert "Follows from your value in step 1; step 1 is the one to mend." in verdict(page, "value")
    enter(page, "fraction", f"{sheet.fraction:.5f}")
    assert "Right" in verdict(page, "fraction")
    assert "work this one again" in verdict(page, "value")
    enter(page, "value", f"{sheet.value(sheet.fraction):.3f}")
    assert "Right" in verdict(page, "value")
    assert page.get_by_text("The sheet is right.").is_visible()
    assert page.locator(".steps input.entry").count() == 0


@pytest.mark.parametrize("scripts", [True, False], ids=["with scripts", "without scripts"])
def test_a_learner_walks_from_home_to_progress(server, open_page, scripts):
    page = open_page(java_script_enabled=scripts)
    page.goto(server.address)
    page.get_by_role("link", name="Practice a skill").click()
    page.get_by_role("link", name="S3.2").click()
    page.locator(f'form[action="/problems/{BRINE}/start"] button').first.click()
    mend_a_slip(page)
    page.get_by_role("button", name="Worked solution").click()
    page.wait_for_url("**/solution")
    assert page.locator(".step.is-solved").count() == 2
    assert page.get_by_text("You entered").count() == 2
    assert page.locator(".worked math").count() == 4
    page.get_by_role("button", name="Another like it").click()
    assert page.locator("#entry-fraction").input_value() == ""
    page.get_by_role("link", name="My progress").click()
    assert page.get_by_role("row", name="Brine chiller").count() == 2
    finished = page.get_by_role("row", name="Brine chiller").nth(1).inner_text()
    assert "50 %" in finished  # a slip first, then a value that follows from it
    host = server.address.split("//")[1].split(":")[0]
    cookies = page.context.cookies()
    assert [cookie["name"] for cookie in cookies] == ["__Host-trainer"]
    assert (cookies[0]["httpOnly"], cookies[0]["secure"], cookies[0]["domain"]) == (True, True, host)


def test_progress_is_there_after_a_restart(serve, open_page):
    """The cookie belongs to the address, whatever the port."""
    first = serve()
    page = open_page()
    start(page, first.address, "S3.2", BRINE)
    enter(page, "fraction", "0.9876")
    sheet = page.url.removeprefix(first.address).partition("?")[0]
    page.wait_for_load_state("networkidle")
    first.stop()
    second = serve()
    page.goto(f"{second.address}progress/")
    assert page.get_by_role("row", name="Brine chiller").count() == 1
    page.goto(second.address + sheet)
    assert page.locator("#entry-fraction").input_value() == "0.9876"
    assert "Traceback" not in first.told


def test_a_choice_and_states_are_worked_without_scripts(server, open_page):
    page = open_page(java_script_enabled=False)
    start(page, server.address, "S4.1", "glaze-oven-high-reset")
    page.get_by_label("above the set point").check()
    page.locator("#ask-side button").click()
    assert "no deadband" in verdict(page, "side")
    page.get_by_label("below the set point").check()
    page.locator("#ask-side button").click()
    assert page.locator("#step-side .chosen").inner_text() == "below the set point"


def test_leaving_the_machine_would_be_noticed(chromium, server):
    """The guard of these tests works: a request to elsewhere is seen and stopped."""
    left = []
    context = chromium.new_context(java_script_enabled=True)
    context.route("**/*", lambda route: route.continue_() if "127.0.0.1" in route.request.url else _stop(route, left))
    page = context.new_page()
    page.goto(f"{server.address}preferences/")
    said = []
    page.on("console", lambda line: said.append(line.text))
    page.evaluate("() => { const i = new Image(); i.src = 'http://192.0.2.1/x.png'; document.body.append(i); }")
    page.wait_for_timeout(300)
    context.close()
    # the content policy stops it before it becomes a request, and says so in the console
    assert left == []
    assert any("Content Security Policy" in line for line in said)


def _stop(route, left) -> None:
    left.append(route.request.url)
    route.abort()
