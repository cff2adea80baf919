"""Thermocouples of the letter types: emf and temperature, reference junction, extension cable.

The inverse is found on the reference function itself, never by a second fitted polynomial, so that a
temperature turned into an emf and back returns as it went in.
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

from trainer.calculations.piecewise import Piece, Piecewise
from trainer.calculations.ranges import Number, within

KINDS = ("B", "E", "J", "K", "N", "R", "S", "T")
COPPER = "copper"

# Below 42 °C type B gives the emf of two temperatures, and up to 250 °C one millivolt is hundreds of degrees:
# the reference tables turn its emf into a temperature from 250 °C only.
READABLE_FROM = {"B": 250.0}

HALF_A_DIGIT = 0.0005  # mV: tables print 0.001 mV, so a printed end may lie this much outside the exact one


@cache
def _listing() -> dict[str, list[dict[str, Any]]]:
    return tomllib.loads(Path(__file__).with_name("thermocouple_coefficients.toml").read_text("utf-8"))


@cache
def reference_function(kind: str) -> Piecewise:
    """Emf [mV] as a function of temperature [°C] for a letter type, reference junction at 0 °C."""
    if kind not in KINDS:
        raise ValueError(f"no thermocouple type {kind!r}: the letters are {', '.join(KINDS)}")
    pieces = tuple(
        Piece(part["from"], part["to"], tuple(part["c"]), tuple(part.get("exponential", ())))
        for part in _listing()[kind]
    )
    return Piecewise(pieces, rising_from=READABLE_FROM.get(kind, pieces[0].lowest))


def emf(temperature: Number, kind: str) -> Number:
    """Emf that a thermocouple gives with its reference junction at 0 °C.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature of the measuring junction [°C].
    kind : str
        Letter of the type: B, E, J, K, N, R, S or T.

    Returns
    -------
    float or ndarray
        Emf as the reference tables list it, shape of `temperature` [mV].

    Raises
    ------
    OutOfRange
        Where the reference function is not defined.

    References
    ----------
    NIST Monograph 175 (1993), the reference functions of IEC 60584-1 and ASTM E230.

    Examples
    --------
    >>> emf(850.0, "K")
    35.313
    """
    function = reference_function(kind)
    within("temperature", temperature, *function.domain, "°C")
    return function.value(temperature)


def temperature(emf: Number, kind: str) -> Number:
    """Temperature at which a thermocouple gives an emf, reference junction at 0 °C.

    The printed ends of a table, rounded to 0.001 mV, count as the ends of the function.

    Parameters
    ----------
    emf : float or ndarray
        Emf referred to 0 °C: for a meter at the terminals use `indicated` [mV].
    kind : str
        Letter of the type; B is read from 250 °C up, because one emf means two temperatures below 42 °C.

    Returns
    -------
    float or ndarray
        Temperature of the measuring junction, shape of `emf`, exact to some millionths of a degree [°C].

    Raises
    ------
    OutOfRange
        For an emf that the type does not give within its range, in millivolts.

    References
    ----------
    NIST Monograph 175 (1993); root of the reference function, not the approximate inverse polynomials.

    Examples
    --------
    >>> temperature(10.579, "S")
    1085.0
    >>> temperature(-6.458, "K")
    -270.0
    """
    function = reference_function(kind)
    within("emf", emf, *function.image, "mV", slack=HALF_A_DIGIT)
    return function.inverse(emf)


def sensitivity(temperature: Number, kind: str) -> Number:
    """Rise of emf for one degree, the Seebeck coefficient dE/dt.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature of the measuring junction [°C].
    kind : str
        Letter of the type.

    Returns
    -------
    float or ndarray
        Slope of the reference function, shape of `temperature` [mV/°C].

    Raises
    ------
    OutOfRange
        Where the reference function is not defined.

    Examples
    --------
    >>> sensitivity(25.0, "K")
    0.0405
    """
    function = reference_function(kind)
    within("temperature", temperature, *function.domain, "°C")
    return function.slope(temperature)


def terminal_emf(hot: Number, terminal: float, kind: str) -> Number:
    """Emf that a meter finds at terminals which are themselves warm; the setting of a plain mV source.

    Parameters
    ----------
    hot : float or ndarray
        Temperature of the measuring junction [°C].
    terminal : float
        Temperature of the terminals, the reference junction [°C].
    kind : str
        Letter of the type.

    Returns
    -------
    float or ndarray
        E(hot) - E(terminal), shape of `hot` [mV].

    Raises
    ------
    OutOfRange
        Where the reference function is not defined.

    Examples
    --------
    >>> terminal_emf(415.0, 27.5, "N")
    12.806
    """
    return emf(hot, kind) - emf(terminal, kind)


def indicated(measured: Number, terminal: float, kind: str) -> Number:
    """Temperature that an input with reference-junction compensation shows.

    Parameters
    ----------
    measured : float or ndarray
        Emf at the terminals [mV].
    terminal : float
        Temperature that the compensation takes for the terminals; 0 if it is off [°C].
    kind : str
        Letter that the input is set to.

    Returns
    -------
    float or ndarray
        Temperature at which the type gives `measured` + E(terminal), shape of `measured` [°C].

    Raises
    ------
    OutOfRange
        For a sum that the type does not give: the input sees a sensor fault.

    Examples
    --------
    >>> indicated(10.382, 34.0, "S")
    1085.0
    """
    return _temperature(measured + emf(terminal, kind), kind)


_temperature = temperature


@dataclass(frozen=True)
class Section:
    """One length of the way from the measuring junction to the terminals.

    `kind` is the letter of the wire or `COPPER`, `end` the temperature at its end towards the terminals [°C];
    `crossed` says that its two conductors are connected the wrong way round.
    """

    kind: str
    end: float
    crossed: bool = False

    def emf_from(self, start: Number) -> Number:
        """Emf that the length adds when it begins at a temperature [mV]."""
        if self.kind == COPPER:
            return 0.0 * start
        rise = terminal_emf(start, self.end, self.kind)
        return -rise if self.crossed else rise


def loop_emf(hot: Number, sections: Sequence[Section]) -> Number:
    """Walk a thermocouple circuit from the measuring junction to the terminals and add up its emf.

    Parameters
    ----------
    hot : float or ndarray
        Temperature of the measuring junction [°C].
    sections : sequence of Section
        The thermocouple itself and the cables after it, in order; the last ends at the terminals.

    Returns
    -------
    float or ndarray
        Emf at the terminals, shape of `hot` [mV].

    Raises
    ------
    OutOfRange
        Where a reference function is not defined.

    Examples
    --------
    A type K kiln at 560 °C, head 78 °C, panel 24 °C, wired on in copper, in crossed KX, in JX:

    >>> sensor = Section("K", end=78.0)
    >>> for cable in Section(COPPER, 24.0), Section("K", 24.0, crossed=True), Section("J", 24.0):
    ...     print(round(indicated(loop_emf(560.0, [sensor, cable]), 24.0, "K"), 1))
    507.8
    455.6
    574.8
    """
    total = sections[0].emf_from(hot)
    for before, section in pairwise(sections):
        total = total + section.emf_from(before.end)
    return total
