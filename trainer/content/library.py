"""All content together: problems, lessons and the skills they declare, and the bench."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path

from trainer.content.banks import add_banks
from trainer.content.bench_files import FOLDER as BENCH
from trainer.content.bench_files import Bench, read_bench
from trainer.content.draw_quality import SEEDS_CHECKED, draw_report
from trainer.content.faults import Faults
from trainer.content.folders import shipped
from trainer.content.lessons import Lesson, check_bodies, read_lessons, read_strands
from trainer.errors import TrainerError
from trainer.worksheets.catalog import WORKSHEETS
from trainer.worksheets.problem import Problem
from trainer.worksheets.worksheet import Worksheet

BANKS, LESSONS = "question_banks", "lessons"


@dataclass(frozen=True)
class Library:
    """Everything there is to learn and practice, and what was wrong with the files it came from."""

    problems: Mapping[str, Problem]
    lessons: Mapping[str, Lesson]
    strands: Mapping[str, str]
    faults: tuple[str, ...]
    worksheets: Mapping[str, Worksheet] = field(default_factory=dict)
    bench: Bench = field(default_factory=Bench)

    @cached_property
    def offered(self) -> dict[str, Problem]:
        """The problems to choose from: those replaced by others stay for the work done on them alone."""
        return {name: problem for name, problem in self.problems.items() if not problem.replaced_by}

    @cached_property
    def by_skill(self) -> dict[str, list[Problem]]:
        """The problems offered for each skill that has any."""
        grouped: dict[str, list[Problem]] = {}
        for problem in self.offered.values():
            grouped.setdefault(problem.skill, []).append(problem)
        return grouped


def read_library(own: Path | None = None) -> Library:
    """Read the shipped content and then that of the data folder ``own``."""
    library = _read(*(_together(name) for name in (BANKS, LESSONS)))
    return with_own(library, own) if own else library


def with_own(library: Library, own: Path) -> Library:
    """The library with the content of the data folder ``own`` on top; the shipped content is not read again."""
    problems, worksheets, faults = dict(library.problems), dict(library.worksheets), Faults()
    bench = library.bench
    if (own / BANKS).resolve() != shipped(BANKS).resolve():
        add_banks([own / BANKS], problems, worksheets, faults)
        bench = read_bench([own / BANKS], faults, bench)
    told = (*library.faults, *faults.lines)
    grown = replace(library, problems=problems, worksheets=worksheets, bench=bench, faults=told)
    if not (own / LESSONS).is_dir():
        return grown
    lessons, strands, lines = _lessons(_together(LESSONS, own / LESSONS))
    return replace(grown, lessons=lessons, strands=strands, faults=tuple(dict.fromkeys((*grown.faults, *lines))))


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
    if any(folder.glob("*.toml")) or any((folder / BENCH).glob("*.toml")):
        return _read(_together(BANKS, folder), _together(LESSONS))
    raise TrainerError(f"{folder} holds no {BANKS} or {LESSONS} folder, no bank and no lesson")


def _read(banks: list[Path], texts: list[Path]) -> Library:
    problems: dict[str, Problem] = {}
    worksheets, faults = dict(WORKSHEETS), Faults()
    add_banks(banks, problems, worksheets, faults)
    bench = read_bench(banks, faults)
    lessons, strands, lines = _lessons(texts)
    return Library(problems, lessons, strands, (*faults.lines, *lines), worksheets, bench)


def _lessons(folders: list[Path]) -> tuple[dict[str, Lesson], Mapping[str, str], list[str]]:
    found, faults = read_lessons(folders)
    strands, _ = read_strands(folders)
    return {lesson.skill: lesson for lesson in found}, strands, faults


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
    yield from draw_report(problem, seeds).lines()
