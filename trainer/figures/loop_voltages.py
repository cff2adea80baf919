"""What the drawing of a current loop is told, and what Ohm's law makes of it."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.calculations.loops import MILLI, leak_across_burden, leak_across_transmitter, voltages
from trainer.figures.inputs import Inputs

PLACES = ("wire out", "transmitter", "wire back", "burden")
POINTS = ("a", "b", "c", "d")


@dataclass(frozen=True)
class Drops:
    """Voltage across each part [V], and the current in the burden beside a leak [mA]; None where not told."""

    burden: float | None = None
    wire: float | None = None
    transmitter: float | None = None
    current: float | None = None


def leaks(inputs: Inputs) -> bool:
    """Whether some of the current takes another path."""
    return "leak_burden" in inputs or "leak_transmitter" in inputs


def asks_values(inputs: Inputs) -> bool:
    """Whether a part without its value is asked for it, and not for what a leak or an opening does."""
    return not leaks(inputs) and not any(point in inputs for point in POINTS)


def drops(inputs: Inputs) -> Drops:
    """What can be told with the values that are there; an open loop drops nothing in a resistance."""
    current = None if "open" in inputs else inputs.known("current", "mA")
    if current is None:
        return Drops()
    supply, wire = inputs.known("supply", "V"), inputs.known("wire", "Ω")
    burden = inputs.known("resistance" if "resistance" in inputs else "burden", "Ω")
    if leaks(inputs):
        return _beside_leak(inputs, current, burden)
    across = None if wire is None else current * MILLI * wire
    if burden is None:
        return Drops(wire=across)
    parts = voltages(supply or 0.0, current, burden, wire or 0.0)
    told = supply is not None and "across" not in inputs and (wire is not None or "resistance" in inputs)
    return Drops(parts.burden, across, parts.transmitter if told else None)


def _beside_leak(inputs: Inputs, current: float, burden: float | None) -> Drops:
    """Current that the burden has where another path takes some of it, or adds some."""
    arrives = None
    if "leak_burden" in inputs and burden is not None:
        arrives = leak_across_burden(current, burden, inputs.number("leak_burden", "Ω"))
    elif "leak_transmitter" in inputs and "across" in inputs:
        arrives = current + inputs.number("across", "V") / inputs.number("leak_transmitter", "Ω") / MILLI
    elif "leak_transmitter" in inputs and "supply" in inputs and "resistance" in inputs and burden is not None:
        path = inputs.number("leak_transmitter", "Ω")
        arrives = leak_across_transmitter(current, inputs.number("supply", "V"), burden, path)
    across = None if arrives is None or burden is None else arrives * MILLI * burden
    return Drops(burden=across, current=arrives)


def open_place(inputs: Inputs) -> str:
    """Where the loop is open, or an empty text."""
    if "open" not in inputs:
        return ""
    said = str(inputs["open"].value).removeprefix("in the ")
    return said if said in PLACES else inputs.choice("open", PLACES)
