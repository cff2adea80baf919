"""The pages about people as the templates want them, for the first look and for a form that is shown again."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from flask import make_response, render_template, request
from werkzeug.wrappers import Response

from trainer.practice import people
from trainer.practice.accounts import CODE_VALID, LONGEST_NAME
from trainer.practice.people import GUEST, PersonRow
from trainer.practice.people_lists import MOST_LINES, PeopleList
from trainer.storage.groups import list_groups
from trainer.web.services import reading, services

NO_GROUP = "none"


def everybody(error: str = "", taken: bool = False) -> str:
    """The list of people, narrowed by the address; ``taken`` says that a name was, maybe by this form sent before."""
    rows = people.list_people(reading(), services().clock())
    group, state = request.args.get("group", ""), request.args.get("state", "")
    return render_template(
        "people.html",
        rows=[row for row in rows if _wanted(row, group, state)],
        everybody=len(rows),
        groups=_group_options(),
        group=group,
        state=state,
        no_group=NO_GROUP,
        typed=request.form,
        error=error,
        taken=taken,
    )


def list_page(text: str, found: PeopleList | None = None) -> str:
    """The form for a list of people, with what came of looking at one."""
    options, into = _group_options(), request.form.get("into", "")
    return render_template(
        "people_list.html",
        text=text,
        found=found,
        groups=options,
        into=into,
        into_name=dict(options).get(into, ""),
        most=MOST_LINES,
        longest_name=LONGEST_NAME,
    )


def codes_page(codes: Sequence[tuple[str, str]]) -> Response:
    """Codes on slips by name, on this answer and never again: they are kept by their hashes only."""
    until = services().clock() + CODE_VALID
    answer = make_response(render_template("codes.html", codes=codes, until=until))
    answer.headers["Cache-Control"] = "no-store"
    return answer


def person_page(learner_id: UUID, error: str = "") -> str:
    """One person with all that can be changed."""
    found = people.find_person(reading(), learner_id, services().clock())
    own = {str(group_id) for group_id, _ in found.groups}
    others = [option for option in _group_options() if option[0] not in own]
    return render_template("person.html", person=found, others=others, typed=request.form, error=error)


def delete_page(learner_id: UUID, error: str = "") -> str:
    """What is asked before a record is deleted."""
    found = people.find_person(reading(), learner_id, services().clock())
    return render_template("person_delete.html", person=found, key=request.form.get("key", ""), error=error)


def _wanted(row: PersonRow, group: str, state: str) -> bool:
    own = {str(group_id) for group_id, _ in row.groups} or {NO_GROUP}
    return (not group or group in own) and state in ("", GUEST if row.role == GUEST else row.state)


def _group_options() -> Sequence[tuple[str, str]]:
    return [(str(line.group.id), line.group.name) for line in list_groups(reading())]
