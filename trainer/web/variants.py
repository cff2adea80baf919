"""Variants of problems as an instructor looks at them before a set is given; learners draw from other seeds."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from trainer.web.practice import EXAMPLES, example_of
from trainer.web.services import services
from trainer.web.sheets import listed_givens, solution_rows
from trainer.web.visits import decimal_sign
from trainer.worksheets.problem import Problem

SHOWN = 3
LAST_ROUND = EXAMPLES // SHOWN


@dataclass(frozen=True)
class Shown:
    """A problem with a few of its variants; none where the problem is no longer in the question banks."""

    name: str
    problem: Problem | None
    variants: tuple[dict[str, Any], ...]


def shown_variants(names: Iterable[str], round_: int = 1) -> list[Shown]:
    """Three variants of each problem, the same for the same round; each problem once."""
    numbers = range(SHOWN * (round_ - 1) + 1, SHOWN * round_ + 1)
    problems = {name: services().library.problems.get(name) for name in names}
    return [
        Shown(name, problem, tuple(_variant(problem, number) for number in numbers) if problem else ())
        for name, problem in problems.items()
    ]


def _variant(problem: Problem, number: int) -> dict[str, Any]:
    kept = example_of(problem, number)
    return {
        "number": number,
        "text": kept.text(decimal_sign()),
        "givens": listed_givens(kept),
        "rows": solution_rows(kept, {}),
    }
