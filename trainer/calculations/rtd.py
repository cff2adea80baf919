"""Resistance thermometers: resistance and temperature, tolerance, self-heating.

Every temperature and resistance may be one value or an array; the answer has the same shape.
"""

from __future__ import annotations

from typing import NamedTuple

from trainer.calculations.curves import CURVES, IEC_60751, Curve
from trainer.calculations.elementary import clip
from trainer.calculations.ranges import Number, within

# Tables print 0.01 Ω for R0 = 100 Ω: the printed end of a table may lie this much outside the exact one.
HALF_A_DIGIT = 0.005 / 100.0


class Grade(NamedTuple):
    """A tolerance class: ±(base + per_degree |t|) [°C] from `lowest` to `highest` [°C]."""

    base: float
    per_degree: float
    lowest: float
    highest: float


# IEC 60751:2022 (the numbers of 60751:2008): thermometers by class and construction, then bare resistors,
# whose class names the construction, W wire-wound and F film.
GRADES = {
    ("AA", "wire-wound"): Grade(0.1, 0.0017, -50.0, 250.0),
    ("AA", "film"): Grade(0.1, 0.0017, 0.0, 150.0),
    ("A", "wire-wound"): Grade(0.15, 0.002, -100.0, 450.0),
    ("A", "film"): Grade(0.15, 0.002, -30.0, 300.0),
    ("B", "wire-wound"): Grade(0.3, 0.005, -196.0, 600.0),
    ("B", "film"): Grade(0.3, 0.005, -50.0, 500.0),
    ("C", "wire-wound"): Grade(0.6, 0.01, -196.0, 600.0),
    ("C", "film"): Grade(0.6, 0.01, -50.0, 600.0),
    ("W0.1", "wire-wound"): Grade(0.1, 0.0017, -100.0, 350.0),
    ("W0.15", "wire-wound"): Grade(0.15, 0.002, -100.0, 450.0),
    ("W0.3", "wire-wound"): Grade(0.3, 0.005, -196.0, 660.0),
    ("W0.6", "wire-wound"): Grade(0.6, 0.01, -196.0, 660.0),
    ("F0.1", "film"): Grade(0.1, 0.0017, 0.0, 150.0),
    ("F0.15", "film"): Grade(0.15, 0.002, -30.0, 300.0),
    ("F0.3", "film"): Grade(0.3, 0.005, -50.0, 500.0),
    ("F0.6", "film"): Grade(0.6, 0.01, -50.0, 600.0),
}


def resistance(temperature: Number, r0: float | None = None, curve: Curve = IEC_60751) -> Number:
    """Resistance that a good sensor has at a temperature.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature of the sensor [°C].
    r0 : float, optional
        Resistance at 0 °C; the usual one of the curve if left out, 100 Ω for platinum [Ω].
    curve : Curve
        Resistance curve of the sensor.

    Returns
    -------
    float or ndarray
        Resistance without leads, shape of `temperature` [Ω].

    Raises
    ------
    OutOfRange
        Where the curve is not defined.

    References
    ----------
    IEC 60751:2022, clause 5 (resistance as a function of temperature) and its table for 100 Ω.

    Examples
    --------
    >>> resistance(63.5)
    124.58
    >>> resistance(-40.0, r0=1000.0)
    842.7
    """
    within("temperature", temperature, curve.lowest, curve.highest, "°C")
    return _r0(r0, curve) * curve.ratio(temperature)


def temperature(resistance: Number, r0: float | None = None, curve: Curve = IEC_60751) -> Number:
    """Temperature of a good sensor that has a resistance.

    The printed ends of a table, rounded to 0.01 Ω for a 100 Ω sensor, count as the ends of the curve.

    Parameters
    ----------
    resistance : float or ndarray
        Resistance without leads [Ω].
    r0 : float, optional
        Resistance at 0 °C; the usual one of the curve if left out [Ω].
    curve : Curve
        Resistance curve of the sensor.

    Returns
    -------
    float or ndarray
        Temperature, shape of `resistance`, exact to better than a millionth of a degree [°C].

    Raises
    ------
    OutOfRange
        For a resistance that the sensor does not have within its range, in ohms.

    References
    ----------
    IEC 60751:2022, clause 5.

    Examples
    --------
    >>> temperature(131.42)
    81.37
    >>> temperature(18.52)
    -200.0
    """
    r0 = _r0(r0, curve)
    low, high = curve.ends
    within("resistance", resistance, r0 * low, r0 * high, "Ω", slack=r0 * HALF_A_DIGIT)
    return clip(curve.temperature(resistance / r0), curve.lowest, curve.highest)


