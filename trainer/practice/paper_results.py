"""What came of papers: the newest work of each learner on each version."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from statistics import fmean
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.practice.papers import Version, read_seed, seed_of
from trainer.storage.models import Paper
from trainer.storage.papers import PaperAttempt, all_papers, paper_attempts

ANSWERS, PLAIN, EMPTY = "answers", "plain mark", "left empty"


@dataclass(frozen=True)
class PaperWork:
    """What one learner wrote on a version, as it was typed in at one time; ``times`` counts how often it was."""

    attempts: tuple[PaperAttempt, ...]
    seed: int
    version: int
    times: int = 1

    @property
    def attempt_ids(self) -> tuple[UUID, ...]:
        """The attempts, in the order of the problems."""
        return tuple(each.attempt_id for each in self.attempts)

    @property
    def problems(self) -> tuple[str, ...]:
        """The ids of the problems in their order."""
        return tuple(each.problem for each in self.attempts)

    @property
    def learner_id(self) -> UUID:
        """Whose work it is."""
        return self.attempts[0].learner_id

    @property
    def name(self) -> str:
        """The learner's name."""
        return self.attempts[0].name

    @property
    def worked(self) -> datetime:
        """When it was written."""
        return self.attempts[0].worked

    @property
    def values(self) -> tuple[float, ...]:
        """What each problem is worth, 0 to 1."""
        return tuple(worth(each) for each in self.attempts)

    @property
    def total(self) -> float:
        """The mean of the problems."""
        return fmean(self.values)


@dataclass(frozen=True)
class VersionLine:
    """A version with the work on it that is kept; the paper where it is known."""

    paper: Paper | None
    seed: int
    version: int
    works: tuple[PaperWork, ...]


def worth(attempt: PaperAttempt) -> float:
    """What a problem is worth: the newest mark by hand, else what its answers are."""
    return (attempt.value or 0.0) if attempt.override is None else attempt.override


def how(attempt: PaperAttempt) -> str:
    """Where the value of a problem is from."""
    if attempt.written:
        return ANSWERS
    return EMPTY if attempt.override is None else PLAIN


def work_of(session: Session, version: Version, problems: Sequence[str], learner_id: UUID) -> list[PaperWork]:
    """All that was typed in of a learner's work on a version, the newest last; one query."""
    rows = paper_attempts(session, seeds=_seeds(version), learner_id=learner_id)
    return [work for work in _typed_at_once(rows) if work.problems == tuple(problems)]


def works_on(session: Session, version: Version, problems: Sequence[str]) -> list[PaperWork]:
    """The newest work of each learner on a version, by name; one query."""
    rows = paper_attempts(session, seeds=_seeds(version))
    return [work for work in _newest(_typed_at_once(rows)) if work.problems == tuple(problems)]


def all_works(session: Session) -> list[VersionLine]:
    """Every version with work on it, the newest work first; two queries."""
    papers = {(each.seed, tuple(each.problems)): each for each in all_papers(session)}
    grouped: dict[tuple[int, int, tuple[str, ...]], list[PaperWork]] = {}
    for work in _newest(_typed_at_once(paper_attempts(session))):
        grouped.setdefault((work.seed, work.version, work.problems), []).append(work)
    lines = [
        VersionLine(papers.get((seed, problems)), seed, version, tuple(works))
        for (seed, version, problems), works in grouped.items()
    ]
    return sorted(lines, key=lambda line: max(work.attempt_ids[0] for work in line.works), reverse=True)


def _seeds(version: Version) -> tuple[int, int]:
    first = seed_of(version.seed, version.number, 0)
    return first, first + 99


def _typed_at_once(rows: Iterable[PaperAttempt]) -> list[PaperWork]:
    """Attempts as they were typed in together: each time begins with the first problem."""
    typed: list[list[PaperAttempt]] = []
    under_way: dict[tuple[UUID, int, int], list[PaperAttempt]] = {}
    for row in rows:
        seed, version, place = read_seed(row.seed)
        own = under_way.get((row.learner_id, seed, version))
        if own is None or place == 1:
            own = under_way[row.learner_id, seed, version] = []
            typed.append(own)
        own.append(row)
    return [PaperWork(tuple(own), *read_seed(own[0].seed)[:2]) for own in typed]


def _newest(works: Iterable[PaperWork]) -> list[PaperWork]:
    """Of the works of a learner on a version the newest, with how many there are; by name."""
    newest: dict[tuple[object, ...], PaperWork] = {}
    for work in works:
        key = (work.learner_id, work.seed, work.version, work.problems)
        times = newest[key].times + 1 if key in newest else 1
        newest[key] = PaperWork(work.attempts, work.seed, work.version, times)
    return sorted(newest.values(), key=lambda work: (work.name.casefold(), work.learner_id))
