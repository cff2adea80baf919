"""Results of a set, a learner's sheet with what is said of it, marking again, slips seen."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID

from flask import Blueprint, Response, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as Redirect

from trainer.errors import Conflict, NotFound, TrainerError
from trainer.figures import Form, Theme
from trainer.language import gettext, ngettext
from trainer.practice import hand_ins, remarking, reviews
from trainer.practice import results as found_results
from trainer.storage.attempts import get_attempt
from trainer.storage.groups import get_group, members_of
from trainer.storage.papers import PAPER
from trainer.storage.problem_sets import get_set
from trainer.storage.results import people_at_work, slip_counts, slip_people
from trainer.storage.set_tries import get_try
from trainer.web import result_rows as rows_of
from trainer.web.figures import image_of
from trainer.web.policy import open_to
from trainer.web.services import reading, services, writing
from trainer.web.sheets import figure_of, listed_givens, solution_rows
from trainer.web.visits import account_required, decimal_sign
from trainer.worksheets.snapshot import Snapshot

pages = Blueprint("results", __name__)
MOST_FREQUENT = 3
MOST_TICKED = 1000  # as many ticks as a form may hold
WINDOWS = {"30": 30, "all": None}
Page = str | tuple[str, int] | Redirect


@pages.get("/sets/<uuid:set_id>/results")
@open_to("instructors")
def table(set_id: UUID) -> str:
    """Learners by problems."""
    at, library = services().clock(), services().library
    found = found_results.result_table(reading(), set_id, at)
    state, order = request.args.get("state", ""), request.args.get("order", "name")
    handed_in = [row for row in found.rows if row.total is not None]
    return render_template(
        "results.html",
        found=found,
        rows=rows_of.wanted_rows(found.rows, state, order),
        problems=library.problems,
        handed_in=len(handed_in),
        passed=sum(row.state == found_results.PASSED for row in handed_in),
        over=rows_of.over(found.rows, at),
        slips=slip_counts(reading(), set_id=set_id)[:MOST_FREQUENT],
        lessons=library.lessons,
        state=state,
        order=order,
        states=[(each, rows_of.state_parts(each)[0]) for each in found_results.STATES],
        state_parts=rows_of.state_parts,
        cell_parts=rows_of.cell_parts,
        percent=rows_of.percent,
    )


@pages.post("/sets/<uuid:set_id>/results/taken-in")
@open_to("instructors")
def settle(set_id: UUID) -> Redirect:
    """Take in the tries whose time is over, with what was kept."""
    with writing() as session:
        get_set(session, set_id)
        taken = hand_ins.settle(session, services().clock(), services().library.worksheets, set_id=set_id)
    flash(ngettext("{n} try was taken in.", "{n} tries were taken in.", taken).format(n=taken))
    return redirect(url_for("results.table", set_id=set_id), 303)


@pages.get("/results/<uuid:attempt_id>")
@open_to("instructors")
def attempt(attempt_id: UUID) -> str:
    """A learner's sheet, with all that was typed, marked and said."""
    return _sheet(attempt_id, {})


@pages.get("/results/<uuid:attempt_id>/<any(open, solved):form>-<any(light, dark, print):theme>.svg")
@open_to("instructors")
def figure(attempt_id: UUID, form: Form, theme: Theme) -> Response:
    """The figure of a learner's sheet."""
    return image_of(Snapshot.from_json(get_attempt(reading(), attempt_id).snapshot), form, theme)


@pages.post("/results/<uuid:attempt_id>/override")
@open_to("instructors")
def override(attempt_id: UUID) -> Page:
    """Give an attempt a mark by hand."""
    name, field = account_required().name, "value"
    try:
        share = rows_of.read_share(request.form.get("value", ""))
        field = "reason"
        with writing() as session:
            reviews.override(session, attempt_id, share, request.form.get("reason", ""), name, services().clock())
    except TrainerError as fault:
        return _sheet(attempt_id, {field: str(fault)}), _status(fault)
    flash(gettext("The mark is kept; the one by the entries stays beside it."))
    return redirect(url_for("results.attempt", attempt_id=attempt_id), 303)


@pages.post("/results/<uuid:attempt_id>/remark")
@open_to("instructors")
def remark(attempt_id: UUID) -> Page:
    """Say a word to the learner."""
    name = account_required().name
    try:
        with writing() as session:
            reviews.remark(session, attempt_id, request.form.get("text", ""), name, services().clock())
    except TrainerError as fault:
        return _sheet(attempt_id, {"text": str(fault)}), _status(fault)
    flash(gettext("The remark is kept; the learner sees it with the sheet."))
    return redirect(url_for("results.attempt", attempt_id=attempt_id), 303)


@pages.get("/complaints/")
@open_to("instructors")
def complaints() -> str:
    """What learners find wrong, open or settled."""
    return _complaints(bool(request.args.get("settled")), None, "")


@pages.post("/complaints/<uuid:complaint_id>/answer")
@open_to("instructors")
def answer(complaint_id: UUID) -> Page:
    """Answer a complaint, which settles it."""
    name = account_required().name
    try:
        with writing() as session:
            text = request.form.get("answer", "")
            about = reviews.answer(session, complaint_id, text, name, services().clock()).attempt_id
    except NotFound:
        raise
    except TrainerError as fault:
        return _complaints(False, complaint_id, str(fault)), _status(fault)
    flash(gettext("The answer is kept; the learner sees it with the sheet."))
    if request.form.get("back") == "sheet":
        return redirect(url_for("results.attempt", attempt_id=about), 303)
    return redirect(url_for("results.complaints"), 303)


