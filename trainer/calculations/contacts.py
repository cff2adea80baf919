"""Relay contacts: what is closed when, what a PLC input makes of it, and what a contact has to carry.

States are true or false, one or an array of them; the answer has the same shape.
"""

from __future__ import annotations

import math
from typing import Literal, TypeVar

import numpy as np
from numpy.typing import NDArray

from trainer.calculations.ranges import Number, within

State = TypeVar("State", bool, NDArray[np.bool_])
Coil = Literal["energized in alarm", "de-energized in alarm"]
Contact = Literal["normally open", "normally closed"]
Wiring = Literal["sound", "wire cut", "wires shorted", "contact welded", "wetting supply lost"]
Look = Literal["normal", "alarm"]

COILS: tuple[Coil, ...] = ("energized in alarm", "de-energized in alarm")
CONTACTS: tuple[Contact, ...] = ("normally open", "normally closed")
WIRINGS: tuple[Wiring, ...] = ("sound", "wire cut", "wires shorted", "contact welded", "wetting supply lost")


def energized(alarm: State, coil: Coil, powered: bool = True) -> State:
    """Whether the coil of an alarm relay is energized.

    Parameters
    ----------
    alarm : bool or ndarray of bool
        Whether the alarm stands.
    coil : {'energized in alarm', 'de-energized in alarm'}
        How the relay is set.
    powered : bool
        Whether the instrument has its supply.

    Returns
    -------
    bool or ndarray of bool
        Shape of `alarm`.

    Examples
    --------
    >>> energized(True, "de-energized in alarm"), energized(False, "de-energized in alarm", powered=False)
    (False, False)
    """
    return (alarm ^ (coil == "de-energized in alarm")) & powered


def closed(energized: State, contact: Contact) -> State:
    """Whether a contact is closed; its name tells how it lies on the shelf, without supply.

    Parameters
    ----------
    energized : bool or ndarray of bool
        Whether the coil is energized.
    contact : {'normally open', 'normally closed'}
        Which of the two contacts.

    Returns
    -------
    bool or ndarray of bool
        Shape of `energized`.

    Examples
    --------
    >>> closed(True, "normally open"), closed(True, "normally closed")
    (True, False)
    """
    return energized ^ (contact == "normally closed")


def input_on(closed: State, wiring: Wiring = "sound") -> State:
    """Whether a PLC input is on that is fed through a contact.

    Parameters
    ----------
    closed : bool or ndarray of bool
        Whether a sound contact would be closed.
    wiring : Wiring
        What has become of the contact, the wires to it, or the supply that wets it.

    Returns
    -------
    bool or ndarray of bool
        Shape of `closed`.

    Examples
    --------
    >>> input_on(True, "wire cut"), input_on(False, "contact welded")
    (False, True)
    """
    dead = wiring in {"wire cut", "wetting supply lost"}
    bridged = wiring in {"wires shorted", "contact welded"}
    return (closed | bridged) & (not dead)


def looks_like(coil: Coil, contact: Contact, alarm: bool, powered: bool, wiring: Wiring = "sound") -> Look:
    """What the far end takes the relay to say, its input on or off being all it sees.

    Parameters
    ----------
    coil : Coil
        How the relay is set.
    contact : Contact
        Which contact is wired.
    alarm, powered : bool
        Whether the alarm stands, and whether the instrument has its supply.
    wiring : Wiring
        What has become of contact, wires and wetting supply.

    Returns
    -------
    {'normal', 'alarm'}

    Examples
    --------
    Loss of supply must look like an alarm; this pair does not see it:

    >>> looks_like("energized in alarm", "normally open", alarm=False, powered=False)
    'normal'
    """
    seen = input_on(closed(energized(alarm, coil, powered), contact), wiring)
    in_alarm = closed(energized(True, coil), contact)
    return "alarm" if seen == in_alarm else "normal"


def load_current(power: Number, voltage: float, power_factor: float = 1.0) -> Number:
    """Steady current that a load draws through a contact.

    Parameters
    ----------
    power : float or ndarray
        Real power of the load [W].
    voltage : float
        Supply of the load, effective value for AC [V].
    power_factor : float
        Real over apparent power, 1 for DC and for heaters [-].

    Returns
    -------
    float or ndarray
        Current, shape of `power` [A].

    Examples
    --------
    >>> load_current(80.0, 230.0, power_factor=0.5)
    0.696
    """
    within("voltage", voltage, math.ulp(0.0), math.inf, "V")
    within("power factor", power_factor, math.ulp(0.0), 1.0)
    return power / (voltage * power_factor)


def inrush_current(steady: Number, factor: float) -> Number:
    """Current at the moment of closing: lamps and contactor coils draw many times their steady current.

    Parameters
    ----------
    steady : float or ndarray
        Steady current [A].
    factor : float
        Inrush over steady current [-].

    Returns
    -------
    float or ndarray
        Current to compare with the making rating of the contact, shape of `steady` [A].

    Examples
    --------
    >>> inrush_current(load_current(80.0, 230.0, power_factor=0.5), 6.0)
    4.17
    """
    within("inrush factor", factor, 1.0, math.inf)
    return steady * factor


def suppressor_leakage(voltage: Number, frequency: float, capacitance: float) -> Number:
    """Current that a capacitor across an open contact lets through: enough may hold an input on.

    Parameters
    ----------
    voltage : float or ndarray
        Supply across the open contact, effective value [V].
    frequency : float
        Frequency of the supply [Hz].
    capacitance : float
        Capacitance of the suppressor [µF].

    Returns
    -------
    float or ndarray
        Current, effective value, shape of `voltage`; the resistor in series hardly counts [mA].

    Examples
    --------
    >>> suppressor_leakage(230.0, 50.0, 0.1)
    7.23
    """
    return voltage * 2.0 * math.pi * frequency * capacitance * 1e-3
