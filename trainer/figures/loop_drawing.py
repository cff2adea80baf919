"""A current loop as a ring: supply, wire out, transmitter, wire back, burden, with the points A to D between."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer.figures.inputs import Inputs
from trainer.figures.loop_voltages import PLACES, POINTS, Drops, asks_values, drops, leaks, open_place
from trainer.figures.symbols import box, node, resistor, wire
from trainer.language import gettext

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

LEFT, RIGHT, TOP, LOW, MIDDLE = 70.0, 390.0, 212.0, 46.0, 230.0  # of the ring, in points
SUPPLY, BURDEN, TRANSMITTER = 164.0, 86.0, 129.0  # heights of the parts
# Where a loop is shown open, and where its points are.
OPENINGS = dict(zip(PLACES, ((300.0, TOP), (RIGHT, 176.0), (160.0, LOW), (LEFT, 60.0)), strict=True))
CORNERS = dict(zip(POINTS, ((LEFT, TOP), (RIGHT, TOP), (RIGHT, LOW), (LEFT, LOW)), strict=True))


def _volts(inputs: Inputs, volts: float | None) -> str:
    return "" if volts is None else inputs.show(volts, 2, "V")


def _arrives(inputs: Inputs, across: Drops) -> str:
    """Current in the burden."""
    return "" if across.current is None else inputs.show(across.current, 2, "mA")


def _across_burden(inputs: Inputs) -> str:
    return gettext("burden and wires") if "resistance" in inputs else gettext("burden")


def words(inputs: Inputs, solved: bool) -> str:
    """The ring and its values, and in the solved form the voltage across each part."""
    told = [
        gettext(
            "A current loop as a ring: from supply plus, A, by the wire out to the transmitter, B and C, by the wire"
            " back to the top of the burden, D, and through it to supply minus."
        )
    ]
    labels = {
        "supply": gettext("supply {x}"),
        "current": gettext("current {x}"),
        "burden": gettext("burden {x}"),
        "resistance": gettext("burden and wires {x}"),
        "wire": gettext("each wire {x}"),
        "lift_off": gettext("the transmitter needs {x}"),
        "burden_voltage": gettext("{x} across the burden"),
        "across": gettext("{x} across the transmitter"),
        "leak_burden": gettext("a leak of {x} across the burden"),
        "leak_transmitter": gettext("a leak of {x} across the transmitter"),
    }
    values = [label.format(x=inputs.quantity(name)) for name, label in labels.items() if name in inputs]
    points = [f"{name.upper()} {inputs.quantity(name, 'V')}" for name in POINTS if name in inputs]
    if values or points:
        told.append(gettext("Known: {values}.").format(values=", ".join(values + points)))
    if not solved:
        asked = (
            gettext("What the burden gets is asked.") if leaks(inputs) else gettext("What is not told of it is asked.")
        )
        if any(point in inputs for point in POINTS):
            asked = gettext("Where it is open is asked.")
        return " ".join([*told, asked])
    if place := open_place(inputs):
        told.append(gettext("The loop is open here: {place}.").format(place=gettext(place)))
    across = drops(inputs)
    if across.current is not None:
        told.append(gettext("The burden carries {current}.").format(current=_arrives(inputs, across)))
    shown = [
        f"{name} {_volts(inputs, volts)}"
        for name, volts in (
            (_across_burden(inputs), across.burden),
            (gettext("each wire"), across.wire),
            (gettext("transmitter"), across.transmitter),
        )
        if volts is not None
    ]
    if shown:
        told.append(gettext("Voltage across the parts: {shown}.").format(shown=", ".join(shown)))
    return " ".join(told)


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw the ring, its values, and in the solved form its voltages."""
    board, across = sheet.board(), drops(inputs) if solved else Drops()
    wire(sheet, board, (LEFT, LOW), (LEFT, TOP), (RIGHT, TOP), (RIGHT, LOW), (LEFT, LOW))
    box(sheet, board, LEFT, SUPPLY, 22, 44)
    box(sheet, board, RIGHT, TRANSMITTER, 28, 60)
    resistor(sheet, board, LEFT, BURDEN, upright=True)
    if "resistance" not in inputs:
        resistor(sheet, board, MIDDLE, TOP)
        resistor(sheet, board, MIDDLE, LOW)
    _leaks(sheet, board, inputs)
    _left(sheet, board, inputs, across, solved)
    _right(sheet, board, inputs, across, solved)
    _wires(sheet, board, inputs, across, solved)
    for name, (x, y) in CORNERS.items():
        node(sheet, board, x, y)
        text = name.upper() + (f" {inputs.quantity(name, 'V')}" if name in inputs else "")
        color = sheet.theme.known if name in inputs else ""
        sheet.text(board, x, y + (24 if y == TOP else -24), text, color, ha="center", va="center", weight="bold")
    if solved and (place := open_place(inputs)):
        x, y = OPENINGS[place]
        sheet.line(board, [x], [y], sheet.theme.answer, marker="X", markersize=18, zorder=6)
        sheet.text(board, MIDDLE, TRANSMITTER, gettext("open here: ×"), sheet.theme.answer, ha="center", va="center")
    elif not solved and any(point in inputs for point in POINTS):
        sheet.text(board, MIDDLE, TRANSMITTER, gettext("? where open"), weight="bold", ha="center", va="center")
    if leaks(inputs) and (arrives := _arrives(inputs, across) if solved else "? mA"):
        color = sheet.theme.answer if solved else ""
        middle: dict[str, Any] = {"ha": "center", "va": "center"}
        sheet.text(board, MIDDLE - 10, TRANSMITTER + 12, gettext("burden gets"), sheet.theme.quiet, **middle)
        sheet.text(board, MIDDLE - 10, TRANSMITTER - 8, arrives, color, weight="bold", **middle)


