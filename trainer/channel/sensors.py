"""Sensors with their leads: what arrives at the conditioner's terminals, healthy or not.

Process values come as an array over time, with a mask of the times at which the sensing element is broken.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from trainer.calculations.ranges import Array
from trainer.calculations.thermocouples import Section, loop_emf
from trainer.channel.laws import EmfLaw, Law

Mask = NDArray[np.bool_]
Place = Literal["nowhere", "head", "panel"]
ELEMENT_END = {"a": "A", "b": "B", "c": "B", "d": "A"}  # which end of the element a core comes from


class Sensor(ABC):
    """What is in the process and its way to the conditioner."""

    law: Law

    @abstractmethod
    def at_terminals(self, value: Array, broken: Mask, wires: int = 2) -> Array:
        """What the input finds at its terminals [unit of the law]; NaN where its checks find a break."""


def parallel(resistance: Array, other: float) -> Array:
    """Resistance of two paths side by side; an open one, not-a-number, carries nothing [Ω]."""
    open_path = ~np.isfinite(resistance)
    if math.isinf(other):
        return np.where(open_path, math.inf, resistance)
    with np.errstate(invalid="ignore"):
        both = resistance * other / (resistance + other)
    return np.where(open_path, other, both)


@dataclass(frozen=True)
class ResistanceSensor(Sensor):
    """A resistance sensor and its cores.

    Attributes
    ----------
    law : Law
        What the element has at a value [Ω].
    a, b, c, d : float
        Resistance of the cores [Ω]: `a` from one end of the element, `b` and `c` from the other, `d` a second one
        from the first; infinite for a core that is open or not there.
    landed : str
        Which core is on each terminal of the input, in the order of the cores: ``"abc"`` when right.
    leak : float
        Resistance across the element [Ω]; infinite when dry.
    burnt_out : bool
        Whether the element is open for good.
    """

    law: Law
    a: float = 0.0
    b: float = math.inf
    c: float = 0.0
    d: float = math.inf
    landed: str = "abcd"
    leak: float = math.inf
    burnt_out: bool = False

    def element(self, value: Array, broken: Mask) -> Array:
        """Resistance between the ends of the element, with what leaks past it [Ω]; infinite when open."""
        return parallel(np.where(broken | self.burnt_out, math.nan, self.law.quantity(value)), self.leak)

    def at_terminals(self, value: Array, broken: Mask, wires: int = 2) -> Array:
        """Resistance that the input measures in its wire mode [Ω].

        The current goes in at the first terminal and out at the third. Two wires: all of that path. Three: the
        second terminal senses, and the drop of the return core is taken off. Four: the second and fourth sense.
        """
        element = self.element(value, broken)
        first, second, third, fourth = self.landed[0], self.landed[1], self.landed[2], self.landed[3:4]
        needed = {2: (first, third), 3: (first, second, third), 4: (first, second, third, fourth)}[wires]
        if any(not core or math.isinf(self.core(core)) for core in needed):
            return np.full(value.shape, math.nan)
        current_passes = ELEMENT_END[first] != ELEMENT_END[third]

        def drop(one: str, other: str) -> Array:
            between = ELEMENT_END[one] != ELEMENT_END[other]
            return element if current_passes and between else np.zeros(value.shape)

        if wires == 2:
            seen = self.core(first) + drop(first, third) + self.core(third)
        elif wires == 3:
            seen = self.core(first) + drop(first, second) - (drop(second, third) + self.core(third))
        else:
            seen = drop(fourth, second)
        return np.where(np.isfinite(seen), seen, math.nan)

    def core(self, name: str) -> float:
        """Resistance of a core by its letter [Ω]."""
        return {"a": self.a, "b": self.b, "c": self.c, "d": self.d}[name]

    def ohms(self, value: float, broken: bool = False) -> dict[str, float]:
        """What an ohmmeter finds between the cores of the unplugged cable, and at the head across the element [Ω]."""
        element = float(self.element(np.array([value]), np.array([broken]))[0])
        found = {"head": element}
        for one, other in combinations([core for core in "abcd" if self.fitted(core)], 2):
            across = element if ELEMENT_END[one] != ELEMENT_END[other] else 0.0
            found[one + other] = self.core(one) + across + self.core(other)
        return found

    def fitted(self, core: str) -> bool:
        """Whether the cable has the core at all: an open one is named in `landed` still."""
        return core in self.landed


@dataclass(frozen=True)
class Thermocouple(Sensor):
    """A thermocouple, its extension cable, and the temperatures along the way.

    Attributes
    ----------
    law : EmfLaw
        Type of the thermocouple.
    head, panel : float
        Temperatures of the connection head and of the terminals [°C].
    cable : str
        Letter of the extension cable's type, or ``"copper"``.
    crossed_at_head, crossed_at_panel : bool
        Whether the two conductors change places there.
    shorted : {'nowhere', 'head', 'panel'}
        Where the conductors touch.
    burnt_out : bool
        Whether the junction is open for good.
    """

    law: EmfLaw
    head: float = 20.0
    panel: float = 20.0
    cable: str = "K"
    crossed_at_head: bool = False
    crossed_at_panel: bool = False
    shorted: Place = "nowhere"
    burnt_out: bool = False

    def at_terminals(self, value: Array, broken: Mask, wires: int = 2) -> Array:
        """Emf at the terminals [mV]."""
        if self.shorted == "panel":
            return np.zeros(value.shape)
        if self.shorted == "head":
            cable = float(Section(self.cable, self.panel).emf_from(self.head))
            return np.full(value.shape, -cable if self.crossed_at_panel else cable)
        # A cable crossed at the head works against the sensor; an odd number of crossings turns all of it.
        cable_part = Section(self.cable, self.panel, crossed=self.crossed_at_head)
        emf = self._walked([Section(self.law.letter, self.head), cable_part], value, broken)
        return -emf if self.crossed_at_head != self.crossed_at_panel else emf

    def at_head(self, value: float, broken: bool = False) -> float:
        """Emf at the head, by a meter whose terminals are as warm as the head [mV]; NaN when open."""
        if self.shorted == "head":
            return 0.0
        return float(self._walked([Section(self.law.letter, self.head)], np.array([value]), np.array([broken]))[0])

    def _walked(self, sections: list[Section], value: Array, broken: Mask) -> Array:
        low, high = self.law.limits
        emf = loop_emf(np.clip(value, low, high), sections)
        return np.where(broken | self.burnt_out | (value < low) | (value > high), math.nan, emf)


@dataclass(frozen=True)
class SignalSensor(Sensor):
    """A bridge, a potentiometer or a transmitter: what it gives, and what is left when it is broken.

    Attributes
    ----------
    law : Law
        What it gives at a value [mV, V, mA or a ratio].
    when_broken : float
        What the input then finds; not-a-number where the input notices by itself [unit of the law].
    gain, offset : float
        Error of what it gives; 1 and 0 when healthy [-], [unit of the law].
    burnt_out : bool
        Whether it gives nothing any more.
    """

    law: Law
    when_broken: float = math.nan
    gain: float = 1.0
    offset: float = 0.0
    burnt_out: bool = False

    def at_terminals(self, value: Array, broken: Mask, wires: int = 2) -> Array:
        """Signal at the terminals [unit of the law]."""
        return np.where(broken | self.burnt_out, self.when_broken, self.law.quantity(value) * self.gain + self.offset)
