"""Worksheets of strand S2 on the error that unequal leads leave in a three-wire connection."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from trainer.calculations import leads
from trainer.calculations.leads import Wires
from trainer.worksheets.catalog.lead_errors import SOURCES, declare_error, declare_slope
from trainer.worksheets.worksheet import FigureUse, Worksheet

ONE_CURRENT, TWO_CURRENTS = "one current, out by a and back by c", "two matched currents, in by a and by b"
CIRCUITS: Mapping[str, Wires] = {ONE_CURRENT: "three-wire", TWO_CURRENTS: "three-wire, matched currents"}

three_wire = Worksheet(
    "three-wire-residual",
    "Error that unequal leads leave in three wires",
    "S2.3",
    figure=FigureUse("sensor wiring", {"wires": "circuit", "a": "a", "b": "b", "c": "c", "added": "ohms"}),
    sources=SOURCES,
)
three_wire.given("r0", "Resistance at 0 °C", symbol="R_0", unit="Ω", decimals=0)
three_wire.given("temperature", "Temperature of the sensor", symbol="t", unit="°C")
three_wire.given("circuit", "Circuit", kind="choice", options=tuple(CIRCUITS))
three_wire.given("a", "Lead a, alone at its end", symbol="R_a", unit="Ω", decimals=2)
three_wire.given("b", "Lead b of the pair", symbol="R_b", unit="Ω", decimals=2)
three_wire.given("c", "Lead c of the pair", symbol="R_c", unit="Ω", decimals=2)


def _two_that_count(values: Mapping[str, Any]) -> str:
    return "<a> - <c>" if values["circuit"] == ONE_CURRENT else "<a> - <b>"


@three_wire.step(
    "Resistance that is left over",
    symbol=r"\Delta R",
    formula=_two_that_count,
    rule=(
        "One current leaves the lead that carries it out less the one that carries it back, a - c; "
        "two matched currents leave the two leads they come in by, a - b."
    ),
    unit="Ω",
    tolerance=0.01,
    possible=(-50.0, 50.0),
)
def ohms(circuit: str, a: float, b: float, c: float) -> float:
    return leads.lead_error(CIRCUITS[circuit], a, b, c)


@ohms.slip("That is the two-wire error: the third lead takes one lead off the other.")
def two_wire_sum(circuit: str, a: float, b: float, c: float) -> float:
    return leads.lead_error("two-wire", a, b, c if circuit == ONE_CURRENT else b)


@ohms.slip("Lead a is the one that adds; the other one is taken off it.")
def turned_round(circuit: str, a: float, b: float, c: float) -> float:
    return -leads.lead_error(CIRCUITS[circuit], a, b, c)


@ohms.slip(
    "Which lead of the pair carries current? A lead without current has no voltage drop, so its ohms do not count."
)
def other_of_the_pair(circuit: str, a: float, b: float, c: float) -> float:
    return leads.lead_error(CIRCUITS[TWO_CURRENTS if circuit == ONE_CURRENT else ONE_CURRENT], a, b, c)


@ohms.slip("The leads are not averaged: one is taken off another.")
def mean_of_three(a: float, b: float, c: float) -> float:
    return (a + b + c) / 3.0


@ohms.slip("The difference of the two leads counts once.")
def doubled(circuit: str, a: float, b: float, c: float) -> float:
    return 2.0 * leads.lead_error(CIRCUITS[circuit], a, b, c)


@ohms.slip("Three wires cancel the leads only where the leads are equal.")
def no_error_in_three_wires() -> float:
    return 0.0


declare_slope(three_wire)
declare_error(three_wire)
