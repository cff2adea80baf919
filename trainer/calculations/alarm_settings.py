"""Choosing the settings of an alarm: lateness on a ramp, longest delay, smallest deadband, chatter."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from trainer.calculations.ranges import Number, within
from trainer.calculations.signals import span_between


class StartingPoint(NamedTuple):
    """Deadband [% of span] and on-delay [s] to begin with and to tune after watching the process."""

    deadband: float
    delay: float


# From memory: commonly quoted starting points of the alarm management tradition (ISA-18.2, EEMUA 191), never a
# rule. What a process needs is found by watching it.
STARTING_POINTS = {
    "flow": StartingPoint(5.0, 15.0),
    "level": StartingPoint(5.0, 60.0),
    "pressure": StartingPoint(2.0, 15.0),
    "temperature": StartingPoint(1.0, 60.0),
}

CHATTERING = 3  # alarms a minute: a common criterion to begin with


def time_to_alarm(start: Number, rate: float, set_point: float, delay: float = 0.0) -> Number:
    """Time until an alarm relay acts on a steady ramp towards its set point.

    Parameters
    ----------
    start : float or ndarray
        Process value at the beginning [unit of the range].
    rate : float
        Slope of the ramp, negative if it falls [unit of the range per second].
    set_point : float
        Set point of the alarm [unit of the range].
    delay : float
        On-delay, and what else comes late: the lag of a filter, of a pocket [s].

    Returns
    -------
    float or ndarray
        Time from the beginning, shape of `start`; negative if it has been and gone [s].

    Raises
    ------
    NoSpan
        If the value does not move.

    Examples
    --------
    >>> time_to_alarm(21.0, 0.8 / 60.0, 30.0, delay=45.0)
    720.0
    """
    return (set_point - start) / span_between("rate", 0.0, rate) + delay


def longest_delay(set_point: float, limit: float, rate: Number, response: float, lag: float = 0.0) -> Number:
    """Longest on-delay that leaves time to act before a limit is met.

    Parameters
    ----------
    set_point, limit : float
        Set point of the alarm, and the value that must not be reached [unit of the range].
    rate : float or ndarray
        Fastest slope towards the limit, without its sign [unit of the range per second].
    response : float
        Time that the operator and the plant need after the alarm [s].
    lag : float
        How late the measurement is: sensor, pocket, filter [s].

    Returns
    -------
    float or ndarray
        Longest on-delay, shape of `rate`; negative if there is not enough time at all [s].

    Examples
    --------
    >>> longest_delay(62.0, 71.0, 1.5 / 60.0, response=120.0, lag=40.0)
    200.0
    """
    return abs(limit - set_point) / rate - response - lag


def smallest_deadband(noise: Number, resolution: float = 0.0, margin: float = 1.5) -> Number:
    """Smallest deadband that noise does not cross.

    Parameters
    ----------
    noise : float or ndarray
        Noise from peak to peak [unit of the range].
    resolution : float
        Smallest step that the instrument shows [unit of the range].
    margin : float
        How many times the noise to allow for; 1.5 to 2 is common practice [-].

    Returns
    -------
    float or ndarray
        Deadband, shape of `noise` [unit of the range].

    Examples
    --------
    >>> smallest_deadband(0.4, resolution=0.1)
    0.7
    """
    within("margin", margin, 1.0, math.inf)
    return margin * noise + resolution


def most_in_a_minute(alarm_times: Sequence[float], minute: float = 60.0) -> int:
    """Greatest number of alarms in any minute: three or more is the usual sign of chatter.

    Parameters
    ----------
    alarm_times : sequence of float
        Times at which the alarm came, in order [s].
    minute : float
        Length of the window, its end not counted [s].

    Returns
    -------
    int
        Most alarms within one window.

    Examples
    --------
    >>> most_in_a_minute([0.0, 10.0, 30.0, 65.0, 200.0])
    3
    """
    most = first = 0
    for count, time in enumerate(alarm_times, start=1):
        while time - alarm_times[first] >= minute:
            first += 1
        most = max(most, count - first)
    return most
