"""Channels to commission: the brief and its form, runs, the setup record, handing in; copies and comparisons."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple
from uuid import UUID

from flask import Blueprint, flash, redirect, render_template, request, url_for
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response

from trainer.errors import Conflict, NotFound, TrainerError
from trainer.figures import Theme
from trainer.language import gettext
from trainer.practice import commissioning, setup_copies
from trainer.practice.bench_tasks import COMPARISON, COPY, SETUP, Overtaken, digest, kind_of
from trainer.practice.commissioning import VALUE, OpenSetup
from trainer.practice.setup_copies import CONSEQUENCES, OpenComparison, OpenCopy
from trainer.storage.models import Attempt, Learner
from trainer.web import plots
from trainer.web.moments import time_of_day
from trainer.web.policy import open_to
from trainer.web.practice import UNPRINTABLE, new_token
from trainer.web.result_rows import percent
from trainer.web.services import reading, services, writing
from trainer.web.setup_pages import (
    asked,
    beside,
    copy_rows,
    form_groups,
    outcome_lines,
    reason_rows,
    record_groups,
    score_rows,
    typed_form,
)
from trainer.web.setup_plots import plot_height, plotted
from trainer.web.visits import decimal_sign, is_instructor, learner_or_guest, learner_required

pages = Blueprint("commissioning", __name__, url_prefix="/commissioning")
KEEP, RUN, HAND_IN, RELAYS = "keep", "run", "hand-in", "relays-"
STARTS = {SETUP: commissioning.start, COPY: setup_copies.start_copy, COMPARISON: setup_copies.start_comparison}
KEEPS = {SETUP: commissioning.keep, COPY: setup_copies.keep_copy, COMPARISON: setup_copies.keep_comparison}
HAND_INS = {
    SETUP: commissioning.hand_in,
    COPY: setup_copies.hand_in_copy,
    COMPARISON: setup_copies.hand_in_comparison,
}


@pages.get("/")
@open_to("visitors")
def index() -> str:
    """The briefs, the copies and the comparisons."""
    bench = services().library.bench
    return render_template("commissioning.html", briefs=bench.briefs.values(), sisters=bench.sisters.values())


@pages.post("/")
@open_to("visitors")
def start() -> Response:
    """Start a task."""
    kind, _, name = request.form.get("task", "").partition("/")
    if kind not in STARTS:
        raise NotFound(gettext("There is no such task."))
    with writing() as session:
        made = STARTS[kind](session, learner_or_guest(session).id, services().library.bench, name, services().clock())
    return redirect(url_for("commissioning.task", task_id=made.id), 303)


@pages.get("/<uuid:task_id>")
@open_to("visitors")
def task(task_id: UUID) -> str | Response:
    """A task as it stands."""
    seen = _seen(task_id, learner_required().id)
    if seen.attempt.finished is not None:
        return redirect(url_for("commissioning.result", task_id=task_id), 303)
    return seen.form()


@pages.post("/<uuid:task_id>")
@open_to("visitors")
def keep(task_id: UUID) -> tuple[str, int] | Response:
    """Keep what was typed, and then run it, or go on to the hand-in."""
    known, then = learner_required(), request.form.get("then", KEEP)
    kind, token, refused, run = kind_of(reading(), task_id, known.id), _token(), "", 0
    try:
        with writing() as session:
            _keep(session, kind, task_id, known, then)
            if then == RUN and kind == SETUP:
                run, refused = _run(session, task_id, known, token)
    except Overtaken as fault:
        return _seen(task_id, known.id, _typed(then)).form(str(fault)), 409
    seen = _seen(task_id, known.id)
    if refused or (seen.errors and then != HAND_IN):
        return seen.form(refused or gettext("All of it is kept; some boxes cannot be read, each says why.")), 400
    return redirect(_next(task_id, then, run), 303)


def _keep(session: Session, kind: str, task_id: UUID, known: Learner, then: str) -> None:
    seen, bench = request.form.get("seen", ""), services().library.bench
    KEEPS[kind](session, task_id, known, _typed(then), seen, services().clock(), bench)


def _typed(then: str) -> dict[str, str]:
    typed = typed_form(request.form, UNPRINTABLE)
    if then.startswith(RELAYS):
        typed[VALUE + "relays"] = then.removeprefix(RELAYS)
    return typed


def _run(session: Session, task_id: UUID, known: Learner, token: str) -> tuple[int, str]:
    opened = commissioning.look(session, task_id, services().library.bench, known.id, known.decimal_sign)
    try:
        return commissioning.run(session, opened, known, token, services().clock()), ""
    except Conflict:
        raise
    except TrainerError as fault:
        return 0, str(fault)


def _next(task_id: UUID, then: str, run: int) -> str:
    if run:
        return url_for("commissioning.show_run", task_id=task_id, number=run)
    if then == HAND_IN:
        return url_for("commissioning.confirm", task_id=task_id)
    if not then.startswith(RELAYS):
        flash(gettext("Kept {time}.").format(time=time_of_day(services().clock())))
    return url_for("commissioning.task", task_id=task_id, _anchor="told" if then.startswith(RELAYS) else None)


@pages.get("/<uuid:task_id>/runs/<int:number>")
@open_to("visitors")
def show_run(task_id: UUID, number: int) -> str:
    """What the channel did in a run."""
    opened = _setup(task_id)
    kept = opened.setup(number)
    judged = opened.judged(kept)
    return render_template(
        "commissioning_run.html",
        opened=opened,
        number=number,
        outcomes=outcome_lines(judged.outcomes),
        foretold=judged.predictions if number == 1 else (),
        questions={each.name: each for each in opened.task.questions},
        revision=kept.record.revision,
        **_plot(opened, number),
    )


@pages.get("/<uuid:task_id>/runs/<int:number>/<any(light, dark, print):theme>.svg")
@open_to("visitors")
def plot(task_id: UUID, number: int, theme: Theme) -> Response:
    """The plot of a run."""
    opened = _setup(task_id)
    kept = opened.setup(number)
    return plots.image("channel trace", plotted(opened, kept, opened.judged(kept)), theme)


@pages.get("/<uuid:task_id>/hand-in")
@open_to("visitors")
def confirm(task_id: UUID) -> str | Response:
    """What is missing, before the hand-in."""
    seen = _seen(task_id, learner_required().id)
    if seen.attempt.finished is not None:
        return redirect(url_for("commissioning.result", task_id=task_id), 303)
    return render_template(
        "commissioning_hand_in.html",
        attempt=seen.attempt,
        lacking=seen.lacking(),
        errors=seen.errors,
        token=new_token(),
    )


@pages.post("/<uuid:task_id>/hand-in")
@open_to("visitors")
def hand_in(task_id: UUID) -> Response:
    """Hand in what is kept."""
    known = learner_required()
    with writing() as session:
        kind, bench = kind_of(session, task_id, known.id), services().library.bench
        HAND_INS[kind](session, task_id, known, _token(), services().clock(), bench)
    return redirect(url_for("commissioning.result", task_id=task_id), 303)


@pages.get("/<uuid:task_id>/result")
@open_to("visitors")
def result(task_id: UUID) -> str | Response:
    """What came of a task that was handed in."""
    seen = _seen(task_id, None if is_instructor() else learner_required().id)
    if seen.attempt.finished is None:
        return redirect(url_for("commissioning.task", task_id=task_id), 303)
    return seen.result()


@pages.get("/<uuid:task_id>/record")
@open_to("visitors")
def record(task_id: UUID) -> str:
    """The setup record on one sheet, to print."""
    opened = _setup(task_id)
    kept = opened.handed.record if opened.handed else opened.record
    return render_template(
        "commissioning_record.html",
        opened=opened,
        record=kept,
        groups=record_groups(opened, kept),
        now=services().clock(),
    )


@pages.post("/<uuid:task_id>/accept")
@open_to("instructors")
def accept(task_id: UUID) -> Response:
    """Have a written reason count."""
    with writing() as session:
        path = request.form.get("path", "")
        commissioning.accept(session, task_id, services().library.bench, path, services().clock())
    flash(gettext("The reason counts now."))
    return redirect(url_for("commissioning.result", task_id=task_id), 303)


class Seen(NamedTuple):
    """A task of any kind: its attempt, what is missing and not read, its form and its result as pages."""

    attempt: Attempt
    errors: bool
    lacking: Callable[[], list[tuple[str, str, str]]]
    form: Callable[..., str]
    result: Callable[[], str]


def _seen(task_id: UUID, learner_id: UUID | None, typed: dict[str, str] | None = None) -> Seen:
    """A task as its pages show it; ``typed`` stands in the boxes in place of what is kept."""
    bench, kind = services().library.bench, kind_of(reading(), task_id, learner_id)
    if kind == SETUP:
        opened = commissioning.look(reading(), task_id, bench, learner_id, decimal_sign())
        shown = opened.typed_over(typed or {})
        wrong = bool(shown.draft.errors)
        kept = digest(opened.texts)
        return Seen(
            opened.attempt, wrong, shown.lacking, lambda error="": _form(shown, kept, error), lambda: _result(shown)
        )
    if kind == COPY:
        copy = setup_copies.look_at_copy(reading(), task_id, bench, learner_id, decimal_sign())
        over, kept = copy.typed_over(typed or {}), digest(copy.kept)
        wrong = bool(over.draft.errors)
        return Seen(copy.attempt, wrong, over.lacking, lambda error="": _copy(over, kept, error), lambda: _copied(over))
    pair = setup_copies.look_at_comparison(reading(), task_id, bench, learner_id, decimal_sign())
    marked, kept = pair.typed_over(typed or {}), digest(pair.texts)
    return Seen(pair.attempt, False, list, lambda error="": _compare(marked, kept, error), lambda: _compared(marked))


def _form(opened: OpenSetup, kept: str, error: str) -> str:
    return render_template(
        "commissioning_form.html",
        opened=opened,
        groups=form_groups(opened),
        questions=asked(opened),
        seen=kept,
        error=error,
        token=new_token(),
    )


def _result(opened: OpenSetup) -> str:
    accepted = commissioning.accepted_of(reading(), opened)
    kept = opened.setup(0)
    judged = opened.judged(kept, accepted)
    return render_template(
        "commissioning_result.html",
        opened=opened,
        judged=judged,
        score=score_rows(judged),
        outcomes=outcome_lines(judged.outcomes),
        reasons=reason_rows(opened, kept, judged),
        questions={each.name: each for each in opened.task.questions},
        beside=beside(opened, kept.record),
        percent=percent,
        teaches=is_instructor(),
        **_plot(opened, 0),
    )


def _plot(opened: OpenSetup, number: int) -> dict[str, object]:
    kept = opened.setup(number)
    values = plotted(opened, kept, opened.judged(kept))

    def address(theme: Theme) -> str:
        return url_for("commissioning.plot", task_id=opened.attempt.id, number=number, theme=theme)

    high = plot_height(kept.record.relays, len(opened.task.requirements))
    return {"plot": plots.placed("channel trace", values, address), "high": high}


def _copy(opened: OpenCopy, kept: str, error: str) -> str:
    rows = copy_rows(opened)
    return render_template("setup_copy.html", opened=opened, rows=rows, seen=kept, error=error, token=new_token())


def _copied(opened: OpenCopy) -> str:
    score = opened.sister.score(opened.record)
    return render_template("setup_copy_result.html", opened=opened, score=score, percent=percent)


def _compare(opened: OpenComparison, kept: str, error: str) -> str:
    return render_template(
        "setup_compare.html", opened=opened, choices=CONSEQUENCES, seen=kept, error=error, token=new_token()
    )


def _compared(opened: OpenComparison) -> str:
    return render_template("setup_compare_result.html", opened=opened, percent=percent)


def _setup(task_id: UUID) -> OpenSetup:
    """A channel to commission, one's own, or anybody's for an instructor."""
    own = None if is_instructor() else learner_required().id
    return commissioning.look(reading(), task_id, services().library.bench, own, decimal_sign())


def _token() -> str:
    token = request.form.get("form_token", "")
    if not token or len(token) > 64:
        raise TrainerError(gettext("This form is not complete; open the page again."))
    return token
