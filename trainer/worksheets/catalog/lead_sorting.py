"""Worksheets of strand S2 on unmarked leads: which belong together, what the element has, what is broken."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from itertools import combinations

from trainer.calculations import rtd
from trainer.calculations.lead_sorting import OPEN, Pair, meter_readings, sort_leads
from trainer.worksheets.worksheet import Node, Worksheet

SOURCES = (
    "Leads at one end of the element read only themselves, from end to end the element as well: common practice",
    "IEC 60751: resistance of platinum thermometers",
)
CAUTION = (
    "Disconnect at the instrument end only, with the loop bypassed under the site's own procedure, and prove that no "
    "voltage is on the leads first: on a live input an ohmmeter gives nonsense and may upset what relies on the loop."
)
THREE, FOUR = ("black", "blue", "brown"), ("1", "2", "3", "4")


# What the meter shows: readings made from hidden givens, to 0.01 Ω


def _meter(
    near: tuple[str, ...], far: tuple[str, ...], element: float, lead: float, dead: str = ""
) -> dict[Pair, float]:
    ohms = {name: OPEN if name == dead else lead for name in (*near, *far)}
    readings = meter_readings(element, {name: ohms[name] for name in near}, {name: ohms[name] for name in far})
    return {pair: round(reading, 2) for pair, reading in readings.items()}


def others(leads: tuple[str, ...], *named: str) -> tuple[str, ...]:
    return tuple(lead for lead in leads if lead not in named)


def three(single: str, element: float, lead: float, dead: str = "") -> dict[Pair, float]:
    return _meter((single,), others(THREE, single), element, lead, dead)


def four(partner: str, element: float, lead: float, dead: str = "") -> dict[Pair, float]:
    return _meter(("1", partner), others(FOUR, "1", partner), element, lead, dead)


def _reading_of_three(pair: Pair, single: str, true_temperature: float, r0: float, lead: float) -> float:
    return three(single, rtd.resistance(true_temperature, r0), lead)[pair]


def _reading_of_four(pair: Pair, partner: str, true_temperature: float, r0: float, lead: float) -> float:
    return four(partner, rtd.resistance(true_temperature, r0), lead)[pair]


def declare_sensor(sheet: Worksheet) -> None:
    sheet.given("r0", "Resistance at 0 °C", symbol="R_0", unit="Ω", decimals=0)
    sheet.given("true_temperature", "Temperature at the sensor", unit="°C", hidden=True)
    sheet.given("lead", "Resistance of each lead", unit="Ω", hidden=True)


def _highest(*readings: float) -> float:
    return max(readings)


def _lowest(*readings: float) -> float:
    return min(readings)


def _declare_readings(sheet: Worksheet, leads: tuple[str, ...], reading: Callable[..., float], prefix: str) -> None:
    pairs = {f"{prefix}{x}_{y}": (x, y) for x, y in combinations(leads, 2)}
    for name, (x, y) in pairs.items():
        node = Node.of(partial(reading, (x, y)))
        symbol = rf"R_{{\text{{{x} to {y}}}}}"
        sheet.given(name, f"Reading {x} to {y}", symbol=symbol, unit="Ω", decimals=2, prepare=node)
    for name, title, function in (
        ("across", "Reading from end to end", _highest),
        ("cable", "Reading of leads at one end", _lowest),
    ):
        symbol, node = rf"R_{{\text{{{name}}}}}", Node(function, tuple(pairs))
        sheet.given(name, title, symbol=symbol, unit="Ω", decimals=2, hidden=True, prepare=node)


# Steps from the readings to the temperature, for three leads and for four


def element(across: float, cable: float) -> float:
    return across - cable


def leads_left_in(across: float) -> float:
    return across


def half_taken_off(across: float, cable: float) -> float:
    return across - cable / 2.0


def taken_off_twice(across: float, cable: float) -> float:
    return across - 2.0 * cable


def added_on(across: float, cable: float) -> float:
    return across + cable


def temperature(element: float, r0: float) -> float:
    return rtd.temperature(element, r0)


def in_fahrenheit(element: float, r0: float) -> float:
    return 1.8 * rtd.temperature(element, r0) + 32.0


def _declare_element(sheet: Worksheet) -> None:
    sheet.step(
        "Resistance of the element",
        symbol="R",
        formula="<across> - <cable>",
        rule="From a reading end to end take off a reading of two leads that belong together.",
        unit="Ω",
        tolerance=0.05,
        possible=(0.0, 5000.0),
    )(element)
    for function, message in (
        (leads_left_in, "From end to end two leads are in the reading as well: take the low reading off."),
        (half_taken_off, "The low reading is two leads, and two leads are in the other reading: take all of it off."),
        (taken_off_twice, "The low reading is both leads already: take it off once."),
        (added_on, "The leads are in the reading already: take them off, do not add them."),
    ):
        sheet.slip_of("element", message)(function)
    sheet.step(
        "Temperature",
        symbol="t",
        formula=r"\frac{-A + \sqrt{A^2 - 4 B (1 - <element> / <r0>)}}{2 B}",
        rule="Look the resistance of the element up in the table (below 0 °C the table has a third term).",
        unit="°C",
        tolerance=0.2,
        skill="S1.2",
    )(temperature)
    sheet.slip_of("temperature", "That is the reading in °F; °C was asked.")(in_fahrenheit)


# Three leads

three_leads = Worksheet(
    "three-leads-by-ohmmeter", "Sorting three unmarked leads", "S2.4", cautions=(CAUTION,), sources=SOURCES
)
three_leads.given("single", "Lead that is alone at its end", kind="choice", options=THREE, hidden=True)
declare_sensor(three_leads)
_declare_readings(three_leads, THREE, _reading_of_three, "")


@three_leads.step(
    "Leads that belong together",
    kind="choice",
    options=tuple(f"{x} and {y}" for x, y in combinations(THREE, 2)),
    rule="The two leads with only a few ohms between them are at the same end of the element.",
)
def pair(black_blue: float, black_brown: float, blue_brown: float) -> str:
    readings = {("black", "blue"): black_blue, ("black", "brown"): black_brown, ("blue", "brown"): blue_brown}
    return " and ".join(sort_leads(readings).pairs[0])


@pair.slip("A high reading has the element in it: those two leads are at its two ends.")
def one_from_each_end(single: str) -> str:
    return " and ".join(sorted((single, others(THREE, single)[0])))


@pair.slip("A high reading has the element in it: the pair is where the reading is low.")
def other_from_each_end(single: str) -> str:
    return " and ".join(sorted((single, others(THREE, single)[1])))


_declare_element(three_leads)


# Four leads

four_leads = Worksheet(
    "four-leads-by-ohmmeter", "Sorting four unmarked leads", "S2.4", cautions=(CAUTION,), sources=SOURCES
)
four_leads.given("partner", "Lead at the same end as lead 1", kind="choice", options=FOUR[1:], hidden=True)
declare_sensor(four_leads)
_declare_readings(four_leads, FOUR, _reading_of_four, "r_")


@four_leads.step(
    "Lead at the same end as lead 1",
    kind="choice",
    options=FOUR[1:],
    rule="Of the three readings from lead 1 the low one leads to its partner; the other two leads are a pair as well.",
)
def with_lead_1(r_1_2: float, r_1_3: float, r_1_4: float, r_2_3: float, r_2_4: float, r_3_4: float) -> str:
    ohms = (r_1_2, r_1_3, r_1_4, r_2_3, r_2_4, r_3_4)
    pairs = sort_leads(dict(zip(combinations(FOUR, 2), ohms, strict=True))).pairs
    return next(second for first, second in pairs if first == "1")


@with_lead_1.slip("A high reading has the element in it: those two leads are at its two ends.")
def lead_of_other_end(partner: str) -> str:
    return others(FOUR, "1", partner)[0]


@with_lead_1.slip("A high reading has the element in it: lead 1 and its partner read only a few ohms.")
def second_lead_of_other_end(partner: str) -> str:
    return others(FOUR, "1", partner)[1]


_declare_element(four_leads)
