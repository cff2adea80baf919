"""What can be measured on a channel, and what an instrument then shows.

Each measurement looks at a case: the channel as it is, as it was approved, and where the process stands.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np

from trainer.calculations import thermocouples
from trainer.calculations.burdens import MILLI
from trainer.channel.sensors import ResistanceSensor, Thermocouple
from trainer.channel.simulation import Channel, Course, Record, run, steady
from trainer.channel.tables import to_table

Needs = Literal["", "powered", "isolated"]
OPEN, FAULT = "open", "sensor fault"
USUAL = "as supplied"  # a setting that nobody has touched


@dataclass(frozen=True)
class Finding:
    """One thing an instrument shows: a number with its unit and resolution, or a word with a note beside it."""

    label: str
    value: float | str
    unit: str = ""
    resolution: float = 0.0
    note: str = ""


@dataclass(frozen=True)
class Case:
    """A channel as it is, as it was approved, its process [unit of the process], and a shift of running."""

    channel: Channel
    approved: Channel
    value: float
    unit: str
    shift: Course

    @cached_property
    def now(self) -> dict[str, float]:
        """Everything along the way, the process standing still."""
        return run(self.channel, steady(self.value)).last

    @cached_property
    def shifted(self) -> Record:
        """The channel over a shift."""
        return run(self.channel, self.shift, step=1.0)


Findings = tuple[Finding, ...]
Look = Callable[[Case], Findings]
LOOKS: dict[str, Look] = {}


def look(name: str) -> Callable[[Look], Look]:
    """Register what a measurement shows under its name."""

    def register(function: Look) -> Look:
        LOOKS[name] = function
        return function

    return register


@dataclass(frozen=True)
class Measurement:
    """A measurement that can be chosen: what, where, with what, how long, and what it needs.

    Attributes
    ----------
    name, title, place, instrument : str
        What it is, and the part of the channel where it is done.
    minutes : float
        How long it takes: a declared training value.
    needs : {'', 'powered', 'isolated'}
        The state of the loop it asks for.
    opens_loop : bool
        Whether it interrupts what the loop does, so that a bypass must be arranged first.
    unsafe : str
        Why it is stopped in the wrong state; empty where it is merely of no use.
    """

    name: str
    title: str
    place: str
    instrument: str
    minutes: float
    needs: Needs = ""
    opens_loop: bool = False
    unsafe: str = ""

    def findings(self, case: Case) -> Findings:
        """What it shows; nothing where the channel has no such point."""
        return LOOKS[self.name](case)


def ohms(label: str, value: float, resolution: float = 0.1) -> Finding:
    """A resistance, or that the path is open."""
    return Finding(label, OPEN, "Ω") if not value < 1e8 else Finding(label, value, "Ω", resolution)


def shown(case: Case, label: str, value: float) -> Finding:
    """What the conditioner shows: a value to a tenth of its unit or finer, or a sensor fault."""
    span = abs(case.approved.output.upper - case.approved.output.lower)
    resolution = 10.0 ** math.floor(math.log10(span / 1000.0))
    return Finding(label, FAULT if math.isnan(value) else value, case.unit, resolution)


@look("display")
def _display(case: Case) -> Findings:
    return (shown(case, "Conditioner's display", case.now["reading"]),)


@look("control-room")
def _control_room(case: Case) -> Findings:
    unit = case.channel.scaling.unit or case.unit
    value = replace(shown(case, "Control room", case.now["shown"]), unit=unit)
    return value, Finding("Raw count", case.now["count"], "counts", 1.0)


@look("reference")
def _reference(case: Case) -> Findings:
    return (shown(case, "Reference instrument at the process", case.value),)


@look("loop-current")
def _loop_current(case: Case) -> Findings:
    if case.channel.loop.powering == "voltage":
        return ()
    channel = case.channel
    asked = np.array([case.now["asked"]])
    driven = float(channel.loop.at_output(asked, channel.card.load)[0])
    return (
        Finding("Current at the output", driven, "mA", 0.01),
        Finding("Current at the card", case.now["received"], "mA", 0.01),
    )


@look("card-volts")
def _card_volts(case: Case) -> Findings:
    volts = case.now["received"]
    if case.channel.loop.powering != "voltage":
        volts = volts * MILLI * case.channel.card.load
    return Finding("DC volts at the card", volts, "V", 0.001), Finding(
        "AC volts there", case.channel.loop.noise, "V", 0.003
    )


@look("output-volts")
def _output_volts(case: Case) -> Findings:
    loop, load = case.channel.loop, case.channel.card.load
    if loop.powering == "voltage":
        return ()
    current = float(loop.at_output(np.array([case.now["asked"]]), load)[0])
    return (
        Finding("Volts across the output", loop.across_output(current, load), "V", 0.01),
        Finding("Supply under load", loop.supply, "V", 0.01),
    )


@look("card-ohms")
def _card_ohms(case: Case) -> Findings:
    card, leak = case.channel.card, case.channel.loop.leak_across_card
    load = card.load if math.isinf(leak) else card.load * leak / (card.load + leak)
    return (Finding("Ohms across the card's terminals", load, "Ω", 0.002 * load),)


@look("cable-ohms")
def _cable_ohms(case: Case) -> Findings:
    sensor = case.channel.sensor
    if not isinstance(sensor, ResistanceSensor):
        return ()
    terminals = dict(zip(case.approved.sensor.landed, sensor.landed, strict=False))  # type: ignore[attr-defined]
    found = sensor.ohms(case.value)
    pairs = [pair for pair in case.approved.sensor.ohms(case.value) if len(pair) == 2]  # type: ignore[attr-defined]
    return tuple(
        ohms(f"Terminals {one} and {other}", found.get("".join(sorted((terminals[one], terminals[other]))), math.inf))
        for one, other in pairs
        if math.isfinite(case.approved.sensor.ohms(case.value)[one + other])  # type: ignore[attr-defined]
    )


@look("head-ohms")
def _head_ohms(case: Case) -> Findings:
    sensor = case.channel.sensor
    return (
        (ohms("Element at the head", sensor.ohms(case.value)["head"]),) if isinstance(sensor, ResistanceSensor) else ()
    )


@look("insulation")
def _insulation(case: Case) -> Findings:
    sensor, loop = case.channel.sensor, case.channel.loop
    leaks = [loop.leak_across_output, loop.leak_across_card]
    if isinstance(sensor, ResistanceSensor):
        leaks.append(sensor.leak)
    worst = min(leaks)
    return (Finding("Insulation of the unplugged cable", "good" if worst > 1e6 else "below the site's limit"),)


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


@look("shorted-input")
def _shorted_input(case: Case) -> Findings:
    if not isinstance(case.channel.sensor, Thermocouple):
        return ()
    return (shown(case, "Display with a copper short across the input", _as_read(case, 0.0)),)


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
    labels = ("Display at a source for 10 %", "Display at a source for 90 %")
    return tuple(shown(case, label, _as_read(case, source)) for label, source in zip(labels, sources, strict=True))


def _as_read(case: Case, source: float) -> float:
    """Reading for a source right at the terminals; a resistance box goes on with its own short leads."""
    channel = case.channel
    panel = channel.sensor.panel if isinstance(channel.sensor, Thermocouple) else 20.0
    allowance = channel.input.allowance if isinstance(channel.sensor, ResistanceSensor) else 0.0
    return float(channel.input.value(np.array([source + allowance]), panel)[0])


@look("simulated-output")
def _simulated_output(case: Case) -> Findings:
    """The output told to give 25 %, full scale and its high fault level: what arrives."""
    output = case.channel.output
    told = []
    for share, label in ((0.25, "25 %"), (1.0, "100 %"), (1.1, "fault level")):
        forced = replace(output, forced=output.signal.low + share * output.signal.span)
        end = run(replace(case.channel, output=forced), steady(case.value)).last
        told.append(Finding(f"Signal at the card, told {label}", end["received"], output.signal.unit, 0.01))
        if share == 0.25:
            told.append(shown(case, f"Control room, told {label}", end["shown"]))
    return tuple(told)


@look("injected-current")
def _injected_current(case: Case) -> Findings:
    """A calibrator in place of the output, at 4 and 20 mA or the ends of the approved signal."""
    signal = case.approved.output.signal
    healthy = replace(case.channel.loop, sources=1, reversed=False, extra=0.0, noise=0.0, supply=24.0, lift_off=0.0)
    told = []
    for level in (signal.low, signal.low + 0.25 * signal.span, signal.high):
        received = healthy.at_card(np.array([level]), case.channel.card.load)
        count = case.channel.card.counts(case.channel.card.seen(received, healthy.powering))
        value = float(case.channel.scaling.shown(count)[0])
        told.append(shown(case, f"Control room at {level:g} {signal.unit} from a source", value))
    return tuple(told)


@look("input-settings")
def _input_settings(case: Case) -> Findings:
    return _differences(case, "input", "filter")


@look("output-settings")
def _output_settings(case: Case) -> Findings:
    return _differences(case, "output")


@look("relay-settings")
def _relay_settings(case: Case) -> Findings:
    return _differences(case, "relays")


@look("scaling-block")
def _scaling_block(case: Case) -> Findings:
    return _differences(case, "scaling")


def _differences(case: Case, *parts: str) -> Findings:
    """Settings that are not those of the approved record."""
    found = dict(_flat(to_table(case.channel), parts))
    approved = dict(_flat(to_table(case.approved), parts))
    other = sorted(path for path in found.keys() | approved.keys() if found.get(path) != approved.get(path))
    if not other:
        return (Finding("Against the approved record", "the same"),)
    return tuple(
        Finding(path, "differs", note=f"{found.get(path, USUAL)}, approved {approved.get(path, USUAL)}")
        for path in other
    )


def _flat(table: object, parts: tuple[str, ...], path: str = "") -> list[tuple[str, object]]:
    if isinstance(table, Mapping):
        pairs = [(str(key), each) for key, each in table.items()]
    elif isinstance(table, list):
        pairs = [(str(index), each) for index, each in enumerate(table)]
    else:
        return [(path, table)]
    found = []
    for key, each in pairs:
        if path or key in parts:
            found += _flat(each, parts, f"{path}.{key}" if path else key)
    return found


@look("event-list")
def _event_list(case: Case) -> Findings:
    """What the relays did over a shift."""
    if not case.channel.relays:
        return ()
    record = case.shifted
    told = []
    for number, relay in enumerate(record.relays, 1):
        told.append(Finding(f"Relay {number}: alarms in the shift", float(relay.operations), "", 0.5))
        first = relay.times_of("alarm")
        told.append(Finding(f"Relay {number}: first alarm", first[0] / 60.0 if first else "none", "min", 0.2))
        during = np.isnan(record.reading) & (record.times < case.shift.points[-1][0])
        open_there = bool((~relay.closed[during]).any())
        told.append(
            Finding(f"Relay {number}: contact in the break and supply tests", "opened" if open_there else "closed")
        )
    return tuple(told)


@look("trend")
def _trend(case: Case) -> Findings:
    """The swing of the last minute, and how far the trend follows a fast dip."""
    quiet = run(case.channel, Course(((0.0, case.value), (60.0, case.value))), step=0.1)
    return (replace(shown(case, "Swing on the trend", float(np.ptp(quiet.shown))), resolution=_step(case)),)


def _step(case: Case) -> float:
    span = abs(case.approved.output.upper - case.approved.output.lower)
    return span / 500.0


@look("step-response")
def _step_response(case: Case) -> Findings:
    """Time until 63 % of a step from a source is shown."""
    return (Finding("Time to 63 % of a step", case.channel.filter, "s", 0.5),)


@look("disturbed-process")
def _disturbed_process(case: Case) -> Findings:
    """The process moved a little on purpose, the operator agreeing."""
    span = abs(case.approved.output.upper - case.approved.output.lower)
    moved = run(case.channel, steady(case.value + 0.02 * span)).last["shown"]
    change = moved - case.now["shown"]
    word = "follows" if change > 0.005 * span else "goes the other way" if change < -0.005 * span else "stays"
    return (Finding("Control room while the process rises", word),)


@look("force-list")
def _force_list(case: Case) -> Findings:
    output, controller = case.channel.output.forced, case.channel.scaling.forced
    forced = [name for name, value in (("output", output), ("controller value", controller)) if value is not None]
    bypassed = [f"relay {number}" for number, relay in enumerate(case.channel.relays, 1) if relay.bypassed]
    return (
        Finding("Forced values", ", ".join(forced) or "none"),
        Finding("Bypasses in place", ", ".join(bypassed) or "none"),
    )


@look("fuse-out")
def _fuse_out(case: Case) -> Findings:
    """Contacts in normal running, and with the conditioner's fuse out."""
    if not case.channel.relays:
        return ()
    quiet = case.shift.points[0][1]
    record = run(case.channel, Course(((0.0, quiet), (60.0, quiet)), supply_off=((30.0, 60.0),)))
    told = []
    for number, relay in enumerate(record.relays, 1):
        words = ["closed" if relay.closed[index] else "open" for index in (0, -2)]
        told.append(Finding(f"Contact {number}: normal, then fuse out", f"{words[0]}, {words[1]}"))
    return tuple(told)
