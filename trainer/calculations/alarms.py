"""Settings of an alarm: direction, set point, deadband, delays, latch, and what a broken sensor means."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from trainer.calculations.ranges import Number, within

Direction = Literal["rising", "falling"]
Timer = Literal["alarm condition", "until reset"]
BreakAction = Literal["alarm", "normal", "hold"]

CHOICES = {
    "direction": ("rising", "falling"),
    "timer": ("alarm condition", "until reset"),
    "on_break": ("alarm", "normal", "hold"),
}


def reset_value(set_point: Number, deadband: float, direction: Direction = "rising") -> Number:
    """Value at which an alarm lets go: the deadband lies wholly on the normal side of the set point.

    Parameters
    ----------
    set_point : float or ndarray
        Value at which the alarm becomes due [unit of the range].
    deadband : float
        Width of the deadband, a difference [unit of the range].
    direction : {'rising', 'falling'}
        Which way the value moves into the alarm.

    Returns
    -------
    float or ndarray
        Reset value, shape of `set_point` [unit of the range].

    Raises
    ------
    OutOfRange
        If the deadband is negative.

    References
    ----------
    OPC UA Part 9 (release 1.05), annex B: set at the limit, back to normal past limit and deadband.

    Examples
    --------
    >>> reset_value(36.0, 0.8, "falling")
    36.8
    """
    within("deadband", deadband, 0.0, math.inf)
    return set_point - deadband if direction == "rising" else set_point + deadband


def check_range(
    set_point: float, deadband: float, direction: Direction, lower: float, upper: float, unit: str = ""
) -> None:
    """Refuse an alarm that could not come, or not go again, within the range of its value.

    Parameters
    ----------
    set_point : float
        Value at which the alarm becomes due [unit of the range].
    deadband : float
        Width of the deadband, a difference [unit of the range].
    direction : {'rising', 'falling'}
        Which way the value moves into the alarm.
    lower, upper : float
        Range of the value [unit of the range].
    unit : str
        The unit, as the message names it.

    Raises
    ------
    OutOfRange
        If the set point lies outside the range, or the deadband is wider than what is left to its end.

    Examples
    --------
    >>> check_range(18.0, 25.0, "rising", 0.0, 60.0, "°C")
    Traceback (most recent call last):
        ...
    trainer.errors.OutOfRange: reset value, a deadband of 25 from the set point, -7 °C is outside 0 to 60 °C
    """
    low, high = sorted((lower, upper))
    within("set point", set_point, low, high, unit)
    reset = reset_value(set_point, deadband, direction)
    slack = 1e-9 * max(abs(low), abs(high))
    within(f"reset value, a deadband of {deadband:g} from the set point,", reset, low, high, unit, slack)


@dataclass(frozen=True, kw_only=True)
class Alarm:
    """Settings of an alarm relay.

    Attributes
    ----------
    direction : {'rising', 'falling'}
        Which way the value moves into the alarm.
    set_point : float
        Value at which the alarm becomes due [unit of the range].
    deadband : float
        Distance of the reset value from the set point, a difference [unit of the range].
    on_delay, off_delay : float
        How long the alarm must be due before the relay acts, and clear before it lets go [s].
    timer : {'alarm condition', 'until reset'}
        Whether the on-delay stops when the value leaves the set point, or, in some devices, only when it
        passes the reset value.
    latching : bool
        Whether the relay stays in alarm until it is reset.
    on_break : {'alarm', 'normal', 'hold'}
        What a broken sensor means to the relay: an alarm, no alarm, or stay as you are.
    inhibited : bool
        Whether the alarm waits at the start until the value has once been past the reset value; a sensor
        break does not wait.

    Examples
    --------
    >>> Alarm(direction="rising", set_point=95.0, deadband=2.0).reset_value
    93.0
    """

    direction: Direction
    set_point: float
    deadband: float = 0.0
    on_delay: float = 0.0
    off_delay: float = 0.0
    timer: Timer = "alarm condition"
    latching: bool = False
    on_break: BreakAction = "alarm"
    inhibited: bool = False

    def __post_init__(self) -> None:
        for name, allowed in CHOICES.items():
            if getattr(self, name) not in allowed:
                raise ValueError(f"{name} {getattr(self, name)!r} is none of {', '.join(allowed)}")
        within("deadband", self.deadband, 0.0, math.inf)
        within("on-delay", self.on_delay, 0.0, math.inf, "s")
        within("off-delay", self.off_delay, 0.0, math.inf, "s")

    @cached_property
    def reset_value(self) -> float:
        """Value at which the alarm lets go, as people write it: 0.3 less 0.1 is 0.2 [unit of the range]."""
        return round(reset_value(self.set_point, self.deadband, self.direction), 9)
