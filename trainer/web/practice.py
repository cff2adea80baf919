"""A problem on its sheet: start, check a step, see the worked solution, see another one worked."""

from __future__ import annotations

import secrets
from uuid import UUID

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response

from trainer.errors import NotFound, TrainerError
from trainer.grading.entries import SEPARATOR
from trainer.language import gettext
from trainer.practice import attempts
from trainer.practice.public import problem_of
from trainer.practice.sheet import MODES
from trainer.storage.attempts import get_attempt
from trainer.storage.entries import entries_of
from trainer.storage.models import Attempt
from trainer.web.policy import open_to
from trainer.web.services import reading, services, writing
from trainer.web.sheets import Address, figure_of, listed_givens, listed_options, row_view, solution_rows
from trainer.web.visits import decimal_sign, learner_or_guest, learner_required
from trainer.worksheets.problem import Problem
from trainer.worksheets.snapshot import KeptStep, Snapshot, snapshot

pages = Blueprint("practice", __name__)
EXAMPLES = 1000
UNPRINTABLE = {
    code: "\ufffd" for code in range(32) if chr(code) not in "\t\n\r"
}  # neither page nor database holds them


@pages.post("/problems/<problem_id>/start")
@open_to("visitors")
def start(problem_id: str) -> Response:
    """Start a sheet with new numbers."""
    problem = problem_of(services().library.problems, problem_id)
    mode = request.form.get("mode", MODES[0])
    if mode not in MODES:
        raise TrainerError(gettext("A sheet is guided, faded or unguided."))
    with writing() as session:
        attempt = attempts.start(session, learner_or_guest(session).id, problem, mode, services().clock())
    return redirect(url_for("practice.sheet", attempt_id=attempt.id), 303)


@pages.get("/sheets/<uuid:attempt_id>")
@open_to("visitors")
def sheet(attempt_id: UUID) -> str:
    """The sheet as it stands."""
    attempt = _own(attempt_id)
    work = attempts.sheet_of(attempt, entries_of(reading(), attempt_id))
    checked = request.args.get("checked", "")
    rows = [row_view(work, row, checked, _token()) for row in work.rows]
    return render_template(
        "sheet.html",
        attempt=attempt,
        sheet=work,
        text=work.snapshot.text(decimal_sign()),
        givens=listed_givens(work.snapshot),
        rows=rows,
        figure=figure_of(work.snapshot, "open", _figure_address(attempt)),
        problem=services().library.problems.get(attempt.source),
    )


@pages.post("/sheets/<uuid:attempt_id>/entries")
@open_to("visitors")
def enter(attempt_id: UUID) -> Response:
    """Check one step; the sheet shows the verdict."""
    known, step, token = learner_required(), request.form.get("step", ""), request.form.get("form_token", "")
    if not token or len(token) > 64:
        abort(400)
    attempt = _own(attempt_id)
    kept = _step(Snapshot.from_json(attempt.snapshot), step)
    typed = _typed(kept, request.form)
    with writing() as session:
        attempts.enter(
            session, attempt_id, known, step, typed, token, services().clock(), services().library.worksheets
        )
    return redirect(url_for("practice.sheet", attempt_id=attempt_id, checked=step, _anchor=f"step-{step}"), 303)


@pages.post("/sheets/<uuid:attempt_id>/steps")
@open_to("visitors")
def open_steps(attempt_id: UUID) -> Response:
    """Show the steps of a sheet that asks for the answer alone."""
    known = learner_required()
    with writing() as session:
        attempts.open_steps(session, attempt_id, known.id)
    return redirect(url_for("practice.sheet", attempt_id=attempt_id), 303)


@pages.post("/sheets/<uuid:attempt_id>/solution")
@open_to("visitors")
def open_solution(attempt_id: UUID) -> Response:
    """Close the sheet and show it worked."""
    known = learner_required()
    with writing() as session:
        attempts.open_solution(session, attempt_id, known.id, services().clock())
    return redirect(url_for("practice.solution", attempt_id=attempt_id), 303)


@pages.get("/sheets/<uuid:attempt_id>/solution")
@open_to("visitors")
def solution(attempt_id: UUID) -> str | Response:
    """The sheet filled in, with the learner's entries beside it."""
    attempt = _own(attempt_id)
    if attempt.solution_opened is None:
        return redirect(url_for("practice.sheet", attempt_id=attempt_id), 303)
    kept = Snapshot.from_json(attempt.snapshot)
    newest = {entry.step: entry for entry in entries_of(reading(), attempt_id)}
    return render_template(
        "solution.html",
        attempt=attempt,
        kept=kept,
        text=kept.text(decimal_sign()),
        givens=listed_givens(kept),
        rows=solution_rows(kept, newest),
        figure=figure_of(kept, "solved", _figure_address(attempt)),
        problem=services().library.problems.get(attempt.source),
    )


@pages.get("/problems/<problem_id>/example/<int:number>")
@open_to("visitors")
def example(problem_id: str, number: int) -> str:
    """The problem worked in full with other numbers."""
    problem = problem_of(services().library.problems, problem_id)
    kept = example_of(problem, number)
    return render_template(
        "example.html",
        kept=kept,
        number=number,
        text=kept.text(decimal_sign()),
        givens=listed_givens(kept),
        rows=solution_rows(kept, {}),
        figure=figure_of(kept, "solved", lambda form, theme: _example_figure(problem, number, theme)),
        problem=problem,
    )


def example_of(problem: Problem, number: int) -> Snapshot:
    """A worked example by its number; its seed is never a learner's."""
    if not 1 <= number <= EXAMPLES:
        raise NotFound(gettext("There are examples 1 to {n}.").format(n=EXAMPLES))
    return snapshot(problem.variant(attempts.SEEDS + number))


def _own(attempt_id: UUID) -> Attempt:
    return get_attempt(reading(), attempt_id, learner_id=learner_required().id)


def _step(kept: Snapshot, name: str) -> KeptStep:
    for step in kept.steps:
        if step.name == name:
            return step
    raise NotFound(gettext("This sheet has no such step."))


def _typed(step: KeptStep, form: MultiDict[str, str]) -> str:
    """The boxes of a step as one text."""
    return _joined(step, form).translate(UNPRINTABLE)


def _joined(step: KeptStep, form: MultiDict[str, str]) -> str:
    if step.kind in ("number", "choice"):
        return form.get("entry", "")
    if step.kind == "several":
        return SEPARATOR.join(form.getlist("entry"))
    cells = [form.get(f"entry-{index}", "") for index in range(max(len(step.value), len(step.options)))]
    if step.kind == "order":
        placed = {
            place: option for option, place in zip(listed_options(step), cells, strict=False) if place.isdecimal()
        }
        return SEPARATOR.join(placed[place] for place in sorted(placed, key=int))
    return SEPARATOR.join(cells[: len(step.value)])


def _figure_address(attempt: Attempt) -> Address:
    return lambda form, theme: url_for("figures.of_attempt", attempt_id=attempt.id, form=form, theme=theme)


def _example_figure(problem: Problem, number: int, theme: str) -> str:
    return url_for("figures.of_example", problem_id=problem.id, number=number, theme=theme)


def _token() -> str:
    return secrets.token_urlsafe(18)
