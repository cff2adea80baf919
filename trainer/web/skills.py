"""Skills by strand, and the problems of one skill."""

from __future__ import annotations

from itertools import groupby

from flask import Blueprint, render_template

from trainer.clock import zone
from trainer.errors import NotFound
from trainer.language import gettext
from trainer.practice.progress import SkillRow, skill_rows
from trainer.web.policy import open_to
from trainer.web.services import reading, services
from trainer.web.show import standing_parts
from trainer.web.standing_words import coming, lacking
from trainer.web.visits import learner, temperature_unit
from trainer.worksheets.problem import Problem

pages = Blueprint("skills", __name__, url_prefix="/skills")


@pages.get("/")
@open_to("visitors")
def index() -> str:
    """All skills with this person's standing."""
    library = services().library
    strands = [
        (strand, library.strands[strand], list(group))
        for strand, group in groupby(_rows(), lambda row: row.lesson.strand)
    ]
    return render_template("skills.html", strands=strands, standing_parts=standing_parts)


@pages.get("/<skill>")
@open_to("visitors")
def show(skill: str) -> str:
    """One skill: what it is, how this person stands, its problems."""
    library = services().library
    if skill not in library.lessons:
        raise NotFound(gettext("There is no skill {skill}.").format(skill=skill[:20]))
    row = next(row for row in _rows() if row.lesson.skill == skill)
    problems = sorted(library.by_skill.get(skill, []), key=_own_unit_first)
    return render_template(
        "skill.html",
        row=row,
        problems=problems,
        parts=standing_parts(row.standing),
        lacking=lacking(row.standing, row.lesson.safety, row.problems),
        coming=coming(row.standing),
    )


def _rows() -> list[SkillRow]:
    """All skills with the standing of whoever is at this browser."""
    known = learner()
    session = reading() if known else None
    return skill_rows(session, services().library, known.id if known else None, now=services().clock(), zone=zone())


def _own_unit_first(problem: Problem) -> bool:
    """Problems in the other temperature unit come last."""
    units = set(problem.units.values())
    return temperature_unit() not in units and bool(units & {"°C", "°F"})
