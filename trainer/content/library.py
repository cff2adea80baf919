"""All content together: problems, lessons and the skills they declare."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from trainer.content.banks import read_banks
from trainer.content.faults import one_line
from trainer.content.folders import shipped
from trainer.content.lessons import Lesson, check_bodies, read_lessons, read_strands
from trainer.errors import TrainerError
from trainer.units import format_number
from trainer.worksheets.catalog import WORKSHEETS
from trainer.worksheets.problem import Problem, Variant
from trainer.worksheets.tolerance import decimals_for
from trainer.worksheets.worksheet import Worksheet

BANKS, LESSONS = "question_banks", "lessons"
SEEDS_CHECKED = 200
REFUSED_AT_MOST = 0.2


@dataclass(frozen=True)
class Library:
    """Everything there is to learn and practice, and what was wrong with the files it came from."""

    problems: Mapping[str, Problem]
    lessons: Mapping[str, Lesson]
    strands: Mapping[str, str]
    faults: tuple[str, ...]

    @cached_property
    def by_skill(self) -> dict[str, list[Problem]]:
        """The problems of each skill that has any."""
        grouped: dict[str, list[Problem]] = {}
        for problem in self.problems.values():
            grouped.setdefault(problem.skill, []).append(problem)
        return grouped

    @cached_property
    def worksheets(self) -> dict[str, Worksheet]:
        """The worksheets of the problems by name, those that banks define included."""
        return {problem.worksheet.name: problem.worksheet for problem in self.problems.values()}


def read_library(own: Path | None = None) -> Library:
    """Read the shipped content and then that of the data folder ``own``."""
    return _read(*(_together(name, own / name if own else None) for name in (BANKS, LESSONS)))


def read_with(folder: Path) -> Library:
    """Read the shipped content and that of a folder: a content folder, or one of banks or of lessons alone.

    Raises
    ------
    TrainerError
        If the folder holds nothing of the kind.
    """
    if any((folder / name).is_dir() for name in (BANKS, LESSONS)):
        return read_library(folder)
    if any(folder.glob("*.md")):
        return _read(_together(BANKS), _together(LESSONS, folder))
    if any(folder.glob("*.toml")):
        return _read(_together(BANKS, folder), _together(LESSONS))
    raise TrainerError(f"{folder} holds no {BANKS} or {LESSONS} folder, no bank and no lesson")


def _read(banks: list[Path], texts: list[Path]) -> Library:
    problems, bank_faults = read_banks(banks, WORKSHEETS)
    lessons, lesson_faults = read_lessons(texts)
    strands, _ = read_strands(texts)
    by_skill = {lesson.skill: lesson for lesson in lessons}
    return Library(problems, by_skill, strands, (*bank_faults, *lesson_faults))


def _together(name: str, own: Path | None = None) -> list[Path]:
    """The shipped folder of a name and one's own, if there, each once."""
    folders = [shipped(name), *([own] if own else [])]
    return list({folder.resolve(): folder for folder in folders if folder.is_dir()}.values())


def check(library: Library, figures: Collection[str] | None = None, seeds: int = SEEDS_CHECKED) -> Iterator[str]:
    """Every fault of the content, draws included; a line each."""
    yield from library.faults
    yield from check_bodies(library.lessons.values(), library.problems, figures)
    for problem in library.problems.values():
        if problem.skill not in library.lessons:
            yield f"{problem.bank}: {problem.id}: skill = {problem.skill}: has no lesson"
        yield from check_draws(problem, seeds)


def check_draws(problem: Problem, seeds: int = SEEDS_CHECKED) -> Iterator[str]:
    """Faults of a problem that only its draws show: too many of them refused, or figures to type uneven."""
    refused: Counter[str] = Counter()
    figures: dict[str, set[int]] = {}
    for seed in range(seeds):
        try:
            variant = problem.attempt_draw(seed, random.Random(seed))
            fault = variant.fault() if variant else "the numbers cannot be worked"
            if variant and not fault:
                _count_figures(variant, figures)
        except Exception as error:  # whatever a worksheet does with numbers not meant for it is a fault to be told
            yield f"{problem.bank}: {problem.id}: givens: seed {seed}: {type(error).__name__}: {one_line(error)}"
            return
        if fault:
            refused[fault] += 1
    if (total := refused.total()) > REFUSED_AT_MOST * seeds:
        why, _ = refused.most_common(1)[0]
        yield (
            f"{problem.bank}: {problem.id}: givens: {total} of {seeds} draws are refused, "
            f"at most {REFUSED_AT_MOST:.0%} may be; for one, {why}"
        )
    for step, counts in figures.items():
        if max(counts) - min(counts) > 1:
            yield (
                f"{problem.bank}: {problem.id}: {step}: has {min(counts)} to {max(counts)} figures to type; "
                "its draws are to differ by one at most"
            )


def _count_figures(variant: Variant, figures: dict[str, set[int]]) -> None:
    """Note how many figures each number has when it is typed to its tolerance."""
    for step in variant.worksheet.steps.values():
        if step.kind == "number":
            decimals = decimals_for(variant.tolerance(step)) if step.decimals is None else step.decimals
            typed = format_number(abs(variant.values[step.name]), decimals)
            figures.setdefault(step.name, set()).add(len(typed.replace(".", "")))