@pages.get("/sets/<uuid:set_id>/marking")
@open_to("instructors")
def remark_preview(set_id: UUID) -> str:
    """What marking a set again would change."""
    return _preview(set_id)


@pages.post("/sets/<uuid:set_id>/marking")
@open_to("instructors")
def mark_again(set_id: UUID) -> Page:
    """Mark the ticked sheets again."""
    ticked, reason = set(request.form.getlist("attempt", type=UUID)), request.form.get("reason", "")
    name = account_required().name
    try:
        if not ticked:
            raise TrainerError(gettext("Tick at least one sheet."))
        with writing() as session:
            done = remarking.apply(session, set_id, services().library, reason, name, services().clock(), only=ticked)
    except TrainerError as fault:
        return _preview(set_id, ticked, str(fault)), _status(fault)
    said = ngettext("{n} sheet was marked again.", "{n} sheets were marked again.", len(done))
    flash(said.format(n=len(done)))
    return redirect(url_for("results.remark_preview", set_id=set_id), 303)


@pages.get("/groups/<uuid:group_id>/slips")
@open_to("instructors")
def slips(group_id: UUID) -> str:
    """Which mistakes a group makes: what to teach tomorrow."""
    window = request.args.get("days", "30")
    days = WINDOWS.get(window, 30)
    since = None if days is None else services().clock() - timedelta(days=days)
    named = bool(request.args.get("names"))
    counted = slip_counts(reading(), group_id=group_id, since=since)
    return render_template(
        "slips.html",
        group=get_group(reading(), group_id),
        members=len(members_of(reading(), group_id)),
        at_work=people_at_work(reading(), group_id, since),
        slips=sorted(counted, key=lambda slip: (-slip.learners, -slip.entries)),
        names=slip_people(reading(), group_id, since) if named else None,
        lessons=services().library.lessons,
        by_skill=services().library.by_skill,
        days=days,
    )


def _status(fault: TrainerError) -> int:
    return 409 if isinstance(fault, Conflict) else 400


def _sheet(attempt_id: UUID, faults: dict[str, str]) -> str:
    opened = reviews.review(reading(), attempt_id)
    worked, of_set = opened.sheet.snapshot, opened.attempt.set_try_id
    set_try = get_try(reading(), of_set) if of_set else None
    shown = opened.corrected or worked
    return render_template(
        "attempt.html",
        opened=opened,
        kept=worked,
        set_try=set_try,
        problem_set=get_set(reading(), set_try.set_id) if set_try else None,
        text=worked.text(decimal_sign()),
        givens=listed_givens(worked),
        rows=solution_rows(shown, {}),
        corrections=_corrections(worked, opened.corrected),
        entries=list(rows_of.entry_lines(opened)),
        figure=figure_of(worked, "solved", lambda form, theme: _figure_address(attempt_id, form, theme)),
        listed=worked.problem in services().library.problems,
        by_hand=opened.attempt.finished is not None and (set_try is not None or opened.attempt.source_kind == PAPER),
        percent=rows_of.percent,
        typed=request.form,
        faults=faults,
    )


def _corrections(worked: Snapshot, corrected: Snapshot | None) -> list[str]:
    if corrected is None:
        return []
    return list(rows_of.change_lines(rows_of.corrected_steps(worked, corrected), corrected))


def _figure_address(attempt_id: UUID, form: Form, theme: Theme) -> str:
    return url_for("results.figure", attempt_id=attempt_id, form=form, theme=theme)


def _complaints(settled: bool, answering: UUID | None, fault: str) -> str:
    """The list; where an answer was refused, with what was typed, also when somebody else has settled it meanwhile."""
    found = reviews.complaints(reading(), settled=settled)
    variants = {row.complaint.id: Snapshot.from_json(row.snapshot) for row in found}
    return render_template(
        "complaints.html",
        rows=found[::-1] if settled else found,
        variants=variants,
        texts={name: kept.text(decimal_sign()) for name, kept in variants.items()},
        settled=settled,
        answering=answering,
        stray=answering is not None and answering not in variants,
        fault=fault,
        typed=request.form.get("answer", ""),
    )


def _preview(set_id: UUID, ticked: set[UUID] | None = None, fault: str = "") -> str:
    found = remarking.preview(reading(), set_id, services().library)
    by_state: dict[str, list[Any]] = {}
    for row in found:
        by_state.setdefault(row.state, []).append(row)
    return render_template(
        "marking.html",
        problem_set=get_set(reading(), set_id),
        changed=by_state.get(remarking.CHANGED, []),
        impossible=by_state.get(remarking.IMPOSSIBLE, []),
        unchanged=len(by_state.get(remarking.UNCHANGED, [])),
        ticked=ticked,
        fault=fault,
        reason=request.form.get("reason", ""),
        most=MOST_TICKED,
        percent=rows_of.percent,
        changes=rows_of.change_lines,
        marks=rows_of.mark_changes,
    )
