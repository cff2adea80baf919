"""Functions made of polynomial pieces, and their inverse: thermocouples and tabulated sensors."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from trainer.calculations.elementary import clip, exp
from trainer.calculations.ranges import Array, Number

CELLS = 64  # of each piece: narrow enough for a straight line to start Newton's method well
STEPS = 5  # of Newton's method: two or three suffice from such a start
CLOSE = 1e-10


@dataclass(frozen=True)
class Piece:
    """Sum of c_i (x - origin)^i from `lowest` to `highest`, with an optional exponential term.

    The exponential term is a0 exp(a1 (x - a2)^2), given as (a0, a1, a2).
    """

    lowest: float
    highest: float
    coefficients: tuple[float, ...]
    exponential: tuple[float, ...] = ()
    origin: float = 0.0

    @cached_property
    def _falling(self) -> tuple[float, ...]:
        return self.coefficients[::-1]

    @cached_property
    def _derivative(self) -> tuple[float, ...]:
        return tuple(i * c for i, c in enumerate(self.coefficients) if i)[::-1]

    def value(self, x: Number) -> Number:
        """Value at x by Horner's rule; beyond its ends the piece runs on."""
        total = _horner(self._falling, x - self.origin)
        if self.exponential:
            a0, a1, a2 = self.exponential
            total = total + a0 * exp(a1 * (x - a2) * (x - a2))
        return total

    def slope(self, x: Number) -> Number:
        """First derivative at x."""
        total = _horner(self._derivative, x - self.origin)
        if self.exponential:
            a0, a1, a2 = self.exponential
            total = total + 2.0 * a0 * a1 * (x - a2) * exp(a1 * (x - a2) * (x - a2))
        return total


def _horner(falling: tuple[float, ...], x: Number) -> Number:
    total = 0.0 * x
    for coefficient in falling:
        total = total * x + coefficient
    return total


@dataclass(frozen=True)
class Piecewise:
    """Pieces that join end to end; at a joint the lower piece speaks.

    `rising_from` is where the function begins to rise for good: only from there on has it an inverse.
    """

    pieces: tuple[Piece, ...]
    rising_from: float

    @cached_property
    def _joints(self) -> tuple[float, ...]:
        return tuple(piece.highest for piece in self.pieces[:-1])

    @cached_property
    def _nodes(self) -> tuple[list[float], list[float], list[Piece]]:
        """Cell borders x, their values y, and the piece that each cell lies in."""
        xs, owners = [self.rising_from], []
        for piece in self.pieces:
            start = max(piece.lowest, self.rising_from)
            if start < piece.highest:
                xs += np.linspace(start, piece.highest, CELLS + 1)[1:].tolist()
                owners += [piece] * CELLS
        return xs, [self.value(x) for x in xs], owners

    @cached_property
    def domain(self) -> tuple[float, float]:
        """Both ends of x."""
        return self.pieces[0].lowest, self.pieces[-1].highest

    @cached_property
    def image(self) -> tuple[float, float]:
        """Values at both ends of the rising part."""
        _, ys, _ = self._nodes
        return ys[0], ys[-1]

    def value(self, x: Number) -> Number:
        """Value at x."""
        if isinstance(x, np.ndarray):
            return np.piecewise(np.asarray(x, float), self._owned(x), [piece.value for piece in self.pieces])
        return self.pieces[bisect_left(self._joints, x)].value(x)

    def slope(self, x: Number) -> Number:
        """First derivative at x."""
        if isinstance(x, np.ndarray):
            return np.piecewise(np.asarray(x, float), self._owned(x), [piece.slope for piece in self.pieces])
        return self.pieces[bisect_left(self._joints, x)].slope(x)

    def _owned(self, x: Array) -> list[Array]:
        which = np.searchsorted(self._joints, x)
        return [which == index for index in range(len(self.pieces))]

    def inverse(self, y: Number) -> Number:
        """Find x for a value y by Newton's method; y beyond an end gives that end."""
        xs, ys, _ = self._nodes
        y = clip(y, ys[0], ys[-1])
        if isinstance(y, np.ndarray):
            x = np.interp(y, ys, xs)
            for _ in range(STEPS):
                x = x - (self.value(x) - y) / self.slope(x)
        else:
            x = self._inverse_of_one(y)
        return clip(x, xs[0], xs[-1])

    def _inverse_of_one(self, y: float) -> float:
        xs, ys, owners = self._nodes
        cell = max(bisect_left(ys, y) - 1, 0)
        piece = owners[cell]
        x = xs[cell] + (y - ys[cell]) / (ys[cell + 1] - ys[cell]) * (xs[cell + 1] - xs[cell])
        for _ in range(STEPS):
            step = (piece.value(x) - y) / piece.slope(x)
            x -= step
            if abs(step) < CLOSE:
                break
        return x


def through(points: Sequence[tuple[float, float]]) -> Piecewise:
    """Join the points of a table by cubics, smoothly.

    The slope at an entry is that of the parabola through it and its two neighbors, so a curve that is nearly
    a parabola from entry to entry is followed far more closely than by straight lines.

    Examples
    --------
    >>> square = through([(0.0, 0.0), (1.0, 1.0), (3.0, 9.0), (4.0, 16.0)])
    >>> square.value(2.0), square.slope(2.0), square.inverse(4.0)
    (4.0, 4.0, 2.0)
    """
    x, y = np.array(points).T
    width = np.diff(x)
    chord = np.diff(y) / width
    inner = (width[1:] * chord[:-1] + width[:-1] * chord[1:]) / (width[1:] + width[:-1])
    slope = np.concatenate([2.0 * chord[:1] - inner[:1], inner, 2.0 * chord[-1:] - inner[-1:]])
    square = (3.0 * chord - 2.0 * slope[:-1] - slope[1:]) / width
    cube = (slope[:-1] + slope[1:] - 2.0 * chord) / width**2
    cubics = np.stack([y[:-1], slope[:-1], square, cube], axis=1).tolist()
    spans = zip(pairwise(x.tolist()), cubics, strict=True)
    pieces = tuple(Piece(low, high, tuple(cubic), origin=low) for (low, high), cubic in spans)
    return Piecewise(pieces, rising_from=points[0][0])
