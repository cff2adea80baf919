"""The first page: what can be done here, and what was left half-done."""

from __future__ import annotations

from uuid import UUID

from flask import Blueprint, abort, redirect, render_template, url_for
from werkzeug.wrappers import Response

from trainer.storage.accounts import account_of, list_accounts
from trainer.storage.attempts import attempts_of
from trainer.storage.learners import get_learner
from trainer.web.policy import open_to
from trainer.web.services import reading, services, writing
from trainer.web.visits import learner, welcome

pages = Blueprint("home", __name__)
LOOKED_AT = 20
SHOWN = 3


@pages.get("/")
@open_to("visitors")
def index() -> str:
    """The first page."""
    known = learner()
    recent = attempts_of(reading(), known.id, limit=LOOKED_AT) if known else []
    unfinished = [attempt for attempt in recent if attempt.finished is None and attempt.solution_opened is None]
    people = list_accounts(reading()) if services().demo else []
    problems = services().library.problems
    return render_template("home.html", unfinished=unfinished[:SHOWN], people=people, problems=problems)


@pages.post("/demo/<uuid:learner_id>")
@open_to("visitors")
def work_as(learner_id: UUID) -> Response:
    """In the demo only: work as one of the invented learners."""
    if not services().demo:
        abort(404)
    with writing() as session:
        welcome(session, get_learner(session, learner_id), account_of(session, learner_id))
    return redirect(url_for("progress.index"), 303)
