"""Own problems: choose a worksheet and ranges, look at variants, keep them in a bank; or store a bank as text."""

from __future__ import annotations

import math
from typing import Any

from flask import Blueprint, Response, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as Redirect

from trainer.content.own_banks import own_banks, read_bank, texts_of
from trainer.errors import Conflict, NotFound, TrainerError
from trainer.figures import FORMS, Theme, draw
from trainer.language import gettext
from trainer.practice import own_problems as own
from trainer.practice.problem_forms import ReadForm, read_form
from trainer.practice.problem_texts import texts_of as boxes_of
from trainer.practice.public import problem_of
from trainer.storage.attempts import times_worked
from trainer.web.bank_text import take_text, text_page
from trainer.web.policy import open_to
from trainer.web.problem_boxes import Place, differences, form_page, worksheets_by_skill
from trainer.web.problem_look import look_at, spread_values
from trainer.web.services import reading, services, writing
from trainer.web.visits import decimal_sign

pages = Blueprint("own_problems", __name__, url_prefix="/own-problems")
LARGEST_FORM = 512 * 1024  # the text of a bank, each sign written as three
FIRST_BANK = "own"
Page = str | tuple[str, int] | Redirect


@pages.url_value_preprocessor
def _leave_room(_endpoint: str | None, _values: dict[str, Any] | None) -> None:
    """Before anything reads the form, which here may be long."""
    request.max_content_length = request.max_form_memory_size = LARGEST_FORM


@pages.get("/")
@open_to("instructors")
def index() -> str:
    """The banks of the data folder."""
    found = services()
    rows = own.bank_rows(reading(), found.settings.data, found.library)
    return render_template("own_problems.html", rows=rows, version_of=own.version_of, lessons=found.library.lessons)


@pages.get("/worksheets")
@open_to("instructors")
def worksheets() -> str:
    """What a problem can be made with, and the problems that can be copied."""
    wanted = {name: request.args.get(name, "") for name in ("strand", "skill")}
    library = services().library
    groups = worksheets_by_skill(library, wanted)
    titles = {skill: lesson.title for skill, lesson in library.lessons.items()}
    return render_template("own_worksheets.html", groups=groups, wanted=wanted, strands=library.strands, skills=titles)


@pages.route("/new", methods=["GET", "POST"])
@open_to("instructors")
def new() -> Page:
    """Make a problem, from nothing or from a copy of another."""
    if request.method == "POST":
        return _sent(None)
    library, copied = services().library, request.args.get("copy", "")
    if copied:
        texts = boxes_of(problem_of(library.problems, copied), decimal_sign())
        texts["id"] = f"own-{copied}"
    elif request.args.get("worksheet", "") in library.worksheets:
        texts = {"worksheet": request.args["worksheet"], "level": "F"}
    else:
        return redirect(url_for("own_problems.worksheets"))
    banks = own_banks(services().settings.data)
    return form_page(texts | {"bank": request.args.get("bank", "") or (banks or [FIRST_BANK])[0]}, None)


@pages.route("/banks/<name>/problems/<problem_id>", methods=["GET", "POST"])
@open_to("instructors")
def change(name: str, problem_id: str) -> Page:
    """Change a problem, or make its next version where it has been worked."""
    if request.method == "POST":
        try:
            return _sent(_place(name, problem_id))
        except NotFound as gone:
            texts = request.form.to_dict() | {"id": problem_id, "bank": name}
            told = gettext("Keeping it puts it there anew.")
            return form_page(texts, None, refusal=f"{gone} {told}"), 409
    place = _place(name, problem_id)
    problem = problem_of(services().library.problems, problem_id)
    return form_page(boxes_of(problem, decimal_sign()), place)


@pages.get("/look/<problem_id>")
@open_to("instructors")
def look(problem_id: str) -> str:
    """Twenty variants of a problem as it is stored, and what its draws come to."""
    problem = problem_of(services().library.problems, problem_id)
    return render_template("own_look.html", problem=problem, look=look_at(problem))


@pages.get("/spread-<any(light, dark, print):theme>.svg")
@open_to("instructors")
def spread(theme: Theme) -> Response:
    """How the values of a step spread, by the counts in the address."""
    counts = [_whole(text) for text in request.args.getlist("count")]
    low, high = (_number(request.args.get(end, "")) for end in ("low", "high"))
    own_unit, title = request.args.get("unit", ""), request.args.get("title", "")
    values = spread_values(counts, low, high, own_unit, _whole(request.args.get("decimals", "0")), title)
    return Response(draw("spread", values, FORMS[1], theme, decimal_sign()), mimetype="image/svg+xml")


