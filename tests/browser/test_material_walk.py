"""An instructor on a fresh data folder: papers with their codes, and a problem of the own plant."""

import re
import shutil
import subprocess

import pytest
from course_walk import fill, loop_entries, part, press, words

PROBLEMS = {"brine-chiller-current": "Brine chiller", "booster-pump-pressure": "Booster pump"}


@pytest.fixture
def read_pdf(needs, tmp_path):
    needs("pdftotext", shutil.which("pdftotext"), "the reader that printed papers are checked with")

    def read_pdf(page) -> list[str]:
        file = tmp_path / "paper.pdf"
        page.pdf(path=str(file), prefer_css_page_size=True)
        read = subprocess.run(["pdftotext", "-layout", file, "-"], capture_output=True, text=True, check=True)
        return read.stdout.removesuffix("\f").split("\f")

    return read_pdf


def test_a_paper_is_made_printed_and_found_again_by_its_code(desk, read_pdf):
    page = desk.page
    desk.go("papers/")
    page.get_by_label("Skill").select_option("S3.2")
    press(page, "Show these problems")
    for problem in PROBLEMS:
        page.locator(f'input[value="{problem}"]').check()
    page.get_by_label("Number of versions").fill("2")
    page.get_by_label("Title").fill("Evening paper")
    press(page, "Make the papers")
    printed = read_pdf(page)
    code = re.search(r"\b[2-9A-Z]{3}-[2-9A-Z]{3}-[2-9A-Z]{3}\b", printed[0])[0]
    assert all("Evening paper" in each and code in each for each in printed)
    assert all(title in "".join(printed) for title in PROBLEMS.values())
    desk.go("papers/marks")
    page.get_by_label("Version code").fill(code.replace("-", "").lower())
    press(page, "Find this version")
    assert all(title in words(page) for title in PROBLEMS.values())


def test_an_own_problem_is_made_looked_at_kept_and_worked(desk):
    page = desk.page
    desk.go("own-problems/")
    press(page, "Make a problem", exact=False)
    page.get_by_label("Skill").select_option("S3.2")
    press(page, "Show these worksheets")
    press(page, "Booster pump", exact=False)
    texts = {"title": "Wort cooler: pressure before the plates", "place": "brewery", "id": "wort-cooler", "bank": "own"}
    for name, text in texts.items():
        page.locator(f"#field-{name}").fill(text)
    page.locator("#field-text").fill("A calibrator reads {signal}, ranged {lower:bare} to {upper}. Which pressure?")
    press(page, "Look at twenty variants")
    assert "Good to use" in part(page, "Draws").inner_text()
    assert page.locator(".variants-table tbody tr").count() == 20
    press(page, "Keep")
    page.goto(f"{desk.address}skills/S3.2")
    with page.expect_navigation(url="**/sheets/*"):
        page.locator('form[action="/problems/wort-cooler/start"]:has(input[value="guided"]) button').click()
    assert page.locator("h1").inner_text() == texts["title"]
    assert "A calibrator reads" in part(page, "Problem").inner_text()
    fill(page, {"fraction": loop_entries(page)["fraction"]})
    press(page, "Check", exact=False)
    assert "Right" in page.locator("#verdict-fraction").inner_text()