def sensitivity(temperature: Number, r0: float | None = None, curve: Curve = IEC_60751) -> Number:
    """Rise of resistance for one degree, dR/dt.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature of the sensor [°C].
    r0 : float, optional
        Resistance at 0 °C; the usual one of the curve if left out [Ω].
    curve : Curve
        Resistance curve of the sensor.

    Returns
    -------
    float or ndarray
        Slope of the curve, shape of `temperature` [Ω/°C].

    Raises
    ------
    OutOfRange
        Where the curve is not defined.

    Examples
    --------
    >>> sensitivity(58.0)
    0.3841
    """
    within("temperature", temperature, curve.lowest, curve.highest, "°C")
    return curve.slope(temperature) * _r0(r0, curve)


def tolerance(temperature: Number, grade: str, construction: str = "wire-wound") -> Number:
    """Largest deviation allowed to a platinum thermometer or resistor of a tolerance class.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature of the sensor [°C].
    grade : str
        AA, A, B or C for a thermometer; for a bare resistor W or F with 0.1, 0.15, 0.3 or 0.6, as in W0.3.
    construction : str
        Of a thermometer, "wire-wound" or "film": it decides the range in which the class holds.

    Returns
    -------
    float or ndarray
        Half-width of the band, a difference, shape of `temperature` [°C].

    Raises
    ------
    OutOfRange
        Where the class makes no promise.

    References
    ----------
    IEC 60751:2022, the tables of tolerance classes for resistors and for thermometers.

    Examples
    --------
    >>> tolerance(-90.0, "B")
    0.75
    """
    key = (grade, {"W": "wire-wound", "F": "film"}.get(grade[:1], construction))
    if key not in GRADES:
        raise ValueError(f"no tolerance class {grade!r} for a sensor that is {construction!r}")
    held = GRADES[key]
    within("temperature", temperature, held.lowest, held.highest, "°C")
    return held.base + held.per_degree * abs(temperature)


def alpha(r0: Number, r100: Number) -> Number:
    """Mean rise of resistance for one degree from ice to 100 °C, as a part of the resistance in ice.

    Parameters
    ----------
    r0, r100 : float or ndarray
        Resistance at 0 °C and at 100 °C [Ω].

    Returns
    -------
    float or ndarray
        (R100 - R0) / (100 R0) [1/°C].

    Examples
    --------
    >>> alpha(100.0, 138.51)
    0.003851
    """
    return (r100 - r0) / (100.0 * r0)


def identify(r0: float, r100: float) -> Curve:
    """Tell the curve of a sensor from its resistance in ice and at 100 °C.

    Parameters
    ----------
    r0, r100 : float
        Resistance at 0 °C and at 100 °C, leads taken off [Ω].

    Returns
    -------
    Curve
        The one whose alpha is nearest.

    Raises
    ------
    OutOfRange
        For an alpha beyond those of platinum, copper and nickel thermometers.

    Examples
    --------
    >>> identify(1000.2, 1392.3).name
    'platinum 0.003920'
    """
    found = alpha(r0, r100)
    within("alpha", found, 0.0038, 0.0068, "per °C")
    return min(CURVES, key=lambda curve: abs(curve.alpha - found))


def self_heating(current: Number, resistance: Number, dissipation: float) -> Number:
    """How far the measuring current warms the sensor above its surroundings.

    Parameters
    ----------
    current : float or ndarray
        Measuring current [mA].
    resistance : float or ndarray
        Resistance of the sensor at its temperature [Ω].
    dissipation : float
        Power that one kelvin of rise carries off into the medium [mW/K].

    Returns
    -------
    float or ndarray
        Rise of temperature, a difference and always positive [K].

    Examples
    --------
    >>> self_heating(2.0, 1232.4, 8.0)
    0.616
    """
    return current * current * resistance / 1000.0 / dissipation


def _r0(given: float | None, curve: Curve) -> float:
    if given is None:
        return curve.nominal
    within("resistance at 0 °C", given, 1.0, 10_000.0, "Ω")
    return given
