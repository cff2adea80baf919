"""Accessibility as far as a program can check it, reflow on a narrow screen, and print.

The checker is axe-core, with the rules of WCAG 2.2 A and AA and its best practices.
"""

import re

import pytest
from demo_places import (
    INSTRUCTOR,
    LEARNER,
    OPEN,
    PLACES,
    STATES,
    TEACHING,
    TEACHING_STATES,
    enter_as,
    list_with_a_fault,
    make_a_course,
    open_sheet,
    own_problem_looked_at,
    set_with_faults,
    slip,
    solution,
)

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
RUN = "tags => axe.run(document, {runOnly: {type: 'tag', values: tags}, resultTypes: ['violations']})"
FEWEST_PASSES = 10
# What the console says of a page that is not there, and of a form that is not taken.
REFUSED = {
    "fault": ("status of 404",),
    list_with_a_fault: ("status of 400",),
    set_with_faults: ("status of 400",),
    own_problem_looked_at: ("status of 400",),
}
EVERYWHERE = [*OPEN, *PLACES, *STATES, *TEACHING, *TEACHING_STATES]


def name_of(where) -> str:
    return where if isinstance(where, str) else where.__name__


@pytest.fixture(scope="session")
def course(demo_server, chromium) -> dict[str, str]:
    """Ids of the demo, after a learner and the instructor have made what the demo comes without."""
    contexts = [chromium.new_context() for _ in range(2)]
    made = make_a_course(*(context.new_page() for context in contexts), demo_server.address)
    for context in contexts:
        context.close()
    return made


@pytest.fixture
def visit(demo_server, course):
    """Go somewhere as who sees it: a learner of the demo, its instructor, or nobody yet."""
    addresses = {name: address.format(**course) for name, address in (OPEN | PLACES | TEACHING).items()}

    def visit(page, where) -> None:
        if where not in OPEN:
            enter_as(page, demo_server.address, INSTRUCTOR if where in (*TEACHING, *TEACHING_STATES) else LEARNER)
        if isinstance(where, str):
            page.goto(demo_server.address + addresses[where])
        else:
            where(page, demo_server.address)
        page.wait_for_load_state("networkidle")

    return visit


def checked(page, axe: str) -> tuple[list[str], int]:
    page.evaluate(axe)
    found = page.evaluate(RUN, TAGS)
    faults = [
        f"{each['id']}: {node['html'][:200]} ({node['failureSummary'][:200]})"
        for each in found["violations"]
        for node in each["nodes"]
    ]
    return faults, len(found["passes"])


# WCAG 2.2, 1.4.10: nothing is lost at a width of 320 CSS pixels, and only tables may be scrolled sideways.
def lost(page) -> list[str]:
    """What stands outside a narrow screen."""
    page.set_viewport_size({"width": 320, "height": 640})
    outside = page.evaluate(
        """() => [...document.querySelectorAll("main *")]
          .filter(each => !each.closest(".scroll, .unseen, svg, math, .paper-only") && each.getClientRects().length)
          .filter(each => each.getBoundingClientRect().right > 321)
          .map(each => each.outerHTML.slice(0, 120))"""
    )
    width = page.evaluate("() => document.documentElement.scrollWidth")
    return outside + ([f"the page is {width} wide"] if width > 320 else [])


# WCAG 2.2, 2.5.8: 24 CSS pixels, or a link in a sentence.
def too_small(page) -> list[str]:
    """What can hardly be pressed on a telephone."""
    page.set_viewport_size({"width": 390, "height": 844})
    return page.evaluate(
        """() => [...document.querySelectorAll("main :is(button, select, input.entry, label:has(input[type=radio]))")]
          .filter(each => !each.closest(".unseen"))
          .map(each => [each.outerHTML.slice(0, 80), each.getBoundingClientRect()])
          .filter(([, box]) => box.height && (box.height < 24 || box.width < 24)).map(([html]) => html)"""
    )


# One visit for all, since going there takes longer than looking.
@pytest.mark.parametrize("where", EVERYWHERE, ids=name_of)
def test_no_barrier_is_found(open_page, visit, axe, where):
    page = open_page(expected=REFUSED.get(where, ()))
    visit(page, where)
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme, reduced_motion="reduce")  # colors are there at once
        faults, passes = checked(page, axe)
        assert (scheme, faults) == (scheme, [])
        assert passes >= FEWEST_PASSES
    assert too_small(page) == []
    assert lost(page) == []


def test_the_page_is_dark_when_it_is_looked_at_in_the_dark(open_page, visit):
    """So the check above has seen both."""
    page = open_page()
    visit(page, "teaching")
    seen = []
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        seen.append(page.evaluate("() => getComputedStyle(document.documentElement).backgroundColor"))
    light, dark = (sum(int(part) for part in re.findall(r"\d+", color)) for color in seen)
    assert light > 600 > 150 > dark


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
    page.evaluate("() => { document.querySelector('main').innerHTML = '<button></button><pre>' + 'x'.repeat(99); }")
    assert len(lost(page)) == 1
    page.evaluate("() => { document.querySelector('main button').style.cssText = 'width: 20px; padding: 0'; }")
    assert len(too_small(page)) == 1


@pytest.mark.parametrize("where", ["lesson", "example with states", solution, open_sheet, "attempt"], ids=name_of)
def test_a_page_prints(open_page, visit, where):
    page = open_page()
    visit(page, where)
    paper = page.pdf(format="A4", prefer_css_page_size=True)
    assert paper.startswith(b"%PDF-")
    assert len(paper) > 10_000
    page.emulate_media(media="print")
    assert page.locator(".foot").is_hidden()
    assert page.locator("h1").first.is_visible()


def test_forced_colors_keep_the_marks(open_page, visit):
    page = open_page(forced_colors="active")
    visit(page, slip)
    assert page.locator(".verdict .sign").first.inner_text() == "✗"
    width = page.evaluate("() => parseFloat(getComputedStyle(document.querySelector('input.entry')).borderTopWidth)")
    assert width >= 1
