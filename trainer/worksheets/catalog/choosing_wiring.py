"""Worksheets of strand S1: choosing sensor and wiring by the length of the leads."""

from __future__ import annotations

from collections.abc import Callable

from trainer.calculations import leads
from trainer.worksheets.catalog.choosing import DEGREES, FIRST_THAT_SERVES, first
from trainer.worksheets.tolerance import relative
from trainer.worksheets.worksheet import FigureUse, Step, Worksheet

WIRINGS = ("100 Ω on two wires", "1000 Ω on two wires", "100 Ω on three wires", "100 Ω on four wires")

sensor_by_leads = Worksheet(
    "sensor-by-leads",
    "Choosing sensor and wiring by lead length",
    "S1.12",
    figure=FigureUse(
        "candidates", {"allowed": "allowed", "first": "hundred_ohm", "second": "thousand_ohm", "third": "three_wire"}
    ),
    sources=("IEC 60228: resistance of conductors", "IEC 60751: slope of the curve", "Order of price: common practice"),
)
sensor_by_leads.given("length", "Length of the cable", symbol="L", unit="m", decimals=0)
sensor_by_leads.given("per_km", "Resistance of one conductor", symbol="r", unit="Ω/km")
sensor_by_leads.given("difference", "Largest difference between two leads", symbol="d", unit="%")
sensor_by_leads.given("slope", "Rise of a 100 Ω sensor", symbol="s", unit="Ω/°C")
sensor_by_leads.given("allowed", "Error allowed to the leads", symbol="e_{max}", unit=DEGREES)


@sensor_by_leads.step(
    "Resistance of one lead",
    symbol="R_L",
    formula=r"\frac{<length>}{1000} \times <per_km>",
    rule="Multiply the length in kilometers by the ohms of one kilometer.",
    unit="Ω",
    tolerance=0.01,
    decimals=2,
)
def lead(length: float, per_km: float) -> float:
    return leads.conductor_resistance(length, per_km)


def _lead_error(name: str, title: str, symbol: str, formula: str, rule: str) -> Callable[..., Step]:
    return sensor_by_leads.step(
        title,
        name=name,
        symbol=symbol,
        formula=formula,
        rule=rule,
        unit=DEGREES,
        tolerance=relative(1.0, 0.005),
        decimals=3,
    )


@_lead_error(
    "hundred_ohm",
    WIRINGS[0],
    "e_{100}",
    r"\frac{2 \times <lead>}{<slope>}",
    "Both leads count as sensor: divide them by the rise of one degree.",
)
def hundred_ohm(lead: float, slope: float) -> float:
    return leads.lead_error("two-wire", lead, lead, lead) / slope


@hundred_ohm.slip("The current runs out and back: two leads count.")
def one_lead(lead: float, slope: float) -> float:
    return lead / slope


@hundred_ohm.slip("Divide the ohms by the rise of one degree: multiplying gives no degrees.")
def multiplied(lead: float, slope: float) -> float:
    return 2.0 * lead * slope


@_lead_error(
    "thousand_ohm",
    WIRINGS[1],
    "e_{1000}",
    r"\frac{2 \times <lead>}{10 \times <slope>}",
    "A 1000 Ω sensor rises ten times as many ohms a degree: the same leads do a tenth of the harm.",
)
def thousand_ohm(lead: float, slope: float) -> float:
    return leads.lead_error("two-wire", lead, lead, lead) / (10.0 * slope)


@thousand_ohm.slip("The leads are the same, but each ohm is worth a tenth of the degrees on a 1000 Ω sensor.")
def no_better(lead: float, slope: float) -> float:
    return 2.0 * lead / slope


@_lead_error(
    "three_wire",
    WIRINGS[2],
    "e_3",
    r"\frac{\frac{<difference>}{100} \times <lead>}{<slope>}",
    "Three wires leave the difference of two leads: take its percentage of one lead.",
)
def three_wire(lead: float, difference: float, slope: float) -> float:
    return leads.lead_error("three-wire", lead * (1.0 + difference / 100.0), lead, lead) / slope


@three_wire.slip("Three wires leave the difference between two leads, not a whole one.")
def whole_lead_left(lead: float, slope: float) -> float:
    return lead / slope


@sensor_by_leads.step(
    "Cheapest one that serves", kind="choice", options=WIRINGS, rule=FIRST_THAT_SERVES + " Four wires leave no error."
)
def wiring(hundred_ohm: float, thousand_ohm: float, three_wire: float, allowed: float) -> str:
    return first((hundred_ohm, thousand_ohm, three_wire), allowed, WIRINGS)


@wiring.slip("Its error, worked in step 2, is more than is allowed.")
def hundred_too_far(hundred_ohm: float, allowed: float) -> str | None:
    return WIRINGS[0] if hundred_ohm > allowed else None


@wiring.slip("Its error, worked in step 3, is more than is allowed.")
def thousand_too_far(thousand_ohm: float, allowed: float) -> str | None:
    return WIRINGS[1] if thousand_ohm > allowed else None


@wiring.slip("It serves, but 100 Ω on two wires does too: compare step 2 with what is allowed.")
def thousand_not_needed(hundred_ohm: float, allowed: float) -> str | None:
    return WIRINGS[1] if hundred_ohm <= allowed else None


@wiring.slip("Its error, worked in step 4, is more than is allowed.")
def three_too_far(three_wire: float, allowed: float) -> str | None:
    return WIRINGS[2] if three_wire > allowed else None


@wiring.slip("It serves, but two wires do too: compare steps 2 and 3 with what is allowed.")
def three_not_needed(thousand_ohm: float, allowed: float) -> str | None:
    return WIRINGS[2] if thousand_ohm <= allowed else None


@wiring.slip("It serves, but one with fewer wires does too: compare the errors above with what is allowed.")
def four_not_needed(thousand_ohm: float, three_wire: float, allowed: float) -> str | None:
    return WIRINGS[3] if min(thousand_ohm, three_wire) <= allowed else None


@sensor_by_leads.refuse
def too_close_to_call(hundred_ohm: float, thousand_ohm: float, three_wire: float, allowed: float) -> bool:
    """An error that meets what is allowed to a hair says more about rounding than about wiring."""
    return any(abs(error / allowed - 1.0) < 0.05 for error in (hundred_ohm, thousand_ohm, three_wire))
