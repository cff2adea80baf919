"""Groups: who is in them, their codes, and joining one."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from flask import Blueprint, flash, redirect, render_template, request, url_for
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response

from trainer.errors import Conflict, NotFound, TrainerError
from trainer.language import gettext
from trainer.practice import groups
from trainer.practice.accounts import Throttled, check_name
from trainer.storage.accounts import learners_outside
from trainer.storage.groups import get_group, groups_of, members_of
from trainer.storage.problem_sets import sets_of_group
from trainer.web.policy import open_to
from trainer.web.services import reading, services, writing
from trainer.web.visits import learner, learner_or_guest

pages = Blueprint("groups", __name__)


@pages.get("/groups/<uuid:group_id>")
@open_to("instructors")
def group(group_id: UUID) -> str:
    """A group: its code, its sets, its members."""
    return _page(group_id)


@pages.get("/groups/<uuid:group_id>/board")
@open_to("instructors")
def board(group_id: UUID) -> str:
    """The code of a group in letters that a room can read."""
    return render_template("group_board.html", group=get_group(reading(), group_id))


@pages.post("/groups/<uuid:group_id>/name")
@open_to("instructors")
def rename(group_id: UUID) -> tuple[str, int] | Response:
    """Give a group another name."""
    name = request.form.get("name", "")
    return _change(group_id, lambda session: groups.rename_group(session, group_id, name, services().clock()))


@pages.post("/groups/<uuid:group_id>/code")
@open_to("instructors")
def renew_code(group_id: UUID) -> tuple[str, int] | Response:
    """Give a group a new code."""
    said = gettext("This is the new code; the one before admits nobody any more.")
    return _change(group_id, lambda session: groups.renew_code(session, group_id, services().clock()), said)


@pages.post("/groups/<uuid:group_id>/archive")
@open_to("instructors")
def archive(group_id: UUID) -> tuple[str, int] | Response:
    """Put a group away, or take it out again."""
    away = request.form.get("archived") == "yes"
    return _change(group_id, lambda session: groups.archive_group(session, group_id, services().clock(), away))


@pages.post("/groups/<uuid:group_id>/members")
@open_to("instructors")
def add_members(group_id: UUID) -> tuple[str, int] | Response:
    """Put people into a group."""

    def add(session: Session) -> None:
        for learner_id in ids("learner"):
            groups.add_member(session, group_id, learner_id, services().clock())

    return _change(group_id, add)


@pages.post("/groups/<uuid:group_id>/members/out")
@open_to("instructors")
def remove_member(group_id: UUID) -> tuple[str, int] | Response:
    """Take people out of a group; what they have worked stays."""

    def remove(session: Session) -> None:
        for learner_id in ids("learner"):
            groups.remove_member(session, group_id, learner_id, services().clock())

    return _change(group_id, remove)


@pages.get("/join")
@open_to("visitors")
def join() -> str:
    """The form to join a group."""
    return _join_form()


@pages.post("/join")
@open_to("visitors")
def enter() -> tuple[str, int] | Response:
    """Join the group of a code; a visitor becomes a guest, whose work this browser keeps."""
    code, name = request.form.get("code", ""), request.form.get("name", "")
    at, address = services().clock(), request.remote_addr or "unknown"
    try:
        groups.admit(services().database, code, address, at)
    except (NotFound, Throttled) as fault:
        return _not_joined(fault, "code")
    try:
        known = learner()
        if known is None or not known.name:
            check_name(name)
        with writing() as session:
            joined = groups.join(session, learner_or_guest(session), code, at, name, address)
    except TrainerError as fault:
        return _not_joined(fault, "name")
    flash(gettext("You are in the group {name}.").format(name=joined.name))
    return redirect(url_for("home.index"), 303)


def ids(name: str) -> list[UUID]:
    """The ids that a form names.

    Raises
    ------
    NotFound
        If a text is no id.
    """
    try:
        return [UUID(text) for text in request.form.getlist(name) if text]
    except ValueError:
        raise NotFound(gettext("There is no such page.")) from None


def _page(group_id: UUID, error: str = "") -> str:
    session = reading()
    found = get_group(session, group_id)
    return render_template(
        "group.html",
        group=found,
        members=members_of(session, group_id),
        others=learners_outside(session, group_id),
        sets=groups.in_order(sets_of_group(session, group_id)),
        now=services().clock(),
        typed=request.form,
        error=error,
    )


def _change(group_id: UUID, change: Callable[[Session], Any], said: str = "") -> tuple[str, int] | Response:
    """Change a group and show it; what cannot be taken is told on the same page."""
    try:
        with writing() as session:
            change(session)
    except NotFound:
        raise
    except TrainerError as fault:
        return _page(group_id, str(fault)), 409 if isinstance(fault, Conflict) else 400
    if said:
        flash(said)
    return redirect(url_for("groups.group", group_id=group_id), 303)


def _join_form(fault: str = "", box: str = "") -> str:
    known = learner()
    return render_template(
        "join.html",
        who=known.name if known else "",
        own=groups_of(reading(), known.id) if known else [],
        code=request.form.get("code", ""),
        name=request.form.get("name", ""),
        faults={box: fault},
    )


def _not_joined(fault: TrainerError, box: str) -> Response:
    status = 429 if isinstance(fault, Throttled) else 409 if isinstance(fault, Conflict) else 400
    answer = Response(_join_form(str(fault), box), status, mimetype="text/html")
    if isinstance(fault, Throttled):
        answer.headers["Retry-After"] = str(fault.wait)
    return answer
