"""What this person has done and how they stand."""

from __future__ import annotations

from uuid import UUID

from flask import Blueprint, render_template, request

from trainer.clock import zone
from trainer.learning.standing import NOT_STARTED
from trainer.practice.progress import skill_rows
from trainer.storage.attempts import attempts_of
from trainer.web.policy import open_to
from trainer.web.services import reading, services
from trainer.web.show import standing_parts
from trainer.web.standing_words import following
from trainer.web.visits import learner

pages = Blueprint("progress", __name__, url_prefix="/progress")
PAGE = 30


@pages.get("/")
@open_to("visitors")
def index() -> str:
    """Standing by skill and the newest attempts."""
    known, library = learner(), services().library
    rows = skill_rows(reading(), library, known.id, now=services().clock(), zone=zone()) if known else []
    attempts = attempts_of(reading(), known.id, before=_before(), limit=PAGE + 1) if known else []
    return render_template(
        "progress.html",
        rows=[row for row in rows if row.standing.stage != NOT_STARTED],
        attempts=attempts[:PAGE],
        older=attempts[PAGE - 1].id if len(attempts) > PAGE else None,
        standing_parts=standing_parts,
        following=following,
    )


def _before() -> UUID | None:
    try:
        return UUID(request.args["before"])
    except (KeyError, ValueError):
        return None
