"""Worksheets of strand S2 on broken and shorted sensors, told from ohmmeter readings between the leads."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from itertools import combinations

from trainer.calculations import rtd
from trainer.calculations.lead_sorting import LEAST_ELEMENT, OPEN, Pair, sort_leads
from trainer.units import format_quantity
from trainer.worksheets.catalog.lead_sorting import CAUTION, FOUR, SOURCES, THREE, declare_sensor, four, others, three
from trainer.worksheets.worksheet import Node, Worksheet

STATES = ("healthy", "open lead", "open element", "shorted element")
HEALTHY, SHORTED = "healthy", "the element is shorted"
PAIR_OPEN, LONE_OPEN = "a lead of the pair is open", "the lone lead or the element is open"
LEAD_OPEN, ELEMENT_OPEN = "a lead is open", "the element is open"
NO_LEAD = "none of the leads"


# Faults: readings in words, because a meter shows no number where there is no way through


def _in_words(reading: float) -> str:
    return "no continuity" if reading == OPEN else format_quantity(reading, 2, "Ω")


def _element_in(state: str, true_temperature: float, r0: float) -> float:
    broken = {"open element": OPEN, "shorted element": 0.0}
    return broken[state] if state in broken else rtd.resistance(true_temperature, r0)


def _faulty_three(
    state: str, single: str, dead: str, true_temperature: float, r0: float, lead: float
) -> dict[Pair, float]:
    return three(single, _element_in(state, true_temperature, r0), lead, dead if state == "open lead" else "")


def _faulty_four(
    state: str, partner: str, dead: str, true_temperature: float, r0: float, lead: float
) -> dict[Pair, float]:
    return four(partner, _element_in(state, true_temperature, r0), lead, dead if state == "open lead" else "")


def _word_of_three(
    pair: Pair, state: str, single: str, dead: str, true_temperature: float, r0: float, lead: float
) -> str:
    return _in_words(_faulty_three(state, single, dead, true_temperature, r0, lead)[pair])


def _word_of_four(
    pair: Pair, state: str, partner: str, dead: str, true_temperature: float, r0: float, lead: float
) -> str:
    return _in_words(_faulty_four(state, partner, dead, true_temperature, r0, lead)[pair])


def _declare_words(sheet: Worksheet, leads: tuple[str, ...], word: Callable[..., str], prefix: str) -> None:
    sheet.given("state", "State of the sensor", kind="choice", options=STATES, hidden=True)
    sheet.given("dead", "Lead that is open, if one is", kind="choice", options=leads, hidden=True)
    declare_sensor(sheet)
    for x, y in combinations(leads, 2):
        node = Node.of(partial(word, (x, y)))
        sheet.given(f"{prefix}{x}_{y}", f"Reading {x} to {y}", kind="choice", prepare=node)


three_lead_faults = Worksheet(
    "three-lead-faults", "A fault in three leads by ohmmeter", "S2.4", cautions=(CAUTION,), sources=SOURCES
)
three_lead_faults.given("single", "Lead that is alone at its end", kind="choice", options=THREE, hidden=True)
_declare_words(three_lead_faults, THREE, _word_of_three, "")


@three_lead_faults.step(
    "What the readings tell",
    kind="choice",
    options=(HEALTHY, PAIR_OPEN, LONE_OPEN, SHORTED),
    rule=(
        "Two high readings and a low one are healthy. All low: the element is shorted. Two without continuity: if the "
        "one left is high, a lead of the pair is lost; if it is low, those two are the pair and the rest is lost."
    ),
)
def finding(state: str, single: str, dead: str, true_temperature: float, r0: float, lead: float) -> str:
    readings = _faulty_three(state, single, dead, true_temperature, r0, lead)
    sorting = sort_leads(readings)
    if sorting.finding == "open lead":
        return PAIR_OPEN if min(readings.values()) > LEAST_ELEMENT else LONE_OPEN
    return SHORTED if sorting.finding == "shorted element" else HEALTHY


@finding.slip("Leads at one end always read only themselves: one low reading beside two high ones is no short.")
def pair_taken_for_short(state: str) -> str | None:
    return SHORTED if state == "healthy" else None


@finding.slip("All three readings are low: nothing like the ohms of a sensor is left in any of them.")
def short_taken_for_healthy(state: str) -> str | None:
    return HEALTHY if state == "shorted element" else None


@finding.slip("The reading that is left has the element in it, so the element and the lone lead are whole.")
def whole_element_blamed(state: str, dead: str, single: str) -> str | None:
    return LONE_OPEN if state == "open lead" and dead != single else None


@finding.slip("The reading that is left is of two leads and no element: those two are the pair, and whole.")
def whole_pair_blamed(state: str, dead: str, single: str) -> str | None:
    return PAIR_OPEN if state == "open lead" and dead == single else None


@three_lead_faults.step(
    "Lead without continuity to any other",
    kind="choice",
    options=(*THREE, NO_LEAD),
    rule="The lost lead is the one that every reading without continuity has in common.",
)
def lost(state: str, single: str, dead: str, true_temperature: float, r0: float, lead: float) -> str:
    return sort_leads(_faulty_three(state, single, dead, true_temperature, r0, lead)).open_lead or NO_LEAD


@lost.slip("This lead still reads to another one: the lost lead is in both readings without continuity.")
def lead_that_reads(state: str, dead: str) -> str | None:
    return others(THREE, dead)[0] if state == "open lead" else None


@lost.slip("A lead that reads high to both others is alone at its end, and whole.")
def lone_lead_blamed(state: str, single: str) -> str | None:
    return single if state == "healthy" else None


@lost.slip("Every lead reads to both others, so none is lost: low readings speak of the element.")
def lead_blamed_for_short(state: str, single: str) -> str | None:
    return single if state == "shorted element" else None


four_lead_faults = Worksheet(
    "four-lead-faults", "A fault in four leads by ohmmeter", "S2.4", cautions=(CAUTION,), sources=SOURCES
)
four_lead_faults.given("partner", "Lead at the same end as lead 1", kind="choice", options=FOUR[1:], hidden=True)
_declare_words(four_lead_faults, FOUR, _word_of_four, "r_")


@four_lead_faults.step(
    "What the readings tell",
    name="finding",
    kind="choice",
    options=(HEALTHY, LEAD_OPEN, ELEMENT_OPEN, SHORTED),
    rule=(
        "Two low readings and four high ones are healthy. All low: the element is shorted. Two low, the rest without "
        "continuity: the element is open. Three without continuity, all to one lead: that lead is open."
    ),
)
def finding_of_four(state: str, partner: str, dead: str, true_temperature: float, r0: float, lead: float) -> str:
    found = sort_leads(_faulty_four(state, partner, dead, true_temperature, r0, lead)).finding
    return {"open lead": LEAD_OPEN, "open element": ELEMENT_OPEN, "shorted element": SHORTED}.get(found, HEALTHY)


@finding_of_four.slip("Each end has two leads that read only themselves: two low readings are no short.")
def pairs_taken_for_short(state: str) -> str | None:
    return SHORTED if state == "healthy" else None


@finding_of_four.slip(
    "All readings are low: nothing like the ohms of a sensor is left in any of them.", name="no_short"
)
def short_of_four_taken_for_healthy(state: str) -> str | None:
    return HEALTHY if state == "shorted element" else None


@finding_of_four.slip("The three leads that read still show the element, so it is whole.")
def element_blamed(state: str) -> str | None:
    return ELEMENT_OPEN if state == "open lead" else None


@finding_of_four.slip("Each lead still reads to its partner: all four leads are whole, and what lies between is not.")
def lead_blamed(state: str) -> str | None:
    return LEAD_OPEN if state == "open element" else None


@four_lead_faults.step(
    "Lead without continuity to any other",
    name="lost",
    kind="choice",
    options=(*FOUR, NO_LEAD),
    rule="The lost lead is the one that every reading without continuity has in common.",
)
def lost_of_four(state: str, partner: str, dead: str, true_temperature: float, r0: float, lead: float) -> str:
    return sort_leads(_faulty_four(state, partner, dead, true_temperature, r0, lead)).open_lead or NO_LEAD


@lost_of_four.slip("This lead still reads to others: the lost lead is in all readings without continuity.")
def lead_that_still_reads(state: str, dead: str) -> str | None:
    return others(FOUR, dead)[0] if state == "open lead" else None


@lost_of_four.slip("Every lead reads to at least one other, so none is lost.")
def some_lead_blamed(state: str) -> str | None:
    return FOUR[0] if state != "open lead" else None
