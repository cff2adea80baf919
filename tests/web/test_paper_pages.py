"""Pages of papers: choosing, a version, its key, the files; wrong wishes are told."""

import re

import pytest
from web_visitors import Visitor, dump, services_of

from trainer.practice.papers import draw_version, key_of, paper_of

NAMES = ("brine-chiller-current", "retort-cooling-trace", "canal-gate-excursions", "swimming-bath-first-power")
WISH = "&".join([*(f"problem={name}" for name in NAMES), "seed=17", "versions=3"])
ONE = "problem=brine-chiller-current"


@pytest.fixture
def visitor(app):
    """Papers and their keys are for instructors."""
    visitor = Visitor(app)
    visitor.become_instructor()
    return visitor


@pytest.mark.parametrize("address", ["/papers/", f"/papers/key?{WISH}", f"/papers/keys.pdf?{WISH}"])
def test_keys_are_for_instructors(app, address):
    assert Visitor(app).get(address).status_code == 303


@pytest.fixture
def version(library):
    return draw_version([library.problems[name] for name in NAMES], 17, 2)


def text_of(page):
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())


def test_problems_are_listed_by_strand_skill_and_level(visitor, library):
    shown = set(re.findall(r'name="problem" value="([^"]+)', visitor.page("/papers/?strand=S3&level=A")))
    assert shown == {
        problem.id for problem in library.problems.values() if problem.skill.startswith("S3.") and problem.level == "A"
    }
    assert 'value="brine-chiller-current"' in visitor.page("/papers/?skill=S3.2")


def test_what_is_chosen_stays_chosen_while_other_skills_are_looked_at(visitor):
    page = visitor.page(f"/papers/?skill=S4.3&{ONE}")
    assert re.search(r'value="brine-chiller-current" checked', page)
    assert "Chosen so far" in page


def test_a_version_is_shown_with_its_code_and_without_answers(visitor, version):
    page = visitor.page(f"/papers/paper?{WISH}&version=2")
    paper = paper_of(version)
    assert paper.code in page
    for item in paper.items:
        assert " ".join(item.text.split()) in text_of(page).replace("&#39;", "'")
    assert page.count('class="square"') >= 8
    for item in key_of(version).items:
        for step in item.steps:
            for slip in step.slips:
                assert slip.message[:40] not in page
    assert "<math" in page


def test_a_key_has_values_and_formulas(visitor, version):
    page = text_of(visitor.page(f"/papers/key?{WISH}&version=2"))
    for item in key_of(version).items:
        for step in item.steps:
            assert " ".join(step.value.split()) in page
    assert "A training record, not a license." in page


def test_figures_of_a_paper_are_images_with_words(visitor):
    page = visitor.page(f"/papers/paper?{WISH}")
    images = re.findall(r'<img src="(/papers/figure/[^"]+)" alt="([^"]+)"', page)
    assert len(images) == 2
    for address, words in images:
        answer = visitor.get(address)
        assert (answer.status_code, answer.mimetype) == (200, "image/svg+xml")
        assert len(words) > 20


@pytest.mark.parametrize("name", ["papers", "keys"])
def test_all_versions_come_as_one_file(visitor, name):
    answer = visitor.get(f"/papers/{name}.pdf?{WISH}")
    assert (answer.status_code, answer.mimetype) == (200, "application/pdf")
    assert answer.headers["Content-Disposition"] == f"attachment; filename={name}-17.pdf"
    assert answer.data.startswith(b"%PDF")
    assert answer.data == visitor.get(f"/papers/{name}.pdf?{WISH}").data


@pytest.mark.parametrize("page", ["paper", "key", "papers.pdf", "keys.pdf"])
def test_without_a_wish_one_is_asked_for(visitor, page):
    answer = visitor.get(f"/papers/{page}")
    assert (answer.status_code, answer.location) == (302, "/papers/")


@pytest.mark.parametrize("page", ["paper", "key", "papers.pdf", "keys.pdf"])
@pytest.mark.parametrize(
    ("wish", "said"),
    [
        ("versions=3", "Choose at least one problem"),
        ("problem=brine-chiler-current", "did you mean brine-chiller-current"),
        (f"{ONE}&versions=0", "1 to 100, not 0"),
        (f"{ONE}&versions=1000", "1 to 100, not 1000"),
        (f"{ONE}&seed=-1", "The seed of the set is 0 to"),
        (f"{ONE}&seed=seven", "is a whole number"),
        (f"{ONE}&seed={'9' * 5000}", "is a whole number"),
        (f"{ONE}&page=A9", "A4 or letter"),
        (f"{ONE}&title={'x' * 200}", "at most 80 characters"),
    ],
)
def test_wrong_wishes_are_told(visitor, page, wish, said):
    answer = visitor.get(f"/papers/{page}?{wish}")
    assert answer.status_code == 400
    assert said in answer.get_data(as_text=True)


def test_a_version_that_is_not_printed_is_told(visitor):
    assert visitor.get(f"/papers/paper?{ONE}&versions=3&version=4").status_code == 400


def test_a_file_that_would_keep_others_waiting_is_refused(visitor):
    wish = "&".join([ONE] * 7)
    answer = visitor.get(f"/papers/papers.pdf?{wish}&versions=100")
    assert answer.status_code == 400
    assert "700 problems are too many" in answer.get_data(as_text=True)


def test_there_is_no_figure_of_what_has_none(visitor):
    assert visitor.get("/papers/figure/nothing/1.svg").status_code == 404
    assert visitor.get("/papers/figure/swimming-bath-first-power/1.svg").status_code == 404
    assert visitor.get(f"/papers/figure/brine-chiller-current/{2**60}.svg").status_code == 404


def test_a_title_is_shown_as_text(visitor):
    page = visitor.page(f"/papers/paper?{ONE}&title=%3Cb%3EWeek%3C/b%3E%7B%7B7*7%7D%7D")
    assert "&lt;b&gt;Week&lt;/b&gt;{{7*7}}" in page


def test_looking_at_papers_writes_nothing(app, visitor):
    visitor.page("/")
    before = dump(app)
    for page in ("", "paper", "key", "papers.pdf"):
        assert visitor.get(f"/papers/{page}?{WISH}").status_code == 200
    assert dump(app) == before
    assert services_of(app).library.problems
