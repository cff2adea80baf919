"""Figures as images of their own, one address for each theme, drawn once and kept."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from functools import lru_cache
from uuid import UUID

from flask import Blueprint, Response, abort, request

from trainer import language
from trainer.figures import THEMES, Form, Plain, Shown, Theme, draw, shown
from trainer.practice.public import problem_of
from trainer.practice.set_sheets import solution_open
from trainer.storage.attempts import get_attempt
from trainer.web.policy import open_to
from trainer.web.practice import example_of
from trainer.web.services import reading, services
from trainer.web.sheets import figure_values
from trainer.web.visits import decimal_sign, learner_required
from trainer.worksheets.snapshot import Snapshot

pages = Blueprint("figures", __name__)
KEPT = 256

Frozen = tuple[tuple[str, Plain], ...]


@pages.get("/sheets/<uuid:attempt_id>/figure/<any(open, solved):form>-<any(light, dark, print):theme>.svg")
@open_to("visitors")
def of_attempt(attempt_id: UUID, form: Form, theme: Theme) -> Response:
    """The figure of an attempt; the solved one once the solution may be seen."""
    attempt = get_attempt(reading(), attempt_id, learner_id=learner_required().id)
    if form == "solved" and not solution_open(reading(), attempt):
        abort(404)
    return image_of(Snapshot.from_json(attempt.snapshot), form, theme)


@pages.get("/problems/<problem_id>/example/<int:number>/<any(light, dark, print):theme>.svg")
@open_to("visitors")
def of_example(problem_id: str, number: int, theme: Theme) -> Response:
    """The figure of a worked example."""
    return image_of(example_of(problem_of(services().library.problems, problem_id), number), "solved", theme)


@pages.get("/lessons/<skill>/figure/<int:number>-<any(light, dark, print):theme>.svg")
@open_to("visitors")
def of_lesson(skill: str, number: int, theme: Theme) -> Response:
    """A figure of a lesson, counted from 1."""
    lesson = services().library.lessons.get(skill)
    if lesson is None or not 1 <= number <= len(lesson.figures):
        abort(404)
    figure = lesson.figures[number - 1]
    return _svg(figure.name, {name: shown(raw) for name, raw in figure.values.items()}, "solved", theme)


def image_of(kept: Snapshot, form: Form, theme: Theme) -> Response:
    """The figure of a snapshot as an answer; whether the solved one may be seen is for the page to say."""
    if kept.figure is None:
        abort(404)
    return _svg(kept.figure.name, figure_values(kept, form), form, theme)


def _svg(name: str, values: Mapping[str, Shown], form: Form, theme: Theme) -> Response:
    if theme not in THEMES:
        abort(404)
    frozen = tuple((key, Plain(each.value, each.unit, each.decimals, each.title)) for key, each in values.items())
    image = _drawn(name, frozen, form, theme, decimal_sign(), language.current())
    response = Response(image, mimetype="image/svg+xml")
    response.set_etag(hashlib.sha256(image).hexdigest()[:32])
    response.make_conditional(request)
    return response


@lru_cache(KEPT)
def _drawn(name: str, values: Frozen, form: Form, theme: Theme, decimal: str, _language: str) -> bytes:
    return draw(name, dict(values), form, theme, decimal)
