"""Figures to test with, and what is read out of a drawing."""

import re
from dataclasses import dataclass
from typing import Any
from xml.etree import ElementTree

from trainer.figures import Plain

TEXT = "{http://www.w3.org/2000/svg}text"


@dataclass(frozen=True)
class Case:
    """A figure with what is given and what is asked of it."""

    name: str
    given: dict[str, Plain]
    asked: dict[str, Plain]
    answers: tuple[str, ...]

    @property
    def solved(self) -> dict[str, Plain]:
        return self.given | self.asked


def value(number: Any, unit: str = "", decimals: int = 0, title: str = "") -> Plain:
    """A value with the decimals that a problem would show it with."""
    return Plain(number, unit, decimals, title)


STORE = {
    "lower": value(-30.0, "°C"),
    "upper": value(50.0, "°C"),
    "signal_low": value(4.0, "mA"),
    "signal_high": value(20.0, "mA"),
}
CANAL = {
    "times": value((0.0, 10.0, 16.0, 20.0, 30.0, 40.0, 66.0, 72.0, 90.0, 96.0, 110.0, 124.0, 130.0), "s"),
    "trace": value(
        (39.5, 39.5, 43.25, 41.75, 41.75, 43.7, 43.7, 41.6, 41.6, 39.5, 39.5, 43.1, 43.1), "°C", 2, "Cooling canal"
    ),
    "set_point": value(42.5, "°C", 1),
    "direction": value("rising"),
    "deadband": value(1.5, "°C (difference)", 1),
    "on_delay": value(12.0, "s"),
    "off_delay": value(6.0, "s"),
    "asked": value((18.0, 42.0, 60.0, 94.0, 99.0, 129.0), "s"),
}
DIGESTER = {
    "trace": value((37.0, 36.2, 36.0, 36.5, 36.7, 36.9, 36.1, 35.9), "°C", 1, "Digester"),
    "set_point": value(36.0, "°C", 1),
    "direction": value("falling"),
    "deadband": value(0.8, "°C (difference)", 1),
}
CASES = {
    "resistance asked": Case(
        "sensor curve",
        {"r0": value(100.0, "Ω"), "temperature": value(63.5, "°C", 1)},
        {"resistance": value(124.58, "Ω", 2)},
        ("124.58",),
    ),
    "temperature asked": Case(
        "sensor curve",
        {"r0": value(1000.0, "Ω"), "resistance": value(842.71, "Ω", 2)},
        {"temperature": value(-40.0, "°C", 1)},
        ("−40.0",),
    ),
    "hot end": Case(
        "sensor curve",
        {"r0": value(100.0, "Ω"), "temperature": value(838.0, "°C", 1)},
        {"resistance": value(386.93, "Ω", 2)},
        ("386.93",),
    ),
    "cold end": Case(
        "sensor curve",
        {"r0": value(100.0, "Ω"), "temperature": value(-190.0, "°C", 1)},
        {"resistance": value(22.83, "Ω", 2)},
        ("22.83",),
    ),
    "signal asked": Case(
        "range bars", STORE | {"value": value(11.2, "°C", 1)}, {"signal": value(12.24, "mA", 2)}, ("12.24",)
    ),
    "value asked": Case(
        "range bars", STORE | {"signal": value(4.32, "mA", 2)}, {"value": value(-28.4, "°C", 1)}, ("−28.4",)
    ),
    "reverse acting": Case(
        "range bars",
        STORE | {"value": value(45.2, "°C", 1), "reverse": value("reverse acting")},
        {"signal": value(4.96, "mA", 2)},
        ("4.96",),
    ),
    "over a trace": Case(
        "alarm trace",
        CANAL,
        {
            "reset": value(41.0, "°C", 2),
            "states": value(("normal", "normal", "alarm", "alarm", "normal", "normal")),
        },
        ("41.00", "41.0", "45.8", "97.7"),
    ),
    "over readings": Case(
        "alarm trace",
        DIGESTER,
        {"states": value(("normal", "normal", "alarm", "alarm", "alarm", "normal", "normal", "alarm"))},
        ("36.8",),
    ),
    "in fahrenheit": Case(
        "temperature scales",
        {"difference": value(2.5, "°C (difference)", 1)},
        {"converted": value(4.5, "°F (difference)", 2)},
        ("4.50", "36.50", "32"),
    ),
    "in kelvin": Case(
        "temperature scales",
        {"difference": value(-117.0, "°F (difference)", 1)},
        {"converted": value(-65.0, "K (difference)", 1)},
        ("65.0", "273"),
    ),
}


def texts(svg: bytes) -> list[str]:
    """Every label of a drawing."""
    return ["".join(each.itertext()) for each in ElementTree.fromstring(svg).iter(TEXT)]


def coordinates(svg: bytes) -> list[tuple[float, float]]:
    """Every point of every path of a drawing."""
    paths = " ".join(each.get("d", "") for each in ElementTree.fromstring(svg).iter())
    return [(float(x), float(y)) for x, y in re.findall(r"[ML] (-?[\d.]+) (-?[\d.]+)", paths)]
