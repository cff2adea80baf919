"""How well the draws of a problem teach: how many are refused and why, how many figures there are to type."""

from __future__ import annotations

import math
import random
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from trainer.content.faults import one_line
from trainer.units import format_number
from trainer.worksheets.problem import Problem, Refused, Variant
from trainer.worksheets.tolerance import decimals_for

SEEDS_CHECKED = 200
REFUSED_AT_MOST = 0.2
UNWORKABLE = "unworkable"
_UNWORKABLE = Refused(UNWORKABLE, "", (), "the numbers cannot be worked")


@dataclass
class Reason:
    """A reason for which draws are refused, how often, and in the words of one of them."""

    refused: Refused
    count: int = 0


@dataclass
class DrawReport:
    """What the draws of a problem came to.

    ``drawn`` are those looked at, fewer than asked where the time was over; ``values`` are the numbers of each step of
    those that were not refused, ``figures`` the numbers of figures to type; ``broken`` tells of a worksheet that fails.
    """

    problem: Problem
    asked: int
    drawn: int = 0
    reasons: dict[tuple[str, str, tuple[str, ...]], Reason] = field(default_factory=dict)
    values: dict[str, list[float]] = field(default_factory=dict)
    figures: dict[str, set[int]] = field(default_factory=dict)
    broken: str = ""

    @property
    def refused(self) -> int:
        """How many draws were refused."""
        return sum(reason.count for reason in self.reasons.values())

    @property
    def too_many(self) -> bool:
        """Whether more draws were refused than may be."""
        return self.refused > REFUSED_AT_MOST * self.drawn

    @property
    def in_time(self) -> bool:
        """Whether all draws that were asked for could be looked at."""
        return self.drawn == self.asked

    @property
    def uneven(self) -> dict[str, tuple[int, int]]:
        """The steps whose draws differ in their figures to type by more than one, with the fewest and the most."""
        ends = {step: (min(counts), max(counts)) for step, counts in self.figures.items()}
        return {step: (low, high) for step, (low, high) in ends.items() if high - low > 1}

    @property
    def sorted_reasons(self) -> list[Reason]:
        """The reasons, the most frequent first."""
        return sorted(self.reasons.values(), key=lambda reason: -reason.count)

    def lines(self) -> Iterator[str]:
        """What is wrong, a line each: bank, problem, key, rule."""
        head = f"{self.problem.bank}: {self.problem.id}"
        if self.broken:
            yield f"{head}: givens: {self.broken}"
            return
        if not self.in_time:
            yield f"{head}: givens: only {self.drawn} of {self.asked} draws could be worked in time"
        if self.too_many:
            yield (
                f"{head}: givens: {self.refused} of {self.drawn} draws are refused, "
                f"at most {REFUSED_AT_MOST:.0%} may be; for one, {self.sorted_reasons[0].refused.words}"
            )
        for step, (low, high) in self.uneven.items():
            yield f"{head}: {step}: has {low} to {high} figures to type; its draws are to differ by one at most"


def draw_report(
    problem: Problem,
    seeds: int = SEEDS_CHECKED,
    seconds: float = math.inf,
    clock: Callable[[], float] = time.monotonic,
) -> DrawReport:
    """Draw a problem with so many seeds, as long as there is time, and tell what came of it."""
    report, end = DrawReport(problem, seeds), clock() + seconds
    for seed in range(seeds):
        if clock() > end:
            break
        try:
            variant = problem.attempt_draw(seed, random.Random(seed))
            refused = variant.refused() if variant else _UNWORKABLE
            if variant and not refused:
                _note(variant, report)
        except Exception as error:  # whatever a worksheet does with numbers not meant for it is a fault to be told
            report.broken = f"seed {seed}: {type(error).__name__}: {one_line(error)}"
            break
        if refused:
            key = (refused.rule, refused.node, refused.slips)
            report.reasons.setdefault(key, Reason(refused)).count += 1
        report.drawn += 1
    return report


def _note(variant: Variant, report: DrawReport) -> None:
    """Note the numbers, and how many figures each has when it is typed to its tolerance."""
    for step in variant.worksheet.steps.values():
        if step.kind == "number":
            decimals = decimals_for(variant.tolerance(step)) if step.decimals is None else step.decimals
            value = variant.values[step.name]
            typed = format_number(abs(value), decimals)
            report.values.setdefault(step.name, []).append(float(value))
            report.figures.setdefault(step.name, set()).add(len(typed.replace(".", "")))
