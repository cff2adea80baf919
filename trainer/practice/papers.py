"""Papers: a set of problems in many versions, each with its key; a version's code leads back to its numbers."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from trainer.content.library import Library
from trainer.errors import NotFound, TrainerError
from trainer.language import gettext
from trainer.practice.paper_items import Item, KeyItem, key_item, paper_item
from trainer.practice.public import problem_of
from trainer.practice.version_codes import LARGEST_SEED, MARKS, read_code, write_code
from trainer.units import format_number
from trainer.worksheets.problem import Problem, Variant
from trainer.worksheets.snapshot import Snapshot, snapshot

MOST_VERSIONS, MOST_PROBLEMS = 100, 60
LONGEST_TITLE = 80
FIRST = 10_000_000_000  # seeds of papers lie above those of sheets and of worked examples


@dataclass(frozen=True)
class Version:
    """One version of a set, drawn."""

    seed: int
    number: int
    variants: tuple[Variant, ...]

    @cached_property
    def snapshots(self) -> tuple[Snapshot, ...]:
        """The variants in plain values."""
        return tuple(map(snapshot, self.variants))

    @cached_property
    def code(self) -> str:
        """The code that leads back to this version, also after the program has been changed, or says that it cannot."""
        return write_code(self.seed, self.number, _mark(self.snapshots))


@dataclass(frozen=True)
class Paper:
    """A version as it is handed out."""

    title: str
    code: str
    seed: int
    version: int
    items: tuple[Item, ...]


@dataclass(frozen=True)
class Key:
    """A version as it is marked from."""

    title: str
    code: str
    seed: int
    version: int
    items: tuple[KeyItem, ...]


def chosen(
    library: Library, names: Sequence[str], skills: Sequence[str] = (), levels: Sequence[str] = ()
) -> tuple[Problem, ...]:
    """The problems of a set: those named, then those of whole skills at the levels wanted, or at every level.

    Raises
    ------
    NotFound
        For a problem or a skill that there is not.
    """
    found = [problem_of(library.problems, name) for name in names]
    for skill in skills:
        if skill not in library.by_skill:
            raise NotFound(gettext("No problem trains a skill {skill}.").format(skill=skill[:20]))
        for problem in library.by_skill[skill]:
            if problem not in found and (not levels or problem.level in levels):
                found.append(problem)
    return tuple(found)


def check_order(problems: Sequence[Problem], versions: int, seed: int) -> None:
    """See that a set can be printed.

    Raises
    ------
    TrainerError
        For no problem or too many, and for versions or a seed out of bounds.
    """
    if not problems:
        raise TrainerError(gettext("Choose at least one problem for the paper."))
    if len(problems) > MOST_PROBLEMS:
        said = gettext("A paper holds at most {most} problems, not {found}.")
        raise TrainerError(said.format(most=MOST_PROBLEMS, found=len(problems)))
    for name, value, lowest, highest in (
        (gettext("number of versions"), versions, 1, MOST_VERSIONS),
        (gettext("seed of the set"), seed, 0, LARGEST_SEED),
    ):
        if not lowest <= value <= highest:
            said = gettext("The {name} is {lowest} to {highest}, not {value}.")
            raise TrainerError(said.format(name=name, lowest=lowest, highest=highest, value=value))


def check_title(title: str) -> str:
    """The title of a paper in one line, or the usual one.

    Raises
    ------
    TrainerError
        If it does not fit the heading.
    """
    line = " ".join(title.split())
    if len(line) > LONGEST_TITLE:
        said = gettext("A title has at most {most} characters, not {found}.")
        raise TrainerError(said.format(most=LONGEST_TITLE, found=len(line)))
    return line or gettext("Signal conditioning problems")


def draw_version(problems: Sequence[Problem], seed: int, number: int) -> Version:
    """Draw a version of a set; the same every time."""
    check_order(problems, number, seed)
    drawn = (problem.variant(seed_of(seed, number, place)) for place, problem in enumerate(problems, 1))
    return Version(seed, number, tuple(drawn))


def draw_versions(problems: Sequence[Problem], versions: int, seed: int) -> Iterator[Version]:
    """Draw the versions of a set, one after another.

    Raises
    ------
    TrainerError
        As `check_order` does, before anything is drawn.
    """
    check_order(problems, versions, seed)
    return (draw_version(problems, seed, number) for number in range(1, versions + 1))


def seed_of(seed: int, version: int, place: int) -> int:
    """The seed of a problem by its place on a paper; it reads as set, version, place.

    Examples
    --------
    >>> seed_of(17, 3, 4)
    10001700304
    """
    return FIRST + (seed * 1000 + version) * 100 + place


def read_seed(seed: int) -> tuple[int, int, int]:
    """Set, version and place of the seed of a problem on a paper.

    Examples
    --------
    >>> read_seed(10001700304)
    (17, 3, 4)
    """
    rest, place = divmod(seed - FIRST, 100)
    return (*divmod(rest, 1000), place)


def variants_of(code: str, problems: Sequence[Problem]) -> tuple[Variant, ...]:
    """The variants of a printed version, so that what was written on paper can be marked.

    Parameters
    ----------
    code : str
        The version's code, as it was typed.
    problems : sequence of Problem
        The problems of the set in their order.

    Raises
    ------
    TrainerError
        If the code has a slip in it, or these problems no longer give the numbers that were printed.
    """
    seed, number, _ = read_code(code)
    version = draw_version(problems, seed, number)
    if read_code(version.code) != read_code(code):
        raise TrainerError(
            gettext(
                "Version {code} was printed from other problems, in another order, or before they were changed."
            ).format(code=write_code(*read_code(code)))
        )
    return version.variants


def paper_of(version: Version, title: str = "", decimal: str = ".") -> Paper:
    """A version to be handed out: nothing in it holds an answer."""
    items = tuple(paper_item(kept, place, decimal) for place, kept in enumerate(version.snapshots, 1))
    return Paper(check_title(title), version.code, version.seed, version.number, items)


def key_of(version: Version, title: str = "", decimal: str = ".") -> Key:
    """The key of a version."""
    items = tuple(key_item(kept, place, decimal) for place, kept in enumerate(version.snapshots, 1))
    return Key(check_title(title), version.code, version.seed, version.number, items)


def _mark(snapshots: Sequence[Snapshot]) -> int:
    """A number that changes when a problem, a given, a true value or a tolerance does."""
    told = hashlib.sha256()
    for kept in snapshots:
        nodes: list[Any] = [kept.problem]
        nodes += [(given.name, _shown(given.value, given.decimals), given.unit) for given in kept.givens]
        nodes += [
            (step.name, _shown(step.value, step.decimals), step.unit, f"{step.tolerance:g}") for step in kept.steps
        ]
        told.update(repr(nodes).encode())
    return int.from_bytes(told.digest()[:4], "big") % MARKS


def _shown(value: Any, decimals: int) -> Any:
    """Numbers as they are printed: the last bits of one may differ between computers."""
    if isinstance(value, tuple):
        return tuple(_shown(each, decimals) for each in value)
    return format_number(value, decimals) if isinstance(value, int | float) else value
