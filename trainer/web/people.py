"""People: make their accounts one by one or from a list, give codes, disable, export, delete."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import datetime
from typing import Any
from uuid import UUID

from flask import Blueprint, flash, redirect, request, url_for
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response

from trainer.errors import Conflict, NotFound, TrainerError
from trainer.language import gettext
from trainer.practice import people, person_records
from trainer.practice.groups import add_member, remove_member
from trainer.practice.people_lists import ListRefused, PeopleList, list_text, read_list
from trainer.storage.accounts import LEARNER
from trainer.storage.learners import get_learner
from trainer.web.groups import ids
from trainer.web.people_pages import codes_page, delete_page, everybody, list_page, person_page
from trainer.web.policy import open_to
from trainer.web.services import reading, services, writing

pages = Blueprint("people", __name__, url_prefix="/people")
LARGEST_LIST = 1024 * 1024  # of a form, so that a list that is far too long is told so rather than cut off


@pages.url_value_preprocessor
def _take_lists(endpoint: str | None, _values: dict[str, Any] | None) -> None:
    """A list of people is longer than other forms."""
    if endpoint in ("people.read_people", "people.make_people"):
        request.max_content_length = request.max_form_memory_size = LARGEST_LIST


@pages.get("/")
@open_to("instructors")
def index() -> str:
    """Everybody, or those of a group or in a state."""
    return everybody()


@pages.post("/")
@open_to("instructors")
def add() -> tuple[str, int] | Response:
    """Make one person's account and show its code."""
    name, role = request.form.get("name", ""), request.form.get("role", LEARNER)
    try:
        with writing() as session:
            made = people.add_person(session, name, _now(), role=role, group_id=_into())
    except NotFound:
        raise
    except TrainerError as fault:
        return everybody(str(fault), taken=isinstance(fault, Conflict)), _status(fault)
    return codes_page([(made.account.name, made.code)])


@pages.get("/list")
@open_to("instructors")
def list_form() -> str:
    """The form for a list of people."""
    return list_page("")


@pages.post("/list")
@open_to("instructors")
def read_people() -> tuple[str, int]:
    """Read a list and show what is wrong with it and what would be made."""
    text = request.form.get("text", "")
    try:
        text = _sent(text)
    except ListRefused as fault:
        return list_page(text, PeopleList((), fault.faults)), 400
    found = read_list(reading(), text)
    return list_page(text, found), 400 if found.faults else 200


@pages.post("/list/make")
@open_to("instructors")
def make_people() -> tuple[str, int] | Response:
    """Make everybody on a list that has been looked at, or nobody."""
    text = request.form.get("text", "")
    try:
        with writing() as session:
            made = people.add_list(session, text, _now(), _into())
    except ListRefused as fault:
        return list_page(text, PeopleList((), fault.faults)), 400
    return codes_page([(each.account.name, each.code) for each in made])


@pages.get("/<uuid:learner_id>")
@open_to("instructors")
def person(learner_id: UUID) -> str:
    """One person."""
    return person_page(learner_id)


@pages.post("/<uuid:learner_id>/code")
@open_to("instructors")
def new_code(learner_id: UUID) -> tuple[str, int] | Response:
    """Give a new code, or a guest an account; the code is shown on this answer alone."""
    try:
        with writing() as session:
            found = people.find_person(session, learner_id, _now())
            if found.account_id is None:
                code = people.give_account(session, learner_id, _now()).code
            else:
                code = people.new_code(session, found.account_id, _now())
    except Conflict as fault:
        return person_page(learner_id, str(fault)), 409
    return codes_page([(found.name, code)])


@pages.post("/<uuid:learner_id>/name")
@open_to("instructors")
def rename(learner_id: UUID) -> tuple[str, int] | Response:
    """Give a person another name."""
    name = request.form.get("name", "")
    return _change(learner_id, lambda session: people.rename(session, learner_id, name, _now()))


