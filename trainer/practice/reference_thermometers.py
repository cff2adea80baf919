"""Reference tables and conversions of resistance thermometers and thermocouples."""

from __future__ import annotations

from trainer.calculations import rtd, thermocouples
from trainer.calculations.curves import CURVES, Curve
from trainer.errors import OutOfRange
from trainer.language import gettext
from trainer.practice.reference import DegreeRow, Line, Meaning, Way, degree_rows, read_in, ways

RESISTANCE_CURVES = {curve.name: curve for curve in CURVES}
KINDS = {kind: kind for kind in thermocouples.KINDS}
THERMOCOUPLE_SOURCE = (
    "NIST Monograph 175 (1993), ITS-90: the reference functions of IEC 60584-1 and ASTM E230. "
    "A temperature is the root of the reference function, not of an approximate inverse polynomial"
)
EMF_DECIMALS = 3
TEMPERATURE_DECIMALS = 2


def resistance_decimals(r0: float) -> int:
    """Decimals of a resistance: hundredths of an ohm as printed for 100 Ω, one more for a 10 Ω sensor."""
    return 2 if r0 >= 50.0 else 3


def read_r0(text: str, curve: Curve, decimal: str = ".") -> float:
    """Read the resistance at 0 °C [Ω]; one that no sensor has is refused."""
    return rtd.resistance(0.0, read_in(text, "Ω", decimal), curve)


def resistance_rows(curve: Curve, r0: float) -> tuple[DegreeRow, ...]:
    """Resistance [Ω] of a sensor over the whole range of its curve.

    Examples
    --------
    >>> resistance_rows(RESISTANCE_CURVES["platinum 0.003851"], 100.0)[30].values[:2]
    (138.51, 138.89)
    """
    return tuple(degree_rows(lambda t: rtd.resistance(t, r0, curve), curve.lowest, curve.highest))


def resistance_ways(
    text: str, curve: Curve, r0: float, decimal: str = ".", degrees: tuple[str, ...] = ("°C",)
) -> tuple[Way, ...]:
    """Read a value as a temperature and as a resistance of a sensor.

    Parameters
    ----------
    text : str
        What was typed.
    curve : Curve
        Resistance curve of the sensor.
    r0 : float
        Resistance at 0 °C [Ω].
    decimal : str
        The decimal sign of this person.
    degrees : tuple of str
        Units in which a bare number is read as a temperature, °C first.

    Returns
    -------
    tuple of Way
        As for `reference.ways`.

    Examples
    --------
    >>> platinum = RESISTANCE_CURVES["platinum 0.003851"]
    >>> [(way.unit, way.lines[0].value) for way in resistance_ways("120", platinum, 100.0)]
    [('°C', 146.07), ('Ω', 51.57)]
    """

    def rise(celsius: float) -> Line:
        return Line(gettext("Rise for one degree"), rtd.sensitivity(celsius, r0, curve), "Ω/°C", 4)

    def from_temperature(celsius: float) -> tuple[Line, ...]:
        ohms = rtd.resistance(celsius, r0, curve)
        return (Line(gettext("Resistance"), ohms, "Ω", resistance_decimals(r0)), rise(celsius))

    def from_resistance(ohms: float) -> tuple[Line, ...]:
        celsius = rtd.temperature(ohms, r0, curve)
        return (Line(gettext("Temperature"), celsius, "°C", TEMPERATURE_DECIMALS), rise(celsius))

    return ways(text, (Meaning(degrees, from_temperature), Meaning(("Ω",), from_resistance)), decimal)


def emf_rows(kind: str) -> tuple[DegreeRow, ...]:
    """Emf [mV] of a letter type over its whole range, reference junction at 0 °C.

    Examples
    --------
    >>> emf_rows("K")[37].celsius, emf_rows("K")[37].values[0]
    (100.0, 4.096)
    """
    domain = thermocouples.reference_function(kind).domain
    return tuple(degree_rows(lambda t: thermocouples.emf(t, kind), *domain))


def emf_ways(
    text: str, kind: str, terminal: float = 0.0, decimal: str = ".", degrees: tuple[str, ...] = ("°C",)
) -> tuple[Way, ...]:
    """Read a value as a temperature and as an emf at the terminals of a thermocouple.

    Parameters
    ----------
    text : str
        What was typed.
    kind : str
        Letter of the type.
    terminal : float
        Temperature of the terminals, the reference junction [°C].
    decimal : str
        The decimal sign of this person.
    degrees : tuple of str
        Units in which a bare number is read as a temperature, °C first.

    Returns
    -------
    tuple of Way
        As for `reference.ways`.

    Examples
    --------
    >>> [way.lines[0].value for way in emf_ways("25", "K", terminal=25.0)]
    [0.0, 625.8]
    """

    def rise(celsius: float) -> Line:
        return Line(gettext("Rise for one degree"), thermocouples.sensitivity(celsius, kind), "mV/°C", 4)

    def from_temperature(celsius: float) -> tuple[Line, ...]:
        at_terminals = thermocouples.terminal_emf(celsius, terminal, kind)
        referred = thermocouples.emf(celsius, kind)
        return (
            Line(gettext("Emf at the terminals"), at_terminals, "mV", EMF_DECIMALS),
            Line(gettext("Emf referred to 0 °C"), referred, "mV", EMF_DECIMALS),
            rise(celsius),
        )

    def from_emf(measured: float) -> tuple[Line, ...]:
        celsius = _indicated(measured, terminal, kind)
        referred = thermocouples.emf(celsius, kind)
        return (
            Line(gettext("Temperature"), celsius, "°C", TEMPERATURE_DECIMALS),
            Line(gettext("Emf referred to 0 °C"), referred, "mV", EMF_DECIMALS),
            rise(celsius),
        )

    return ways(text, (Meaning(degrees, from_temperature), Meaning(("mV",), from_emf)), decimal)


def read_terminal(text: str, kind: str, decimal: str = ".") -> float:
    """Read the temperature of the terminals [°C]; one for which the type has no emf is refused."""
    celsius = read_in(text, "°C", decimal)
    thermocouples.emf(celsius, kind)
    return celsius


def _indicated(measured: float, terminal: float, kind: str) -> float:
    try:
        return thermocouples.indicated(measured, terminal, kind)
    except OutOfRange as fault:  # told of the sum with the terminals' emf; the box holds what a meter shows
        added = thermocouples.emf(terminal, kind)
        raise OutOfRange("emf", measured, fault.lowest - added, fault.highest - added, "mV") from fault
