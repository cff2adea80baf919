"""Lessons: all of them by strand, and one as a page."""

from __future__ import annotations

import re
from collections.abc import Mapping
from itertools import count, groupby
from typing import Any

from flask import Blueprint, render_template, url_for
from markupsafe import Markup

from trainer.errors import NotFound
from trainer.figures import shown, words
from trainer.language import gettext
from trainer.practice.public import problem_of
from trainer.web.policy import open_to
from trainer.web.services import services
from trainer.web.sheets import PlacedFigure, solution_rows
from trainer.web.show import given_row
from trainer.web.visits import decimal_sign
from trainer.worksheets.snapshot import snapshot

pages = Blueprint("lessons", __name__, url_prefix="/lessons")
TABLE = re.compile(r"<table>.*?</table>", re.DOTALL)  # those of the text; those of an example have a class


@pages.get("/")
@open_to("visitors")
def index() -> str:
    """All lessons."""
    library = services().library
    strands = [
        (strand, library.strands[strand], list(group))
        for strand, group in groupby(library.lessons.values(), lambda lesson: lesson.strand)
    ]
    return render_template("lessons.html", strands=strands)


@pages.get("/<skill>")
@open_to("visitors")
def show(skill: str) -> str:
    """One lesson."""
    lesson = services().library.lessons.get(skill)
    if lesson is None:
        raise NotFound(gettext("There is no lesson {skill}.").format(skill=skill[:20]))
    numbers = count(1)

    def place_figure(name: str, values: Mapping[str, Any], caption: str) -> str:
        return _figure(skill, next(numbers), name, values, caption)

    body = lesson.html(example=_example, figure=place_figure, address=lambda name: url_for("lessons.show", skill=name))
    body = TABLE.sub(r'<div class="scroll">\g<0></div>', body)
    problems = services().library.by_skill.get(skill, [])
    return render_template("lesson.html", lesson=lesson, body=Markup(body), problems=problems)  # noqa: S704 - made by us


def _example(problem_id: str, seed: int) -> str:
    """A worked example drawn from a problem, so that it cannot disagree with it."""
    kept = snapshot(problem_of(services().library.problems, problem_id).variant(seed))
    return render_template(
        "worked.html",
        text=kept.text(decimal_sign()),
        givens=[given_row(given) for given in kept.shown_givens],  # rows too: an example stands without its figure
        rows=solution_rows(kept, {}),
    )


def _figure(skill: str, number: int, name: str, values: Mapping[str, Any], caption: str) -> str:
    said = words(name, {key: shown(raw) for key, raw in values.items()}, "solved", decimal_sign())
    address = {
        theme: url_for("figures.of_lesson", skill=skill, number=number, theme=theme)
        for theme in ("light", "dark", "print")
    }
    return render_template("placed.html", figure=PlacedFigure(**address, alt=said), caption=caption or said)
