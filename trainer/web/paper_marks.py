"""Marks from paper: a version found by its code, what a learner wrote on it typed in, and what came of it."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import UUID

from flask import Blueprint, Response, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as Redirect

from trainer.clock import day
from trainer.errors import Conflict, NotFound, TrainerError
from trainer.exchange.tables import paper_table
from trainer.language import gettext
from trainer.practice import paper_marks, paper_results
from trainer.practice.paper_marks import FoundVersion, KeptAlready, Place, Written, WrittenRefused
from trainer.practice.papers import key_of
from trainer.practice.sheet import lay_out
from trainer.storage.groups import Member, members_by_group
from trainer.storage.learners import get_learner
from trainer.web import result_rows as rows_of
from trainer.web.exports import csv_response
from trainer.web.policy import open_to
from trainer.web.practice import typed_text
from trainer.web.services import reading, services, writing
from trainer.web.sheets import row_view
from trainer.web.visits import account_required, decimal_sign

pages = Blueprint("paper_marks", __name__, url_prefix="/papers")
Page = str | tuple[str, int] | Redirect
PLAIN = "mark-{}"  # the box of a plain mark, by the number of its problem


@pages.get("/marks")
@open_to("instructors")
def find() -> Page:
    """Type a code; with one, the version with its true values and what came of it."""
    if not any(request.args.get(name, "").strip() for name in ("code", "paper")):
        return _start()
    try:
        return _version(_found())
    except TrainerError as fault:
        return _start(str(fault)), _status(fault)


@pages.get("/marks/work")
@open_to("instructors")
def work() -> Page:
    """The boxes for what one learner wrote on a version."""
    if not request.args.get("code") or not request.args.get("learner"):
        return redirect(url_for("paper_marks.find", **_again()))
    return _boxes(_found(), _member())


@pages.post("/marks/work")
@open_to("instructors")
def keep() -> Page:
    """Mark and keep what a learner wrote."""
    found, member = _found(), _member()
    try:
        done = _keep(found, member)
    except (WrittenRefused, KeptAlready) as fault:
        faults = fault.faults if isinstance(fault, WrittenRefused) else {(0, "again"): str(fault)}
        return _boxes(found, member, faults), _status(fault)
    flash(gettext("Kept: {name}, {total}.").format(name=member.name, total=rows_of.percent(done)))
    return redirect(_address("paper_marks.find", found), 303)


@pages.get("/marks.csv")
@open_to("instructors")
def results_file() -> Response:
    """The results of a version, or of all papers, as a file."""
    if request.args.get("code"):
        found = _found()
        works = paper_results.works_on(reading(), found.version, found.problems)
        return csv_response(f"paper results {found.code}", paper_table([(found.title, works)]))
    lines = [(line.paper.title if line.paper else "", line.works) for line in paper_results.all_works(reading())]
    return csv_response("paper results", paper_table(lines))


def _found() -> FoundVersion:
    session, library, given = reading(), services().library, request.values
    if "paper" in given:
        return paper_marks.open_version(session, library, _uuid(given["paper"]), _whole(given.get("version", "")))
    problems = given.getlist("problem")
    return paper_marks.find_version(session, library, given.get("code", ""), problems, given.get("title", ""))


def _uuid(text: str) -> UUID:
    try:
        return UUID(text)
    except ValueError as wrong:
        raise NotFound(gettext("There is no such page.")) from wrong


def _whole(text: str) -> int:
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 4 else 0


def _member() -> Member:
    """The learner named, if in a group now."""
    wanted = _uuid(request.values.get("learner", ""))
    for members in members_by_group(reading()).values():
        for member in members:
            if member.learner_id == wanted:
                return member
    raise NotFound(gettext("There is no such learner in a group."))


def _keep(found: FoundVersion, member: Member) -> float:
    """Keep the form and tell the total."""
    with writing() as session:
        learner = get_learner(session, member.learner_id)
        attempts = paper_marks.keep_work(
            session,
            services().library,
            found,
            learner,
            _written(found),
            _worked(),
            services().clock(),
            by_name=account_required().name,
            decimal=decimal_sign(),
            again=request.form.get("again") == "yes",
        )
    return sum(each.value or 0.0 for each in attempts) / len(attempts)


def _written(found: FoundVersion) -> list[Written]:
    return [
        Written(
            {step.name: typed_text(step, request.form, f"{number}-{step.name}") for step in snapshot.steps},
            request.form.get(PLAIN.format(number), ""),
        )
        for number, snapshot in enumerate(found.version.snapshots, 1)
    ]


def _worked() -> date:
    try:
        return date.fromisoformat(request.form.get("worked", "").strip())
    except ValueError:
        return date.min  # no day that a paper can be from, and told as that


def _start(error: str = "") -> str:
    return render_template(
        "paper_marks.html",
        error=error,
        code=request.args.get("code", ""),
        lines=paper_results.all_works(reading()),
        percent=rows_of.percent,
    )


def _version(found: FoundVersion) -> str:
    return render_template(
        "paper_version.html",
        found=found,
        key=key_of(found.version, found.title, decimal_sign()),
        groups=members_by_group(reading()),
        works=paper_results.works_on(reading(), found.version, found.problems),
        hidden=_hidden(found),
        how=paper_results.how,
        worth=paper_results.worth,
        cell_parts=rows_of.cell_parts,
        percent=rows_of.percent,
        file=_address("paper_marks.results_file", found),
    )


def _boxes(found: FoundVersion, member: Member, faults: dict[Place, str] | None = None) -> str:
    works = paper_results.work_of(reading(), found.version, found.problems, member.learner_id)
    return render_template(
        "paper_work.html",
        found=found,
        member=member,
        problems=_problems(found, faults or {}),
        faults={name: said for (number, name), said in (faults or {}).items() if number == 0},
        before=works[-1] if works else None,
        times=len(works),
        worked=request.form.get("worked", day(services().clock())),
        hidden=_hidden(found) | {"learner": [str(member.learner_id)]},
        back=_address("paper_marks.find", found),
        how=paper_results.how,
        worth=paper_results.worth,
        percent=rows_of.percent,
    )


def _problems(found: FoundVersion, faults: dict[Place, str]) -> list[dict[str, Any]]:
    """Each problem with its boxes as they were typed, and its true values."""
    key = key_of(found.version, found.title, decimal_sign())
    return [
        {
            "item": item,
            "rows": _rows(number, snapshot, faults),
            "plain": request.form.get(PLAIN.format(number), ""),
            "plain_name": PLAIN.format(number),
            "plain_fault": faults.get((number, paper_marks.PLAIN_MARK), ""),
        }
        for number, (item, snapshot) in enumerate(zip(key.items, found.version.snapshots, strict=True), 1)
    ]


def _rows(number: int, snapshot: Any, faults: dict[Place, str]) -> list[dict[str, Any]]:
    sheet = lay_out(snapshot, paper_marks.GUIDED, [])
    rows = []
    for row in sheet.rows:
        box, fault = f"{number}-{row.step.name}", faults.get((number, row.step.name), "")
        own = {"name": box, "box": box, "state": "mend" if fault else "open", "message": fault, "autofocus": False}
        rows.append(row_view(sheet, row, "", "") | own | {"typed": typed_text(row.step, request.form, box)})
    return rows


def _hidden(found: FoundVersion) -> dict[str, list[str]]:
    """What leads to this version again: its code, with the problems of a paper that was not made here."""
    told = {} if found.made_here else {"problem": list(found.problems), "title": [found.title]}
    return {"code": [found.code]} | told


def _address(endpoint: str, found: FoundVersion) -> str:
    arguments: dict[str, Any] = {**_hidden(found)}
    return url_for(endpoint, **arguments)


def _again() -> dict[str, Any]:
    """What the address asks for, to ask for it elsewhere."""
    return request.args.to_dict(flat=False)


def _status(fault: TrainerError) -> int:
    return 404 if isinstance(fault, NotFound) else 409 if isinstance(fault, Conflict) else 400
