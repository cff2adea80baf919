"""A learner's tries at a set: start, work, hand in, see what came of it."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from flask import Blueprint, abort, flash, jsonify, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from trainer.errors import Conflict, NotFound, TrainerError
from trainer.language import gettext
from trainer.practice import hand_ins, results, reviews, tries
from trainer.practice.given_sets import given_set
from trainer.practice.set_sheets import attempt_at, place_of
from trainer.practice.tries import HANDED_IN
from trainer.storage.attempts import get_attempt
from trainer.storage.entries import entries_of
from trainer.storage.models import Attempt, Learner
from trainer.storage.problem_sets import PRACTICE
from trainer.storage.set_tries import get_try
from trainer.web.moments import distance, time_of_day
from trainer.web.policy import open_to
from trainer.web.practice import UNPRINTABLE, new_token, step_of, typed_text
from trainer.web.result_rows import percent, state_parts
from trainer.web.services import reading, services, writing
from trainer.web.sheets import row_view, solution_rows
from trainer.web.try_pages import (
    again,
    done_page,
    look,
    of_sheet,
    of_try,
    over_page,
    problem_of,
    result_page,
    settle,
    working,
)
from trainer.web.try_sheets import box_fault, box_name, box_rows, empty_steps, over, sent_boxes
from trainer.web.visits import learner_required
from trainer.worksheets.snapshot import Snapshot

pages = Blueprint("tries", __name__)


@pages.get("/given/<uuid:set_id>")
@open_to("visitors")
def given(set_id: UUID) -> str:
    """The front page of a set that this learner has been given."""
    known, now = learner_required(), services().clock()
    found = given_set(reading(), known.id, set_id)
    return render_template(
        "given.html",
        given=found,
        now=now,
        totals=results.totals(reading(), known.id),
        state_of=tries.state_of,
        state_parts=state_parts,
        passed=results.passed,
        percent=percent,
        distance=distance,
    )


@pages.post("/given/<uuid:set_id>/start")
@open_to("visitors")
def start(set_id: UUID) -> Response:
    """Start a try, or go on with the one under way."""
    known = learner_required()
    settle(known)
    with writing() as session:
        begun = tries.start_try(session, known, set_id, services().library, services().clock())
    return redirect(url_for("tries.show", try_id=begun.id), 303)


@pages.get("/tries/<uuid:try_id>")
@open_to("visitors")
def show(try_id: UUID) -> str:
    """The problems of a try: how far each is, or what came of it."""
    view = look(try_id)
    if over(view):
        return over_page(view)
    if view.state == HANDED_IN:
        return result_page(view)
    return render_template("try.html", **of_try(view))


@pages.get("/tries/<uuid:try_id>/<int:number>")
@open_to("visitors")
def sheet(try_id: UUID, number: int) -> str | Response:
    """One problem of a try with its steps."""
    view = look(try_id)
    problem = problem_of(view, number)
    if over(view):
        return redirect(url_for("tries.show", try_id=try_id), 303)
    if view.state == HANDED_IN:
        return done_page(view, problem, number)
    if view.problem_set.kind != PRACTICE:
        return render_template("set_boxes.html", rows=box_rows(problem), **of_sheet(view, problem, number))
    checked = request.args.get("checked", "")
    rows = [row_view(problem.sheet, row, checked, new_token()) for row in problem.sheet.rows]
    return render_template("set_sheet.html", rows=rows, **of_sheet(view, problem, number))


@pages.post("/tries/<uuid:try_id>/<int:number>")
@open_to("visitors")
def keep(try_id: UUID, number: int) -> tuple[str, int] | Response:
    """Keep all boxes of an assessed sheet."""
    known, at = learner_required(), services().clock()
    attempt = attempt_at(reading(), known.id, try_id, number)
    sent = sent_boxes(Snapshot.from_json(attempt.snapshot), request.form)
    if sent.faults:
        return again(try_id, number, sent), 400
    try:
        with working(known) as session:
            tries.keep_drafts(session, known, attempt.id, sent.changed, at)
    except Conflict as fault:
        return again(try_id, number, sent, str(fault)), 409
    flash(gettext("Kept {time}.").format(time=time_of_day(at)))
    return redirect(_next_place(try_id, number, request.form.get("then", "")), 303)


@pages.post("/tries/<uuid:try_id>/<int:number>/box")
@open_to("visitors")
def keep_box(try_id: UUID, number: int) -> tuple[Response, int]:
    """Keep the boxes of one step, for the script of the page; it answers in JSON."""
    try:
        return jsonify(_kept_box(learner_required(), try_id, number)), 200
    except NotFound as fault:
        return jsonify(sentence=str(fault)), 404
    except Conflict as fault:
        return jsonify(sentence=str(fault)), 409
    except TrainerError as fault:
        return jsonify(sentence=str(fault)), 400


@pages.post("/tries/<uuid:try_id>/<int:number>/entries")
@open_to("visitors")
def enter(try_id: UUID, number: int) -> Response:
    """Check one step of a sheet for practice."""
    known, step, token = learner_required(), request.form.get("step", ""), request.form.get("form_token", "")
    if not token or len(token) > 64:
        abort(400)
    attempt = attempt_at(reading(), known.id, try_id, number)
    typed = typed_text(step_of(Snapshot.from_json(attempt.snapshot), step), request.form)
    with working(known) as session:
        known_worksheets = services().library.worksheets
        tries.enter(session, attempt.id, known, step, typed, token, services().clock(), known_worksheets)
    return redirect(url_for("tries.sheet", try_id=try_id, number=number, checked=step, _anchor=f"step-{step}"), 303)


@pages.post("/tries/<uuid:try_id>/<int:number>/steps")
@open_to("visitors")
def open_steps(try_id: UUID, number: int) -> Response:
    """Show the steps of a sheet for practice that asks for the answer alone."""
    known = learner_required()
    attempt = attempt_at(reading(), known.id, try_id, number)
    with working(known) as session:
        tries.open_steps(session, known.id, attempt.id, services().clock())
    return redirect(url_for("tries.sheet", try_id=try_id, number=number), 303)


@pages.post("/tries/<uuid:try_id>/<int:number>/solution")
@open_to("visitors")
def open_solution(try_id: UUID, number: int) -> Response:
    """Close a sheet for practice and show it worked."""
    known = learner_required()
    attempt = attempt_at(reading(), known.id, try_id, number)
    with working(known) as session:
        tries.open_solution(session, known.id, attempt.id, services().clock())
    return redirect(url_for("tries.solution", try_id=try_id, number=number), 303)


@pages.get("/tries/<uuid:try_id>/<int:number>/solution")
@open_to("visitors")
def solution(try_id: UUID, number: int) -> str | Response:
    """A sheet worked in full, once the rules of the set show it."""
    view = look(try_id)
    problem = problem_of(view, number)
    if problem.attempt.solution_opened is None and not view.shows_solutions:
        return redirect(url_for("tries.sheet", try_id=try_id, number=number), 303)
    newest = {entry.step: entry for entry in entries_of(reading(), problem.attempt.id)}
    rows = solution_rows(problem.sheet.snapshot, newest)
    return render_template("set_solution.html", rows=rows, **of_sheet(view, problem, number, "solved"))


@pages.get("/tries/<uuid:try_id>/hand-in")
@open_to("visitors")
def confirm(try_id: UUID) -> str | Response:
    """What would be handed in, before it is."""
    view = look(try_id)
    if over(view) or view.state == HANDED_IN:
        return redirect(url_for("tries.show", try_id=try_id), 303)
    return render_template("hand_in.html", wanting=empty_steps(view), **of_try(view))


@pages.post("/tries/<uuid:try_id>/hand-in")
@open_to("visitors")
def hand_in(try_id: UUID) -> Response:
    """Hand a try in; sent twice it stays as it is."""
    known = learner_required()
    with working(known) as session:
        hand_ins.hand_in(session, known, try_id, services().clock(), services().library.worksheets)
    return redirect(url_for("tries.show", try_id=try_id), 303)


@pages.post("/sheets/<uuid:attempt_id>/complaint")
@open_to("visitors")
def complain(attempt_id: UUID) -> tuple[str, int] | Response:
    """Tell the instructor that a problem looks wrong."""
    known, text = learner_required(), request.form.get("text", "").translate(UNPRINTABLE)
    attempt = get_attempt(reading(), attempt_id, learner_id=known.id)
    back = _address_of(attempt)
    try:
        with working(known) as session:
            reviews.complain(session, attempt_id, known.id, text, services().clock())
    except NotFound:
        raise
    except TrainerError as fault:
        page = render_template("complaint.html", attempt=attempt, back=back, text=text, error=str(fault))
        return page, 409 if isinstance(fault, Conflict) else 400
    flash(gettext("Your instructor has this now, with the sheet; the answer will stand on it."))
    return redirect(back, 303)


def _kept_box(known: Learner, try_id: UUID, number: int) -> dict[str, Any]:
    """Keep the boxes of a step, and tell when, what cannot be read in them, and how many seconds are left."""
    at = services().clock()
    attempt = attempt_at(reading(), known.id, try_id, number)
    step = step_of(Snapshot.from_json(attempt.snapshot), request.form.get("step", ""))
    if fault := box_fault(step, request.form):
        raise TrainerError(fault)
    text = typed_text(step, request.form, box_name(step.name))
    with working(known) as session:
        said = tries.keep_drafts(session, known, attempt.id, {step.name: text}, at)
        ends = get_try(session, try_id).ends
    left = None if ends is None else max(0, int((ends - at).total_seconds()))
    return {
        "kept": gettext("Kept {time}.").format(time=time_of_day(at)),
        "text": text,
        "said": said[step.name],
        "left": left,
    }


def _next_place(try_id: UUID, number: int, then: str) -> str:
    if then == "list":
        return url_for("tries.show", try_id=try_id)
    if then != "on":
        return url_for("tries.sheet", try_id=try_id, number=number)
    try:
        attempt_at(reading(), learner_required().id, try_id, number + 1)
    except NotFound:
        return url_for("tries.show", try_id=try_id)
    return url_for("tries.sheet", try_id=try_id, number=number + 1)


def _address_of(attempt: Attempt) -> str:
    if place := place_of(reading(), attempt):
        return url_for("tries.sheet", try_id=place[0], number=place[1])
    page = "practice.sheet" if attempt.solution_opened is None else "practice.solution"
    return url_for(page, attempt_id=attempt.id)
