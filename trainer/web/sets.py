"""Problem sets: plan, preview, open, close, copy."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from flask import Blueprint, flash, redirect, render_template, request, url_for
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response

from trainer.errors import Conflict, NotFound, TrainerError
from trainer.language import gettext
from trainer.practice import sets
from trainer.practice.plans import Fault, Outdated, Plan, PlanRefused
from trainer.practice.time_limits import extend
from trainer.storage.groups import get_group
from trainer.storage.models import ProblemSet
from trainer.storage.problem_sets import edits_of, get_set, problems_of
from trainer.storage.results import people_of_set
from trainer.web.due_times import read_moment
from trainer.web.plan_form import Faults, Typed, as_typed, read_plan, read_whole, sent, with_earlier
from trainer.web.policy import open_to
from trainer.web.services import reading, services, writing
from trainer.web.set_pages import form_page, plan_now, set_page
from trainer.web.variants import LAST_ROUND, shown_variants
from trainer.web.visits import account_required

pages = Blueprint("sets", __name__)
Page = str | tuple[str, int] | Response


@pages.route("/groups/<uuid:group_id>/sets/new", methods=["GET", "POST"])
@open_to("instructors")
def new(group_id: UUID) -> Page:
    """Plan a set for a group."""
    get_group(reading(), group_id)
    if request.method == "GET":
        return form_page(as_typed(Plan("")), group_id)
    typed = sent(request.form)
    if request.form.get("do") != "save":
        return _worked_on(typed, group_id)
    plan, faults = read_plan(typed)
    try:
        with writing() as session:
            made = sets.make_set(
                session, group_id, plan, services().library.problems, account_required().name, services().clock()
            )
            _refuse(faults)
    except PlanRefused as refused:
        return form_page(typed, group_id, faults=[*faults, *refused.beside]), 400
    flash(gettext("The set is kept as a draft. Open it when the group is to have it."))
    return redirect(url_for("sets.show", set_id=made.id), 303)


@pages.route("/sets/<uuid:set_id>/edit", methods=["GET", "POST"])
@open_to("instructors")
def edit(set_id: UUID) -> Page:
    """Change a set."""
    edited = get_set(reading(), set_id)
    if request.method == "GET":
        return form_page(as_typed(plan_now(edited)), edited.group_id, edited, edited.version)
    typed, version = sent(request.form), _version()
    if request.form.get("do") != "save":
        return _worked_on(typed, edited.group_id, edited, version)
    plan, faults = read_plan(typed)
    try:
        with writing() as session:
            sets.edit_set(
                session, set_id, plan, version, services().library.problems, account_required().name, services().clock()
            )
            _refuse(faults)
    except PlanRefused as refused:
        return form_page(typed, edited.group_id, edited, version, faults=[*faults, *refused.beside]), 400
    except Outdated as late:
        if faults:  # first what cannot be read, so that it is not lost among the changes
            return form_page(typed, edited.group_id, edited, version, faults=faults), 400
        both, editors = as_typed(late.merged), _editors(set_id, version)
        return form_page(both, edited.group_id, edited, late.version, late=late, editors=editors), 409
    except Conflict as late:
        return form_page(typed, edited.group_id, edited, version, refusal=str(late)), 409
    flash(gettext("The changes are kept."))
    return redirect(url_for("sets.show", set_id=set_id), 303)


@pages.get("/sets/<uuid:set_id>")
@open_to("instructors")
def show(set_id: UUID) -> str:
    """What a set is, how it stands, and what can be done with it."""
    return set_page(set_id)


@pages.get("/sets/<uuid:set_id>/preview")
@open_to("instructors")
def preview(set_id: UUID) -> str:
    """Variants of the problems of a set, worked."""
    problem_set = get_set(reading(), set_id)
    names = [each.problem for each in problems_of(reading(), set_id)]
    wanted = min(max(request.args.get("round", 1, type=int), 1), LAST_ROUND)
    return render_template(
        "set_preview.html",
        problem_set=problem_set,
        previewed=shown_variants(names, wanted),
        next_round=wanted % LAST_ROUND + 1,
    )


@pages.post("/sets/<uuid:set_id>/open")
@open_to("instructors")
def give(set_id: UUID) -> Page:
    """Give a set to its group, or give it again."""
    try:
        with writing() as session:
            sets.open_set(session, set_id, services().library.problems, services().clock())
    except PlanRefused as refused:
        return set_page(set_id, refusals=refused.faults), 400
    flash(gettext("The set is open."))
    return redirect(url_for("sets.show", set_id=set_id), 303)


@pages.post("/sets/<uuid:set_id>/close")
@open_to("instructors")
def close(set_id: UUID) -> Response:
    """Close a set, with or without its solutions."""
    with writing() as session:
        sets.close_set(session, set_id, services().clock(), "solutions" in request.form)
    flash(gettext("The set is closed."))
    return redirect(url_for("sets.show", set_id=set_id), 303)


@pages.post("/sets/<uuid:set_id>/solutions")
@open_to("instructors")
def release(set_id: UUID) -> Response:
    """Show the solutions to who has handed in, or no more."""
    released = request.form.get("released") == "yes"
    with writing() as session:
        sets.release_solutions(session, set_id, services().clock(), released)
    flash(gettext("Solutions are shown.") if released else gettext("Solutions are no longer shown."))
    return redirect(url_for("sets.show", set_id=set_id), 303)


@pages.post("/sets/<uuid:set_id>/copy")
@open_to("instructors")
def copy(set_id: UUID) -> Response:
    """Copy a set into a draft for a group."""
    group_id = _uuid(request.form.get("group", ""), gettext("Choose a group."))
    with writing() as session:
        made = sets.copy_set(session, set_id, group_id, account_required().name, services().clock())
    flash(gettext("This is the copy: a draft without a due time."))
    return redirect(url_for("sets.edit", set_id=made.id), 303)


@pages.post("/sets/<uuid:set_id>/delete")
@open_to("instructors")
def delete(set_id: UUID) -> Page:
    """Delete a draft."""
    if "sure" not in request.form:
        return set_page(set_id, refusals=[gettext("Nothing is deleted: tick that you are sure.")]), 400
    with writing() as session:
        group_id = get_set(session, set_id).group_id
        sets.delete_draft(session, set_id)
    flash(gettext("The draft is deleted."))
    return redirect(url_for("groups.group", group_id=group_id), 303)


@pages.post("/sets/<uuid:set_id>/time")
@open_to("instructors")
def more_time(set_id: UUID) -> Page:
    """Give one person more time."""
    form, faults = request.form, Faults()
    minutes = faults.take("minutes", lambda: read_whole(form.get("minutes") or "0"), 0)
    due = faults.take("due", lambda: read_moment(form.get("due_date", ""), form.get("due_time", "")), None)
    try:
        with writing() as session:
            learner_id = _learner(session, set_id)
            reason, by_name, now = form.get("reason", ""), account_required().name, services().clock()
            extend(session, set_id, learner_id, reason=reason, by_name=by_name, at=now, minutes=minutes, due=due)
            _refuse(faults)
    except PlanRefused as refused:
        return set_page(set_id, time_faults=[*faults, *refused.beside]), 400
    flash(gettext("More time is given."))
    return redirect(url_for("sets.show", set_id=set_id, _anchor="time"), 303)


def _worked_on(typed: Typed, group_id: UUID, edited: ProblemSet | None = None, version: int = 0) -> str:
    """The form after a button that keeps nothing: other problems to look at, a new order, an earlier set, variants."""
    do, refusal = request.form.get("do"), ""
    if do == "earlier":
        try:
            earlier = get_set(reading(), _uuid(request.form.get("earlier", ""), ""))
            title = sets.free_title(reading(), group_id, earlier.title)
            typed = with_earlier(typed, plan_now(earlier), title)
        except TrainerError:  # none is chosen, or it is gone
            refusal = gettext("Choose an earlier set.")
    return form_page(typed, group_id, edited, version, refusal=refusal, previewed=do == "preview")


def _learner(session: Session, set_id: UUID) -> UUID:
    """The learner chosen in a form, one of those who have a set."""
    if not request.form.get("learner"):
        raise PlanRefused([("learner", gettext("Choose who gets more time."))])
    learner_id = _uuid(request.form["learner"], gettext("Choose one of the options shown."))
    people = people_of_set(session, set_id, get_set(session, set_id).group_id)
    if learner_id not in {each.learner_id for each in people}:
        raise NotFound(gettext("Nobody of that name has this set."))
    return learner_id


def _refuse(faults: Sequence[Fault]) -> None:
    """Keep nothing of a form that could not be read in full."""
    if faults:
        raise PlanRefused(faults)


def _version() -> int:
    try:
        return read_whole(request.form.get("version", ""))
    except TrainerError as fault:
        raise TrainerError(gettext("Choose one of the options shown.")) from fault


def _editors(set_id: UUID, since: int) -> list[str]:
    """Who has edited a set since a version, each once."""
    return list(dict.fromkeys(each.by_name for each in edits_of(reading(), set_id) if each.version > since))


def _uuid(text: str, otherwise: str) -> UUID:
    try:
        return UUID(text)
    except ValueError as unknown:
        raise TrainerError(otherwise) from unknown
