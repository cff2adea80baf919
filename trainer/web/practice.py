"""A problem on its sheet: start, check a step, see the worked solution, see another one worked."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from uuid import UUID

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response

from trainer.errors import NotFound, TrainerError
from trainer.grading.entries import SEPARATOR
from trainer.language import gettext
from trainer.practice import attempts
from trainer.practice.public import problem_of
from trainer.practice.reviews import said_of
from trainer.practice.set_sheets import place_of
from trainer.practice.sheet import MODES
from trainer.storage.attempts import get_attempt
from trainer.storage.entries import entries_of
from trainer.storage.models import Attempt
from trainer.web.policy import open_to
from trainer.web.result_rows import percent
from trainer.web.runs import place_in_run
from trainer.web.services import reading, services, writing
from trainer.web.sheets import Address, figure_of, listed_givens, listed_options, row_view, solution_rows
from trainer.web.visits import decimal_sign, learner_or_guest, learner_required
from trainer.worksheets.problem import Problem
from trainer.worksheets.snapshot import KeptStep, Snapshot, snapshot

pages = Blueprint("practice", __name__)
EXAMPLES = 1000
PLACES = {str(place) for place in range(1, 100)}  # as a page sends them
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
def sheet(attempt_id: UUID) -> str | Response:
    """The sheet as it stands; one of a problem set stands in its try."""
    attempt = _own(attempt_id)
    if place := place_of(reading(), attempt):
        return redirect(url_for("tries.sheet", try_id=place[0], number=place[1]), 303)
    work = attempts.sheet_of(attempt, entries_of(reading(), attempt_id))
    checked = request.args.get("checked", "")
    rows = [row_view(work, row, checked, new_token()) for row in work.rows]
    return render_template(
        "sheet.html",
        attempt=attempt,
        sheet=work,
        text=work.snapshot.text(decimal_sign()),
        givens=listed_givens(work.snapshot),
        rows=rows,
        enter_address=url_for("practice.enter", attempt_id=attempt_id),
        figure=figure_of(work.snapshot, "open", figure_address(attempt)),
        problem=services().library.problems.get(attempt.source),
        mixed=place_in_run(attempt_id),
        said_here=said_of(reading(), attempt_id),
        percent=percent,
    )


@pages.post("/sheets/<uuid:attempt_id>/entries")
@open_to("visitors")
def enter(attempt_id: UUID) -> Response:
    """Check one step; the sheet shows the verdict."""
    known, step, token = learner_required(), request.form.get("step", ""), request.form.get("form_token", "")
    if not token or len(token) > 64:
        abort(400)
    attempt = _own(attempt_id)
    kept = step_of(Snapshot.from_json(attempt.snapshot), step)
    typed = typed_text(kept, request.form)
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
    if attempt.solution_opened is None or attempt.set_try_id is not None:
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
        figure=figure_of(kept, "solved", figure_address(attempt)),
        problem=services().library.problems.get(attempt.source),
        mixed=place_in_run(attempt_id),
        said_here=said_of(reading(), attempt_id),
        percent=percent,
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


def step_of(kept: Snapshot, name: str) -> KeptStep:
    """The step that a form names.

    Raises
    ------
    NotFound
        If the sheet has none of that name.
    """
    for step in kept.steps:
        if step.name == name:
            return step
    raise NotFound(gettext("This sheet has no such step."))


def typed_text(step: KeptStep, form: MultiDict[str, str], box: str = "entry") -> str:
    """The boxes of a step as one text; ``box`` is their name in the form."""
    return _joined(step, form, box).translate(UNPRINTABLE)


def cells_of(step: KeptStep, form: MultiDict[str, str], box: str) -> list[str]:
    """What stands in the cells of a step that has several, in their order on the page."""
    return [form.get(f"{box}-{index}", "") for index in range(max(len(step.value), len(step.options)))]


def _joined(step: KeptStep, form: MultiDict[str, str], box: str) -> str:
    if step.kind in ("number", "choice"):
        return form.get(box, "")
    if step.kind == "several":
        return SEPARATOR.join(form.getlist(box))
    cells = cells_of(step, form, box)
    cells = _by_place(listed_options(step), cells) if step.kind == "order" else cells[: len(step.value)]
    return SEPARATOR.join(cells) if any(cell.strip() for cell in cells) else ""


def _by_place(options: Sequence[str], cells: Sequence[str]) -> list[str]:
    """The options by the places given to them; a place that is not taken is left empty."""
    placed = {place: option for option, place in zip(options, cells, strict=False) if place in PLACES}
    last = max(map(int, placed), default=0)
    return [placed.get(str(place), "") for place in range(1, last + 1)]


def figure_address(attempt: Attempt) -> Address:
    """Where the figure of an attempt is."""
    return lambda form, theme: url_for("figures.of_attempt", attempt_id=attempt.id, form=form, theme=theme)


def _example_figure(problem: Problem, number: int, theme: str) -> str:
    return url_for("figures.of_example", problem_id=problem.id, number=number, theme=theme)


def new_token() -> str:
    """A mark for a form, so that one sent twice is taken once."""
    return secrets.token_urlsafe(18)
