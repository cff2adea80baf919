"""Reference pages: tables to print, each with a box whose value is converted in every way it can be meant."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from flask import Blueprint, render_template, request

from trainer.calculations import rtd as thermometers
from trainer.errors import TrainerError
from trainer.language import gettext
from trainer.practice import reference_signals as signal
from trainer.practice import reference_thermometers as thermometer
from trainer.practice import reference_units as unit
from trainer.practice import reference_wires as wire
from trainer.practice.reference import Line, Way, read_in
from trainer.units import NO_BREAK_SPACE, format_number, format_quantity
from trainer.web.policy import open_to
from trainer.web.visits import decimal_sign, temperature_unit

pages = Blueprint("reference", __name__, url_prefix="/reference")
Found = TypeVar("Found")
Page = tuple[str, int]


class Boxes:
    """What stands in the boxes of a page, and what is wrong with it."""

    def __init__(self) -> None:
        self.faults: dict[str, str] = {}

    def text(self, name: str, default: str = "") -> str:
        """What is typed in a box."""
        return request.args.get(name, default)

    def take(self, name: str, work: Callable[[str], Found], empty: Found, default: str = "") -> Found:
        """Work on what is typed in a box; a fault is kept for the page, and what an empty box means stands instead."""
        typed = self.text(name, default)
        if not typed.strip():
            return empty
        try:
            return work(typed)
        except TrainerError as fault:
            self.faults[name] = str(fault)
            return empty

    def choice(self, name: str, options: Mapping[str, Found], default: str) -> Found:
        """The option that is chosen."""
        try:
            return options[self.text(name) or default]
        except KeyError as unknown:
            raise TrainerError(gettext("Choose one of the options shown.")) from unknown

    def ways(self, work: Callable[[str], tuple[Way, ...]]) -> tuple[Way, ...]:
        """What the value means, once the other boxes are in order."""
        return () if self.faults else self.take("value", work, ())


@pages.get("/")
@open_to("visitors")
def index() -> str:
    """All reference pages."""
    return render_template("reference.html")


@pages.get("/rtd")
@open_to("visitors")
def rtd() -> Page:
    """Resistance thermometers: curve, resistance at 0 °C, °C and Ω."""
    boxes = Boxes()
    curve = boxes.choice("curve", thermometer.RESISTANCE_CURVES, "platinum 0.003851")
    r0 = boxes.take("r0", lambda text: thermometer.read_r0(text, curve, decimal_sign()), curve.nominal)
    ways = boxes.ways(lambda text: thermometer.resistance_ways(text, curve, r0, decimal_sign(), _degrees()))
    return _page(
        "rtd",
        boxes,
        ways,
        curve=curve,
        curves=thermometer.RESISTANCE_CURVES,
        r0=_trimmed(r0),
        rows=thermometer.resistance_rows(curve, r0),
        decimals=thermometer.resistance_decimals(r0),
        source=curve.source,
    )


@pages.get("/thermocouple")
@open_to("visitors")
def thermocouple() -> Page:
    """Thermocouples: letter type, temperature of the terminals, °C and mV."""
    boxes = Boxes()
    kind = boxes.choice("type", thermometer.KINDS, "K")
    terminal = boxes.take("terminal", lambda text: thermometer.read_terminal(text, kind, decimal_sign()), 0.0)
    ways = boxes.ways(lambda text: thermometer.emf_ways(text, kind, terminal, decimal_sign(), _degrees()))
    return _page(
        "thermocouple",
        boxes,
        ways,
        kind=kind,
        kinds=thermometer.KINDS,
        terminal=_trimmed(terminal),
        rows=thermometer.emf_rows(kind),
        decimals=thermometer.EMF_DECIMALS,
        source=thermometer.THERMOCOUPLE_SOURCE,
    )
