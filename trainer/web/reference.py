"""Reference pages: tables to print, each with a box whose value is converted in every way it can be meant."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from flask import Blueprint, render_template, request

from trainer.errors import TrainerError
from trainer.language import gettext
from trainer.practice import reference_signals as signal
from trainer.practice import reference_thermometers as thermometer
from trainer.practice import reference_units as unit
from trainer.practice import reference_wires as wire
from trainer.practice.reference import Line, Way, beside, read_typed
from trainer.units import convert, format_number, format_quantity
from trainer.web.policy import open_to
from trainer.web.visits import decimal_sign, temperature_unit

pages = Blueprint("reference", __name__, url_prefix="/reference")
Found = TypeVar("Found")
Page = tuple[str, int]
LOWER, UPPER = "0", "100 %"


class Boxes:
    """What stands in the boxes of a page, and what is wrong with it."""

    def __init__(self) -> None:
        self.faults: dict[str, str] = {}

    def text(self, name: str) -> str:
        """What is typed in a box."""
        return request.args.get(name, "")

    def take(self, name: str, work: Callable[[str], Found], empty: Found, default: str = "") -> Found:
        """Work on what is typed in a box; a fault is kept for the page, and what an empty box means stands instead."""
        typed = self.text(name).strip() or default
        if not typed:
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
        """What the value means; while another box is to be mended, only whether it can be read."""
        if self.faults:
            self.take("value", lambda text: read_typed(text, decimal_sign()), None)
            return ()
        return self.take("value", work, ())


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
        terminal=_degrees_shown(terminal),
        rows=thermometer.emf_rows(kind),
        decimals=thermometer.EMF_DECIMALS,
        source=thermometer.THERMOCOUPLE_SOURCE,
    )


@pages.get("/signals")
@open_to("visitors")
def signals() -> Page:
    """Signals: a range, process values, mA and V, fault levels."""
    boxes = Boxes()
    process = _range(boxes)
    ways = boxes.ways(lambda text: signal.signal_ways(text, process, decimal_sign()))
    return _page(
        "signals",
        boxes,
        ways,
        process=process,
        lower=LOWER,
        upper=UPPER,
        fractions=signal.FRACTIONS,
        rows=signal.signal_rows(),
        levels=signal.level_rows(process),
        decimals=signal.SIGNAL_DECIMALS,
        source=signal.SIGNAL_SOURCE,
    )


def _range(boxes: Boxes) -> signal.ProcessRange:
    """The range in its two boxes; what is wrong with both together stands beside the upper one."""
    sign = decimal_sign()
    for name, usual in (("lower", LOWER), ("upper", UPPER)):
        boxes.take(name, lambda text: signal.read_unit(text, sign), "", usual)
    if boxes.faults:
        return signal.ProcessRange()
    lower = boxes.text("lower").strip() or LOWER
    return boxes.take("upper", lambda upper: signal.read_range(lower, upper, sign), signal.ProcessRange(), UPPER)


@pages.get("/wire")
@open_to("visitors")
def wires() -> Page:
    """Wire: size, temperature of the conductor, length and resistance."""
    boxes = Boxes()
    sizes = wire.conductors()
    conductor = boxes.choice("size", sizes, "18-awg")
    temperature = boxes.take(
        "temperature", lambda text: wire.read_conductor_temperature(text, decimal_sign()), wire.USUAL_TEMPERATURE
    )
    ways = boxes.ways(lambda text: wire.wire_ways(text, conductor, temperature, decimal_sign()))
    return _page(
        "wire",
        boxes,
        ways,
        conductor=conductor,
        sizes=sizes,
        temperature=_trimmed(temperature),
        conductor_at=_degrees_shown(temperature),
        rows=wire.wire_rows(temperature),
        source=wire.WIRE_SOURCE,
    )


@pages.get("/units")
@open_to("visitors")
def units() -> Page:
    """Units: one value in all units of its dimension."""
    boxes = Boxes()
    choices = {name or "1": dimension for name, dimension in unit.choices().items()}
    boxes.choice("unit", choices, temperature_unit())
    chosen = boxes.text("unit") or temperature_unit()
    ways = boxes.ways(lambda text: unit.unit_ways(text, chosen, decimal_sign()))
    return _page(
        "units",
        boxes,
        ways,
        chosen=chosen,
        choices=choices,
        tables=unit.unit_tables(),
        temperatures=unit.temperature_rows(),
        source=unit.UNIT_SOURCE,
        line_row=_unit_row,
    )


def _page(name: str, boxes: Boxes, ways: tuple[Way, ...], **values: Any) -> Page:
    shown = {
        "number": number,
        "trimmed": _trimmed,
        "beside": beside,
        "line_row": _line_row,
        "way_title": _way_title,
    }
    page = render_template(f"reference_{name}.html", **{"boxes": boxes, "ways": ways, **shown, **values})
    return page, 400 if boxes.faults else 200


def _degrees() -> tuple[str, ...]:
    """Units in which a bare number is read as a temperature: °C, and °F for one who thinks in it."""
    return ("°C", "°F") if temperature_unit() == "°F" else ("°C",)


def number(value: float | None, decimals: int) -> str:
    """A value of a table; nothing where there is none."""
    return "" if value is None else format_number(value, decimals, decimal_sign())


def _trimmed(value: float) -> str:
    """A value with the figures it has and no closing zeros."""
    return number(value, unit.decimals_for(value))


def _degrees_shown(celsius: float) -> str:
    """A temperature in °C with °F beside it."""
    return f"{_trimmed(celsius)} °C = {_trimmed(convert(celsius, '°C', '°F'))} °F"


def _way_title(way: Way) -> str:
    """How a typed value was read."""
    value = format_quantity(way.number, way.decimals, way.unit, decimal_sign())
    said = gettext("Read as {value}") if way.unit else gettext("Read as {value} without a unit")
    return said.format(value=value)


def _line_row(line: Line) -> tuple[str, str, str, str]:
    """A line as a row of a list of values: title, no symbol, value, unit with the other unit and the note behind it."""
    unit_text = line.unit
    if line.beside:
        other, name = line.beside
        unit_text += f" = {format_quantity(other, line.decimals, name, decimal_sign())}"
    if line.note:
        unit_text += f", {gettext(line.note)}"
    return line.title, "", number(line.value, line.decimals), unit_text


def _unit_row(line: Line) -> tuple[str, str, str, str]:
    """A line that is titled by its unit."""
    return line.title, "", number(line.value, line.decimals), ""
