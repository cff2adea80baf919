"""Papers as a browser prints them: heading on every page, pages counted, nothing split; and the pages on the screen."""

import re
import shutil
import subprocess

import pytest
from demo_places import INSTRUCTOR, enter_as
from test_accessibility import FEWEST_PASSES, RUN, TAGS

WISH = (
    "problem=brine-chiller-current&problem=retort-cooling-trace&problem=swimming-bath-first-power"
    "&problem=heat-meter-replacement&problem=canal-gate-excursions&problem=milk-silo-ohms&versions=2&seed=17"
)
PLACES = {"choose": "papers/?strand=S3", "paper": f"papers/paper?{WISH}", "key": f"papers/key?{WISH}"}

each_place = pytest.mark.parametrize("place", PLACES)


@pytest.fixture
def instructor_page(demo_server, open_page):
    """A page of the demo's instructor: papers are for instructors."""
    page = open_page()
    enter_as(page, demo_server.address, INSTRUCTOR)
    return page


@pytest.fixture
def printed(demo_server, instructor_page, needs, tmp_path):
    needs("pdftotext", shutil.which("pdftotext"), "the reader that printed papers are checked with")

    def printed(place: str) -> list[str]:
        page = instructor_page
        page.goto(demo_server.address + PLACES[place])
        page.wait_for_load_state("networkidle")
        file = tmp_path / "printed.pdf"
        page.pdf(path=str(file), prefer_css_page_size=True)
        text = subprocess.run(["pdftotext", "-layout", file, "-"], capture_output=True, text=True, check=True).stdout
        return text.removesuffix("\f").split("\f")

    return printed


@pytest.mark.parametrize("place", ["paper", "key"])
def test_every_printed_page_has_code_and_number(printed, place):
    pages = printed(place)
    assert len(pages) > 2
    codes = set()
    for number, page in enumerate(pages, 1):
        codes.update(re.findall(r"\b[2-9A-Z]{3}-[2-9A-Z]{3}-[2-9A-Z]{3}\b", page[:800]))
        assert "Code" in page[:800]
        assert f"{number} of {len(pages)}" in page[-200:]
        assert "Preferences" not in page
    assert len(codes) == 1


def test_no_heading_stands_alone_at_the_foot(printed):
    for page in printed("paper"):
        lines = [line.strip() for line in page.splitlines() if line.strip()]
        assert not re.match(r"\d+\s+\S.* S\d+\.\d+$", lines[-2])
        assert not lines[-2].startswith("Find:")


def test_a_step_is_not_split(printed):
    """Times and both states of the relay stand on one page."""
    (page,) = [page for page in printed("paper") if "State at each time asked" in page.split("Find")[-1]]
    after = page.rpartition("State at each time asked")[2]
    assert "normal" in after
    assert "alarm" in after


@each_place
def test_no_barrier_is_found(demo_server, instructor_page, axe, place):
    page = instructor_page
    page.goto(demo_server.address + PLACES[place])
    page.evaluate(axe)
    found = page.evaluate(RUN, TAGS)
    assert [each["id"] for each in found["violations"]] == []
    assert len(found["passes"]) >= FEWEST_PASSES


@each_place
def test_a_narrow_screen_need_not_be_pushed_aside(demo_server, instructor_page, place):
    page = instructor_page
    page.set_viewport_size({"width": 320, "height": 700})
    page.goto(demo_server.address + PLACES[place])
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
