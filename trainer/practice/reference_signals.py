"""Reference tables and conversions of analog signals: every standard signal, and the fault levels of a 4-20 mA loop."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from trainer import units
from trainer.calculations.burdens import burden_voltage
from trainer.calculations.fault_levels import NE_43, band
from trainer.calculations.signals import (
    MA_4_20,
    SIGNALS,
    Signal,
    fraction,
    signal_from_value,
    span_between,
    value_at,
    value_from_signal,
)
from trainer.language import gettext
from trainer.practice.reference import Line, Meaning, Way, read_typed, ways

SIGNAL_SOURCE = (
    "IEC 60381-1:1982 (direct current signals), IEC 60381-2:1978 (direct voltage signals); "
    "fault levels: NAMUR NE 43, edition of 2003"
)
FRACTIONS = (0.0, 0.25, 0.5, 0.75, 1.0)
BURDEN = 250.0
SIGNAL_DECIMALS = 3
PERCENT_DECIMALS = 2
FIGURES_OF_SPAN = 5


@dataclass(frozen=True, slots=True)
class ProcessRange:
    """Process values at 0 % and at 100 %, with their unit, or none where a bare number was typed.

    Examples
    --------
    >>> ProcessRange(-30.0, 50.0, "°C").decimals
    3
    """

    lower: float = 0.0
    upper: float = 100.0
    unit: str = "%"

    def __post_init__(self) -> None:
        span_between("range", self.lower, self.upper)

    @property
    def decimals(self) -> int:
        """Decimals with which the span shows five figures."""
        return max(0, FIGURES_OF_SPAN - math.ceil(math.log10(abs(self.upper - self.lower))))

    def value(self, at: float) -> float:
        """Process value at a fraction of span."""
        return value_at(at, self.lower, self.upper)


def read_range(lower: str, upper: str, decimal: str = ".") -> ProcessRange:
    """Read both ends of a range; the unit may stand behind either, or behind both.

    Raises
    ------
    TrainerError
        An end cannot be read, a unit is not known or fits only one end, or the two ends are one value.

    Examples
    --------
    >>> read_range("-30", "50 °C")
    ProcessRange(lower=-30.0, upper=50.0, unit='°C')
    """
    unit = read_unit(upper, decimal) or read_unit(lower, decimal)
    return ProcessRange(_end(lower, unit, decimal), _end(upper, unit, decimal), unit)


def read_unit(text: str, decimal: str = ".") -> str:
    """The unit typed at an end of a range, by its name; nothing where there is none."""
    typed = read_typed(text, decimal).unit
    found = units.spelled(typed) or units.unit(typed)  # the second refuses, and offers the nearest
    return found.name


def _end(text: str, unit: str, decimal: str) -> float:
    number = read_typed(text, decimal).number
    return units.convert(number, read_unit(text, decimal) or unit, unit)


@dataclass(frozen=True, slots=True)
class SignalRow:
    """A signal as it stands at each of the `FRACTIONS` of span."""

    name: str
    unit: str
    values: tuple[float, ...]


def signal_rows() -> tuple[SignalRow, ...]:
    """Every standard signal at 0, 25, 50, 75 and 100 % of span.

    Examples
    --------
    >>> signal_rows()[0].values
    (4.0, 8.0, 12.0, 16.0, 20.0)
    """
    return tuple(
        SignalRow(each.name, each.unit, tuple(signal_from_value(at, 0.0, 1.0, each) for at in FRACTIONS))
        for each in SIGNALS
    )


@dataclass(frozen=True, slots=True)
class LevelRow:
    """A level of a 4-20 mA loop: what it means, current [mA], volts across 250 Ω [V], process value."""

    meaning: str
    current: float
    volts: float
    value: float


def level_rows(process: ProcessRange) -> tuple[LevelRow, ...]:
    """The levels that bound measuring and faults, for a range.

    Examples
    --------
    >>> [(row.current, row.volts) for row in level_rows(ProcessRange())][::5]
    [(3.6, 0.9), (21.0, 5.25)]
    """
    levels = (
        (gettext("fault low, at or below"), NE_43.fault_low),
        (gettext("lowest that a healthy output gives"), NE_43.lowest),
        (gettext("0 % of span"), NE_43.zero),
        (gettext("100 % of span"), NE_43.full),
        (gettext("highest that a healthy output gives"), NE_43.highest),
        (gettext("fault high, at or above"), NE_43.fault_high),
    )
    return tuple(
        LevelRow(
            meaning, current, burden_voltage(current, BURDEN), value_from_signal(current, process.lower, process.upper)
        )
        for meaning, current in levels
    )


def signal_ways(text: str, process: ProcessRange, decimal: str = ".") -> tuple[Way, ...]:
    """Read a value as a process value of a range, and as a signal.

    Parameters
    ----------
    text : str
        What was typed. A bare number is read as a process value, as mA and as V; with % it is a part of span.
    process : ProcessRange
        The range.
    decimal : str
        The decimal sign of this person.

    Returns
    -------
    tuple of Way
        As for `reference.ways`; one line for each standard signal.

    Examples
    --------
    >>> found = signal_ways("12", ProcessRange(-30.0, 50.0, "°C"))
    >>> [(way.unit, way.lines[0].title, way.lines[0].value) for way in found]
    [('°C', '% of span', 52.5), ('mA', '4-20 mA', 10.0), ('V', '1-5 V', 190.0)]
    """

    def from_value(value: float) -> tuple[Line, ...]:
        percent = Line(gettext("% of span"), _percent(value, process), "%", PERCENT_DECIMALS)
        return (percent, *_signals(value, process))

    def from_percent(percent: float) -> tuple[Line, ...]:
        value = process.value(units.convert(percent, "%", ""))
        return (Line(gettext("Process value"), value, process.unit, process.decimals), *_signals(value, process))

    meanings = [Meaning((process.unit,), from_value)]
    if process.unit == "" or units.unit(process.unit).dimension != "ratio":
        meanings.append(Meaning(("%",), from_percent, bare=False))
    meanings += [Meaning((unit,), _from_signal(unit, process)) for unit in ("mA", "V")]
    return ways(text, meanings, decimal)


def _percent(value: float, process: ProcessRange) -> float:
    return units.convert(fraction(value, process.lower, process.upper), "", "%")


def _signals(value: float, process: ProcessRange) -> tuple[Line, ...]:
    signals = ((each, signal_from_value(value, process.lower, process.upper, each)) for each in SIGNALS)
    return tuple(Line(each.name, given, each.unit, SIGNAL_DECIMALS, _band(each, given)) for each, given in signals)


def _from_signal(unit: str, process: ProcessRange) -> Callable[[float], tuple[Line, ...]]:
    def lines(reading: float) -> tuple[Line, ...]:
        return tuple(
            Line(
                each.name,
                value_from_signal(reading, process.lower, process.upper, each),
                process.unit,
                process.decimals,
                _band(each, reading),
            )
            for each in SIGNALS
            if each.unit == unit
        )

    return lines


def _band(signal: Signal, current: float) -> str:
    """The band of a loop current, where it is not simply measuring."""
    found = band(current) if signal == MA_4_20 else "measuring"
    return "" if found == "measuring" else gettext(found)
