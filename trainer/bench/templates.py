"""Tables and texts with expressions in them, filled in with the facts of one drawing.

A text that begins with ``=`` is an expression; in prose, ``{set_point:°C}`` is a fact or an expression with its unit.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from typing import Any

from trainer.channel.tables import TableFault
from trainer.errors import TrainerError
from trainer.units import MINUS, NO_BREAK_SPACE
from trainer.worksheets.expressions import node
from trainer.worksheets.worksheet import Node

Facts = Mapping[str, Any]
PLACE = re.compile(r"\{([^{}:]+)(?::([^{}]*))?\}")
OWN_UNITS = ("unit", "difference")  # stand for the unit of the process, and of a difference of it
_compiled = cache(node)


def worked(expression: str, facts: Facts) -> Any:
    """An expression worked from facts.

    Raises
    ------
    TableFault
        It is no expression, or names what is not there.

    Examples
    --------
    >>> worked("73 + shift", {"shift": -1.5})
    71.5
    """
    try:
        compiled: Node = _compiled(expression.strip())
    except TrainerError as fault:
        raise TableFault(f"{expression}: {fault}") from fault
    missing = [name for name in compiled.arguments if name not in facts]
    if missing:
        raise TableFault(f"{expression}: there is no {missing[0]} among {', '.join(facts)}")
    try:
        value = compiled(facts)
    except (ArithmeticError, TypeError, ValueError, IndexError) as fault:
        raise TableFault(f"{expression}: {fault}") from fault
    return round(value, 9) if isinstance(value, float) else value


def filled(template: Any, facts: Facts) -> Any:
    """A table with every expression in it replaced by its value, and the places in its texts filled in.

    Examples
    --------
    >>> filled({"upper": "= low + 100", "says": "from {low:°C}"}, {"low": -20.0})
    {'upper': 80.0, 'says': 'from −20\\xa0°C'}
    """
    if isinstance(template, Mapping):
        return {key: filled(value, facts) for key, value in template.items()}
    if isinstance(template, list | tuple):
        return [filled(value, facts) for value in template]
    if not isinstance(template, str):
        return template
    return worked(template[1:], facts) if template.startswith("=") else prose(template, facts)


def prose(text: str, facts: Facts) -> str:
    """A text with its places filled in.

    Examples
    --------
    >>> prose("{delay / 60:min} after {sp:unit}", {"delay": 90.0, "sp": 4.0, "unit": "°C"}).replace("\\xa0", " ")
    '1.5 min after 4 °C'
    """

    def put(match: re.Match[str]) -> str:
        value, unit = worked(match[1], facts), match[2] or ""
        return quantity(value, str(facts[unit]) if unit in OWN_UNITS else unit)

    return PLACE.sub(put, text)


def quantity(value: Any, unit: str = "") -> str:
    """A number as short as it can be said, with its unit; a word as it is."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        shown = {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)
    else:
        rounded = round(value, 3 if abs(value) < 100.0 else 1)
        shown = f"{rounded:.10g}".replace("-", MINUS)
    return f"{shown}{NO_BREAK_SPACE}{unit}" if unit else shown


def difference_of(unit: str) -> str:
    """The unit of a difference, as it is said beside a value of `unit`."""
    return "K" if unit == "°C" else unit


def clock(time: float) -> str:
    """A time from the start as people say it: in seconds, from half a day on in hours.

    Examples
    --------
    >>> clock(70.52).replace("\\xa0", " "), clock(318960.0).replace("\\xa0", " ")
    ('70.5 s', '88.6 h')
    """
    if time >= 43_200.0:
        return f"{time / 3600.0:.1f}{NO_BREAK_SPACE}h"
    return f"{time:.1f}".removesuffix(".0") + f"{NO_BREAK_SPACE}s"
