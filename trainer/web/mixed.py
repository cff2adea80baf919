"""Mixed practice: choose strands once, then one sheet after another, and a short look back at the end."""

from __future__ import annotations

import random
from dataclasses import replace

from flask import Blueprint, redirect, render_template, request, url_for
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response

from trainer.clock import zone
from trainer.errors import TrainerError
from trainer.language import gettext
from trainer.practice.attempts import start
from trainer.practice.mixed import next_problem
from trainer.practice.progress import skill_rows
from trainer.practice.sheet import MODES
from trainer.storage.attempts import attempts_named, attempts_of
from trainer.storage.models import Attempt, Learner
from trainer.web.policy import open_to
from trainer.web.runs import Run, current_run, keep_run
from trainer.web.services import reading, services, writing
from trainer.web.visits import learner, learner_or_guest

pages = Blueprint("mixed", __name__, url_prefix="/mixed")


@pages.get("/")
@open_to("visitors")
def choose() -> str:
    """What to mix."""
    library = services().library
    counted = {
        strand: sum(len(problems) for skill, problems in library.by_skill.items() if skill.startswith(f"{strand}."))
        for strand in library.strands
    }
    return render_template("mixed.html", strands=library.strands, counted=counted, chosen=current_run())


@pages.post("/")
@open_to("visitors")
def begin() -> Response:
    """Begin a run over the strands chosen."""
    strands = [strand for strand in request.form.getlist("strand") if strand in services().library.strands]
    mode = request.form.get("mode", MODES[0])
    if not strands or mode not in MODES:
        raise TrainerError(gettext("Choose at least one strand."))
    return _next(Run(tuple(strands), mode))


@pages.post("/next")
@open_to("visitors")
def go_on() -> Response:
    """The next sheet of the run; a form sent twice leads to the same one."""
    run = current_run()
    if run is None or run.ended:
        return redirect(url_for("mixed.choose"), 303)
    if run.sheets and request.form.get("after", run.sheets[-1].hex) != run.sheets[-1].hex:
        return redirect(url_for("practice.sheet", attempt_id=run.sheets[-1]), 303)
    return end() if run.full else _next(run)


@pages.post("/end")
@open_to("visitors")
def end() -> Response:
    """End the run."""
    run = current_run()
    if run is None:
        return redirect(url_for("mixed.choose"), 303)
    keep_run(replace(run, ended=True))
    return redirect(url_for("mixed.summary"), 303)


@pages.get("/summary")
@open_to("visitors")
def summary() -> str | Response:
    """What came of the run: sheets, those right at once, and what to read."""
    run, known = current_run(), learner()
    if run is None or known is None:
        return redirect(url_for("mixed.choose"), 303)
    begun = attempts_named(reading(), known.id, run.sheets)
    worked = [each for each in begun if each.finished is not None or each.solution_opened is not None]
    missed = {each.skill for each in worked if not _right(each)}
    return render_template(
        "mixed_summary.html",
        run=run,
        worked=len(worked),
        right=sum(map(_right, worked)),
        read=[lesson for skill, lesson in services().library.lessons.items() if skill in missed],
    )


def _right(attempt: Attempt) -> bool:
    """Whether every first entry was right, without help."""
    return attempt.value == 1.0 and not attempt.aided


def _next(run: Run) -> Response:
    with writing() as session:
        attempt = _draw(session, learner_or_guest(session), run)
    keep_run(replace(run, sheets=(*run.sheets, attempt.id)))
    return redirect(url_for("practice.sheet", attempt_id=attempt.id), 303)


def _draw(session: Session, known: Learner, run: Run) -> Attempt:
    library = services().library
    newest = attempts_of(session, known.id, limit=1)
    problem = next_problem(
        library,
        skill_rows(session, library, known.id, now=services().clock(), zone=zone()),
        run.strands,
        newest[0].skill if newest else None,
        random.SystemRandom(),
    )
    return start(session, known.id, problem, run.mode, services().clock())  # type: ignore[arg-type]
