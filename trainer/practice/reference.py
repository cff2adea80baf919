"""What a reference page looks up: a typed value read in every way it can be meant, and what follows from it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from trainer import units
from trainer.errors import OutOfRange, TrainerError
from trainer.grading.reading import Reading, Refusal, read
from trainer.language import gettext

OTHER = {"°C": "°F", "°F": "°C", "m": "ft"}  # the unit that is shown beside


def beside(value: float, unit: str) -> tuple[float, str] | None:
    """A temperature or a length in the other unit of the trade, with that unit; None for all else.

    Examples
    --------
    >>> beside(51.5, "°C")
    (124.7, '°F')
    """
    other = OTHER.get(unit)
    return (units.convert(value, unit, other), other) if other else None


@dataclass(frozen=True, slots=True)
class Line:
    """A value that follows from what was typed; `note` is a word on it."""

    title: str
    value: float
    unit: str
    decimals: int
    note: str = ""

    @property
    def beside(self) -> tuple[float, str] | None:
        """The same in the other unit of the trade, for temperatures and lengths."""
        return beside(self.value, self.unit)


@dataclass(frozen=True, slots=True)
class Way:
    """One way to read what was typed: the number with a unit, and its lines or the reason why there are none."""

    number: float
    unit: str
    decimals: int
    lines: tuple[Line, ...] = ()
    fault: str = ""


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a typed number can be: a bare one is read in each of `units`; `work` takes it in the first of them."""

    units: tuple[str, ...]
    work: Callable[[float], tuple[Line, ...]]
    bare: bool = True

    def units_for(self, typed: str) -> tuple[str, ...]:
        """Units in which a number with the typed unit, or without any, is read."""
        if not typed:
            return self.units if self.bare else ()
        found = units.spelled(typed, self.units[0]) if self.units[0] else None
        fits = found is not None and found.dimension == units.unit(self.units[0]).dimension
        return (found.name,) if found and fits else ()


def read_typed(text: str, decimal: str = ".") -> Reading:
    """Read a number with the text of its unit.

    Raises
    ------
    TrainerError
        With the sentence that says why it cannot be read.
    """
    reading = read(text, decimal)
    if isinstance(reading, Refusal):
        raise TrainerError(reading.sentence)
    return reading


def read_in(text: str, unit: str, decimal: str = ".") -> float:
    """Read a number that can only be meant in one unit, or in one that converts into it.

    Examples
    --------
    >>> read_in("0.1 kohm", "Ω"), read_in("77 °F", "°C"), read_in("25", "°C")
    (100.0, 25.0, 25.0)
    """
    reading = read_typed(text, decimal)
    if not reading.unit:
        return reading.number
    meant = Meaning((unit,), lambda _number: ()).units_for(reading.unit)
    if not meant:
        raise _foreign(reading.unit, [unit])
    return units.convert(reading.number, meant[0], unit)


def ways(text: str, meanings: Sequence[Meaning], decimal: str = ".") -> tuple[Way, ...]:
    """Read a typed value in every way it can be meant.

    Parameters
    ----------
    text : str
        What was typed: a number, or a number with its unit, which is then meant only so.
    meanings : sequence of Meaning
        What it can be.
    decimal : str
        The decimal sign of this person.

    Returns
    -------
    tuple of Way
        At least one of them has lines; one that cannot be has the sentence that says why.

    Raises
    ------
    TrainerError
        It cannot be read, its unit does not belong here, or no way is possible.
    """
    reading = read_typed(text, decimal)
    found = tuple(_try(reading, meaning, unit) for meaning in meanings for unit in meaning.units_for(reading.unit))
    if not found:
        raise _foreign(reading.unit, [meaning.units[0] for meaning in meanings if meaning.units[0]])
    if all(way.fault for way in found):
        raise TrainerError("; ".join(way.fault for way in found))
    return found


def _try(reading: Reading, meaning: Meaning, unit: str) -> Way:
    shown = (reading.number, unit, reading.decimals)
    try:
        number = units.convert(reading.number, unit, meaning.units[0])
        return Way(*shown, lines=meaning.work(number))
    except OutOfRange as fault:
        return Way(*shown, fault=str(_in_unit(fault, reading.number, unit)))
    except TrainerError as fault:
        return Way(*shown, fault=str(fault))


def _in_unit(fault: OutOfRange, typed: float, unit: str) -> OutOfRange:
    """Tell a fault in the unit in which the value was typed."""
    if fault.unit == unit or units.unit(fault.unit).dimension != units.unit(unit).dimension:
        return fault
    lowest, highest = (units.convert(end, fault.unit, unit) for end in (fault.lowest, fault.highest))
    return OutOfRange(fault.quantity, typed, lowest, highest, unit)


def _foreign(typed: str, wanted: Sequence[str]) -> TrainerError:
    said = gettext("{unit} is no unit for this box. Write it like {units}, or leave it out.")
    return TrainerError(said.format(unit=typed, units=", ".join(wanted)))


@dataclass(frozen=True, slots=True)
class DegreeRow:
    """Ten degrees of a table: the temperature at its head, and the values at it and at the nine degrees after."""

    celsius: float
    fahrenheit: float
    values: tuple[float | None, ...]


def degree_rows(function: Callable[[float], float], lowest: float, highest: float) -> Iterator[DegreeRow]:
    """Tabulate a function of temperature [°C] degree by degree, None beyond its ends."""
    for tens in range(int(lowest // 10), int(highest // 10) + 1):
        head = 10.0 * tens
        degrees = [head + ones for ones in range(10)]
        values = tuple(function(each) if lowest <= each <= highest else None for each in degrees)
        yield DegreeRow(head, units.convert(head, "°C", "°F"), values)
