"""From the conditioner's output to the analog input: what is asked of the output, and what reaches the card."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from trainer.calculations import loops
from trainer.calculations.burdens import MILLI
from trainer.calculations.counts import counts, scaling
from trainer.calculations.fault_levels import NE_43
from trainer.calculations.ranges import Array
from trainer.calculations.signals import MA_4_20, Signal, signal_from_value
from trainer.channel.conditioner import FaultAction, rooted
from trainer.channel.sensors import Mask

Powering = Literal["active", "loop", "voltage"]
# Healthy limits and fault levels as shares of the signal's span, so that they serve every signal.
LOWEST, HIGHEST = ((level - MA_4_20.low) / MA_4_20.span for level in (NE_43.lowest, NE_43.highest))
MAINS_TURN = 0.6180339887498949  # share of a mains period between two looks of the card: no look finds the same phase


@dataclass(frozen=True)
class Output:
    """What leaves the conditioner, as it is set.

    Attributes
    ----------
    lower, upper : float
        Values at the ends of the signal [unit of the process].
    signal : Signal
        What the output carries [mA or V].
    on_break : {'hold', 'drive high', 'drive low'}
        Fault action.
    fault_low, fault_high : float
        Levels that it drives to [mA], on the scale of 4-20 mA for other signals too.
    forced : float, optional
        Value left forced after a test [mA or V].
    """

    lower: float
    upper: float
    signal: Signal = MA_4_20
    on_break: FaultAction = "drive high"
    fault_low: float = 3.5
    fault_high: float = 21.6
    forced: float | None = None

    def asked(self, value: Array, powered: Mask) -> Array:
        """Signal that the output tries to give [mA or V]; `value` is NaN while the sensor is broken."""
        if self.forced is not None:
            return np.where(powered, self.forced, 0.0)
        low, span = self.signal.low, self.signal.span
        # Limited on the side of the signal: a reverse range runs on beyond its ends just the same.
        wanted = signal_from_value(value, self.lower, self.upper, self.signal)
        healthy = np.clip(wanted, max(low + LOWEST * span, 0.0), low + HIGHEST * span)
        return np.where(powered, np.where(np.isnan(value), self._at_break(healthy), healthy), 0.0)

    def _at_break(self, healthy: Array) -> Array | float:
        if self.on_break == "hold":
            return held(healthy, self.signal.low)
        level = self.fault_high if self.on_break == "drive high" else self.fault_low
        return max(self.signal.low + (level - MA_4_20.low) / MA_4_20.span * self.signal.span, 0.0)


def held(value: Array, first: float) -> Array:
    """The newest number at each time, where some are not-a-number; `first` before there is any."""
    newest = np.maximum.accumulate(np.where(np.isnan(value), -1, np.arange(value.size)))
    return np.where(newest < 0, first, value[np.maximum(newest, 0)])


@dataclass(frozen=True)
class Loop:
    """The wires between output and card, and what drives the current.

    Attributes
    ----------
    powering : {'active', 'loop', 'voltage'}
        An output that drives its current, one that lives on the loop, or a voltage.
    supply : float
        Voltage of the loop's supply, or the compliance of an active output [V].
    lift_off : float
        Least voltage across a loop-powered device [V].
    wire : float
        Resistance of each wire [Ω].
    extra : float
        Resistance of what else is in the loop [Ω].
    leak_across_output, leak_across_card : float
        Resistance of paths that should not be there [Ω].
    reversed : bool
        Whether the pair is on the wrong way round.
    sources : int
        How many drive the current: 1 when right.
    noise : float
        Mains voltage picked up on the way to the card, rms [V].
    """

    powering: Powering = "active"
    supply: float = 20.0
    lift_off: float = 0.0
    wire: float = 0.0
    extra: float = 0.0
    leak_across_output: float = math.inf
    leak_across_card: float = math.inf
    reversed: bool = False
    sources: int = 1
    noise: float = 0.0

    def resistance(self, load: float) -> float:
        """All that the current goes through but the device that drives it [Ω]."""
        return load + 2.0 * self.wire + self.extra

    def highest_current(self, load: float) -> float:
        """Most that can be driven through a load at the card [mA]."""
        lift_off = self.lift_off if self.powering == "loop" else 0.0
        return loops.saturation_current(self.supply, lift_off, self.resistance(load))

    def at_output(self, asked: Array, load: float) -> Array:
        """Current at the output's own terminals [mA]; for a voltage output the voltage there [V]."""
        if self.powering == "voltage":
            return asked
        if self.sources == 0:
            return np.zeros(asked.shape)
        highest = self.highest_current(load)
        if self.sources > 1:
            return np.full(asked.shape, highest)
        if self.reversed and self.powering == "loop":
            return np.zeros(asked.shape)
        return np.minimum(asked, highest)

    def at_card(self, asked: Array, load: float) -> Array:
        """Current through the card's load [mA], or voltage at its terminals [V]."""
        driven = self.at_output(asked, load)
        if self.powering == "voltage":
            seen = loops.loaded_voltage(driven, self.resistance(0.0), self._loaded(load))
        else:
            if self.leak_across_output < math.inf:
                passing = loops.leak_across_transmitter(
                    driven, self.supply, self.resistance(load), self.leak_across_output
                )
                driven = np.minimum(passing, loops.saturation_current(self.supply, 0.0, self.resistance(load)))
            leaks = self.leak_across_card < math.inf
            seen = loops.leak_across_burden(driven, load, self.leak_across_card) if leaks else driven
        return -seen if self.reversed else seen

    def _loaded(self, load: float) -> float:
        if math.isinf(self.leak_across_card):
            return load
        return load * self.leak_across_card / (load + self.leak_across_card)

    def across_output(self, current: float, load: float) -> float:
        """Voltage across a loop-powered device, or across the terminals of an active output [V]."""
        dropped = current * MILLI * self.resistance(load)
        return self.supply - dropped if self.powering == "loop" else dropped


