"""Sign-offs: the evidence for a skill, an instructor's word, and work that was witnessed."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from itertools import groupby
from typing import Any
from uuid import UUID

from flask import Blueprint, Response, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as Redirect

from trainer.errors import Conflict, NotFound, TrainerError
from trainer.figures import Theme
from trainer.language import gettext
from trainer.practice import signoffs
from trainer.practice.signoffs import FieldFault
from trainer.practice.skill_summaries import Summary, record_sheet, summary
from trainer.storage.reviews import get_sign_off
from trainer.web import standing_words
from trainer.web.evidence_rows import evidence_rows, plotted
from trainer.web.plots import image, placed
from trainer.web.policy import open_to
from trainer.web.practice import UNPRINTABLE
from trainer.web.services import reading, services, writing
from trainer.web.show import standing_parts
from trainer.web.visits import account_required, learner_required

pages = Blueprint("signoffs", __name__)
SKILL = "/people/<uuid:learner_id>/skills/<skill>"
Page = str | tuple[str, int] | Redirect


@pages.get("/people/<uuid:learner_id>/skills")
@open_to("instructors")
def person(learner_id: UUID) -> str:
    """All skills of a learner."""
    library = services().library
    sheet = record_sheet(reading(), library, learner_id, services().clock(), all_skills=True)
    begun = [row for row in sheet.rows if row.begun]
    others = groupby((row for row in sheet.rows if not row.begun), lambda row: row.lesson.strand)
    strands = [(strand, library.strands[strand], list(rows)) for strand, rows in others]
    ripe = [row for row in sheet.rows if row.shown and row.signed is None]
    return render_template(
        "signoffs.html",
        sheet=sheet,
        begun=begun,
        strands=strands,
        ripe=ripe,
        words=standing_words,
        parts=standing_parts,
    )


@pages.get(SKILL)
@open_to("instructors")
def skill(learner_id: UUID, skill: str) -> str:
    """The evidence for one skill, what was said of it, and the forms to say more."""
    return _page(_summary(learner_id, skill))


@pages.get(f"{SKILL}/evidence-<any(light, dark, print):theme>.svg")
@open_to("instructors")
def evidence_plot(learner_id: UUID, skill: str, theme: Theme) -> Response:
    """The evidence for one skill over time."""
    return image("evidence over time", plotted(_summary(learner_id, skill)), theme)


@pages.post(f"{SKILL}/sign-offs")
@open_to("instructors")
def sign(learner_id: UUID, skill: str) -> Page:
    """Sign a skill off."""
    known, remark = account_required(), _said("remark")
    try:
        if known.learner_id == learner_id:
            raise Conflict(gettext("Nobody signs off a skill of their own; another instructor does."))
        with writing() as session:
            signoffs.sign_off(session, services().library, learner_id, skill, known.name, services().clock(), remark)
    except (FieldFault, Conflict) as fault:
        return _refused(learner_id, skill, fault, "remark", {"remark": remark})
    flash(gettext("{skill} is signed off.").format(skill=skill))
    return _back(learner_id, skill)


@pages.post(f"{SKILL}/sign-offs/<uuid:sign_off_id>/withdraw")
@open_to("instructors")
def withdraw(learner_id: UUID, skill: str, sign_off_id: UUID) -> Page:
    """Take a sign-off back."""
    known, reason = account_required(), _said("reason")
    try:
        with writing() as session:
            found = get_sign_off(session, sign_off_id)
            if (found.learner_id, found.skill) != (learner_id, skill):
                raise NotFound(gettext("There is no such page."))
            signoffs.withdraw(session, sign_off_id, reason, known.name, services().clock())
    except (FieldFault, Conflict) as fault:
        return _refused(learner_id, skill, fault, "reason", {"reason": reason, "sign_off": str(sign_off_id)})
    flash(gettext("The sign-off is withdrawn; it stays on record with the reason."))
    return _back(learner_id, skill)


@pages.post(f"{SKILL}/witnessed")
@open_to("instructors")
def witness(learner_id: UUID, skill: str) -> Page:
    """Keep what was seen done on real equipment."""
    known = account_required()
    typed = {name: _said(name) for name in ("what", "equipment", "seen_by", "seen_on")}
    try:
        day = _day(typed["seen_on"])
        with writing() as session:
            signoffs.witness(
                session,
                services().library,
                learner_id,
                skill,
                what=typed["what"],
                equipment=typed["equipment"],
                seen_by=typed["seen_by"],
                seen_on=day,
                by_name=known.name,
                at=services().clock(),
            )
    except FieldFault as fault:
        return _refused(learner_id, skill, fault, fault.field, typed)
    flash(gettext("What was seen is kept."))
    return _back(learner_id, skill)


@pages.get("/people/<uuid:learner_id>/record")
@open_to("instructors")
def record(learner_id: UUID) -> str:
    """A learner's training record, to be printed."""
    return _record(learner_id, "teaching")


@pages.get("/progress/record")
@open_to("visitors")
def own() -> str:
    """One's own training record, to be printed."""
    return _record(learner_required().id, "progress")


def _record(learner_id: UUID, section: str) -> str:
    sheet = record_sheet(reading(), services().library, learner_id, services().clock())
    return render_template("training_record.html", sheet=sheet, section=section, parts=standing_parts)


def _summary(learner_id: UUID, skill: str) -> Summary:
    return summary(reading(), services().library, learner_id, skill, services().clock())


def _page(found: Summary, typed: Mapping[str, str] | None = None, faults: Mapping[str, str] | None = None) -> str:
    now, who, what = found.standing, found.learner.id, found.lesson.skill
    return render_template(
        "signoff_skill.html",
        found=found,
        parts=standing_parts(now),
        lacking=standing_words.lacking(now, found.lesson.safety, found.problems),
        coming=standing_words.coming(now),
        estimate=standing_words.estimated(found.estimate),
        rows=evidence_rows(found),
        plot=placed(
            "evidence over time",
            plotted(found),
            lambda theme: url_for("signoffs.evidence_plot", learner_id=who, skill=what, theme=theme),
        ),
        own=account_required().learner_id == found.learner.id,
        typed=typed or {},
        faults=faults or {},
        today=services().clock().date().isoformat(),
    )


def _refused(learner_id: UUID, skill: str, fault: TrainerError, field: str, typed: Mapping[str, Any]) -> Page:
    """The page again with what was typed, and the sentence beside its box."""
    status = 409 if isinstance(fault, Conflict) else 400
    return _page(_summary(learner_id, skill), typed, {field: str(fault)}), status


def _back(learner_id: UUID, skill: str) -> Redirect:
    return redirect(url_for("signoffs.skill", learner_id=learner_id, skill=skill), 303)


def _said(name: str) -> str:
    return request.form.get(name, "").translate(UNPRINTABLE)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise FieldFault("seen_on", gettext("Write the day as year, month and day, such as 2026-03-04.")) from None
