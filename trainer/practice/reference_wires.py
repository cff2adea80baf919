"""Reference tables and conversions of copper conductors: length and resistance, one way and there and back."""

from __future__ import annotations

from dataclasses import dataclass

from trainer import units
from trainer.calculations.leads import (
    COPPER_RESISTIVITY,
    METRIC,
    awg_resistance,
    conductor_resistance,
    metric_resistance,
)
from trainer.calculations.loops import longest_cable
from trainer.calculations.ranges import within
from trainer.language import gettext
from trainer.practice.reference import Line, Meaning, Way, read_in, ways

WIRE_SOURCE = (
    "AWG: diameters of ASTM B258, copper of NBS Handbook 100 (1966), solid conductor. mm²: largest resistance that "
    "IEC 60228:2004 allows to plain copper, classes 1 and 2, flexible classes 5 and 6; 0.75 and 1 mm² from memory. "
    "Temperature coefficient of annealed copper 0.00393 for one degree at 20 °C, from memory; the correction table of "
    "IEC 60228 uses 0.004"
)
USUAL_TEMPERATURE = 20.0
GAUGES = range(8, 31, 2)
KILOMETER = 1000.0
LONGEST = 100_000.0  # m, as conductor_resistance takes it
OHM_DECIMALS = 3
LENGTH_DECIMALS = 2


@dataclass(frozen=True, slots=True)
class Conductor:
    """A wire size: name, area [mm²] and resistance of one conductor at 20 °C [Ω/km]."""

    name: str
    area: float
    per_kilometer: float


def conductors() -> dict[str, Conductor]:
    """Every wire size by its key, American gauges first.

    Examples
    --------
    >>> conductors()["18-awg"]
    Conductor(name='18 AWG', area=0.823, per_kilometer=20.95)
    """
    gauges = {f"{gauge}-awg": _gauge(gauge) for gauge in GAUGES}
    fixed = {f"{area:g}-mm2": Conductor(f"{area:g} mm²", area, metric_resistance(area)) for area in METRIC}
    flexible = {
        f"{area:g}-mm2-flexible": Conductor(
            gettext("{area} mm² flexible").format(area=f"{area:g}"), area, metric_resistance(area, flexible=True)
        )
        for area in METRIC
    }
    return gauges | fixed | flexible


def _gauge(gauge: int) -> Conductor:
    per_kilometer = awg_resistance(gauge)
    return Conductor(f"{gauge} AWG", COPPER_RESISTIVITY / per_kilometer, per_kilometer)


@dataclass(frozen=True, slots=True)
class WireRow:
    """A wire size in the table: at 20 °C, then one way and there and back at the temperature asked for."""

    conductor: Conductor
    per_thousand_feet: float
    warm: float
    loop: float


def wire_rows(temperature: float = 20.0) -> tuple[WireRow, ...]:
    """Every wire size at a conductor temperature.

    Parameters
    ----------
    temperature : float
        Temperature of the conductor [°C].

    Returns
    -------
    tuple of WireRow
        Resistance of one conductor at 20 °C [Ω/1000 ft], of one conductor and of a pair, there and back [Ω/km].

    Raises
    ------
    OutOfRange
        For a temperature that no cable stands.
    """
    return tuple(_row(conductor, temperature) for conductor in conductors().values())


def _row(conductor: Conductor, temperature: float) -> WireRow:
    warm = conductor_resistance(KILOMETER, conductor.per_kilometer, temperature)
    per_thousand_feet = units.convert(conductor.per_kilometer, "Ω/km", "Ω/1000 ft")
    return WireRow(conductor, per_thousand_feet, warm, 2.0 * warm)


def read_conductor_temperature(text: str, decimal: str = ".") -> float:
    """Read the temperature of a conductor [°C]; one that no cable stands is refused."""
    celsius = read_in(text, "°C", decimal)
    conductor_resistance(0.0, 0.0, celsius)
    return celsius


def wire_ways(text: str, conductor: Conductor, temperature: float = 20.0, decimal: str = ".") -> tuple[Way, ...]:
    """Read a value as a length of cable and as a resistance.

    Parameters
    ----------
    text : str
        What was typed.
    conductor : Conductor
        Wire size.
    temperature : float
        Temperature of the conductor [°C].
    decimal : str
        The decimal sign of this person.

    Returns
    -------
    tuple of Way
        As for `reference.ways`.

    Examples
    --------
    >>> found = wire_ways("100", conductors()["1.5-mm2"])
    >>> [(line.title, round(line.value, 2)) for line in found[0].lines]
    [('One conductor', 1.21), ('There and back', 2.42)]
    """
    per_kilometer = conductor_resistance(KILOMETER, conductor.per_kilometer, temperature)

    def from_length(length: float) -> tuple[Line, ...]:
        one = conductor_resistance(length, conductor.per_kilometer, temperature)
        return (
            Line(gettext("One conductor"), one, "Ω", OHM_DECIMALS),
            Line(gettext("There and back"), 2.0 * one, "Ω", OHM_DECIMALS),
        )

    def from_resistance(ohms: float) -> tuple[Line, ...]:
        within("resistance", ohms, 0.0, conductor_resistance(LONGEST, conductor.per_kilometer, temperature), "Ω")
        one, loop = longest_cable(2.0 * ohms, 0.0, per_kilometer), longest_cable(ohms, 0.0, per_kilometer)
        return (
            Line(gettext("Cable, one conductor"), one, "m", LENGTH_DECIMALS),
            Line(gettext("Cable, there and back"), loop, "m", LENGTH_DECIMALS),
        )

    return ways(text, (Meaning(("m",), from_length), Meaning(("Ω",), from_resistance)), decimal)