@pages.route("/bank", methods=["GET", "POST"])
@open_to("instructors")
def new_bank() -> Page:
    """Store a bank given as text."""
    return take_text("") if request.method == "POST" else text_page("")


@pages.route("/banks/<name>/text", methods=["GET", "POST"])
@open_to("instructors")
def bank_text(name: str) -> Page:
    """Change a bank as text, or go back to one of its earlier texts."""
    data = services().settings.data
    if not read_bank(data, name).seen and not texts_of(data, name):
        raise NotFound(gettext("There is no such bank."))
    return take_text(name) if request.method == "POST" else text_page(name)


@pages.get("/banks/<name>.toml")
@open_to("instructors")
def bank_file(name: str) -> Response:
    """A bank as a file."""
    bank = read_bank(services().settings.data, name)
    if not bank.seen:
        raise NotFound(gettext("There is no such bank."))
    answer = Response(bank.text, mimetype="text/plain")
    answer.headers.set("Content-Disposition", "attachment", filename=bank.file)
    return answer


def _place(name: str, problem_id: str) -> Place:
    """Where a problem stands, as it is now."""
    bank = read_bank(services().settings.data, name)
    entry = own.entry_of(bank, problem_id)
    worked = times_worked(reading(), [problem_id]).get(problem_id, 0)
    replaced_by = str(entry.get("replaced_by", ""))
    return Place(name, problem_id, bank.seen, own.mark_of(entry), worked, replaced_by, str(entry.get("worksheet", "")))


def _sent(place: Place | None) -> Page:
    """A form that was sent: looked at, or kept if it is sound; what was typed stays in any case."""
    texts = request.form.to_dict()
    if place:
        texts |= {"id": place.problem, "bank": place.bank, "worksheet": place.worksheet}
    form = _read(texts, place)
    looked = look_at(form.problem) if form.problem else None
    if request.form.get("do") != "keep":
        return form_page(texts, place, form, looked), 400 if form.faults else 200
    if form.problem is None or looked is None or not looked.sound:
        return form_page(texts, place, form, looked), 400
    try:
        return _kept(texts, form, place)
    except own.ProblemChanged as late:
        now = _place(texts["bank"], texts["id"])
        changes = differences(form.problem, problem_of(services().library.problems, now.problem))
        return form_page(texts, now, form, looked, refusal=str(late), changes=changes), 409
    except Conflict as late:
        return form_page(texts, place, form, looked, refusal=str(late)), 409


def _read(texts: dict[str, str], place: Place | None) -> ReadForm:
    library, name = services().library, texts.get("bank", "")
    taken = own.taken_ids(library, but=place.problem if place else "")
    form = read_form(texts, library.worksheets, f"{name}.toml", decimal_sign(), taken)
    try:
        read_bank(services().settings.data, name)
    except TrainerError as fault:
        form.tell("bank", str(fault))
        form.problem = None
    return form


def _kept(texts: dict[str, str], form: ReadForm, place: Place | None) -> Redirect:
    found, bank = services(), texts["bank"]
    with writing() as session:
        if place:
            seen = (request.form.get("seen", ""), request.form.get("entry_seen", ""))
            stored = own.change_problem(
                session, found.settings.data, bank, place.problem, form.entry, seen, found.library
            )
        else:
            stored = own.add_problem(found.settings.data, bank, form.entry, found.library)
    flash(_said(stored))
    return redirect(url_for("own_problems.index", _anchor=f"problem-{stored.problem}"), 303)


def _said(stored: own.Stored) -> str:
    said = gettext("{id} is kept; learners can work it now.")
    if stored.new_version:
        said = gettext("The problem had been worked, so it stays for that work; {id} takes its place from now on.")
    if stored.merged:
        said += " " + gettext("Somebody else changed other parts of the bank meanwhile; both are kept.")
    return said.format(id=stored.problem)


def _whole(text: str) -> int:
    if not (text.isascii() and text.isdecimal() and len(text) <= 6):
        raise TrainerError(gettext("There is no such figure."))
    return int(text)


def _number(text: str) -> float:
    try:
        number = float(text) if len(text) <= 40 else math.nan
    except ValueError:
        number = math.nan
    if not math.isfinite(number):
        raise TrainerError(gettext("There is no such figure."))
    return number