@pages.post("/<uuid:learner_id>/role")
@open_to("instructors")
def change_role(learner_id: UUID) -> tuple[str, int] | Response:
    """Make a learner an instructor, or the other way round."""
    role = request.form.get("role", "")
    return _change_account(learner_id, lambda session, known: people.change_role(session, known, role, _now()))


@pages.post("/<uuid:learner_id>/disabled")
@open_to("instructors")
def disable(learner_id: UUID) -> tuple[str, int] | Response:
    """Let a person in no more, or again."""
    away = request.form.get("disabled") == "yes"
    return _change_account(learner_id, lambda session, known: people.disable(session, known, _now(), away))


@pages.post("/<uuid:learner_id>/groups")
@open_to("instructors")
def put_in(learner_id: UUID) -> tuple[str, int] | Response:
    """Put a person into a group."""

    def put(session: Session) -> None:
        for group_id in ids("group"):
            add_member(session, group_id, learner_id, _now())

    return _change(learner_id, put)


@pages.post("/<uuid:learner_id>/groups/out")
@open_to("instructors")
def take_out(learner_id: UUID) -> tuple[str, int] | Response:
    """Take a person out of a group; what was worked in it stays."""

    def take(session: Session) -> None:
        for group_id in ids("group"):
            remove_member(session, group_id, learner_id, _now())

    return _change(learner_id, take)


@pages.get("/<uuid:learner_id>/record.json")
@open_to("instructors")
def record(learner_id: UUID) -> Response:
    """All that is kept of a person, as a file."""
    kept = person_records.export_person(reading(), learner_id, _now())
    answer = Response(json.dumps(kept, ensure_ascii=False, indent=1) + "\n", mimetype="application/json")
    answer.headers.set("Content-Disposition", "attachment", filename=f"record-{learner_id}.json")
    answer.headers["Cache-Control"] = "no-store"
    return answer


@pages.get("/<uuid:learner_id>/delete")
@open_to("instructors")
def ask_delete(learner_id: UUID) -> str:
    """Ask before a record is deleted."""
    return delete_page(learner_id)


@pages.post("/<uuid:learner_id>/delete")
@open_to("instructors")
def delete(learner_id: UUID) -> tuple[str, int] | Response:
    """Delete a whole record by the key of its export."""
    try:
        with writing() as session:
            name = get_learner(session, learner_id).name
            person_records.delete_person(session, learner_id, request.form.get("key", ""))
    except Conflict as fault:
        return delete_page(learner_id, str(fault)), 409
    flash(gettext("The record of {name} is deleted.").format(name=name))
    return redirect(url_for("people.index"), 303)


def _into() -> UUID | None:
    """The group for who is made; that it is there is seen to when somebody is put in."""
    return next(iter(ids("into")), None)


def _sent(text: str) -> str:
    """The list that was typed, or came as a file."""
    file = request.files.get("file")
    if file is None or not file.filename:
        return text
    if text.strip():
        raise ListRefused([gettext("Give the lines or a file, not both; the box holds the lines that were typed.")])
    return list_text(file.read())


def _change(learner_id: UUID, change: Callable[[Session], Any]) -> tuple[str, int] | Response:
    """Change a person and show them; what cannot be taken is told on the same page."""
    try:
        with writing() as session:
            change(session)
    except NotFound:
        raise
    except TrainerError as fault:
        return person_page(learner_id, str(fault)), _status(fault)
    return redirect(url_for("people.person", learner_id=learner_id), 303)


def _change_account(learner_id: UUID, change: Callable[[Session, UUID], Any]) -> tuple[str, int] | Response:
    """Change the account of a person who has one."""

    def change_it(session: Session) -> None:
        known = people.find_person(session, learner_id, _now()).account_id
        if known is None:
            raise Conflict(gettext("Who is here as a guest has no account yet."))
        change(session, known)

    return _change(learner_id, change_it)


def _now() -> datetime:
    return services().clock()


def _status(fault: TrainerError) -> int:
    return 409 if isinstance(fault, Conflict) else 400
