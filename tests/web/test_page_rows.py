"""A calibration sheet filled in halfway: what is missing is told, and what was typed stays in its boxes."""

import re
from datetime import timedelta

import pytest
from web_visitors import entries, snapshot_of

from trainer.practice.sheet import MODES

RECORD = "seed-dryer-record"


def right_cells(app, sheet, name="ideal"):
    step = snapshot_of(app, sheet).step(name)
    return [f"{each:.{step.decimals}f}" for each in step.value]


def enter(visitor, sheet, cells, token, step="ideal"):
    form = {f"entry-{index}": text for index, text in enumerate(cells)}
    return visitor.post(f"{sheet}/entries", step=step, form_token=token, **form)


def boxes(page):
    """What stands in the boxes of the row, in order."""
    return re.findall(r'name="entry-\d" value="([^"]*)"', page)


@pytest.mark.parametrize(
    ("missing", "sentence"),
    [
        ((1,), "Number 2: Nothing is typed here yet."),
        ((0, 1), "Number 1: Nothing is typed here yet."),
        ((2, 3, 4), "5 entries are wanted, 2 were found."),
        ((4,), "5 entries are wanted, 4 were found."),
        ((0, 1, 2, 3, 4), "Number 1: Nothing is typed here yet."),
    ],
)
def test_empty_cells_are_told_and_the_others_kept(app, visitor, missing, sentence):
    sheet = visitor.start(RECORD)
    cells = [" " if index in missing else text for index, text in enumerate(right_cells(app, sheet))]
    assert enter(visitor, sheet, cells, "one").status_code == 303
    page = visitor.page(sheet)
    assert "Not marked:" in page
    assert sentence in page
    assert [text.strip() for text in boxes(page)] == [text.strip() for text in cells]
    (kept,) = entries(app, sheet)
    assert (kept.verdict, kept.mark) == ("unread", None)


def test_a_row_completed_later_counts_as_if_it_had_been_whole_at_once(app, visitor):
    sheet = visitor.start(RECORD)
    cells = right_cells(app, sheet)
    enter(visitor, sheet, [*cells[:3], "", ""], "one")
    assert boxes(visitor.page(sheet)) == [*cells[:3], "", ""]
    enter(visitor, sheet, cells, "two")
    assert [(entry.verdict, entry.mark) for entry in entries(app, sheet)] == [("unread", None), ("right", 1.0)]
    assert "Marked right:" in visitor.page(sheet)


def test_a_cell_that_is_no_number_is_named_and_the_others_kept(app, visitor):
    sheet = visitor.start(RECORD)
    cells = right_cells(app, sheet)
    cells[3] = "about 16"
    enter(visitor, sheet, cells, "one")
    page = visitor.page(sheet)
    assert "Number 4: about 16 is not a number." in page
    assert boxes(page) == cells


@pytest.mark.parametrize("mode", MODES)
def test_it_is_still_there_on_another_day(app, visitor, clock, mode):
    sheet = visitor.start(RECORD, mode)
    step = snapshot_of(app, sheet).steps[-1 if mode == "unguided" else 0]
    if step.kind != "row":
        assert visitor.post(f"{sheet}/steps").status_code == 303
        step = snapshot_of(app, sheet).steps[0]
    cells = ["1.5", "", "2.5", "", "3.5"]
    enter(visitor, sheet, cells, "one", step.name)
    clock.advance(timedelta(days=1))
    assert boxes(visitor.page(sheet))[:5] == cells


def test_an_example_in_a_lesson_tells_its_rows_without_its_figure(visitor, library):
    """The readings stand among the givens, in the figure of the problem otherwise."""
    example = next(each for each in library.lessons["S4.1"].examples if each.problem == "peat-dryer-eight-readings")
    readings = library.problems[example.problem].variant(example.seed).givens["readings"]
    assert "; ".join(f"{reading:.1f}" for reading in readings) in visitor.page("/lessons/S4.1")
