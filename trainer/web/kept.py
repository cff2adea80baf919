"""What is kept of a person, who sees it, for how long, and where it lies."""

from __future__ import annotations

import json
from datetime import timedelta
from pathlib import Path

from flask import Blueprint, Response, flash, redirect, render_template, request, url_for
from flask import session as cookie
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response as Redirect

from trainer.errors import Conflict
from trainer.exchange.backup_shelf import DAYS, WEEKS
from trainer.language import gettext
from trainer.practice.accounts import CODE_VALID, WINDOW
from trainer.practice.person_records import delete_person, own_copy
from trainer.storage.accounts import INSTRUCTOR
from trainer.storage.backup import KEPT
from trainer.storage.clearing import GUEST_KEPT
from trainer.storage.groups import was_member
from trainer.storage.models import Learner
from trainer.storage.web_sessions import ABSOLUTE, GUEST_IDLE
from trainer.web.policy import open_to
from trainer.web.services import reading, services, writing
from trainer.web.visits import account, learner, learner_required

pages = Blueprint("kept", __name__, url_prefix="/kept")


@pages.get("/")
@open_to("visitors")
def about() -> str:
    """What is kept, in plain words, and how to get a copy or have it deleted."""
    return _about()


@pages.get("/record.json")
@open_to("visitors")
def record() -> Response:
    """What is kept of who is at this browser, as a file; it tells no answers that are not open yet."""
    known, now = learner_required(), services().clock()
    copy = json.dumps(own_copy(reading(), known.id, now), ensure_ascii=False, indent=1)
    answer = Response(copy, mimetype="application/json")
    answer.headers.set("Content-Disposition", "attachment", filename=f"my-record-{now:%Y-%m-%d}.json")
    return answer


@pages.post("/delete")
@open_to("visitors")
def delete() -> tuple[str, int] | Redirect:
    """Delete the record of a guest who is nobody's pupil, by the key of its copy."""
    known = learner_required()
    try:
        with writing() as session:
            _check_own(session, known)
            delete_person(session, known.id, request.form.get("key", ""))
    except Conflict as fault:
        return _about(str(fault)), 409
    cookie.clear()
    flash(gettext("Your record is deleted, and this browser knows nothing of you any more."))
    return redirect(url_for("home.index"), 303)


def _about(error: str = "") -> str:
    who, known = learner(), account()
    return render_template(
        "kept.html",
        own=who is not None and known is None and not was_member(reading(), who.id),
        places=_places() if known is not None and known.role == INSTRUCTOR else None,
        idle_minutes=services().settings.idle_minutes,
        guest_days=GUEST_IDLE.days,
        most_days=ABSOLUTE.days,
        window=WINDOW // timedelta(minutes=1),
        code_days=CODE_VALID.days,
        backups=KEPT,
        daily=DAYS,
        weekly=WEEKS,
        empty_days=GUEST_KEPT.days,
        logged=services().settings.request_log == "on",
        error=error,
        key=request.form.get("key", ""),
    )


def _check_own(session: Session, known: Learner) -> None:
    """See that nobody else has a say in this record: who has an account or was in a group has results there."""
    if account() is not None or was_member(session, known.id):
        raise Conflict(gettext("This record is deleted by an instructor, because results of a group hang on it."))


def _places() -> tuple[Path, Path | None]:
    """The data folder and the file of the database in it; None where a database server has it."""
    return services().settings.data, services().database.file
