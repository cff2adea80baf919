"""How the givens of a problem are drawn: on grids, so that every number is one a technician would write down."""

from __future__ import annotations

import math
import random
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import accumulate
from typing import Any, Protocol

from trainer.errors import TrainerError


class Draw(Protocol):
    """One draw: puts values for one or more givens into ``values``."""

    def __call__(self, rng: random.Random, values: dict[str, Any]) -> None:
        """Draw and put in."""

    @property
    def names(self) -> tuple[str, ...]:
        """The givens it fills."""


def decimals_of(*numbers: float) -> int:
    """Decimals needed to write all the numbers.

    Examples
    --------
    >>> decimals_of(0.25, 4), decimals_of(10.0)
    (2, 0)
    """
    return max(0, *(-int(Decimal(repr(float(x))).normalize().as_tuple().exponent) for x in numbers))


@dataclass(frozen=True)
class Fixed:
    """Always the same value."""

    name: str
    value: Any

    @property
    def names(self) -> tuple[str, ...]:
        """The one given it fills."""
        return (self.name,)

    def __call__(self, rng: random.Random, values: dict[str, Any]) -> None:
        """Draw and put in."""
        values[self.name] = self.value


@dataclass(frozen=True)
class Choice:
    """One of several rows, each with a value for every name: ranges that belong together are drawn together."""

    names: tuple[str, ...]
    rows: tuple[tuple[Any, ...], ...]

    def __call__(self, rng: random.Random, values: dict[str, Any]) -> None:
        """Draw and put in."""
        values.update(zip(self.names, self.rows[int(rng.random() * len(self.rows))], strict=True))


@dataclass(frozen=True)
class Grid:
    """A number ``low + step k`` up to ``high``, outside the zones to avoid.

    Zones hold what teaches badly, such as points at which a wrong method gives the right number.

    Examples
    --------
    >>> values = {}
    >>> Grid("t", 10, 30, 0.5, avoid=((15, 25),))(random.Random(1), values)
    >>> values
    {'t': 11.0}
    """

    name: str
    low: float
    high: float
    step: float
    avoid: tuple[tuple[float, float], ...] = ()
    runs: tuple[tuple[int, int], ...] = field(init=False, repr=False, compare=False)
    ends: tuple[int, ...] = field(init=False, repr=False, compare=False)
    decimals: int = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        runs = self._allowed()
        object.__setattr__(self, "runs", runs)
        object.__setattr__(self, "ends", tuple(accumulate(count for _, count in runs)))
        object.__setattr__(self, "decimals", decimals_of(self.low, self.step))

    @property
    def names(self) -> tuple[str, ...]:
        """The one given it fills."""
        return (self.name,)

    def _allowed(self) -> tuple[tuple[int, int], ...]:
        """Stretches of k as (first, how many)."""
        steps = range(int((self.high - self.low) / self.step + 1e-9) + 1)

        def place(k: int) -> float:
            return self.low + self.step * k

        zones = sorted(
            (bisect_left(steps, low - 1e-9, key=place), bisect_right(steps, high + 1e-9, key=place))
            for low, high in self.avoid
        )
        runs, start = [], 0
        for first, after in (*(zone for zone in zones if zone[0] < zone[1]), (len(steps), len(steps))):
            if first > start:
                runs.append((start, first - start))
            start = max(start, after)
        return tuple(runs)

    def __call__(self, rng: random.Random, values: dict[str, Any]) -> None:
        """Draw and put in."""
        index = int(rng.random() * self.ends[-1])
        run = bisect_right(self.ends, index)
        first, count = self.runs[run]
        k = first + index - (self.ends[run] - count)
        values[self.name] = round(self.low + self.step * k, self.decimals)


@dataclass(frozen=True)
class Within:
    """A number on a grid inside a range drawn before it: ``low`` to ``high`` percent of the way up the range."""

    name: str
    range: tuple[str, str]
    low: float
    high: float
    step: float
    avoid: tuple[tuple[float, float], ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """The one given it fills."""
        return (self.name,)

    @property
    def decimals(self) -> int:
        """Decimals that the grid asks for."""
        return decimals_of(self.step)

    def __call__(self, rng: random.Random, values: dict[str, Any]) -> None:
        """Draw and put in."""
        runs = self._allowed(*(values[end] for end in self.range))
        index = int(rng.random() * sum(count for _, count in runs))
        for first, count in runs:
            if index < count:
                values[self.name] = round((first + index) * self.step, self.decimals)
                return
            index -= count
        raise TrainerError(f"{self.name}: no multiple of {self.step:g} lies where it is drawn")

    def _allowed(self, lower: float, upper: float) -> list[tuple[int, int]]:
        """Stretches of multiples of the step outside the zones, as (first, how many)."""

        def multiples(percents: tuple[float, float]) -> tuple[int, int]:
            ends = sorted((lower + percent / 100 * (upper - lower)) / self.step for percent in percents)
            return math.ceil(ends[0] - 1e-9), math.floor(ends[1] + 1e-9)

        first, last = multiples((self.low, self.high))
        runs = []
        for start, end in (*sorted(map(multiples, self.avoid)), (last + 1, last + 1)):
            if start <= end:
                runs.append((first, min(start - 1, last) - first + 1))
                first = max(first, end + 1)
        return [(start, count) for start, count in runs if count > 0]


def draw(draws: Sequence[Draw], rng: random.Random) -> dict[str, Any]:
    """Draw all givens in order."""
    values: dict[str, Any] = {}
    for one in draws:
        one(rng, values)
    return values
