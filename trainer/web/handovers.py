"""Records between PCs: hand one over as a file, look at a file that was sent in, keep what is in it."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from flask import Blueprint, Response, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as Redirect

from trainer.errors import Conflict, NotFound, TrainerError
from trainer.exchange import arrivals
from trainer.exchange.handover_words import name_of, summary
from trainer.exchange.handovers import ENDING, LARGEST_FILE, FileTooLarge, Opened, installation, pack, unpack
from trainer.language import gettext
from trainer.practice import handovers
from trainer.practice.people import list_people
from trainer.storage.accounts import guests_outside_groups, name_key
from trainer.storage.learners import get_learner
from trainer.web.exports import file_name
from trainer.web.policy import open_to
from trainer.web.services import reading, services, writing
from trainer.web.visits import learner_required

pages = Blueprint("handovers", __name__, url_prefix="/handovers")
FORM_AROUND = 64 * 1024  # what a form takes beside the file in it
Page = str | tuple[str, int] | Redirect


@pages.url_value_preprocessor
def _leave_room(endpoint: str | None, _values: dict[str, Any] | None) -> None:
    """A file is larger than other forms."""
    if endpoint == "handovers.send":
        request.max_content_length = LARGEST_FILE + FORM_AROUND


@pages.get("/")
@open_to("instructors")
def index() -> str:
    """Hand a record over, or send one in."""
    return _index()


@pages.get("/mine")
@open_to("visitors")
def own_file() -> Response:
    """The record of who is at this browser, as a file for another PC; right values of open sheets are not in it."""
    return _file(learner_required().id, under_way=False)


@pages.get("/record")
@open_to("instructors")
def person_file() -> Response | Redirect:
    """The record of a person, as a file for another PC."""
    chosen = request.args.get("learner", "")
    return _file(_id(chosen)) if chosen else redirect(url_for("handovers.index"))


@pages.post("/")
@open_to("instructors")
def send() -> Page:
    """Take a file and show what is in it; nothing of it is kept yet."""
    sent = request.files.get("file")
    content = sent.read(LARGEST_FILE + 1) if sent else b""
    try:
        if not content:
            raise TrainerError(gettext("Choose the file that was handed over."))
        unpack(content)
        name = arrivals.put_by(services().settings.data, content, services().clock())
    except TrainerError as fault:
        return _index(str(fault)), 413 if isinstance(fault, FileTooLarge) else 400
    return redirect(url_for("handovers.look", file=name), 303)


@pages.get("/look")
@open_to("instructors")
def look() -> Page:
    """What would come of a file that was sent in."""
    name = request.args.get("file", "")
    if not name:
        return redirect(url_for("handovers.index"))
    return _look(name, request.args.get("into"))


@pages.post("/keep")
@open_to("instructors")
def keep() -> Page:
    """Join what is in a file with what is here; whose it is is looked at first if that was chosen anew."""
    name, into = request.form.get("file", ""), request.form.get("into", "")
    if into != request.form.get("seen", into) or request.form.get("do") == "look":
        return redirect(url_for("handovers.look", file=name, into=into), 303)
    carried = _opened(name).carried
    try:
        with writing() as session:
            arrival = handovers.collect(session, carried, _id(into) if into else None)
    except Conflict as fault:
        return _look(name, into, str(fault))
    arrivals.leave(services().settings.data, name)
    said = gettext("The record of {name} is kept: {what}.")
    flash(said.format(name=name_of(carried.learner["name"]), what="; ".join(summary(arrival))))
    return redirect(url_for("people.person", learner_id=arrival.into), 303)


@pages.post("/leave")
@open_to("instructors")
def leave() -> Redirect:
    """Keep nothing of a file."""
    arrivals.leave(services().settings.data, request.form.get("file", ""))
    flash(gettext("The file is put away; nothing of it was kept."))
    return redirect(url_for("handovers.index"), 303)


def _index(error: str = "") -> str:
    session = reading()
    people = list_people(session, services().clock())
    outside = guests_outside_groups(session)
    known = [(str(row.learner_id), row.name) for row in people] + [(str(each.id), each.name) for each in outside]
    return render_template(
        "handovers.html",
        people=sorted(((key, name) for key, name in known if name), key=lambda each: name_key(each[1])),
        outside=outside,
        error=error,
        most=LARGEST_FILE // 1024**2,
    )


def _look(name: str, into: str | None, error: str = "") -> str | tuple[str, int]:
    """The page of a file; without a word on whose it is, the record is proposed under which its work stands here."""
    opened, session = _opened(name), reading()
    own = opened.carried.learner["id"]
    under = [each for each in handovers.known_under(session, opened.carried) if each.id != own]
    if into is None:
        into = str(under[0].id) if under else ""
    try:
        arrival = handovers.look(session, opened.carried, _id(into) if into else None)
    except Conflict as fault:
        arrival, error = None, error or str(fault)
    shown = render_template(
        "handover_look.html",
        file=name,
        opened=opened,
        from_here=opened.origin == installation(services().settings.data),
        person=opened.carried.learner,
        name=name_of(opened.carried.learner["name"]),
        arrival=arrival,
        told=summary(arrival) if arrival else [],
        target=get_learner(session, arrival.into) if arrival and (arrival.known or into) else None,
        options=_options(opened, bool(arrival and arrival.known and not under)),
        under=under,
        into=into,
        error=error,
    )
    return (shown, 409) if error else shown


def _options(opened: Opened, settled: bool) -> list[tuple[str, str]]:
    """The records that may be the same person's, those of the same name first; none where there is no question."""
    if settled:
        return []
    person = opened.carried.learner
    rows = [(row.learner_id, row.name, row.groups) for row in list_people(reading(), services().clock())]
    rows += [(each.id, each.name, ()) for each in guests_outside_groups(reading())]
    others = [row for row in rows if row[0] != person["id"]]
    others.sort(key=lambda row: (name_key(row[1]) != name_key(person["name"]), name_key(row[1])))
    listed = [(str(own), _called(name, [group for _, group in groups])) for own, name, groups in others]
    return [("", gettext("nobody: a record of its own")), *listed]


def _called(name: str, groups: list[str]) -> str:
    return f"{name_of(name)} ({', '.join(groups)})" if groups else name_of(name)


def _opened(name: str) -> Opened:
    return unpack(arrivals.waiting(services().settings.data, name))


def _file(learner_id: UUID, under_way: bool = True) -> Response:
    """A record as a file to take along."""
    now, data = services().clock(), services().settings.data
    carried = handovers.hand_over(reading(), learner_id, under_way=under_way)
    answer = Response(pack(carried, now, installation(data)), mimetype="application/octet-stream")
    called = file_name(f"{carried.learner['name'] or 'record'} {now:%Y-%m-%d}.{ENDING}")
    answer.headers.set("Content-Disposition", "attachment", filename=called)
    answer.headers["Cache-Control"] = "no-store"
    return answer


def _id(text: str) -> UUID:
    try:
        return UUID(text)
    except ValueError as fault:
        raise NotFound(gettext("There is no such person.")) from fault
