"""A problem for the room: one variant shown large, worked together.

Nothing of it is kept: the address names the problem and a word from which the program alone works out the seed, and
carries what the room has said. So going back undoes an answer, and a room's work is nobody's evidence.
"""

from __future__ import annotations

import hmac
import random
import secrets
from dataclasses import replace
from itertools import zip_longest
from typing import Any

from flask import Blueprint, Response, current_app, redirect, render_template, request, url_for
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response as Redirect

from trainer.errors import NotFound, TrainerError
from trainer.figures import Form, Theme
from trainer.language import gettext
from trainer.practice.attempts import SEEDS
from trainer.practice.public import problem_of, strand_of
from trainer.practice.rooms import Said, mark_said, slips_met
from trainer.practice.sheet import Row, Sheet, lay_out
from trainer.storage.entries import KeptEntry
from trainer.web.figures import image_of
from trainer.web.policy import open_to
from trainer.web.practice import step_of, typed_text
from trainer.web.result_rows import Parts, verdict_parts
from trainer.web.services import services
from trainer.web.sheets import PlacedFigure, figure_of, listed_givens, row_view, solution_rows
from trainer.web.visits import decimal_sign
from trainer.worksheets.problem import Problem
from trainer.worksheets.snapshot import KeptStep, Snapshot, snapshot

pages = Blueprint("room", __name__, url_prefix="/room")
OTHERS = 3  # answers beside the one that the room goes on with
MOST_SAID, LONGEST_SAID, MOST_HANDS = 40, 500, 999
LONGEST_NAME = 32


@pages.get("/")
@open_to("instructors")
def choose() -> str:
    """Choose a problem, or a strand to draw one from."""
    library = services().library
    wanted = {name: request.args.get(name, "") for name in ("strand", "skill")}
    shown: dict[str, list[Problem]] = {}
    for skill, problems in sorted(library.by_skill.items()):
        if wanted["skill"] in ("", skill) and wanted["strand"] in ("", strand_of(skill)):
            shown[skill] = problems
    return render_template(
        "room_choose.html",
        strands={each: title for each, title in library.strands.items() if _of_strand(each)},
        lessons=library.lessons,
        skills=sorted(library.by_skill),
        shown=shown,
        wanted=wanted,
    )


@pages.post("/")
@open_to("instructors")
def begin() -> Redirect:
    """Draw a variant: of a problem, or of any one of a strand."""
    name, strand = request.form.get("problem", ""), request.form.get("strand", "")
    if not name:
        found = _of_strand(strand)
        if not found:
            raise TrainerError(gettext("Choose a problem, or a strand to draw one from."))
        name = random.SystemRandom().choice(found).id
    problem = problem_of(services().library.problems, name)
    return redirect(url_for("room.show", problem_id=problem.id, name=secrets.token_hex(4)), 303)


@pages.get("/<problem_id>/<name>")
@open_to("instructors")
def show(problem_id: str, name: str) -> str:
    """The problem with the step that is asked now."""
    return _page(problem_id, name, MultiDict())


@pages.post("/<problem_id>/<name>")
@open_to("instructors")
def say(problem_id: str, name: str) -> Redirect | tuple[str, int]:
    """Take the room's answer for a step, with the other answers and the hands if they were counted."""
    kept = _variant(problem_id, name)
    step = step_of(kept, request.form.get("step", ""))
    said = _said(kept)
    try:
        said += _new_answers(step, request.form)
        _check_length(said)
    except TrainerError as fault:
        return _page(problem_id, name, request.form, str(fault)), 400
    return redirect(_address("room.show", problem_id, name, said, at=step.name, _anchor=f"step-{step.name}"), 303)


@pages.get("/<problem_id>/<name>/solution")
@open_to("instructors")
def solution(problem_id: str, name: str) -> str:
    """Looking back: the worked solution, and the slips that the room met."""
    kept = _variant(problem_id, name)
    said = _said(kept)
    entries = _marked(kept, said)
    return render_template(
        "room_solution.html",
        kept=kept,
        text=kept.text(decimal_sign()),
        givens=listed_givens(kept),
        rows=solution_rows(kept, {entry.step: entry for entry in entries}),
        figure=_figure(kept, "solved", problem_id, name),
        slips=slips_met(kept, said, entries),
        lessons=services().library.lessons,
        back=_address("room.show", problem_id, name, said, at=said[-1].step if said else kept.steps[0].name),
        anew=url_for("room.show", problem_id=problem_id, name=name),
    )


@pages.get("/<problem_id>/<name>/<any(open, solved):form>-<any(light, dark, print):theme>.svg")
@open_to("instructors")
def figure(problem_id: str, name: str, form: Form, theme: Theme) -> Response:
    """The figure of the problem in the room."""
    return image_of(_variant(problem_id, name), form, theme)


def _of_strand(strand: str) -> list[Problem]:
    return [each for each in services().library.problems.values() if strand_of(each.skill) == strand]


