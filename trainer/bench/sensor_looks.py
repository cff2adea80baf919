"""What is measured between the process and the conditioner's terminals, and with a source in place of the sensor."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

import numpy as np

from trainer.bench.instruments import KEPT, OPEN, Case, Finding, Findings, look, ohms, shown, standing
from trainer.calculations import thermocouples
from trainer.calculations.response import time_to_fraction
from trainer.channel.conditioner import Input
from trainer.channel.sensors import ResistanceSensor, Thermocouple
from trainer.units import MINUS

SITE_LIMIT = 1e6  # Ω: common practice; the site's own limit stands in its rules
STIRRED = 0.02  # of the span: how far an operator moves the process to see whether it is followed
REFERENCE_DOUBT = 0.0025  # of the span: a training value for a good reference instrument
WARMED, WARMED_DOUBT = 20.0, 2.0  # K
FOLLOWED = 0.005  # of the span


@look("reference")
def _reference(case: Case) -> Findings:
    """A better instrument beside the sensor; what tells is the difference, whatever the process does."""
    error = shown(case, "Control room less reference", case.now["shown"] - case.value)
    return (
        shown(case, "Reference instrument at the process", case.value),
        replace(error, doubt=REFERENCE_DOUBT * case.span),
    )


@look("disturbed-process")
def _disturbed_process(case: Case) -> Findings:
    """The process moved a little on purpose, the operator agreeing."""
    moved = standing(case.channel, case.value + STIRRED * case.span)["shown"]
    change = moved - case.now["shown"]
    word = (
        "follows"
        if change > FOLLOWED * case.span
        else "goes the other way"
        if change < -FOLLOWED * case.span
        else "stays"
    )
    return (Finding("Control room while the process rises", word),)


@look("cable-ohms")
def _cable_ohms(case: Case) -> Findings:
    """All pairs of terminals that have a core, whatever core is on them."""
    sensor, approved = case.channel.sensor, case.approved.sensor
    if not isinstance(sensor, ResistanceSensor) or not isinstance(approved, ResistanceSensor):
        return ()
    landed = dict(zip(approved.landed, sensor.landed, strict=False))
    found, usual = sensor.ohms(case.value), approved.ohms(case.value)
    pairs = [pair for pair, value in usual.items() if len(pair) == 2 and math.isfinite(value)]
    return tuple(
        ohms(f"Terminals {one} and {other}", found.get("".join(sorted((landed[one], landed[other]))), math.inf))
        for one, other in map(tuple, pairs)
    )


@look("head-ohms")
def _head_ohms(case: Case) -> Findings:
    sensor = case.channel.sensor
    if not isinstance(sensor, ResistanceSensor):
        return ()
    return (ohms("Element at the head", sensor.ohms(case.value)["head"]),)


@look("insulation")
def _insulation(case: Case) -> Findings:
    """The sensor side and the pair of the loop, apart, all electronics off."""
    sensor, loop = case.channel.sensor, case.channel.loop
    sides = {"Insulation of the loop's pair": min(loop.leak_across_output, loop.leak_across_card)}
    if isinstance(sensor, ResistanceSensor):
        sides["Insulation of the sensor with its cable"] = sensor.leak
    return tuple(
        Finding(label, "good" if worst > SITE_LIMIT else "below the site's limit") for label, worst in sides.items()
    )


@look("couple-ohms")
def _couple_ohms(case: Case) -> Findings:
    """The loop of an unplugged thermocouple: whole, touching on the way, or open."""
    sensor = case.channel.sensor
    if not isinstance(sensor, Thermocouple):
        return ()
    words = {"nowhere": "as in the record", "head": "less than in the record", "panel": "next to nothing"}
    word = OPEN if sensor.burnt_out and sensor.shorted == "nowhere" else words[sensor.shorted]
    return (Finding("Resistance of the unplugged sensor loop", word),)


@look("panel-millivolts")
def _panel_millivolts(case: Case) -> Findings:
    if not isinstance(case.channel.sensor, Thermocouple):
        return ()
    volts = case.now["terminals"]
    return (Finding("Millivolts at the terminals", OPEN if math.isnan(volts) else volts, "mV", 0.01),)


@look("head-millivolts")
def _head_millivolts(case: Case) -> Findings:
    sensor = case.channel.sensor
    if not isinstance(sensor, Thermocouple):
        return ()
    volts = sensor.at_head(case.value)
    return (
        Finding("Millivolts at the head", OPEN if math.isnan(volts) else volts, "mV", 0.01),
        Finding("Temperature of the head", sensor.head, "°C", 0.5),
        Finding("Temperature of the terminals", sensor.panel, "°C", 0.5),
    )


@look("warmed-head")
def _warmed_head(case: Case) -> Findings:
    """A hot-air tool at the head: a sound loop does not feel it."""
    sensor = case.channel.sensor
    if not isinstance(sensor, Thermocouple):
        return ()
    warmer = replace(case.channel, sensor=replace(sensor, head=sensor.head + WARMED))
    label = f"Display moves, the head {WARMED:g} K warmer"
    change = standing(warmer, case.value)["reading"] - case.now["reading"]
    return (replace(shown(case, label, change), doubt=WARMED_DOUBT),)


@look("shorted-input")
def _shorted_input(case: Case) -> Findings:
    if not isinstance(case.channel.sensor, Thermocouple):
        return ()
    return (
        shown(case, "Display with a copper short across the input", _as_read(case, 0.0)),
        Finding("Thermometer at the terminals", case.channel.sensor.panel, "°C", 0.5),
    )


@look("injected-input")
def _injected_input(case: Case) -> Findings:
    """A source at the terminals instead of the sensor, for 10 % and 90 % of the approved range."""
    approved = case.approved
    span = approved.output.upper - approved.output.lower
    wanted = [approved.output.lower + share * span for share in (0.1, 0.9)]
    sources = [float(each) for each in approved.sensor.law.quantity(np.array(wanted))]
    if isinstance(approved.sensor, Thermocouple):
        panel = thermocouples.emf(approved.sensor.panel, approved.sensor.law.letter)
        sources = [each - panel for each in sources]
    labels = [f"Display at a source for {value:g} {case.unit}".replace("-", MINUS) for value in wanted]
    return tuple(shown(case, label, _as_read(case, source)) for label, source in zip(labels, sources, strict=True))


def _as_read(case: Case, source: float) -> float:
    """Reading for a source right at the terminals; a box for two wires goes on with the leads of the record."""
    channel = case.channel
    panel = channel.sensor.panel if isinstance(channel.sensor, Thermocouple) else 20.0
    leads = case.approved.input.allowance if isinstance(channel.sensor, ResistanceSensor) else 0.0
    return _read(channel.input, source + leads, panel)


@lru_cache(KEPT)
def _read(setting: Input, source: float, panel: float) -> float:
    return float(setting.value(np.array([source]), panel)[0])


@look("step-response")
def _step_response(case: Case) -> Findings:
    """Time until 63 % of a step from a source is shown."""
    constant = case.channel.filter
    passed = time_to_fraction(1.0 - math.exp(-1.0), constant) if constant else 0.0
    return (Finding("Time to 63 % of a step", float(passed), "s", 0.5),)
