"""Sorting the unmarked leads of a resistance sensor by ohmmeter readings between every two of them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations
from statistics import fmean
from typing import Literal

OPEN = math.inf
LEAST_ELEMENT = 5.0  # Ω: no sensor of the trade has less in its range, while a few meters of lead do

Pair = tuple[str, str]
Finding = Literal["sound", "open lead", "open element", "shorted element", "unclear"]


@dataclass(frozen=True)
class Sorting:
    """What the readings tell.

    `pairs` are leads that meet at one end of the element. `element` is its resistance [Ω], where it can be
    known. Of three leads, an open one that is alone at its end cannot be told from an open element.
    """

    finding: Finding
    pairs: tuple[Pair, ...] = ()
    element: float | None = None
    open_lead: str | None = None


def sort_leads(readings: Mapping[Pair, float]) -> Sorting:
    """Tell which leads belong together and what the element has.

    Parameters
    ----------
    readings : mapping
        Reading between each two leads, by their names; `OPEN` where the meter shows no continuity [Ω].

    Returns
    -------
    Sorting
        Pairs, element less its leads, and the fault if there is one.

    Raises
    ------
    ValueError
        Unless there is one reading for each two of three or four leads, none of them negative.

    Notes
    -----
    A reading from one end to the other holds the element and one lead of each end. Their mean, less the mean
    of the pairs, is the element; a lead that is alone counts as equal to those of the pair.

    Examples
    --------
    >>> sort_leads({("brown", "blue"): 115.02, ("brown", "black"): 115.02, ("blue", "black"): 1.80})
    Sorting(finding='sound', pairs=(('blue', 'black'),), element=113.22, open_lead=None)
    """
    ohms = {frozenset(pair): value for pair, value in readings.items()}
    leads = tuple(dict.fromkeys(name for pair in readings for name in pair))
    every_two = {frozenset(two) for two in combinations(leads, 2)}
    readable = all(value >= 0.0 for value in ohms.values())
    if len(leads) not in (3, 4) or ohms.keys() != every_two or not readable:
        raise ValueError("readings are needed between every two of three or four leads, none negative")

    dead = [lead for lead in leads if all(ohms[two] == OPEN for two in every_two if lead in two)]
    if dead:
        return Sorting("open lead", open_lead=dead[0]) if len(dead) == 1 else Sorting("unclear")

    pairs = min(_ways_to_pair(leads), key=lambda way: sum(ohms[frozenset(pair)] for pair in way))
    within_ends = [ohms[frozenset(pair)] for pair in pairs]
    across = [ohms[two] for two in every_two - {frozenset(pair) for pair in pairs}]
    if OPEN in within_ends:
        return Sorting("unclear")
    if OPEN in across:
        return Sorting("open element", pairs) if min(across) == OPEN else Sorting("unclear")
    element = fmean(across) - fmean(within_ends)
    if element < LEAST_ELEMENT:
        return Sorting("shorted element", element=element)
    return Sorting("sound", pairs, element)


def meter_readings(element: float, near: Mapping[str, float], far: Mapping[str, float]) -> dict[Pair, float]:
    """What an ohmmeter shows between every two leads of a sensor that is disconnected from its instrument.

    Parameters
    ----------
    element : float
        Resistance of the element: `OPEN` if it is broken, 0 if it is shorted [Ω].
    near, far : mapping
        Resistance of each lead at the one end of the element and at the other, `OPEN` for a broken lead [Ω].

    Returns
    -------
    dict
        Reading for each two leads, in the order of their names, as `sort_leads` takes them [Ω].

    Examples
    --------
    >>> meter_readings(113.22, {"brown": 0.90}, {"blue": 0.90, "black": 0.90})
    {('black', 'blue'): 1.80, ('black', 'brown'): 115.02, ('blue', 'brown'): 115.02}
    """
    leads = {**near, **far}
    return {
        (x, y): leads[x] + leads[y] + (0.0 if (x in near) == (y in near) else element)
        for x, y in combinations(sorted(leads), 2)
    }


def _ways_to_pair(leads: tuple[str, ...]) -> list[tuple[Pair, ...]]:
    """Each way to put two leads at one end of the element, and of four the other two at the other."""
    if len(leads) == 3:
        return [(two,) for two in combinations(leads, 2)]
    first, b, c, d = leads
    return [((first, b), (c, d)), ((first, c), (b, d)), ((first, d), (b, c))]