def _leaks(sheet: Sheet, board: Axes, inputs: Inputs) -> None:
    """A path beside burden or transmitter."""
    for name, x, beside, middle, reach in (
        ("leak_burden", LEFT, LEFT - 36, BURDEN, 28.0),
        ("leak_transmitter", RIGHT, RIGHT + 38, TRANSMITTER, 44.0),
    ):
        if name in inputs:
            ends = (middle - reach, middle + reach)
            points = ((x, ends[0]), (beside, ends[0]), (beside, ends[1]), (x, ends[1]))
            wire(sheet, board, *points, color=sheet.theme.known, linestyle="--")
            resistor(sheet, board, beside, middle, upright=True, edgecolor=sheet.theme.known)


def _left(sheet: Sheet, board: Axes, inputs: Inputs, across: Drops, solved: bool) -> None:
    """Supply and burden with what is told of them."""
    x, answer = LEFT + 20, sheet.theme.answer
    at: dict[str, Any] = {"va": "center"}
    sheet.text(board, x, SUPPLY + 10, gettext("supply"), sheet.theme.quiet, **at)
    _told(sheet, board, inputs, "supply", x, SUPPLY - 10, solved, "V")
    name = "resistance" if "resistance" in inputs else "burden"
    sheet.text(board, x, BURDEN + 20, _across_burden(inputs), sheet.theme.quiet, **at)
    _told(sheet, board, inputs, name, x, BURDEN, solved, "Ω")
    if "leak_burden" in inputs:
        leak = gettext("leak {x}").format(x=inputs.quantity("leak_burden", "Ω"))
        sheet.text(board, x, BURDEN - 20, leak, sheet.theme.known, **at)
    elif "burden_voltage" in inputs:
        voltage = inputs.quantity("burden_voltage", "V")
        sheet.text(board, x, BURDEN - 20, voltage, sheet.theme.known, weight="bold", **at)
    elif across.burden is not None:
        sheet.text(board, x, BURDEN - 20, _volts(inputs, across.burden), answer, weight="bold", **at)


def _right(sheet: Sheet, board: Axes, inputs: Inputs, across: Drops, solved: bool) -> None:
    """The transmitter with what it needs and what it has."""
    x = RIGHT - 24
    at: dict[str, Any] = {"va": "center", "ha": "right"}
    sheet.text(board, x, TRANSMITTER + 32, gettext("transmitter"), sheet.theme.quiet, **at)
    complete = all(name in inputs for name in ("supply", "current", "burden", "wire"))
    has, color = _volts(inputs, across.transmitter), sheet.theme.answer
    if "across" in inputs:
        has, color = inputs.quantity("across", "V"), sheet.theme.known
    elif complete and not solved:
        has, color = "? V", sheet.theme.ink
    sheet.text(board, x, TRANSMITTER - 22, has, color, weight="bold", **at)
    if "lift_off" in inputs:
        needs = gettext("needs {x}").format(x=inputs.quantity("lift_off", "V"))
        sheet.text(board, x, TRANSMITTER - 43, needs, sheet.theme.known, **at)
    elif "leak_transmitter" in inputs:
        leak = gettext("leak {x}").format(x=inputs.quantity("leak_transmitter", "Ω"))
        sheet.text(board, x, TRANSMITTER - 43, leak, sheet.theme.known, **at)
    current = inputs.told("current", solved or not asks_values(inputs), "mA")
    if current and "open" not in inputs:
        sheet.arrow(board, (LEFT + 26, TOP), (LEFT + 66, TOP), sheet.theme.known)
        color = sheet.theme.known if "current" in inputs else ""
        sheet.text(board, LEFT + 18, TOP - 15, current, color, va="center", weight="bold")


def _wires(sheet: Sheet, board: Axes, inputs: Inputs, across: Drops, solved: bool) -> None:
    """Names of the wires; where there is room their resistance and voltage."""
    if "resistance" in inputs:
        return
    told = inputs.told("wire", solved or not asks_values(inputs), "Ω")
    for y, name in ((TOP + 24, gettext("wire out")), (LOW - 24, gettext("wire back"))):
        style: dict[str, Any] = {"va": "center", "ha": "center"}
        sheet.text(board, MIDDLE, y, name, sheet.theme.quiet, **style)
        inside = y - 46 if y > TOP else y + 46
        if across.wire is not None:
            sheet.text(board, MIDDLE, inside, _volts(inputs, across.wire), sheet.theme.answer, weight="bold", **style)
        elif "wire" in inputs or y > TOP:
            sheet.text(board, MIDDLE, inside, told, sheet.theme.known if "wire" in inputs else "", **style)


def _told(sheet: Sheet, board: Axes, inputs: Inputs, name: str, x: float, y: float, solved: bool, unit: str) -> None:
    """A value, or a question mark where it is asked."""
    color = sheet.theme.known if name in inputs else ""
    sheet.text(
        board, x, y, inputs.told(name, solved or not asks_values(inputs), unit), color, va="center", weight="bold"
    )
