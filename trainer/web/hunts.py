"""Fault hunts: choose a rig, prepare and measure, name the fault, look back."""

from __future__ import annotations

import random
from uuid import UUID

from flask import Blueprint, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from trainer.bench.hunts import SHARES, Notebook
from trainer.bench.plans import remaining
from trainer.errors import TrainerError
from trainer.language import gettext
from trainer.practice import hunts
from trainer.practice.hunts import OpenHunt
from trainer.web.hunt_pages import act_lines, offered, score_lines, states
from trainer.web.policy import open_to
from trainer.web.practice import new_token
from trainer.web.result_rows import percent
from trainer.web.services import reading, services, writing
from trainer.web.visits import decimal_sign, is_instructor, learner_or_guest, learner_required

pages = Blueprint("hunts", __name__, url_prefix="/hunts")
ANY = "any"


@pages.get("/")
@open_to("visitors")
def index() -> str:
    """The rigs to hunt on."""
    return render_template("hunts.html", rigs=services().library.bench.rigs.values())


@pages.post("/")
@open_to("visitors")
def start() -> Response:
    """Start a hunt on a rig, or on any."""
    bench, name = services().library.bench, request.form.get("rig", "")
    if name == ANY and bench.rigs:
        name = random.SystemRandom().choice(sorted(bench.rigs))
    with writing() as session:
        made = hunts.start(session, learner_or_guest(session).id, bench, name, services().clock())
    return redirect(url_for("hunts.hunt", hunt_id=made.id), 303)


@pages.get("/<uuid:hunt_id>")
@open_to("visitors")
def hunt(hunt_id: UUID) -> str | Response:
    """A hunt as it stands."""
    opened = _own(hunt_id)
    if opened.answer is not None:
        return redirect(url_for("hunts.debrief", hunt_id=hunt_id), 303)
    advice = opened.hunt.advice(opened.notes) if request.args.get("advice") and opened.attempt.aided else None
    return render_template(
        "hunt.html",
        opened=opened,
        places=offered(opened),
        states=states(opened),
        lines=act_lines(opened),
        advice=advice,
        asked="advice" in request.args and opened.attempt.aided,
        decimal=decimal_sign(),
        token=new_token(),
    )


@pages.post("/<uuid:hunt_id>/acts")
@open_to("visitors")
def act(hunt_id: UUID) -> Response:
    """Do one thing."""
    known, name = learner_required(), request.form.get("act", "")
    with writing() as session:
        hunts.act(session, hunt_id, known, name, _token(), services().clock(), services().library.bench)
    return redirect(url_for("hunts.hunt", hunt_id=hunt_id, _anchor="newest"), 303)


@pages.post("/<uuid:hunt_id>/advice")
@open_to("visitors")
def advise(hunt_id: UUID) -> Response:
    """Have the next measurement proposed."""
    known = learner_required()
    with writing() as session:
        hunts.ask_advice(session, hunt_id, known, services().library.bench)
    return redirect(url_for("hunts.hunt", hunt_id=hunt_id, advice=1, _anchor="advice"), 303)


@pages.get("/<uuid:hunt_id>/answer")
@open_to("visitors")
def name_fault(hunt_id: UUID) -> str | Response:
    """Choose what is wrong, then what is to be done."""
    opened = _own(hunt_id)
    if opened.answer is not None:
        return redirect(url_for("hunts.debrief", hunt_id=hunt_id), 303)
    return _answer_form(opened, request.args.get("fault", ""))


@pages.post("/<uuid:hunt_id>/answer")
@open_to("visitors")
def answer(hunt_id: UUID) -> str | tuple[str, int] | Response:
    """End the hunt with an answer."""
    known, form = learner_required(), request.form
    fault, remedy = form.get("fault", ""), form.get("remedy", "")
    try:
        with writing() as session:
            bench, at = services().library.bench, services().clock()
            hunts.answer(session, hunt_id, known, fault, remedy, _token(), at, bench)
    except TrainerError as wrong:
        if type(wrong) is not TrainerError:
            raise
        return _answer_form(_own(hunt_id), fault, str(wrong)), 400
    return redirect(url_for("hunts.debrief", hunt_id=hunt_id), 303)


@pages.get("/<uuid:hunt_id>/debrief")
@open_to("visitors")
def debrief(hunt_id: UUID) -> str | Response:
    """What was wrong, what each act told, and what would have told more."""
    bench = services().library.bench
    opened = hunts.look(reading(), hunt_id, bench) if is_instructor() else _own(hunt_id)
    if opened.answer is None or opened.score is None:
        return redirect(url_for("hunts.hunt", hunt_id=hunt_id), 303)
    plan = opened.hunt.best_plan()
    return render_template(
        "hunt_debrief.html",
        opened=opened,
        score=score_lines(opened.score, SHARES),
        lines=act_lines(opened, looking_back=True),
        plan=act_lines(opened, plan, looking_back=True),
        minutes=plan.minutes,
        left=_left(opened, opened.notes),
        suspects=opened.suspects,
        twins=[gettext(opened.suspects[name].title) for name in opened.score.twins],
        percent=percent,
        rig=opened.attempt.source,
    )


def _left(opened: OpenHunt, notes: Notebook) -> list[str]:
    return [opened.suspects[name].title for name in remaining(opened.hunt.situation, notes.left)]


def _answer_form(opened: OpenHunt, fault: str, error: str = "") -> str:
    known = fault in opened.suspects
    return render_template(
        "hunt_answer.html",
        opened=opened,
        fault=fault if known else "",
        remedies=hunts.remedies(opened, fault) if known else [],
        error=error,
        token=new_token(),
    )


def _own(hunt_id: UUID) -> OpenHunt:
    return hunts.look(reading(), hunt_id, services().library.bench, learner_required().id)


def _token() -> str:
    token = request.form.get("form_token", "")
    if not token or len(token) > 64:
        raise TrainerError(gettext("This form is not complete; open the page again."))
    return token
