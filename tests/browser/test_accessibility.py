"""Accessibility as far as a program can check it, reflow on a narrow screen, and print.

The checker is axe-core, with the rules of WCAG 2.2 A and AA and its best practices.
"""

import pytest
from sheet_walk import Brine, enter, start

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
RUN = "tags => axe.run(document, {runOnly: {type: 'tag', values: tags}, resultTypes: ['violations']})"
FEWEST_PASSES = 10
PLACES = {
    "home": "",
    "skills": "skills/",
    "skill": "skills/S3.2",
    "lessons": "lessons/",
    "lesson": "lessons/S3.2",
    "lesson with a trace": "lessons/S4.3",
    "progress": "progress/",
    "preferences": "preferences/",
    "example": "problems/brine-chiller-current/example/1",
    "example with states": "problems/retort-cooling-trace/example/2",
    "fault": "nowhere",
}
NOT_FOUND = ("status of 404",)  # what the console says of the page that is not there


def go(page, place: str, address: str) -> None:
    page.goto(address + PLACES[place])


def open_sheet(page, address):
    start(page, address, "S3.2", "brine-chiller-current")
    return Brine(page)


def slip(page, address):
    enter(page, "fraction", f"{open_sheet(page, address).without_live_zero:.4f}")


def unread(page, address):
    open_sheet(page, address)
    enter(page, "fraction", "twelve")


def follows(page, address):
    sheet = open_sheet(page, address)
    enter(page, "fraction", f"{sheet.without_live_zero:.4f}")
    enter(page, "value", f"{sheet.value(sheet.without_live_zero):.3f}")
    page.locator("details").first.evaluate("each => each.open = true")


def all_right(page, address):
    sheet = open_sheet(page, address)
    enter(page, "fraction", f"{sheet.fraction:.5f}")
    enter(page, "value", f"{sheet.value(sheet.fraction):.3f}")


def solution(page, address):
    slip(page, address)
    page.get_by_role("button", name="see it worked").click()
    page.wait_for_url("**/solution")


def choice(page, address):
    start(page, address, "S4.1", "glaze-oven-high-reset")
    page.get_by_label("above the set point").check()
    page.locator("#ask-side button").click()
    page.wait_for_url("**checked=side*")


def states(page, address):
    start(page, address, "S4.3", "retort-cooling-trace")
    enter(page, "reset", "1")
    page.locator("table.states input").first.check()


def answer_only(page, address):
    start(page, address, "S1.1", "milk-silo-ohms", "unguided")


STATES = (open_sheet, slip, unread, follows, all_right, solution, choice, states, answer_only)
EVERYWHERE = [*PLACES, *STATES]


def name_of(where) -> str:
    return where if isinstance(where, str) else where.__name__


def visit(page, where, demo_server) -> None:
    """Go there as one of the demo's learners, so that there is something to see."""
    page.goto(demo_server.address)
    page.get_by_role("button", name="Imke").click()
    page.wait_for_url("**/progress/")
    go(page, where, demo_server.address) if isinstance(where, str) else where(page, demo_server.address)
    page.wait_for_load_state("networkidle")


def checked(page, axe: str) -> tuple[list[str], int]:
    page.evaluate(axe)
    found = page.evaluate(RUN, TAGS)
    faults = [
        f"{each['id']}: {node['html'][:200]} ({node['failureSummary'][:200]})"
        for each in found["violations"]
        for node in each["nodes"]
    ]
    return faults, len(found["passes"])


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("where", EVERYWHERE, ids=name_of)
def test_no_rule_is_broken(demo_server, open_page, axe, where, scheme):
    page = open_page(expected=NOT_FOUND if where == "fault" else (), color_scheme=scheme)
    visit(page, where, demo_server)
    faults, passes = checked(page, axe)
    assert faults == []
    assert passes >= FEWEST_PASSES


def test_a_bad_page_is_found(server, open_page, axe):
    """So the check above can fail."""
    page = open_page()
    page.goto(f"{server.address}preferences/")
    page.evaluate(
        """() => {
          document.documentElement.removeAttribute("lang");
          document.querySelector("main").innerHTML = "<h3>Late</h3><img src='/static/icon.svg'><input>" +
            "<button></button>";
        }"""
    )
    rules = {fault.partition(":")[0] for fault in checked(page, axe)[0]}
    assert {"html-has-lang", "image-alt", "label", "button-name"} <= rules


# WCAG 2.2, 1.4.10: nothing is lost at a width of 320 CSS pixels, and only tables may be scrolled sideways.
@pytest.mark.parametrize("where", EVERYWHERE, ids=name_of)
def test_a_page_fits_a_narrow_screen(demo_server, open_page, where):
    page = open_page(expected=NOT_FOUND if where == "fault" else (), viewport={"width": 320, "height": 640})
    visit(page, where, demo_server)
    lost = page.evaluate(
        """() => [...document.querySelectorAll("main *")]
          .filter(each => !each.closest(".scroll, .unseen, svg, math, .paper-only") && each.getClientRects().length)
          .filter(each => each.getBoundingClientRect().right > 321)
          .map(each => each.outerHTML.slice(0, 120))"""
    )
    assert lost == []
    assert page.evaluate("() => document.documentElement.scrollWidth") <= 320


# WCAG 2.2, 2.5.8: 24 CSS pixels, or a link in a sentence.
@pytest.mark.parametrize("where", ["skill", "progress", "preferences", slip, states, choice], ids=name_of)
def test_what_is_pressed_is_large_enough(demo_server, open_page, where):
    page = open_page(viewport={"width": 390, "height": 844})
    visit(page, where, demo_server)
    small = page.evaluate(
        """() => [...document.querySelectorAll("main :is(button, select, .entry, label:has(input[type=radio]))")]
          .map(each => [each.outerHTML.slice(0, 80), each.getBoundingClientRect()])
          .filter(([, box]) => box.height && (box.height < 24 || box.width < 24)).map(([html]) => html)"""
    )
    assert small == []


@pytest.mark.parametrize("where", ["lesson", "example with states", solution, open_sheet], ids=name_of)
def test_a_page_prints(demo_server, open_page, where):
    page = open_page()
    visit(page, where, demo_server)
    paper = page.pdf(format="A4", prefer_css_page_size=True)
    assert paper.startswith(b"%PDF-")
    assert len(paper) > 10_000
    page.emulate_media(media="print")
    assert page.locator(".foot").is_hidden()
    assert page.locator("h1").first.is_visible()


def test_forced_colors_keep_the_marks(demo_server, open_page):
    page = open_page(forced_colors="active")
    visit(page, slip, demo_server)
    assert page.locator(".verdict .sign").first.inner_text() == "✗"
    width = page.evaluate("() => parseFloat(getComputedStyle(document.querySelector('input.entry')).borderTopWidth)")
    assert width >= 1
