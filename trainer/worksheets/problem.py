"""A problem: a worksheet with ranges for its givens and words around it; a variant: its givens drawn by a seed."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from trainer.errors import OutOfRange, TrainerError
from trainer.worksheets.draw import Draw, draw
from trainer.worksheets.kinds import Value, alike, near
from trainer.worksheets.worksheet import Slip, Step, Worksheet

DRAWS_AT_MOST = 400
LEVELS = ("F", "W", "A")  # foundation, working, advanced
LIMITS, RULE, HIDDEN, ALIKE = "limits", "rule", "hidden slip", "slips alike"


@dataclass(frozen=True)
class Refused:
    """Why a draw teaches badly: which rule, the given or step, the slips that it is about, and the same in words."""

    rule: str
    node: str
    slips: tuple[str, ...]
    words: str


@dataclass(frozen=True)
class Problem:
    """An entry of a question bank.

    ``units`` gives the unit of each given whose worksheet leaves it open; ``keep`` the limits of any given or step;
    ``tolerances`` replaces those of steps. One that is ``replaced_by`` another is no longer offered, and stays for the
    work that was done on it and the sets that hold it.
    """

    id: str
    worksheet: Worksheet
    title: str
    text: str
    level: str
    place: str
    draws: tuple[Draw, ...]
    skill: str = ""
    units: Mapping[str, str] = field(default_factory=dict)
    keep: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    tolerances: Mapping[str, float] = field(default_factory=dict)
    cautions: tuple[str, ...] = ()
    bank: str = ""
    replaced_by: str = ""

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
        try:
            values = draw(self.draws, rng)
            for given in self.worksheet.givens.values():
                if given.prepare and given.name not in values:
                    values[given.name] = given.prepare(values)
            return Variant(self, seed, values, self.worksheet.solve(values))
        except (TrainerError, ArithmeticError):
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
        """Every slip that can be made with these numbers, with its values as far as they can be carried on."""
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
                plain = self.unit(self.problem.units.get(name) or self.worksheet.givens[name].unit)
                return plain + tail if plain in ("°C", "°F", "K") else plain
        return unit

    def fault(self) -> str:
        """Why this draw teaches badly, or nothing."""
        refused = self.refused()
        return refused.words if refused else ""

    def refused(self) -> Refused | None:
        """Why this draw teaches badly, if it does."""
        for name, (low, high) in self.problem.keep.items():
            if not low <= self.values[name] <= high:
                return Refused(LIMITS, name, (), f"{name} {self.values[name]:g} is outside {low:g} to {high:g}")
        for node in self.worksheet.refusals:
            try:
                why = f"refused by {node.function.__name__}" if node(self.values) else ""
            except OutOfRange as error:  # a check with a sentence of its own
                why = str(error)
            if why:
                return Refused(RULE, "", (), why)
        return next(filter(None, (self._slip_fault(step) for step in self.worksheet.steps.values())), None)

    def reached(self, slip: Slip, values: Mapping[str, Any]) -> tuple[str, ...]:
        """The steps at which a slip can be told: its own, and those after it that come out different."""
        steps = list(self.worksheet.steps)
        later = (name for name in steps[steps.index(slip.step) + 1 :] if name in values)
        return (slip.step, *(name for name in later if values[name] != self.values[name]))

    def _shown_at(self, step: Step) -> list[tuple[Slip, Any]]:
        """Slips to be told apart at a step with their values: its own, and at the answer those carried to it."""
        wanted = {step.name}
        if step is self.worksheet.answer:
            wanted.update(self.worksheet.needs(step.name))
        return [
            (slip, values[step.name])
            for slip, values in self.slips.values()
            if not slip.coincides and step.name in values
            if slip.step in wanted or (step is self.worksheet.answer and step.name in self.reached(slip, values))
        ]

    def _slip_fault(self, step: Step) -> Refused | None:
        """A slip that a learner's value at this step could be mistaken for, or that hides behind the right value."""
        shown, right = self._shown_at(step), self.values[step.name]
        if step.kind != "number":
            return self._word_fault(step, [(slip, value) for slip, value in shown if slip.step == step.name])
        tolerance = self.tolerance(step)
        for index, (slip, value) in enumerate(shown):
            if near(value, right, 2 * tolerance):
                words = f"slip {slip.name} gives {value:g}, the right {step.name} is {right:g}"
                return Refused(HIDDEN, step.name, (slip.name,), words)
            for other, theirs in shown[:index]:
                if near(value, theirs, tolerance):
                    words = f"slips {other.name} and {slip.name} both give {step.name} {value:g}"
                    return Refused(ALIKE, step.name, (other.name, slip.name), words)
        return None

    def _word_fault(self, step: Step, shown: list[tuple[Slip, Any]]) -> Refused | None:
        """The same for rows and words; of the few options of a choice, several slips may give one."""
        right, tolerance = self.values[step.name], self.tolerance(step) if step.kind == "row" else 0.0
        for index, (slip, value) in enumerate(shown):
            if alike(step.kind, value, right, 2 * tolerance):
                return Refused(HIDDEN, step.name, (slip.name,), f"slip {slip.name} gives the right {step.name}")
            for other, theirs in shown[:index]:
                if step.kind != "choice" and alike(step.kind, value, theirs, tolerance):
                    words = f"slips {other.name} and {slip.name} give one {step.name}"
                    return Refused(ALIKE, step.name, (other.name, slip.name), words)
        return None
