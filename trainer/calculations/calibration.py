"""Calibration: errors of a five-point record, what kind they are, what corrects them, and what is allowed."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np

from trainer.calculations.ranges import Array, Number, within
from trainer.calculations.signals import MA_4_20, Signal, span_between

ErrorType = Literal["none", "zero", "span", "linearity", "hysteresis"]
Verdict = Literal["passed as found", "passed as left", "failed"]

ROUNDING = 1e-9  # an error of just the limit passes, whatever the last digit of the machine


def percent_error(actual: Number, ideal: Number, span: float) -> Number:
    """Error in percent of the output span.

    Parameters
    ----------
    actual, ideal : float or ndarray
        Output measured, and output that is right [unit of the output].
    span : float
        Span of the output [unit of the output].

    Returns
    -------
    float or ndarray
        Actual less ideal [% of span].

    Examples
    --------
    >>> percent_error(8.08, 8.0, 16.0)
    0.5
    """
    return (actual - ideal) / span_between("output", 0.0, span) * 100.0


class Components(NamedTuple):
    """Parts of the errors of a record [% of span].

    Attributes
    ----------
    zero : float
        Error at the first point.
    span : float
        Error at the last point less the error at the first.
    linearity : float
        Greatest departure, without its sign, from the straight line between the ends.
    hysteresis : float
        Greatest difference between the way up and the way down at one point.
    """

    zero: float
    span: float
    linearity: float
    hysteresis: float


def components(up: Array, down: Array | None = None) -> Components:
    """Split the errors of a run into zero, span, linearity and hysteresis.

    Parameters
    ----------
    up, down : ndarray, shape (n,)
        Errors at points spread evenly from 0 to 100 %, upwards and, if it was done, downwards [% of span].

    Returns
    -------
    Components
        The first three of the mean of both ways.

    Examples
    --------
    >>> components(np.array([0.5, 0.5, 0.5, 0.5, 0.5]))
    Components(zero=0.5, span=0.0, linearity=0.0, hysteresis=0.0)
    """
    down = up if down is None else down
    mean = 0.5 * (up + down)
    line = np.linspace(mean[0], mean[-1], mean.size)
    return Components(
        zero=float(mean[0]),
        span=float(mean[-1] - mean[0]),
        linearity=float(np.abs(mean - line).max()),
        hysteresis=float(np.abs(up - down).max()),
    )


def greatest(parts: Components) -> ErrorType:
    """Name the greatest of the parts of an error, their signs left out.

    Parameters
    ----------
    parts : Components
        What the errors of a record were split into [% of span].

    Returns
    -------
    {'zero', 'span', 'linearity', 'hysteresis'}
        The first of them if several are equal.

    Examples
    --------
    >>> greatest(Components(zero=0.1, span=-0.6, linearity=0.05, hysteresis=0.2))
    'span'
    """
    names: tuple[ErrorType, ...] = ("zero", "span", "linearity", "hysteresis")
    return max(zip(names, parts, strict=True), key=lambda part: abs(part[1]))[0]


@dataclass(frozen=True, eq=False)
class Record:
    """Outputs of one calibration run, usually five points, upwards and, if it was done, downwards.

    Attributes
    ----------
    up, down : ndarray, shape (n,)
        Outputs at points spread evenly from 0 to 100 %, both listed from the lowest [unit of the signal].
    signal : Signal
        What the output is set to.

    Examples
    --------
    >>> record = Record(up=np.array([4.08, 8.08, 12.08, 16.08, 20.08]))
    >>> record.worst, record.error_type(limit=0.25)
    (0.50, 'zero')
    """

    up: Array
    down: Array | None = None
    signal: Signal = MA_4_20

    def __post_init__(self) -> None:
        if self.up.ndim != 1 or self.up.size < 2:
            raise ValueError("a record needs two points or more")
        if self.down is not None and self.down.shape != self.up.shape:
            raise ValueError(f"{self.up.size} points up and {self.down.size} down do not match")

    @property
    def points(self) -> Array:
        """Inputs as fractions of span [-]."""
        return np.linspace(0.0, 1.0, self.up.size)

    @property
    def ideal(self) -> Array:
        """Outputs that would be right [unit of the signal]."""
        return self.signal.low + self.points * self.signal.span

    @property
    def errors_up(self) -> Array:
        """Errors on the way up [% of span]."""
        return percent_error(self.up, self.ideal, self.signal.span)

    @property
    def errors_down(self) -> Array:
        """Errors on the way down, or those on the way up if that was all [% of span]."""
        return self.errors_up if self.down is None else percent_error(self.down, self.ideal, self.signal.span)

    @property
    def worst(self) -> float:
        """Greatest error, with its sign [% of span]."""
        errors = np.concatenate([self.errors_up, self.errors_down])
        return float(errors[np.argmax(np.abs(errors))])

    def passes(self, limit: float) -> bool:
        """Whether every error is within a limit [% of span], the limit itself allowed."""
        return abs(self.worst) <= limit + ROUNDING

    @property
    def components(self) -> Components:
        """Zero, span, linearity and hysteresis; the first three of the mean of both ways [% of span]."""
        return components(self.errors_up, self.errors_down)

    def error_type(self, limit: float = 0.0) -> ErrorType:
        """Name the greatest part of the errors, or none where every error is within a limit [% of span]."""
        if self.passes(limit):
            return "none"
        return greatest(self.components)


def judged(as_found: Record, as_left: Record | None, limit: float) -> Verdict:
    """Judge a calibration by its two records; without an adjustment there is only the first.

    Parameters
    ----------
    as_found : Record
        Before anything was touched.
    as_left : Record or None
        After an adjustment.
    limit : float
        Greatest error allowed [% of span].

    Returns
    -------
    {'passed as found', 'passed as left', 'failed'}
        Passed as left means that readings since the last calibration may have been wrong.

    Examples
    --------
    >>> off = Record(up=np.array([4.08, 8.08, 12.08, 16.08, 20.08]))
    >>> mended = Record(up=np.array([4.01, 8.01, 12.01, 16.00, 20.00]))
    >>> judged(off, mended, 0.25)
    'passed as left'
    """
    if as_left is not None and not as_left.passes(limit):
        return "failed"
    if as_found.passes(limit):
        return "passed as found"
    return "failed" if as_left is None else "passed as left"


class Correction(NamedTuple):
    """What makes a reading true: first the zero comes off, then the gain is applied.

    Attributes
    ----------
    zero : float
        Reading at the lower reference [unit of the reading].
    gain : float
        True difference over shown difference [-].
    lower : float
        True value of the lower reference [unit of the reading].
    """

    zero: float
    gain: float
    lower: float

    def true(self, reading: Number) -> Number:
        """True value of a reading, or of an array of them [unit of the reading]."""
        return (reading - self.zero) * self.gain + self.lower


def correction(shown: tuple[float, float], references: tuple[float, float]) -> Correction:
    """Zero and span correction from readings at two references.

    Parameters
    ----------
    shown : tuple of two floats
        Readings at the lower and at the upper reference [unit of the reading].
    references : tuple of two floats
        True values of the two [unit of the reading].

    Returns
    -------
    Correction

    Raises
    ------
    NoSpan
        If the two readings, or the two references, are the same.

    Examples
    --------
    >>> probe = correction((0.9, 122.34), (0.0, 120.0))
    >>> probe.gain, probe.true(61.62)
    (0.98814, 60.00)
    """
    gain = span_between("pair of references", *references) / span_between("pair of readings", *shown)
    return Correction(shown[0], gain, references[0])


def specification_limit(
    reading: Number, span: float, *, of_reading: float = 0.0, of_span: float = 0.0, fixed: float = 0.0
) -> Number:
    """Error that a specification allows: within one specification the terms add.

    Parameters
    ----------
    reading : float or ndarray
        Reading, whose sign does not count [unit of the reading].
    span : float
        Span of the instrument [unit of the reading].
    of_reading, of_span : float
        Terms in percent of reading and in percent of span [%].
    fixed : float
        Digits times the step of a digit, or another fixed term [unit of the reading].

    Returns
    -------
    float or ndarray
        Limit on either side, shape of `reading` [unit of the reading].

    Examples
    --------
    >>> specification_limit(142.0, 250.0, of_reading=0.1, of_span=0.05, fixed=0.1)
    0.367
    """
    within("specification", min(of_reading, of_span, fixed), 0.0, math.inf)
    return abs(reading) * (of_reading / 100.0) + abs(span) * (of_span / 100.0) + fixed
