"""A step as an interaction of a learning record: what kind it is, what would be right, what was answered.

A number is right within its tolerance, which is a range; one of several, and several of them, are choices by their
number; an order is one only where a single order is right. Rows and states have no kind of their own there, so they
are told as text, the ranges of a row one after another.

References
----------
xAPI 1.0.3 (2016), part 2, section 2.4.4.1: interaction types, components, response patterns; `[:]` parts the ends of a
range, either of which may be left out, and `[,]` the parts of a list; ids of components have no spaces.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from trainer.grading.entries import read_entry
from trainer.grading.marking import Basis
from trainer.worksheets.kinds import one_order

LANGUAGE = "en"
INTERACTION = "http://adlnet.gov/expapi/activities/cmi.interaction"
AND = "[,]"
TYPES = {"number": "numeric", "choice": "choice", "several": "choice", "order": "sequencing"}


def interaction(basis: Basis, title: str) -> dict[str, Any]:
    """The definition of a step as an activity."""
    kind = TYPES.get(basis.kind, "other")
    told: dict[str, Any] = {"name": {LANGUAGE: title}, "type": INTERACTION, "interactionType": kind}
    if kind in ("choice", "sequencing"):
        told["choices"] = [
            {"id": _component(number), "description": {LANGUAGE: option}}
            for number, option in enumerate(basis.options, 1)
        ]
    if right := _right(basis):
        told["correctResponsesPattern"] = [right]
    return told


def response(basis: Basis, text: str) -> str:
    """What was answered, in the unit of the step; nothing where it was a quantity of another kind."""
    typed = read_entry(text, basis.kind, basis.unit, basis.options, basis.decimal)
    if typed.refusal or typed.foreign:
        return ""
    return _pattern(basis, typed.value)


def _right(basis: Basis) -> str:
    if basis.kind == "number":
        return number_range(basis.right, basis.tolerance)
    if basis.kind == "row":
        return "; ".join(number_range(each, basis.tolerance) for each in basis.right)
    if basis.kind == "order":
        whole = len(basis.right) == 1 and len(basis.right[0]) == len(basis.options)
        return _pattern(basis, one_order(basis.options, basis.right)) if whole else ""
    return _pattern(basis, basis.right)


def number_range(value: float, tolerance: float) -> str:
    """All that is right within a tolerance.

    Examples
    --------
    >>> number_range(112.5, 0.3), number_range(-5.0, 0.0), number_range(2e-7, 1e-8)
    ('112.2[:]112.8', '-5[:]-5', '0.00000019[:]0.00000021')
    """
    return f"{plain(value - tolerance)}[:]{plain(value + tolerance)}"


def plain(value: float) -> str:
    """A number as the standard's numeric responses have it: a decimal point and no power of ten."""
    text = f"{Decimal(f'{value:.12g}'):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _pattern(basis: Basis, value: Any) -> str:
    if basis.kind == "number":
        return plain(value)
    if basis.kind == "row":
        return "; ".join(map(plain, value))
    if basis.kind == "states":
        return "; ".join(value)
    chosen = (value,) if basis.kind == "choice" else value
    return AND.join(_component(basis.options.index(each) + 1) for each in chosen)


def _component(number: int) -> str:
    return f"option-{number}"
