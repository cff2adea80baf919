"""Papers as PDF, read by another program: what is on every page, what is not split, the same bytes each time."""

import hashlib
import os
import re
import subprocess
import sys
import tempfile
from contextlib import closing

import pytest

from trainer.exchange import paper_blocks
from trainer.exchange.blocks import Block, Column, paged, space
from trainer.exchange.formula_boxes import Letters, Strokes, Typesetter
from trainer.exchange.paper_pdf import paper_pdf
from trainer.exchange.pdf_pen import Pen
from trainer.practice.papers import draw_version, draw_versions, key_of, paper_of
from trainer.worksheets import solution
from trainer.worksheets.snapshot import snapshot

KINDS = (
    "brine-chiller-current",
    "retort-cooling-trace",
    "swimming-bath-first-power",
    "canal-gate-excursions",
    "heat-meter-replacement",
    "milk-silo-ohms",
)


@pytest.fixture(scope="module")
def problems(library):
    return [library.problems[name] for name in KINDS]


@pytest.fixture(scope="module")
def versions(problems):
    return list(draw_versions(problems, 2, 17))


def dense(text):
    """Without the spaces, which a reader of a PDF has to guess."""
    return "".join(text.split())


# Pages


def test_every_page_has_title_code_and_number(versions, pages_of):
    for version in versions:
        pages = pages_of(paper_pdf([paper_of(version, "Week 3")]))
        assert len(pages) > 2
        for number, page in enumerate(pages, 1):
            head = dense(page[:600])
            assert "Week3" in head
            assert version.code in head
            assert f"{number}of{len(pages)}" in head
            assert "licensed practice come first" in page
        assert "Name" in pages[0]
        assert "Date" in pages[0]


def test_pages_are_counted_for_each_version(versions, pages_of):
    pages = pages_of(paper_pdf(map(paper_of, versions), map(key_of, versions)))
    counted = [tuple(map(int, re.search(r"(\d+) of (\d+)", page).groups())) for page in pages]
    firsts = [place for place, (number, _) in enumerate(counted) if number == 1]
    assert len(firsts) == 4  # two papers, two keys
    for number, of in counted:
        assert 1 <= number <= of
    assert sum(of for number, of in counted if number == 1) == len(pages)


def test_a_key_says_what_it_is(versions, pages_of):
    pages = pages_of(paper_pdf([], [key_of(versions[0])]))
    assert all("A training record, not a license." in page for page in pages)
    assert all(versions[0].code in page for page in pages)


def test_a_key_has_every_value_and_every_slip(versions, pages_of):
    key = key_of(versions[0])
    text = dense(" ".join(pages_of(paper_pdf([], [key]))))
    for item in key.items:
        for step in item.steps:
            assert dense(step.value) in text
            for slip in step.slips:
                assert dense(slip.value) in text


def test_a_paper_has_every_given_and_no_answer_box_is_missing(versions, pages_of):
    paper = paper_of(versions[0])
    text = dense(" ".join(pages_of(paper_pdf([paper]))))
    for item in paper.items:
        for step in item.steps:
            assert dense(step.tolerance) in text
        for given in item.givens:
            assert dense(given.value) in text or given.value.count(" ") > 3  # long ones are wrapped


def test_the_signs_of_the_trade_are_letters(versions, pages_of):
    text = "".join(pages_of(paper_pdf([paper_of(versions[0])], [key_of(versions[0])])))
    for sign in "Ω°−√Δ✗⚠→":
        if sign != "√":  # a root is drawn
            assert sign in text, sign
    assert "\N{REPLACEMENT CHARACTER}" not in text


def test_figures_are_lines_and_letters(versions, pages_of):
    content = paper_pdf([paper_of(versions[0])])
    text = "".join(pages_of(content))
    assert "Process range, °C" in text  # a label of a figure
    assert b"/Subtype /Image" not in content
    assert text.count("set point") >= 1


def test_states_have_squares_under_every_time(versions):
    """A square for each state at each time, and the box of the step before it."""
    item = paper_of(versions[0]).items[1]
    states = next(step for step in item.steps if step.kind == "states")

    class Counting(Pen):
        squares = 0

        def box(self, x, y, width, height, wide=0.8, shade=0):
            self.squares += width == height
            super().box(x, y, width, height, wide, shade)

    with closing(Counting()) as pen:
        pen.new_page()
        for block in paper_blocks.item_blocks(Column(pen, Typesetter(pen), 40, 510), item, "."):
            block.paint(100)
    assert pen.squares == len(states.options) * len(states.labels)


@pytest.mark.parametrize(("size", "points"), [("A4", b"595.28 841.89"), ("letter", b"612.00 792.00")])
def test_sheets_are_of_the_size_asked(versions, size, points):
    assert b"/MediaBox [0 0 " + points + b"]" in paper_pdf([paper_of(versions[0])], size=size)


# The file


