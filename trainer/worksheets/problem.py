"""A problem: a worksheet with ranges for its givens and words around it; a variant: its givens drawn by a seed."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from trainer.errors import OutOfRange, TrainerError
from trainer.worksheets.draw import Draw, draw
from trainer.worksheets.kinds import Value, near
from trainer.worksheets.worksheet import Slip, Step, Worksheet

DRAWS_AT_MOST = 400
Level = str


@dataclass(frozen=True)
class Problem:
    """An entry of a question bank.

    ``units`` gives the unit of each given whose worksheet leaves it open; ``keep`` the limits of any given or step;
    ``tolerances`` replaces those of steps.
    """

    id: str
    worksheet: Worksheet
    title: str
    text: str
    level: Level
    place: str
    draws: tuple[Draw, ...]
    skill: str = ""
    units: Mapping[str, str] = field(default_factory=dict)
    keep: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    tolerances: Mapping[str, float] = field(default_factory=dict)
    cautions: tuple[str, ...] = ()
    bank: str = ""

    def variant(self, seed: int) -> Variant:
        """Draw the givens; the same seed gives the same variant for ever.

        Raises
        ------
        TrainerError
            Where no draw out of 400 teaches well: the ranges are wrong.
        """
        rng = random.Random(seed)
        for _ in range(DRAWS_AT_MOST):
            variant = self.attempt_draw(seed, rng)
            if variant and not variant.fault():
                return variant
        raise TrainerError(f"{self.id}: no draw out of {DRAWS_AT_MOST} can be used: check its ranges")

    def attempt_draw(self, seed: int, rng: random.Random) -> Variant | None:
        """Draw once, whether the result teaches well or not; None where the numbers cannot be worked."""
        values = draw(self.draws, rng)
        try:
            for given in self.worksheet.givens.values():
                if given.prepare and given.name not in values:
                    values[given.name] = given.prepare(values)
            return Variant(self, seed, values, self.worksheet.solve(values))
        except (OutOfRange, ZeroDivisionError):
            return None


@dataclass(frozen=True)
class Variant:
    """A problem with its givens drawn and its steps worked."""

    problem: Problem
    seed: int
    givens: Mapping[str, Value]
    values: Mapping[str, Any]

    @property
    def worksheet(self) -> Worksheet:
        """The graph behind it."""
        return self.problem.worksheet

    @cached_property
    def slips(self) -> dict[str, tuple[Slip, dict[str, Any]]]:
        """Every slip that can be made with these numbers, with the values of all steps that it leads to."""
        worked = ((slip, self.worksheet.solve_slip(slip, self.givens)) for slip in self.worksheet.slips.values())
        return {slip.name: (slip, values) for slip, values in worked if values is not None}

    def tolerance(self, step: Step) -> float:
        """The tolerance of a step, in its unit."""
        own = self.problem.tolerances.get(step.name)
        return own if own is not None else step.tolerance(self.values, self.values[step.name])

    def unit(self, unit: str) -> str:
        """The unit that a step's or given's own words come to in this problem."""
        for words, tail in (("difference as ", " (difference)"), ("as ", "")):
            if unit.startswith(words):
                name = unit.removeprefix(words)
                plain = self.problem.units.get(name) or self.worksheet.givens[name].unit
                return plain + tail if plain in ("°C", "°F", "K") else plain
        return unit

    def fault(self) -> str:
        """Why this draw teaches badly, or nothing."""
        for name, (low, high) in self.problem.keep.items():
            if not low <= self.values[name] <= high:
                return f"{name} {self.values[name]:g} is outside {low:g} to {high:g}"
        for node in self.worksheet.refusals:
            if node(self.values):
                return f"refused by {node.function.__name__}"
        return next(filter(None, (self._slip_fault(step) for step in self.worksheet.steps.values())), "")

    def _slip_fault(self, step: Step) -> str:
        """A slip that a learner's value at this step could be mistaken for, or that hides behind the right value."""
        answer, right = self.worksheet.answer, self.values[step.name]
        if step is answer:
            needed = {*self.worksheet.needs(step.name), step.name}
            shown = [(s, v[step.name]) for s, v in self.slips.values() if s.step in needed and not s.coincides]
        else:
            shown = [(s, v[step.name]) for s, v in self.slips.values() if s.step == step.name and not s.coincides]
        if step.kind != "number":
            hidden = [slip.name for slip, value in shown if slip.step == step.name and value == right]
            return f"slip {hidden[0]} gives the right {step.name}" if hidden else ""
        tolerance = self.tolerance(step)
        for index, (slip, value) in enumerate(shown):
            if near(value, right, 2 * tolerance):
                return f"slip {slip.name} gives {value:g}, the right {step.name} is {right:g}"
            for other, theirs in shown[:index]:
                if near(value, theirs, tolerance):
                    return f"slips {other.name} and {slip.name} both give {step.name} {value:g}"
        return ""