def _variant(problem_id: str, name: str) -> Snapshot:
    """The variant of an address; its seed cannot be told from it without the key of this program."""
    problem = problem_of(services().library.problems, problem_id)
    if len(name) > LONGEST_NAME:
        raise NotFound(gettext("There is no such page."))
    key = str(current_app.secret_key).encode()
    drawn = hmac.digest(key, f"room {problem.id} {name}".encode(), "sha256")
    return snapshot(problem.variant(int.from_bytes(drawn[:8]) % SEEDS))


def _said(kept: Snapshot) -> list[Said]:
    """What the address carries."""
    names = {step.name for step in kept.steps}
    parts = zip_longest(*(request.args.getlist(each) for each in ("step", "text", "hands")), fillvalue="")
    said = [Said(step, text, _hands(hands)) for step, text, hands in parts if step in names]
    _check_length(said)
    return said


def _check_length(said: list[Said]) -> None:
    if len(said) > MOST_SAID or any(len(each.text) > LONGEST_SAID for each in said):
        raise TrainerError(gettext("That is more than one address can carry; look back and start anew."))


def _hands(text: str) -> int | None:
    plain = text.strip()
    if not plain:
        return None
    if not (plain.isascii() and plain.isdecimal() and int(plain[:9]) <= MOST_HANDS):
        raise TrainerError(gettext("Hands are a whole number up to {most}.").format(most=MOST_HANDS))
    return int(plain)


def _new_answers(step: KeptStep, form: MultiDict[str, str]) -> list[Said]:
    """The answers of one show of hands, that of the room last; of a choice without one, that with most hands."""
    own = Said(step.name, typed_text(step, form), _hands(form.get("hands", "")))
    if step.kind == "choice":
        counted = [Said(step.name, each, _hands(form.get(f"hands-{n}", ""))) for n, each in enumerate(step.options)]
        raised = sorted((each for each in counted if each.hands), key=lambda each: each.hands or 0)
        own = own if own.text or not raised else raised[-1]
        hands = next((each.hands for each in counted if each.text == own.text), None)
        return [*(each for each in raised if each.text != own.text), replace(own, hands=hands)]
    others = [(form.get(f"other-{n}", "").strip(), form.get(f"other-hands-{n}", "")) for n in range(OTHERS)]
    return [*(Said(step.name, text, _hands(hands)) for text, hands in others if text), own]


def _marked(kept: Snapshot, said: list[Said]) -> list[KeptEntry]:
    return mark_said(kept, said, services().library.worksheets.get(kept.worksheet), decimal_sign())


def _address(endpoint: str, problem_id: str, name: str, said: list[Said], **more: Any) -> str:
    carried: dict[str, Any] = {
        "step": [each.step for each in said],
        "text": [each.text for each in said],
        "hands": ["" if each.hands is None else each.hands for each in said],
    }
    return url_for(endpoint, problem_id=problem_id, name=name, **carried, **more)


def _figure(kept: Snapshot, form: Form, problem_id: str, name: str) -> PlacedFigure | None:
    def address(form: Form, theme: Theme) -> str:
        return url_for("room.figure", problem_id=problem_id, name=name, form=form, theme=theme)

    return figure_of(kept, form, address)


def _page(problem_id: str, name: str, typed: MultiDict[str, str], fault: str = "") -> str:
    kept = _variant(problem_id, name)
    said = _said(kept)
    entries = _marked(kept, said)
    sheet = lay_out(kept, "guided", entries)
    row = _current(sheet)
    view = row_view(sheet, row, request.args.get("at", ""), "room")
    if fault:
        view |= {"typed": typed_text(row.step, typed), "verdict": "", "message": ""}
    at = [each.step.name for each in sheet.rows].index(row.step.name)
    later = kept.steps[at + 1 :]
    return render_template(
        "room.html",
        kept=kept,
        text=kept.text(decimal_sign()),
        givens=listed_givens(kept),
        figure=_figure(kept, "open", problem_id, name),
        row=view,
        before=[row_view(sheet, each, "", "") for each in sheet.rows[:at]],
        here=_here(row.step, said, entries),
        others=range(OTHERS),
        typed=typed,
        fault=fault,
        answered=row.state in ("done", "mend"),
        action=_address("room.say", problem_id, name, said),
        next=_address("room.show", problem_id, name, said, at=later[0].name) if later else "",
        done=_address("room.solution", problem_id, name, said),
    )


def _here(step: KeptStep, said: list[Said], entries: list[KeptEntry]) -> list[tuple[int | None, KeptEntry, Parts]]:
    """What was said for a step: hands, entry, verdict."""
    pairs = zip(said, entries, strict=True)
    return [(each.hands, entry, verdict_parts(entry.verdict)) for each, entry in pairs if entry.step == step.name]


def _current(sheet: Sheet) -> Row:
    """The step named in the address if it may be asked, else the first one that has not been answered."""
    named = sheet.row(request.args.get("at", ""))
    if named is not None and named.state != "locked":
        return named
    return next((row for row in sheet.rows if row.state == "open"), sheet.rows[-1])
