"""Marks from paper: a version found again by its code, what was written on it typed in and marked, and what came of it.

Answers typed in are marked as they are at hand-in of an assessed set: all steps in order, each also by what follows
from the steps before it, once. They are evidence, since nobody helped on paper. A plain mark gives a problem its
value and is no evidence: what was written, and which slip was behind it, the program has not seen.

Work on paper is an attempt like any other, of the numbers printed, on the day it was written. Typed in again it is
kept beside what was there, the newest counts, and what it replaces is evidence no more.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.content.library import Library
from trainer.errors import Conflict, NotFound, TrainerError
from trainer.grading.entries import read_entry
from trainer.grading.reading import Refusal, read
from trainer.language import gettext
from trainer.practice.hand_ins import close, mark_texts
from trainer.practice.paper_results import work_of
from trainer.practice.papers import MOST_VERSIONS, Version, check_title, draw_version
from trainer.practice.sheet import Mode
from trainer.practice.version_codes import read_code
from trainer.storage import papers as kept
from trainer.storage.attempts import finish_attempt, note_solution, start_attempt
from trainer.storage.models import Attempt, Learner, Paper
from trainer.storage.papers import PAPER
from trainer.storage.reviews import add_override, add_remark
from trainer.worksheets.snapshot import KeptStep, Snapshot

GUIDED: Mode = "guided"  # a paper asks every step, the first one first
EARLIEST = date(2000, 1, 1)
PLAIN_MARK, WORKED = "mark", "worked"
Place = tuple[int, str]  # of a box: the problem by its number, and the step or PLAIN_MARK; 0 for the whole form


@dataclass(frozen=True)
class FoundVersion:
    """A version that was printed, drawn again; its code alone leads to it where the paper was made here."""

    title: str
    version: Version
    made_here: bool = True

    @property
    def code(self) -> str:
        """Its code, as it is printed."""
        return self.version.code

    @property
    def problems(self) -> tuple[str, ...]:
        """The ids of its problems in their order."""
        return tuple(variant.problem.id for variant in self.version.variants)


@dataclass(frozen=True)
class Written:
    """What is typed in for one problem: answers by step, or a plain mark in percent, or nothing."""

    answers: Mapping[str, str] = field(default_factory=dict)
    mark: str = ""

    @property
    def texts(self) -> dict[str, str]:
        """The answers that hold anything."""
        return {step: text for step, text in self.answers.items() if text.strip()}


class WrittenRefused(TrainerError):
    """What was typed in cannot be taken as it is; ``faults`` are sentences by the place of the box."""

    def __init__(self, faults: Mapping[Place, str]) -> None:
        self.faults = dict(faults)
        super().__init__("\n".join(faults.values()))


class KeptAlready(Conflict):
    """Work of this learner on this version has been typed in before."""


def keep_paper(session: Session, problems: Sequence[str], seed: int, title: str, at: datetime) -> Paper:
    """Keep which problems a paper has, so that the codes of its versions lead back to them."""
    return kept.keep_paper(session, seed, problems, check_title(title), at)


def find_version(
    session: Session, library: Library, code: str, problems: Sequence[str] = (), title: str = ""
) -> FoundVersion:
    """The version of a code, drawn again; ``problems``, in their order, and ``title`` are of a paper not made here.

    Raises
    ------
    TrainerError
        If the code has a slip in it.
    NotFound
        If no paper with this code was made here.
    Conflict
        If its problems have been changed or removed since.
    """
    seed, number, _ = read_code(code)
    if not 1 <= number <= MOST_VERSIONS:
        raise TrainerError(gettext("This version code has a slip in it; look at the paper again."))
    known = [(each.problems, each.title) for each in kept.papers_of(session, seed)]
    if not known and not problems:
        raise NotFound(
            gettext(
                "No paper with this code was made here. Choose its problems and its seed on the page Papers, and go "
                "on from there."
            )
        )
    gone = ""
    for at, (names, called) in enumerate([*known, (list(problems), check_title(title))]):
        gone = gone or next((name for name in names if name not in library.problems), "")
        version = _drawn(library, names, seed, number)
        if version is not None and read_code(version.code) == read_code(code):
            return FoundVersion(called, version, at < len(known))
    raise Conflict(_why_not(gone, bool(problems)))


def open_version(session: Session, library: Library, paper_id: UUID, number: int) -> FoundVersion:
    """A version of a paper that was made here, as its problems draw it today.

    Raises
    ------
    NotFound
        If there is no such paper or version.
    Conflict
        If its problems have been removed since.
    """
    paper = kept.get_paper(session, paper_id)
    if not 1 <= number <= MOST_VERSIONS:
        raise NotFound(gettext("There are versions 1 to {n}.").format(n=MOST_VERSIONS))
    version = _drawn(library, paper.problems, paper.seed, number)
    if version is None:
        raise Conflict(_why_not(next((name for name in paper.problems if name not in library.problems), ""), False))
    return FoundVersion(paper.title, version)


def keep_work(
    session: Session,
    library: Library,
    found: FoundVersion,
    learner: Learner,
    written: Sequence[Written],
    worked: date,
    at: datetime,
    *,
    by_name: str,
    decimal: str = ".",
    again: bool = False,
) -> list[Attempt]:
    """Mark and keep what a learner wrote on a version; ``written`` has a place for each of its problems.

    ``decimal`` is the sign of who types. ``again`` says that work kept before is to be replaced.

    Raises
    ------
    WrittenRefused
        With every fault of what was typed.
    KeptAlready
        If work of this learner on this version is kept and ``again`` is not said.
    """
    _check(found, written, worked, decimal, at)
    before = work_of(session, found.version, found.problems, learner.id)
    if before and not again:
        said = gettext("Work of {name} on version {code} is kept already.")
        raise KeptAlready(said.format(name=learner.name, code=found.code))
    if not found.made_here:
        kept.keep_paper(session, found.version.seed, found.problems, found.title, at)
    kept.end_evidence(session, [attempt_id for work in before for attempt_id in work.attempt_ids])
    when = min(at, datetime.combine(worked, time(12), UTC))  # by noon, so that the day is the same in most zones
    attempts = []
    for snapshot, each in zip(found.version.snapshots, written, strict=True):
        attempt = _begin(session, learner, snapshot, when, at)
        if each.mark.strip():
            _keep_plain(session, attempt, _percent(each.mark, decimal), found, when, at, by_name)
        else:
            entries = mark_texts(session, attempt, each.texts, decimal, at, library.worksheets)
            close(session, attempt, entries, when, assessed=True)
            add_remark(session, attempt.id, _from_paper(found), by_name, at)
        note_solution(session, attempt.id, at)  # nothing is asked any more, and the learner may see it worked
        attempts.append(attempt)
    return attempts


def _drawn(library: Library, names: Sequence[str], seed: int, number: int) -> Version | None:
    """A version as it is drawn today; None where it cannot be."""
    if not all(name in library.problems for name in names):
        return None
    try:
        return draw_version([library.problems[name] for name in names], seed, number)
    except TrainerError:
        return None  # no numbers can be drawn any more within the limits of a problem


def _why_not(gone: str, named: bool) -> str:
    if gone:
        said = gettext(
            "The problem {problem} of this paper is no longer in the question banks, so its numbers cannot be drawn "
            "again. Mark this paper from its printed key."
        )
        return said.format(problem=gone)
    if named:
        return gettext("This code is of other problems, of another order of them, or of problems changed since.")
    return gettext(
        "The problems of this paper have been changed since it was printed, and would have other numbers today. Mark "
        "this paper from its printed key."
    )


def _check(found: FoundVersion, written: Sequence[Written], worked: date, decimal: str, at: datetime) -> None:
    faults: dict[Place, str] = {}
    if not EARLIEST <= worked <= at.date():
        said = gettext("The date lies between {first} and today, {today} (UTC).")
        faults[0, WORKED] = said.format(first=EARLIEST, today=at.date())
    if not any(each.texts or each.mark.strip() for each in written):
        faults[0, ""] = gettext("Nothing is typed yet.")
    for number, (snapshot, each) in enumerate(zip(found.version.snapshots, written, strict=True), 1):
        for step in snapshot.steps:
            if refusal := _refusal(step, each.texts.get(step.name, ""), decimal):
                faults[number, step.name] = refusal
        if each.mark.strip() and each.texts:
            faults[number, PLAIN_MARK] = gettext("Type the answers or a plain mark, not both.")
        elif each.mark.strip() and _percent(each.mark, decimal) is None:
            faults[number, PLAIN_MARK] = gettext("A plain mark is a number from 0 to 100 %.")
    if faults:
        raise WrittenRefused(faults)


def _refusal(step: KeptStep, text: str, decimal: str) -> str:
    """Why a text cannot be read; where a unit is missing the learner has left it out, and that is marked."""
    return read_entry(text, step.kind, step.unit, step.options, decimal).refusal if text else ""


def _percent(text: str, decimal: str) -> float | None:
    typed = read(text, decimal)
    if isinstance(typed, Refusal) or typed.unit not in ("", "%") or not 0.0 <= typed.number <= 100.0:
        return None
    return typed.number / 100.0


def _begin(session: Session, learner: Learner, snapshot: Snapshot, when: datetime, at: datetime) -> Attempt:
    """Start an attempt now, so that ids tell what was typed last, and date it by the day of the paper."""
    attempt = start_attempt(
        session,
        learner.id,
        at,
        source=snapshot.problem,
        seed=snapshot.seed,
        worksheet=snapshot.worksheet,
        worksheet_version=snapshot.version,
        skill=snapshot.skill,
        mode=GUIDED,
        snapshot=snapshot.to_json(),
        source_kind=PAPER,
    )
    attempt.started = when
    return attempt


def _keep_plain(
    session: Session,
    attempt: Attempt,
    value: float | None,
    found: FoundVersion,
    when: datetime,
    at: datetime,
    by_name: str,
) -> None:
    worth = value or 0.0
    finish_attempt(session, attempt.id, when, value=worth, evidence=False)
    add_override(session, attempt.id, worth, _from_paper(found), by_name, at)


def _from_paper(found: FoundVersion) -> str:
    return gettext("From paper, version {code}.").format(code=found.code)