@dataclass(frozen=True)
class Card:
    """An analog input: what it measures, its bits, its load.

    Attributes
    ----------
    full_scale : float
        Signal at its top count [V or mA].
    unit : {'V', 'mA'}
        What it measures.
    bits : int
        Its resolution.
    burden : float
        Resistor across its terminals [Ω]; infinite for none.
    impedance : float
        Its own resistance where it measures volts [Ω].
    """

    full_scale: float = 5.0
    unit: Literal["V", "mA"] = "V"
    bits: int = 12
    burden: float = 250.0
    impedance: float = 1e6

    @property
    def load(self) -> float:
        """Resistance between its terminals [Ω]."""
        if math.isinf(self.burden):
            return self.impedance
        return self.burden if self.unit == "mA" else self.burden * self.impedance / (self.burden + self.impedance)

    def seen(self, received: Array, powering: Powering) -> Array:
        """What it measures of a current through it, or of a voltage at it [its own unit]."""
        if self.unit == "mA" or powering == "voltage":
            return received
        return received * MILLI * self.load

    def counts(self, seen: Array) -> Array:
        """Raw value of what it measures."""
        return counts(seen, self.full_scale, self.bits).astype(float)


@dataclass(frozen=True)
class Scaling:
    """The scaling block of the controller, and what people see.

    `raw_low` and `raw_high` are the counts at `lower` and `upper` [unit of the process]; `root` takes the square root
    there; `unit` is what stands beside the value; `forced` is a value left forced after a test.
    """

    raw_low: float
    raw_high: float
    lower: float
    upper: float
    root: bool = False
    unit: str = ""
    forced: float | None = None

    def shown(self, count: Array) -> Array:
        """Value that people see [unit of the process]."""
        if self.forced is not None:
            return np.full(count.shape, self.forced)
        value = scaling(self.raw_low, self.raw_high, self.lower, self.upper).value(count)
        return rooted(value, self.lower, self.upper) if self.root else value


def mains(number: int) -> Array:
    """A mains wave of 1 V rms as a card finds it at `number` looks, each at another phase [V]."""
    wave: Array = np.sin(2.0 * math.pi * ((np.arange(number) * MAINS_TURN) % 1.0))
    return math.sqrt(2.0) * wave
