"""Reference tables and conversions of units: all units of a dimension at once, readings and differences apart."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from trainer import units
from trainer.calculations import temperatures
from trainer.errors import OutOfRange, TrainerError
from trainer.language import gettext
from trainer.practice.reference import Line, Meaning, Way, read_typed, ways
from trainer.units import Unit

UNIT_SOURCE = (
    "BIPM, The International System of Units, 9th edition (2019); NIST SP 811 (2008). Inch, foot, pound and US gallon "
    "are exact; columns of water and mercury are the conventional ones (1000 and 13 595.1 kg/m³, 9.80665 m/s²)"
)
FIGURES = 7
READING, DIFFERENCE = "temperature", "temperature difference"
DIFFERENCE_OF = {"°C": "°C (difference)", "°F": "°F (difference)", "K": "K (difference)"}
POINTS = (-273.15, -200.0, -100.0, -40.0, -20.0, 0.0, 10.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0)
HOTTER_POINTS = (150.0, 200.0, 300.0, 400.0, 500.0, 600.0, 800.0, 1000.0, 1200.0)

# The dimensions of the printed table, and the unit in which each is told there.
TOLD_IN = {
    "temperature difference": "°C (difference)",
    "pressure": "kPa",
    "length": "m",
    "volume": "L",
    "volume per time": "m³/h",
    "mass": "kg",
    "mass per time": "kg/h",
    "mass per volume": "kg/m³",
    "force": "N",
    "time": "s",
    "ratio": "%",
    "current": "mA",
    "voltage": "V",
    "resistance": "Ω",
    "resistance per length": "Ω/km",
    "power": "W",
    "capacitance": "nF",
    "inductance": "mH",
    "conductance per length": "µS/cm",
    "frequency": "Hz",
}


def units_of(dimension: str) -> tuple[Unit, ...]:
    """All units of a dimension; the plain number of a ratio stands as "1"."""
    return tuple(each for each in units.UNITS.values() if each.dimension == dimension)


def choices() -> dict[str, str]:
    """Units in which a number without a unit can be meant, each with its dimension."""
    return {each.name: dimension for dimension in (READING, *TOLD_IN) for each in units_of(dimension)}


def decimals_for(value: float) -> int:
    """Decimals with which a value shows seven figures and no closing zeros.

    Examples
    --------
    >>> decimals_for(6.894757293168361), decimals_for(98066.5), decimals_for(0.0)
    (6, 1, 0)
    """
    exponent = Decimal(f"{value:.{FIGURES}g}").normalize().as_tuple().exponent
    return max(0, -int(exponent))


def unit_ways(text: str, chosen: str = "°C", decimal: str = ".") -> tuple[Way, ...]:
    """Convert a value into every unit of its dimension.

    Parameters
    ----------
    text : str
        What was typed.
    chosen : str
        Unit of a number without one; a temperature is also read as a difference.
    decimal : str
        The decimal sign of this person.

    Returns
    -------
    tuple of Way
        As for `reference.ways`: for a temperature the reading and the difference.

    Raises
    ------
    TrainerError
        It cannot be read, or its unit is not known.

    Examples
    --------
    >>> [[(line.value, line.unit) for line in way.lines][1] for way in unit_ways("25 °C")]
    [(77.0, '°F'), (45.0, '°F (difference)')]
    """
    typed = read_typed(text, decimal).unit
    found = units.spelled(typed) if typed else units.unit(chosen)
    unit = found or units.unit(typed)  # refuses, and offers the nearest
    names = [unit.name]
    if unit.dimension == READING:
        names.append(DIFFERENCE_OF[unit.name])
    return ways(text, [Meaning((name,), _into_all(name)) for name in names], decimal)


def _into_all(name: str) -> Callable[[float], tuple[Line, ...]]:
    names = [each.name for each in units_of(units.unit(name).dimension)]

    def lines(value: float) -> tuple[Line, ...]:
        numbers = ((to, into(value, name, to)) for to in names)
        return tuple(Line(to or gettext("plain number"), number, to, decimals_for(number)) for to, number in numbers)

    return lines


def into(value: float, unit: str, to: str) -> float:
    """Convert a value; a temperature below absolute zero is refused.

    Raises
    ------
    TrainerError
        With the value and absolute zero in the unit of the value.

    Examples
    --------
    >>> into(1.0, "bar", "psi")
    14.503774
    >>> into(-300.0, "°C", "K")
    Traceback (most recent call last):
        ...
    trainer.errors.TrainerError: temperature -300 °C is below absolute zero, -273.15 °C
    """
    dimension = units.unit(unit).dimension
    try:
        if dimension == READING:
            return temperatures.convert(value, unit, to)  # type: ignore[arg-type]
    except OutOfRange as fault:
        said = gettext("temperature {value} {unit} is below absolute zero, {limit} {unit}")
        raise TrainerError(said.format(value=f"{value:.10g}", unit=unit, limit=f"{fault.lowest:g}")) from fault
    if dimension == DIFFERENCE:
        bare = {name: degree for degree, name in DIFFERENCE_OF.items()}
        return temperatures.convert_difference(value, bare[unit], bare[to])  # type: ignore[arg-type]
    return units.convert(value, unit, to)


@dataclass(frozen=True, slots=True)
class UnitRow:
    """A unit of a table: its name and what one of it is."""

    name: str
    value: float
    told_in: str
    decimals: int


def unit_tables() -> dict[str, tuple[UnitRow, ...]]:
    """What one of each unit is, for every dimension of the printed table.

    Examples
    --------
    >>> [(row.name, row.value) for row in unit_tables()["pressure"]][5]
    ('psi', 6.894757)
    """
    return {dimension: _rows(dimension, told_in) for dimension, told_in in TOLD_IN.items()}


def _rows(dimension: str, told_in: str) -> tuple[UnitRow, ...]:
    values = ((each.name, into(1.0, each.name, told_in)) for each in units_of(dimension) if each.name != told_in)
    return tuple(UnitRow(name, value, told_in, decimals_for(value)) for name, value in values)


def temperature_rows() -> tuple[tuple[float, float, float], ...]:
    """Readings in °C, °F and K side by side.

    Examples
    --------
    >>> temperature_rows()[3]
    (-40.0, -40.0, 233.15)
    """
    return tuple((point, into(point, "°C", "°F"), into(point, "°C", "K")) for point in (*POINTS, *HOTTER_POINTS))
