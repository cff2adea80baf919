"""What makes a skill ready: how many right in a row, over which jobs, and the proof that takes the short way there."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

from trainer.learning.evidence import Evidence

READY_IN_A_ROW = 3
READY_IN_A_ROW_SAFETY = 7  # the fewest whose one-sided 90 % lower bound by Wilson is 0.8 or more
DIFFERENT_JOBS_SAFETY = 3

MORE_RIGHT, MORE_JOBS, OTHER_ORDER = "more right in a row", "more different jobs", "another order of the jobs"


@dataclass(frozen=True)
class Criterion:
    """How many right in a row make a skill ready, and over how many different jobs."""

    in_a_row: int
    jobs: int = 1

    def lacks(self, jobs: Sequence[str]) -> str:
        """What a row of right answers, given by its jobs, lacks to make the skill ready; empty if nothing."""
        if len(jobs) < self.in_a_row:
            return MORE_RIGHT
        if len(set(jobs)) < self.jobs:
            return MORE_JOBS
        return OTHER_ORDER if self.jobs >= DIFFERENT_JOBS_SAFETY and one_order_repeated(jobs) else ""

    def met_after(self, jobs: Sequence[str]) -> int | None:
        """How long the row was when it first lacked nothing; None if it still does."""
        return next((n for n in range(self.in_a_row, len(jobs) + 1) if not self.lacks(jobs[:n])), None)


def criterion(safety: bool, jobs: int | None = None) -> Criterion:
    """The criterion of a skill.

    Parameters
    ----------
    safety : bool
        Whether the skill is safety-critical.
    jobs : int, optional
        How many different jobs the question banks hold for the skill; where they hold fewer than three, a
        safety-critical skill asks for as many as there are, in any order.

    Examples
    --------
    >>> criterion(safety=False), criterion(safety=True), criterion(safety=True, jobs=2)
    (Criterion(in_a_row=3, jobs=1), Criterion(in_a_row=7, jobs=3), Criterion(in_a_row=7, jobs=2))
    """
    if not safety:
        return Criterion(READY_IN_A_ROW)
    held = DIFFERENT_JOBS_SAFETY if jobs is None else max(1, jobs)
    return Criterion(READY_IN_A_ROW_SAFETY, min(DIFFERENT_JOBS_SAFETY, held))


def one_order_repeated(jobs: Sequence[str]) -> bool:
    """Whether the jobs are one fixed order gone through at least twice, begun again and again from its start.

    Examples
    --------
    >>> one_order_repeated("ABCABCA"), one_order_repeated("ABCACBA"), one_order_repeated("ABCDEFG")
    (True, False, False)
    """
    periods = range(1, len(jobs) // 2 + 1)
    return any(all(jobs[i] == jobs[i - period] for i in range(period, len(jobs))) for period in periods)


def proof_jobs(jobs: Sequence[str], safety: bool, rng: random.Random) -> tuple[str, ...]:
    """Draw the jobs of a proof ("prove it now"): enough of them, and such that a clean proof makes the skill ready.

    Parameters
    ----------
    jobs : sequence of str
        Ids of all problems of the skill; at least one.
    safety : bool
        Whether the skill is safety-critical: then the proof has 7 variants, else 3.
    rng : random.Random
        Where the draw comes from.

    Returns
    -------
    tuple of str
        One id a variant; every job is used before one comes back, and none comes twice running if there are others.

    Raises
    ------
    ValueError
        If there are no jobs.

    Examples
    --------
    >>> sorted(proof_jobs(["kiln", "brine", "silo"], False, random.Random(4)))
    ['brine', 'kiln', 'silo']
    """
    if not jobs:
        raise ValueError("a proof needs at least one job")
    wanted = criterion(safety, len(set(jobs)))
    while True:
        drawn = _rounds(sorted(set(jobs)), wanted.in_a_row, rng)
        if not wanted.lacks(drawn):
            return tuple(drawn)


def _rounds(jobs: list[str], length: int, rng: random.Random) -> list[str]:
    """Every job once in a drawn order, then again in another."""
    drawn: list[str] = []
    while len(drawn) < length:
        order = sorted(jobs, key=lambda _: rng.random())
        if drawn and len(order) > 1 and order[0] == drawn[-1]:
            order.append(order.pop(0))
        drawn += order
    return drawn[:length]


def proved(sitting: Sequence[Evidence], safety: bool, jobs: int | None = None) -> bool:
    """Whether a proof is clean: every variant of the sitting right, and enough of them by the skill's criterion.

    Parameters
    ----------
    sitting : sequence of Evidence
        Everything worked in one proof, in the order it was worked.
    safety : bool
        Whether the skill is safety-critical. A short proof would not carry such a skill, so its proof has 7 variants.
    jobs : int, optional
        How many different jobs the question banks hold for the skill.
    """
    asked = criterion(safety, jobs)
    return all(each.right for each in sitting) and not asked.lacks([each.problem for each in sitting])