def test_the_same_paper_is_the_same_file_in_another_process(versions):
    here = hashlib.sha256(paper_pdf(map(paper_of, versions), map(key_of, versions))).hexdigest()
    code = (
        "import hashlib;from trainer.content.library import read_library;"
        "from trainer.exchange.paper_pdf import paper_pdf;from trainer.practice.papers import *;"
        f"problems=[read_library().problems[name] for name in {KINDS!r}];"
        "drawn=list(draw_versions(problems,2,17));"
        "print(hashlib.sha256(paper_pdf(map(paper_of,drawn),map(key_of,drawn))).hexdigest())"
    )
    environment = os.environ | {"PYTHONHASHSEED": "4711"}
    there = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, env=environment, check=True)
    assert there.stdout.strip() == here


def test_other_numbers_are_another_file(versions):
    assert paper_pdf([paper_of(versions[0])]) != paper_pdf([paper_of(versions[1])])


def test_the_file_has_its_title_and_leaves_nothing_behind(versions, tmp_path, monkeypatch):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    content = paper_pdf([paper_of(versions[0], "Week 3")])
    assert content.startswith(b"%PDF-")
    assert b"/Title (Week 3)" in content
    assert list(tmp_path.iterdir()) == []


# Blocks


def heights(pages):
    return [[block.height for block in page] for page in pages]


def test_a_block_that_does_not_fit_goes_to_the_next_page():
    assert heights(paged([space(60), space(50), space(30)], 100, 100)) == [[60], [50, 30]]


def test_a_kept_block_is_not_alone_at_the_foot():
    blocks = [space(70), space(10, kept=True), space(10, kept=True), space(40), space(5)]
    assert heights(paged(blocks, 100, 100)) == [[70], [10, 10, 40, 5]]


def test_blocks_kept_together_beyond_a_page_are_parted():
    blocks = [space(60, kept=True), space(60, kept=True), space(60)]
    assert heights(paged(blocks, 100, 100)) == [[60], [60], [60]]


def test_the_first_page_has_less_room():
    assert heights(paged([space(50), space(40), space(40)], 60, 100)) == [[50], [40, 40]]


def test_every_problem_fits_its_pages(library):
    """No block is higher than a page, and none goes on below the foot."""
    with closing(Pen("letter")) as pen:
        column, room = Column(pen, Typesetter(pen), 42.5, pen.width - 85), pen.height - 85 - 70
        for problem in library.problems.values():
            version = draw_version([problem], 3, 1)
            blocks: list[Block] = []
            blocks += paper_blocks.item_blocks(column, paper_of(version).items[0], ".")
            blocks += paper_blocks.key_blocks(column, key_of(version).items[0])
            for page in paged(blocks, room - 34, room):
                assert sum(block.height for block in page) <= room, problem.id


# Formulas


@pytest.fixture(scope="module")
def setter():
    with closing(Pen()) as pen:
        yield Typesetter(pen)


def letters(box):
    return [mark for mark in box.marks if isinstance(mark, Letters)]


def test_a_fraction_has_a_line_between_its_parts(setter):
    box = setter.formula(r"\frac{a}{b}", 10)
    over, under = letters(box)
    (line,) = [mark for mark in box.marks if isinstance(mark, Strokes)]
    assert (over.text, under.text) == ("a", "b")
    assert over.y < line.points[0][1] < under.y


def test_scripts_are_smaller_and_lower_or_higher(setter):
    base, low, high = letters(setter.formula(r"x_{0}^{2}", 10))
    assert low.size == high.size < base.size
    assert high.y < base.y < low.y


def test_units_stand_upright_and_variables_slanted(setter):
    faces = {mark.text: mark.face for mark in letters(setter.formula(r"R = 5\,\mathrm{kPa} \max(t)", 10))}
    assert (faces["R"], faces["t"], faces["kPa"], faces["max"]) == ("slanted", "slanted", "plain", "plain")


def test_parentheses_grow_with_what_they_hold(setter):
    box = setter.formula(r"\left(\frac{a}{b} - 4\right)", 10)
    fences = [mark for mark in box.marks if isinstance(mark, Strokes) and len(mark.points) > 2]
    assert len(fences) == 2
    assert max(y for _, y in fences[0].points) - min(y for _, y in fences[0].points) > 14


def test_every_formula_of_every_problem_is_set_within_the_page(library, setter):
    seen = 0
    for problem in library.problems.values():
        kept = snapshot(problem.variant(2))
        for step in kept.steps:
            for latex in (solution.in_symbols(kept, step), solution.with_numbers(kept, step, ",")):
                if latex:
                    box = setter.formula(latex, 10, 470)
                    seen += 1
                    assert 0 < box.width <= 470
                    assert all(mark.text for mark in letters(box))
    assert seen > 1000


def test_text_is_wrapped_within_its_width():
    with closing(Pen()) as pen:
        lines = pen.wrapped("The signal stands at 11.2 mA " + "x" * 200, "plain", 10, 120)
        assert len(lines) > 5
        assert all(pen.measure(line, "plain", 10) <= 120 for line in lines)
    assert "".join(lines).replace(" ", "") == "Thesignalstandsat11.2mA" + "x" * 200
