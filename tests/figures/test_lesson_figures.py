"""Figures as the lessons place them: they fit their sheet, and every lesson has one."""

import pytest
from figure_cases import texts
from test_svg import labels_of, lies_on_another

from trainer.content.library import read_library
from trainer.figures import draw, shown, words

LESSONS = read_library().lessons
PLACED = [(skill, number) for skill, lesson in LESSONS.items() for number in range(len(lesson.figures))]


def placed(skill, number):
    figure = LESSONS[skill].figures[number]
    return figure.name, {name: shown(raw) for name, raw in figure.values.items()}


@pytest.mark.parametrize("skill", LESSONS)
def test_every_lesson_has_a_figure_with_a_caption(skill):
    assert LESSONS[skill].figures
    assert all(figure.caption.strip() for figure in LESSONS[skill].figures)


@pytest.mark.parametrize(("skill", "number"), PLACED)
def test_a_figure_of_a_lesson_fits_its_sheet(skill, number):
    boxes, (width, height) = labels_of(*placed(skill, number), "solved")
    assert len(boxes) > 2
    for label, box in boxes:
        assert box.x0 >= 0, label
        assert box.x1 <= width, label
        assert box.y0 >= 0, label
        assert box.y1 <= height, label
    assert not lies_on_another(boxes)


@pytest.mark.parametrize(("skill", "number"), PLACED)
def test_a_figure_of_a_lesson_is_whole(skill, number):
    """No label is cut short, and its words say no less than its caption needs."""
    name, values = placed(skill, number)
    assert not any("…" in text for text in texts(draw(name, values, "solved", "print")))
    assert len(words(name, values, "solved")) > 40
