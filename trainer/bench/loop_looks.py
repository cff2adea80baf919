"""What is measured from the conditioner's display to the card, and with a source in place of the output."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from trainer.bench.instruments import Case, Finding, Findings, after_output, look, shown
from trainer.calculations.burdens import MILLI
from trainer.channel.loop import Loop, Powering

SOURCE_VOLTS = 24.0  # what a hand-held source can drive: common practice
FULL_HIGH = 1.1  # share of the signal's span that a high fault level comes to


@look("display")
def _display(case: Case) -> Findings:
    return (shown(case, "Conditioner's display", case.now["reading"]),)


@look("control-room")
def _control_room(case: Case) -> Findings:
    unit = case.channel.scaling.unit or case.unit
    value = replace(shown(case, "Control room", case.now["shown"]), unit=unit)
    return value, Finding("Unit in the control room", unit)


@look("raw-count")
def _raw_count(case: Case) -> Findings:
    return (Finding("Raw count of the input", case.now["count"], "counts", 1.0),)


@look("loop-current")
def _loop_current(case: Case) -> Findings:
    channel = case.channel
    if channel.loop.powering == "voltage":
        return ()
    return (
        Finding("Current at the output", _driven(case), "mA", 0.01),
        Finding("Current at the card", case.now["received"], "mA", 0.01),
    )


def _driven(case: Case) -> float:
    """Current at the output's own terminals [mA]."""
    return float(case.channel.loop.at_output(np.array([case.now["asked"]]), case.channel.card.load)[0])


@look("card-volts")
def _card_volts(case: Case) -> Findings:
    volts = case.now["received"]
    if case.channel.loop.powering != "voltage":
        volts = volts * MILLI * case.channel.card.load
    return (
        Finding("DC volts at the card", volts, "V", 0.001),
        Finding("AC volts at the card", case.channel.loop.noise, "V", 0.003),
    )


@look("shield-current")
def _shield_current(case: Case) -> Findings:
    """A clamp round the shield: a current flows where it is earthed twice."""
    return (Finding("AC current in the shield", "flows" if case.channel.loop.noise > 0.0 else "none to speak of"),)


@look("output-volts")
def _output_volts(case: Case) -> Findings:
    loop, load = case.channel.loop, case.channel.card.load
    if loop.powering == "voltage":
        return (Finding("Volts across the output", case.now["asked"], "V", 0.001),)
    across = Finding("Volts across the output", loop.across_output(_driven(case), load), "V", 0.01)
    return (across, Finding("Supply under load", loop.supply, "V", 0.01)) if loop.powering == "loop" else (across,)


@look("open-volts")
def _open_volts(case: Case) -> Findings:
    """Who powers the loop: volts at the output with the two wires lifted, from the wires and from the output."""
    loop = case.channel.loop
    if loop.powering == "voltage":
        return ()
    own = {"loop": loop.sources > 1, "active": loop.sources > 0}[loop.powering]
    far = {"loop": loop.sources > 0, "active": loop.sources > 1}[loop.powering]
    from_wires = loop.supply * far * (-1.0 if loop.reversed else 1.0)
    return (
        Finding("Volts from the lifted wires", from_wires, "V", 0.1),
        Finding("Volts from the output, wires lifted", loop.supply * own, "V", 0.1),
    )


@look("card-ohms")
def _card_ohms(case: Case) -> Findings:
    card, leak = case.channel.card, case.channel.loop.leak_across_card
    load = card.load if math.isinf(leak) else card.load * leak / (card.load + leak)
    return (Finding("Ohms across the card's terminals", load, "Ω", 0.002 * load),)


@look("simulated-output")
def _simulated_output(case: Case) -> Findings:
    """The output told to give 25 %, full scale and its high fault level: what arrives."""
    signal = case.channel.output.signal
    told = {"25 %": 0.25, "100 %": 1.0, "the high fault level": FULL_HIGH}
    received, seen = after_output(case.channel, [signal.low + share * signal.span for share in told.values()])
    resolution = 0.001 if signal.unit == "V" else 0.01
    found = [
        Finding(f"Signal at the card, output told {words}", float(each), signal.unit, resolution)
        for words, each in zip(told, received, strict=True)
    ]
    return (*found, shown(case, "Control room, output told 25 %", float(seen[0])))


@look("injected-current")
def _injected_current(case: Case) -> Findings:
    """A source at the card's terminals in place of the pair, at both ends and a quarter of the approved signal."""
    signal, loop = case.approved.output.signal, case.approved.loop
    powering: Powering = "voltage" if loop.powering == "voltage" else "active"
    source = Loop(powering, SOURCE_VOLTS, leak_across_card=case.channel.loop.leak_across_card)
    levels = [signal.low + share * signal.span for share in (0.0, 0.25, 1.0)]
    _, seen = after_output(replace(case.channel, loop=source), levels)
    return tuple(
        shown(case, f"Control room at {level:g} {signal.unit} from a source", float(each))
        for level, each in zip(levels, seen, strict=True)
    )
