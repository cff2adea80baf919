"""Typed text read as a number and the rest that should be its unit, or refused in one plain sentence."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from trainer.language import gettext

LONGEST_TEXT = 64
LONGEST_NUMBER = 32
LARGEST_POWER = 30
LONGEST_ROW = 4096


@dataclass(frozen=True, slots=True)
class Reading:
    """A number that was read, with the text behind it that should be a unit.

    ``decimals`` counts the digits after the decimal sign with the power of ten written out: 2 for 12.50,
    2 for 4.5e-1, 0 for 1.2e3. It helps to tell working that was rounded too early.
    """

    number: float
    decimals: int
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a text was not read: a reason for the program and a sentence for the person.

    ``reason`` is one of ``empty``, ``not a number``, ``thousands``, ``several``, ``too long`` and ``power``.
    """

    reason: str
    sentence: str


# Mathematical minus and en dash are minus signs; superscript digits and minus belong to a power of ten.
_MINUS = {ord("\u2212"): "-", ord("\u2013"): "-"}
_SUPERSCRIPTS = {ord(sign): plain for sign, plain in zip("⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻", "0123456789+-", strict=True)}

_TYPED = re.compile(
    r"""(?P<sign>[+-]?)\ ?
    (?P<digits>[0-9.,](?:[0-9.,]|\ (?=[0-9])(?!1\ ?/))*)     # a space before 1/°C begins the unit
    (?:\ ?[eE](?P<e>[+-]?[0-9]+)
      |\ ?[×xX*·]\ ?10\ ?(?:(?:\^|\*\*)\ ?(?P<power>[+-]?[0-9]+)|(?P<raised>[⁺⁻]?[⁰¹²³⁴⁵⁶⁷⁸⁹]+))
    )?\ ?(?P<rest>.*)""",
    re.VERBOSE,
)
_PLAIN = re.compile(r"[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+")
_SPACED = re.compile(r"[0-9]{1,3}(?: [0-9]{3})+(?:[.,][0-9]*)?")
_GROUPED = re.compile(r"[1-9][0-9]{0,2}(?:(?:,[0-9]{3})+(?:\.[0-9]*)?|(?:\.[0-9]{3})+(?:,[0-9]*)?)")
_SEVERAL = re.compile(r"[;|\t\n\v\f\r\x1c-\x1e\x85\u2028\u2029]")  # what separates numbers in a row or a table
_UNFINISHED = re.compile(r"[eExX*×·] ?[+-]?[0-9]")  # 0x10, 1.2×103, 1e5e5: a number gone wrong, not a unit


def read(text: str, decimal: str = ".") -> Reading | Refusal:
    """Read one typed number with what follows it; no text raises.

    Parameters
    ----------
    text : str
        What was typed.
    decimal : str
        The decimal sign this person prefers, ``"."`` or ``","``. The other sign is read as a decimal sign
        too, unless it could mark thousands: then the person is asked.

    Examples
    --------
    >>> read("−12,5 kPa")
    Reading(number=-12.5, decimals=1, unit='kPa')
    >>> read("1,250").sentence
    '1,250 can be read in two ways. Write 1.250 or 1250.'
    """
    if len(text) > LONGEST_TEXT:
        return _too_long()
    shown = " ".join(text.split())
    if not shown:
        return Refusal("empty", gettext("Nothing is typed here yet."))
    if _SEVERAL.search(text.strip()):
        return Refusal("several", gettext("Only one number is asked for here."))
    typed = _TYPED.fullmatch(shown if shown.isascii() else shown.translate(_MINUS))
    if typed is None or not _can_be_unit(typed["rest"]):
        return _not_a_number(shown, decimal)
    if len(shown[: typed.start("rest")].rstrip()) > LONGEST_NUMBER:
        return _too_long()
    return _read_digits(typed, shown, decimal)


def _read_digits(typed: re.Match[str], shown: str, decimal: str) -> Reading | Refusal:
    digits = typed["digits"].rstrip(" ")
    if _marks_thousands(digits, decimal):
        return _thousands(typed["sign"] + digits, decimal)
    if not (_PLAIN.fullmatch(digits) or _SPACED.fullmatch(digits)):
        return _not_a_number(shown, decimal)
    power = int(typed["e"] or typed["power"] or (typed["raised"] or "0").translate(_SUPERSCRIPTS))
    if abs(power) > LARGEST_POWER:
        message = gettext("The power of ten is too large. It may be from -{limit} to {limit}.")
        return Refusal("power", message.format(limit=LARGEST_POWER))
    plain = digits.replace(" ", "").replace(",", ".")
    exact = Decimal(f"{typed['sign']}{plain}e{power}")
    decimals = len(plain.partition(".")[2]) - power
    return Reading(float(exact) + 0.0, max(0, decimals), typed["rest"])  # + 0.0 makes -0 a plain zero


def _can_be_unit(rest: str) -> bool:
    """Tell whether the text behind a number can be a unit at all, known or not."""
    if not rest:
        return True
    if _UNFINISHED.match(rest) or any(sign in rest for sign in "=+_<>"):
        return False
    first = rest.removeprefix("1").lstrip(" /")[:1]  # 1/°C and /°C are units, 1/2 is not
    return first.isalpha() or first in tuple('°˚℃℉%"')


def _marks_thousands(digits: str, decimal: str) -> bool:
    """Tell whether a sign before groups of three could mark thousands; one's own decimal sign could not."""
    if _GROUPED.fullmatch(digits) is None:
        return False
    return not (digits.count(decimal) == 1 and _PLAIN.fullmatch(digits))


def _thousands(number: str, decimal: str) -> Refusal:
    """Ask which of two readings is meant, or for the digits alone where two or more signs were typed."""
    head, *groups = re.split("[.,]", number)
    if len(groups) == 1:
        message = gettext("{number} can be read in two ways. Write {fraction} or {whole}.")
        both = {"fraction": head + decimal + groups[0], "whole": head + groups[0]}
        return Refusal("thousands", message.format(number=number, **both))
    message = gettext("Write {number} without signs between the thousands.")
    return Refusal("thousands", message.format(number=number))


def _not_a_number(shown: str, decimal: str) -> Refusal:
    if shown.isprintable():
        message = gettext("{text} is not a number. Write it like {plain}, {negative} or {power}.")
    else:
        message = gettext("This is not a number. Write it like {plain}, {negative} or {power}.")
    examples = {"plain": f"12{decimal}5", "negative": "-3", "power": f"1{decimal}2e3"}
    return Refusal("not a number", message.format(text=shown, **examples))


def _too_long() -> Refusal:
    message = gettext("This is too long to be a number. Use at most {limit} characters.")
    return Refusal("too long", message.format(limit=LONGEST_NUMBER))


def read_row(text: str, decimal: str = ".") -> tuple[Reading | Refusal, ...]:
    """Read numbers typed with ``;`` or new lines between them, each with its own refusal.

    Separators at the end of a line stand for nothing; an empty place between two is refused as empty.

    Examples
    --------
    >>> [each.number for each in read_row("4; 8,5; 12")]
    [4.0, 8.5, 12.0]
    """
    if len(text) > LONGEST_ROW:
        return (_too_long(),)
    lines = text.strip().rstrip("; \t\r\n").splitlines() or [""]
    return tuple(read(place, decimal) for line in lines for place in line.rstrip("; ").split(";"))
