"""Mixed practice: which problem comes next in a run over several strands.

Mixing skills is harder while it is done and holds longer (Rohrer et al. 2020), so no two problems in a row are of one
skill, and what is weak or due comes more often than what is kept.
"""

from __future__ import annotations

import random
from collections.abc import Collection, Mapping, Sequence

from trainer.content.library import Library
from trainer.errors import TrainerError
from trainer.language import gettext
from trainer.learning.standing import NOT_STARTED, PRACTICING, READY
from trainer.practice.progress import SkillRow
from trainer.worksheets.problem import LEVELS, Problem

WEIGHTS: Mapping[str, float] = {PRACTICING: 4.0, NOT_STARTED: 3.0, READY: 1.0}
OTHER_STAGES = 2.0
SAFETY = 1.5


def next_problem(
    library: Library,
    rows: Sequence[SkillRow],
    strands: Collection[str],
    last_skill: str | None,
    rng: random.Random | random.SystemRandom,
) -> Problem:
    """Draw the next problem of a run.

    Parameters
    ----------
    library : Library
        All content.
    rows : sequence of SkillRow
        How the learner stands in every skill.
    strands : collection of str
        Strands to draw from.
    last_skill : str or None
        Skill of the problem before, which does not come again unless it is the only one.
    rng
        Source of chance.

    Raises
    ------
    TrainerError
        If the strands hold no problem.
    """
    offered = [row for row in rows if row.lesson.strand in strands and row.problems]
    if not offered:
        raise TrainerError(gettext("The strands chosen hold no problems."))
    others = [row for row in offered if row.lesson.skill != last_skill] or offered
    row = rng.choices(others, [weight(row) for row in others])[0]
    return _suited(library.by_skill[row.lesson.skill], row, rng)


def weight(row: SkillRow) -> float:
    """How much more often a skill comes than one that is ready."""
    return WEIGHTS.get(row.standing.stage, OTHER_STAGES) * (SAFETY if row.lesson.safety else 1.0)


def _suited(problems: Sequence[Problem], row: SkillRow, rng: random.Random | random.SystemRandom) -> Problem:
    """Who starts a skill begins at its lowest level; all levels come once it has been worked."""
    if row.standing.stage == NOT_STARTED:
        lowest = min(problems, key=lambda problem: LEVELS.index(problem.level)).level
        problems = [problem for problem in problems if problem.level == lowest]
    return rng.choice(list(problems))
