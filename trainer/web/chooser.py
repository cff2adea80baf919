"""The part of a form in which problems are chosen by strand, skill and level."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from trainer.practice.public import strand_of
from trainer.web.services import services
from trainer.worksheets.problem import LEVELS, Problem


def choice(sent: Mapping[str, str], ticked: Sequence[str] = ()) -> dict[str, Any]:
    """What the macros of ``chooser.html`` show; ``others`` are ticked and not among the problems looked for."""
    library = services().library
    wanted = {name: sent.get(name, "") for name in ("strand", "skill", "level")}
    shown = [problem for problem in library.offered.values() if _matches(problem, wanted)]
    here = {problem.id for problem in shown}
    return {
        "strands": library.strands,
        "skills": {
            skill: library.lessons[skill].title
            for skill in sorted(library.by_skill, key=_place)
            if skill in library.lessons
        },
        "levels": LEVELS,
        "wanted": wanted,
        "groups": _by_skill(shown),
        "ticked": ticked,
        "others": [library.problems[name] for name in ticked if name in library.problems and name not in here],
    }


def _matches(problem: Problem, wanted: Mapping[str, str]) -> bool:
    has = {"strand": strand_of(problem.skill), "skill": problem.skill, "level": problem.level}
    return all(not wanted[name] or wanted[name] == value for name, value in has.items())


def _by_skill(problems: Iterable[Problem]) -> list[tuple[str, str, list[Problem]]]:
    lessons = services().library.lessons
    groups: dict[str, list[Problem]] = {}
    for problem in problems:
        groups.setdefault(problem.skill, []).append(problem)
    return [
        (skill, lessons[skill].title if skill in lessons else "", groups[skill]) for skill in sorted(groups, key=_place)
    ]


def _place(skill: str) -> tuple[int, ...]:
    """S3.10 after S3.9."""
    return tuple(int(part) for part in skill.removeprefix("S").split(".") if part.isdecimal())
