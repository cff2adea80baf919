"""The conditioner: how it takes its input, filters, and what it makes of a sensor break."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from trainer.calculations import thermocouples
from trainer.calculations.alarms import Alarm, BreakAction, Direction
from trainer.calculations.ranges import Array
from trainer.calculations.response import filtered
from trainer.channel.laws import EmfLaw, Law
from trainer.channel.sensors import Mask, Sensor, Thermocouple

Compensation = Literal["on", "off", "fixed", "twice"]
FaultAction = Literal["hold", "drive high", "drive low"]
OnBreak = Literal["as the output", "alarm", "normal", "hold"]


@dataclass(frozen=True)
class Input:
    """How the conditioner takes its sensor.

    Attributes
    ----------
    law : Law
        The sensor it is set to.
    wires : int
        Wire mode of a resistance input: 2, 3 or 4.
    allowance : float
        Lead resistance entered for two wires, taken off what is measured [Ω].
    compensation : {'on', 'off', 'fixed', 'twice'}
        Reference junction: by the terminal sensor, none, a temperature entered, or both of these.
    fixed : float
        Temperature entered for the reference junction [°C].
    heated : float
        How much warmer the terminal sensor is than the terminals [K].
    root : bool
        Whether the square root of the share of the range is taken here.
    cut_off : float
        Share of the range below which the root shows zero.
    offset : float
        Added to the value [unit of the process].
    """

    law: Law
    wires: int = 2
    allowance: float = 0.0
    compensation: Compensation = "on"
    fixed: float = 0.0
    heated: float = 0.0
    root: bool = False
    cut_off: float = 0.0
    offset: float = 0.0

    def value(self, measured: Array, panel: float) -> Array:
        """Value taken from what is measured at the terminals [unit of the process]; NaN for a sensor fault."""
        if isinstance(self.law, EmfLaw):
            measured = measured + self._reference(panel, self.law.letter)
        return self.law.value(measured - self.allowance) + self.offset

    def _reference(self, panel: float, kind: str) -> float:
        own, entered = (thermocouples.emf(each, kind) for each in (panel + self.heated, self.fixed))
        return {"on": own, "off": 0.0, "fixed": entered, "twice": own + entered}[self.compensation]


def rooted(value: Array, lower: float, upper: float, cut_off: float = 0.0) -> Array:
    """Value of a range by the square root of its share, as for a flow from a differential pressure."""
    share = np.sqrt(np.maximum((value - lower) / (upper - lower), 0.0))
    return lower + np.where(share < cut_off, 0.0, share) * (upper - lower)


def measured_value(given: Input, sensor: Sensor, value: Array, broken: Mask) -> tuple[Array, Array]:
    """What is at the terminals, and the value that the input takes it for; NaN for a sensor fault."""
    terminals = sensor.at_terminals(value, broken, given.wires)
    panel = sensor.panel if isinstance(sensor, Thermocouple) else 20.0
    # A break that the terminals show is one for every kind of input.
    return terminals, given.value(terminals, panel)


def smoothed(times: Array, value: Array, time_constant: float, stretches: list[tuple[int, int]]) -> Array:
    """The filter over each sound stretch of a trace; it begins anew after every break. NaN elsewhere."""
    shown = np.full(value.shape, math.nan)
    for start, end in stretches:
        shown[start:end] = filtered(times[start:end], value[start:end], time_constant)
    return shown


def stretches_of(mask: Mask) -> list[tuple[int, int]]:
    """First index and the index after the last of every run of true values."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], mask, [False]]).astype(np.int8)))
    return [(int(start), int(end)) for start, end in list(pairwise(edges))[::2]]


def break_action(wish: OnBreak, direction: Direction, output: FaultAction) -> BreakAction:
    """What a sensor break means to a relay that goes with the output: driven towards its alarm, away from it, held."""
    if wish != "as the output":
        return wish
    if output == "hold":
        return "hold"
    return "alarm" if (output == "drive high") == (direction == "rising") else "normal"


@dataclass(frozen=True)
class RelaySetting:
    """An alarm relay with its coil and contact.

    Attributes
    ----------
    alarm : Alarm
        Direction, set point, deadband, delays, latch; its `on_break` is worked out from this one's.
    on_break : {'as the output', 'alarm', 'normal', 'hold'}
        What a sensor break means to the relay.
    energized_in_alarm : bool
        Whether the coil has voltage in alarm; otherwise it has in normal running.
    contact : {'NO', 'NC'}
        Which contact is wired: open or closed while the coil is dead.
    bypassed : bool
        Whether a jumper keeps the receiver from seeing the contact.
    """

    alarm: Alarm
    on_break: OnBreak = "as the output"
    energized_in_alarm: bool = False
    contact: Literal["NO", "NC"] = "NO"
    bypassed: bool = False
