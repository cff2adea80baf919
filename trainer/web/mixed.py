"""Mixed practice: choose strands once, then one sheet after another."""

from __future__ import annotations

import random

from flask import Blueprint, redirect, render_template, request, url_for
from flask import session as cookie
from werkzeug.wrappers import Response

from trainer.errors import TrainerError
from trainer.language import gettext
from trainer.practice.attempts import start
from trainer.practice.mixed import next_problem
from trainer.practice.progress import skill_rows
from trainer.practice.sheet import MODES
from trainer.storage.attempts import attempts_of
from trainer.web.policy import open_to
from trainer.web.services import services, writing
from trainer.web.visits import learner_or_guest

pages = Blueprint("mixed", __name__, url_prefix="/mixed")
RUN = "run"


@pages.get("/")
@open_to("visitors")
def choose() -> str:
    """What to mix."""
    library = services().library
    counted = {
        strand: sum(len(problems) for skill, problems in library.by_skill.items() if skill.startswith(f"{strand}."))
        for strand in library.strands
    }
    chosen = cookie.get(RUN, {})
    return render_template("mixed.html", strands=library.strands, counted=counted, chosen=chosen)


@pages.post("/")
@open_to("visitors")
def begin() -> Response:
    """Begin a run over the strands chosen."""
    strands = [strand for strand in request.form.getlist("strand") if strand in services().library.strands]
    mode = request.form.get("mode", MODES[0])
    if not strands or mode not in MODES:
        raise TrainerError(gettext("Choose at least one strand."))
    response = _next({"strands": strands, "mode": mode})
    return response


@pages.post("/next")
@open_to("visitors")
def go_on() -> Response:
    """The next sheet of the run."""
    run = cookie.get(RUN)
    return _next(run) if run else redirect(url_for("mixed.choose"), 303)


def _next(run: dict[str, list[str] | str]) -> Response:
    library = services().library
    with writing() as session:
        known = learner_or_guest(session)
        newest = attempts_of(session, known.id, limit=1)
        problem = next_problem(
            library,
            skill_rows(session, library, known.id),
            run["strands"],
            newest[0].skill if newest else None,
            random.SystemRandom(),
        )
        attempt = start(session, known.id, problem, run["mode"], services().clock())  # type: ignore[arg-type]
    cookie[RUN] = run
    return redirect(url_for("practice.sheet", attempt_id=attempt.id), 303)
