"""The first page of an instructor: groups, their sets, and what waits for an answer."""

from __future__ import annotations

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from trainer.errors import Conflict, TrainerError
from trainer.language import gettext
from trainer.practice import groups
from trainer.web.policy import open_to
from trainer.web.services import reading, services, writing

pages = Blueprint("teaching", __name__, url_prefix="/teaching")
SETS_SHOWN = 8  # of each group; the others stand on its own page


@pages.get("/")
@open_to("instructors")
def index() -> str:
    """Groups with their sets, and what waits."""
    return _index()


@pages.post("/")
@open_to("instructors")
def make_group() -> tuple[str, int] | Response:
    """Make a group."""
    try:
        with writing() as session:
            made = groups.make_group(session, request.form.get("name", ""), services().clock())
    except TrainerError as fault:
        return _index(str(fault)), 409 if isinstance(fault, Conflict) else 400
    flash(gettext("The group is made. Give its code to the learners, or put them in by name."))
    return redirect(url_for("groups.group", group_id=made.id), 303)


def _index(error: str = "") -> str:
    return render_template(
        "teaching.html",
        overview=groups.overview(reading()),
        now=services().clock(),
        shown=SETS_SHOWN,
        name=request.form.get("name", ""),
        error=error,
    )
