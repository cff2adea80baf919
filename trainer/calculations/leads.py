"""Leads of a resistance sensor: what a conductor has, and what the input makes of it."""

from __future__ import annotations

import math
from typing import Literal

from trainer.calculations import rtd
from trainer.calculations.curves import IEC_60751, Curve
from trainer.calculations.elementary import exp
from trainer.calculations.ranges import Number, within

COPPER_COEFFICIENT = 0.00393  # 1/°C at 20 °C: annealed copper (IACS), from memory; IEC 60228 uses 0.004
COPPER_RESISTIVITY = 17.241  # Ω mm²/km at 20 °C: annealed copper (IACS), NBS Handbook 100 (1966)

# IEC 60228:2004, largest resistance of plain copper conductors at 20 °C [Ω/km] by area [mm²]:
# solid and stranded (classes 1 and 2), then flexible (classes 5 and 6). Sizes 0.75 and 1 from memory.
METRIC = {
    0.5: (36.0, 39.0),
    0.75: (24.5, 26.0),
    1.0: (18.1, 19.5),
    1.5: (12.1, 13.3),
    2.5: (7.41, 7.98),
    4.0: (4.61, 4.95),
    6.0: (3.08, 3.30),
    10.0: (1.83, 1.91),
}

Wires = Literal["two-wire", "three-wire", "three-wire, matched currents", "four-wire"]


def awg_resistance(gauge: Number) -> Number:
    """Resistance of one solid copper conductor of an American wire gauge at 20 °C.

    Parameters
    ----------
    gauge : float or ndarray
        Gauge number, 4 to 40.

    Returns
    -------
    float or ndarray
        Resistance of one conductor, shape of `gauge` [Ω/km].

    Raises
    ------
    OutOfRange
        For a gauge outside 4 to 40.

    References
    ----------
    ASTM B258 (diameters: 0.127 mm × 92^((36 - n)/39)); NBS Handbook 100 (1966) for copper.

    Examples
    --------
    >>> awg_resistance(18)
    20.95
    """
    within("wire gauge", gauge, 4, 40, "AWG")
    diameter = 0.127 * exp(math.log(92.0) * (36.0 - gauge) / 39.0)
    return COPPER_RESISTIVITY / (math.pi / 4.0 * diameter * diameter)


def metric_resistance(area: float, *, flexible: bool = False) -> float:
    """Largest resistance of one plain copper conductor of a metric size at 20 °C.

    Parameters
    ----------
    area : float
        Nominal area, one of the sizes in `METRIC` [mm²].
    flexible : bool
        Fine-stranded conductor, classes 5 and 6, in place of classes 1 and 2.

    Returns
    -------
    float
        Resistance of one conductor [Ω/km].

    References
    ----------
    IEC 60228:2004, tables of classes 1, 2, 5 and 6.

    Examples
    --------
    >>> metric_resistance(1.5)
    12.1
    """
    if area not in METRIC:
        raise ValueError(f"{area:g} mm² is none of the sizes {', '.join(f'{size:g}' for size in METRIC)}")
    return METRIC[area][flexible]


def conductor_resistance(length: Number, per_km: float, temperature: float = 20.0) -> Number:
    """Resistance of one conductor, one way.

    Parameters
    ----------
    length : float or ndarray
        Length of the cable [m].
    per_km : float
        Resistance of the conductor at 20 °C [Ω/km].
    temperature : float
        Temperature of the cable, -60 to 200 [°C].

    Returns
    -------
    float or ndarray
        Resistance, shape of `length` [Ω].

    Raises
    ------
    OutOfRange
        For a negative length or a temperature that no cable stands.

    Examples
    --------
    >>> conductor_resistance(140.0, awg_resistance(20), temperature=45.0)
    5.12
    """
    within("length", length, 0.0, 100_000.0, "m")
    within("temperature", temperature, -60.0, 200.0, "°C")
    return length / 1000.0 * per_km * (1.0 + COPPER_COEFFICIENT * (temperature - 20.0))


def lead_error(wires: Wires, a: Number, b: Number, c: Number) -> Number:
    """Resistance that the input wrongly takes for part of the sensor.

    Lead `a` is alone at one end of the element; `b` and `c` are the pair at the other. Of the pair, `c`
    carries the current back and `b` only senses, unless matched currents go out through both `a` and `b`.

    Parameters
    ----------
    wires : str
        "two-wire" (leads a and c), "three-wire" for R = (V_ab - V_bc)/I, "three-wire, matched currents" or
        "four-wire".
    a, b, c : float or ndarray
        Resistance of the leads [Ω].

    Returns
    -------
    float or ndarray
        Indicated less true resistance [Ω].

    Examples
    --------
    >>> lead_error("three-wire", 3.10, 1.70, 1.55)
    1.55
    >>> lead_error("three-wire, matched currents", 3.10, 1.70, 1.55)
    1.40
    """
    if wires == "two-wire":
        return a + c
    if wires == "three-wire":
        return a - c
    if wires == "three-wire, matched currents":
        return a - b
    if wires == "four-wire":
        return 0.0 * a
    raise ValueError(f"no connection {wires!r}")


def indicated_resistance(element: Number, wires: Wires, a: float, b: float, c: float) -> Number:
    """Resistance that the input measures.

    Parameters
    ----------
    element : float or ndarray
        Resistance of the element itself [Ω].
    wires : str
        Connection, as for `lead_error`.
    a, b, c : float
        Resistance of the leads [Ω].

    Returns
    -------
    float or ndarray
        Resistance on which the reading rests, shape of `element` [Ω].

    Examples
    --------
    >>> indicated_resistance(128.80, "two-wire", 1.6, 1.6, 1.6)
    132.00
    """
    return element + lead_error(wires, a, b, c)


def reading_error(temperature: Number, added: float, r0: float | None = None, curve: Curve = IEC_60751) -> Number:
    """How far a resistance in series with the sensor moves the reading.

    Parameters
    ----------
    temperature : float or ndarray
        True temperature of the sensor [°C].
    added : float
        Resistance taken for part of the sensor, as `lead_error` gives it [Ω].
    r0 : float, optional
        Resistance at 0 °C; the usual one of the curve if left out [Ω].
    curve : Curve
        Resistance curve of the sensor.

    Returns
    -------
    float or ndarray
        Reading less true temperature, a difference, shape of `temperature` [°C].

    Raises
    ------
    OutOfRange
        Where the true or the shown temperature leaves the curve.

    Examples
    --------
    Two wires of 2.3 Ω each, first on a 100 Ω sensor, then on one of 1000 Ω:

    >>> reading_error(58.0, 4.6)
    12.00
    >>> reading_error(58.0, 4.6, r0=1000.0)
    1.20
    """
    shown = rtd.temperature(rtd.resistance(temperature, r0, curve) + added, r0, curve)
    return shown - temperature
