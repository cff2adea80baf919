"""The first page: what is due, what can be done here, and what was left half-done."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from flask import Blueprint, abort, redirect, render_template, url_for
from werkzeug.wrappers import Response

from trainer.practice.given_sets import sets_for, still_due
from trainer.practice.results import passed, totals
from trainer.practice.tries import state_of
from trainer.storage.accounts import account_of, list_accounts
from trainer.storage.attempts import attempts_of
from trainer.storage.learners import get_learner
from trainer.storage.results import not_begun
from trainer.web.moments import distance
from trainer.web.policy import open_to
from trainer.web.result_rows import percent, state_parts
from trainer.web.services import reading, services, writing
from trainer.web.visits import is_instructor, learner, welcome

pages = Blueprint("home", __name__)
LOOKED_AT = 20
SHOWN = 3


@pages.get("/")
@open_to("visitors")
def index() -> str:
    """The first page."""
    known = learner()
    recent = attempts_of(reading(), known.id, limit=LOOKED_AT, of_sets=False) if known else []
    unfinished = [attempt for attempt in recent if attempt.finished is None and attempt.solution_opened is None]
    people = list_accounts(reading()) if services().demo else []
    return render_template(
        "home.html",
        unfinished=unfinished[:SHOWN],
        people=people,
        **(_sets(known.id) if known else {}),
    )


def _sets(learner_id: UUID) -> dict[str, Any]:
    """What this learner has been given: still due, missed, handed in; as many queries for many sets as for one."""
    now, session = services().clock(), reading()
    given = sets_for(session, learner_id)
    if not given:
        return {}
    return {
        "due": sorted(still_due(given, now), key=lambda each: not each.running),  # what is begun comes first
        "missed": [each for each in given if each.missed(now)],
        "handed": [each for each in given if each.handed_in],
        "not_begun": not_begun(session, learner_id),
        "totals": totals(session, learner_id),
        "now": now,
        "state_of": state_of,
        "state_parts": state_parts,
        "passed": passed,
        "percent": percent,
        "distance": distance,
    }


@pages.post("/demo/<uuid:learner_id>")
@open_to("visitors")
def work_as(learner_id: UUID) -> Response:
    """In the demo only: work as one of the invented learners."""
    if not services().demo:
        abort(404)
    with writing() as session:
        welcome(session, get_learner(session, learner_id), account_of(session, learner_id))
    return redirect(url_for("teaching.index" if is_instructor() else "progress.index"), 303)
