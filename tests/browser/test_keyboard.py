"""The keyboard alone is enough (WCAG 2.2, 2.1.1 and 2.4.3), and the focus is where the work goes on."""

from sheet_walk import Brine, start, verdict


def focused(page) -> str:
    """The id of what has the focus, or its text."""
    return page.evaluate("() => document.activeElement.id || document.activeElement.innerText || ''").strip()


def tab_to(page, wanted: str, most: int = 40) -> None:
    for _ in range(most):
        if focused(page) == wanted:
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"{wanted} is not reached by Tab; the focus is on {focused(page)}")


def check(page, step: str) -> None:
    with page.expect_navigation(url=f"**checked={step}*"):
        page.keyboard.press("Enter")
    page.wait_for_function("() => document.activeElement !== document.body")


def test_a_sheet_is_worked_with_the_keyboard(server, open_page):
    page = open_page()
    page.goto(server.address)
    page.keyboard.press("Tab")
    assert focused(page) == "Skip to the page"
    tab_to(page, page.locator(".doors a").first.inner_text().strip())
    page.keyboard.press("Enter")
    page.wait_for_url("**/skills/")
    tab_to(page, "S3.2 Signal to process value")
    page.keyboard.press("Enter")
    page.wait_for_url("**/skills/S3.2")
    tab_to(page, page.locator('form:has(input[value="guided"]) button').first.inner_text().strip())
    page.keyboard.press("Enter")
    page.wait_for_url("**/sheets/*")
    page.wait_for_function("() => document.activeElement.id === 'entry-fraction'")
    sheet = Brine(page)
    page.keyboard.type(f"{sheet.without_live_zero:.4f}")
    check(page, "fraction")
    assert focused(page) == "entry-fraction"  # to be mended
    page.keyboard.press("Control+a")
    page.keyboard.type(f"{sheet.fraction:.5f}")
    check(page, "fraction")
    assert focused(page) == "entry-value"  # the next box
    heard = page.evaluate("() => document.activeElement.getAttribute('aria-describedby')")
    assert heard.split()[0] == "verdict-fraction"  # and the verdict is read out with it
    page.keyboard.type(f"{sheet.value(sheet.fraction):.3f}")
    page.keyboard.press("Enter")
    page.wait_for_url("**checked=value*")
    assert "Right" in verdict(page, "value")
    tab_to(page, "Worked solution")


def test_every_stop_of_the_tab_key_is_seen(server, open_page):
    """Each has a visible outline and lies in the window (WCAG 2.2, 2.4.7 and 2.4.11)."""
    page = open_page()
    start(page, server.address, "S3.2", "brine-chiller-current")
    page.locator("a.skip").focus()  # the first one on the page; the cursor was put into a box further down
    stops = []
    for _ in range(20):
        page.keyboard.press("Tab")
        stop = page.evaluate(
            """() => {
              const at = document.activeElement, box = at.getBoundingClientRect(), style = getComputedStyle(at);
              const middle = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
              return {name: at.tagName, outline: style.outlineStyle, width: parseFloat(style.outlineWidth),
                      seen: at === document.body || at.contains(middle) || middle.contains(at)};
            }"""
        )
        if stop["name"] == "BODY":
            break
        stops.append(stop)
    assert len(stops) >= 10
    assert all(stop["outline"] != "none" and stop["width"] >= 2 and stop["seen"] for stop in stops), stops


def test_relay_states_are_set_with_arrows_and_space(server, open_page):
    page = open_page()
    start(page, server.address, "S4.3", "retort-cooling-trace")
    rows = page.locator(".givens tr").all()
    value = {row.locator("th").inner_text().split()[0]: row.locator("td").first.inner_text() for row in rows}
    point, deadband = (float(value[name].replace("\u00a0", "").replace("−", "-")) for name in ("Set", "Deadband"))
    page.keyboard.type(f"{point - deadband:.2f}")  # a rising alarm resets below its set point
    check(page, "reset")
    radios = page.locator("table.states input").all()
    columns = len({radio.get_attribute("name") for radio in radios})
    assert columns >= 4
    page.keyboard.press("Space")
    page.keyboard.press("Space")
    chosen = page.locator("table.states input:checked")
    assert (chosen.count(), chosen.get_attribute("name")) == (1, "entry-0")
    flipped = chosen.get_attribute("value")
    page.keyboard.press("Space")
    assert page.locator("table.states input:checked").get_attribute("value") != flipped
    for column in range(1, columns):
        page.keyboard.press("ArrowRight")
        page.keyboard.press("Space")
        assert page.locator(f'table.states input[name="entry-{column}"]:checked').count() == 1
    page.keyboard.press("ArrowLeft")
    assert page.evaluate("() => document.activeElement.name") == f"entry-{columns - 2}"
    page.keyboard.press("Enter")
    page.wait_for_url("**checked=states*")
    assert page.locator(".verdict[role=status]").count() == 1
    assert f"of {columns} differ" in page.locator(".verdict[role=status]").inner_text() or "Right" in page.content()
