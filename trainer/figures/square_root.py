"""Flow against the signal of its pressure: without a root, with one, with two."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from trainer.calculations.flow import flow_fraction, pressure_fraction
from trainer.calculations.signals import span_between
from trainer.figures.inputs import Inputs
from trainer.language import gettext

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

LOW, HIGH = 4.0, 20.0  # of the signal, where no other is told [mA]
ROOTS = {"none": "--", "one": "-", "two": ":"}  # and how their lines look
PIECES = 60


@dataclass(frozen=True)
class Point:
    """Ends of the signal, and the fractions of signal and flow that are known [-]; `roots` names the line."""

    low: float
    high: float
    pressure: float | None
    flow: float | None
    cut_off: float
    roots: str

    @property
    def asked(self) -> str:
        """What is not known of the point."""
        if self.pressure is None and self.flow is None:
            return "roots"
        return "signal" if self.pressure is None else "flow" if self.flow is None else ""


def read(inputs: Inputs, solved: bool) -> Point:
    """Read the inputs; in the solved form what is missing of the point is worked out, by one root."""
    low, high = inputs.known("signal_low"), inputs.known("signal_high")
    low, high = LOW if low is None else low, HIGH if high is None else high
    span = span_between("signal", low, high)
    full = inputs.number("full_flow") if "full_flow" in inputs else 100.0
    signal, flow = inputs.known("signal"), inputs.known("flow")
    pressure = None if signal is None else (signal - low) / span
    share = None if flow is None else flow / full
    cut_off = inputs.number("cut_off") / 100.0 if "cut_off" in inputs else 0.0
    if solved and share is None and pressure is not None:
        share = flow_fraction(pressure, cut_off)
    elif solved and pressure is None and share is not None:
        pressure = pressure_fraction(share)
    return Point(low, high, pressure, share, cut_off, inputs.choice("roots", ROOTS) if "roots" in inputs else "")


def _name(roots: str) -> str:
    return {"none": gettext("no root"), "one": gettext("one root"), "two": gettext("two roots")}[roots]


def _here(point: Point) -> str:
    return gettext("Here: {roots}").format(roots=_name(point.roots))


def _signal(inputs: Inputs, point: Point) -> str:
    unit = inputs.unit("signal_low", inputs.unit("signal", "mA"))
    if "signal" in inputs:
        return inputs.quantity("signal", unit)
    pressure = 0.0 if point.pressure is None else point.pressure
    return inputs.show(point.low + pressure * (point.high - point.low), 2, unit)


def _flow(inputs: Inputs, point: Point) -> str:
    """The flow in percent, which is what the axis has."""
    share = inputs.show(100.0 * (point.flow or 0.0), 1, "%")
    if "flow" not in inputs:
        return share
    told = inputs.quantity("flow", "%")
    return told if "full_flow" not in inputs else f"{told}, {share}"


def words(inputs: Inputs, solved: bool) -> str:
    """The three lines, and the point or what is asked of it."""
    point = read(inputs, solved)
    unit = inputs.unit("signal_low", inputs.unit("signal", "mA"))
    decimals = inputs["signal_low"].decimals if "signal_low" in inputs else 0
    low, high = (inputs.show(end, decimals, unit) for end in (point.low, point.high))
    told = [
        gettext("Flow in percent against a linear signal from {low} to {high}: with one square root, with none, which"
                " reads low between the ends, and with two, which reads high.").format(low=low, high=high)
    ]  # fmt: skip
    if point.cut_off:
        told.append(gettext("Flow below {cut_off} is shown as none.").format(cut_off=inputs.quantity("cut_off", "%")))
    if solved and point.roots:
        told.append(f"{_here(point)}.")
    if point.asked == "roots":
        told += [] if solved else [gettext("Which of the lines the display follows is asked.")]
    elif point.asked == "flow":
        told.append(gettext("The signal {signal} is marked; the flow is asked.").format(signal=_signal(inputs, point)))
    elif point.asked == "signal":
        told.append(gettext("The flow {flow} is marked; the signal is asked.").format(flow=_flow(inputs, point)))
    else:
        both = gettext("By one root the signal {signal} belongs to the flow {flow}.")
        told.append(both.format(signal=_signal(inputs, point), flow=_flow(inputs, point)))
    return " ".join(told)


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw the three lines and the point."""
    point, board, plot = read(inputs, solved), sheet.board(), sheet.plot(62, 52, 380, 142)
    plot.set(xlim=(point.low, point.high), ylim=(0, 104))
    fractions = sorted({i / PIECES for i in range(PIECES + 1)} | {i / 400 for i in range(8)} | {point.cut_off**2})
    xs = [point.low + each * (point.high - point.low) for each in fractions]
    curves = {
        "none": fractions,
        "one": [flow_fraction(each, point.cut_off) for each in fractions],
        "two": [each**0.25 for each in fractions],
    }
    for number, (roots, ys) in enumerate(curves.items()):
        meant = solved and roots == point.roots
        color = sheet.theme.answer if meant else sheet.theme.ink
        look: dict[str, Any] = {"linestyle": ROOTS[roots], "linewidth": sheet.thick if meant or roots == "one" else 2.0}
        sheet.line(plot, xs, [100.0 * y for y in ys], color, **look)
        x = 14 + 150 * number
        sheet.line(board, [x, x + 34], [242, 242], color, **look)
        sheet.text(board, x + 42, 242, _name(roots), color, va="center")
    unit = inputs.unit("signal_low", inputs.unit("signal", "mA"))
    sheet.text(board, 12, 214, gettext("Flow, {unit}").format(unit="%"), sheet.theme.quiet, va="center")
    label = gettext("Signal, {unit}").format(unit=unit)
    sheet.text(board, 442, 14, label, sheet.theme.quiet, ha="right", va="center")
    sheet.ticks(plot.xaxis, inputs.decimal, few=point.asked == "signal")
    sheet.ticks(plot.yaxis, inputs.decimal, few=point.asked == "flow")
    _mark(sheet, board, plot, inputs, point, solved)


def _mark(sheet: Sheet, board: Axes, plot: Axes, inputs: Inputs, point: Point, solved: bool) -> None:
    """Lines from the axes to the curve; what is asked has no line, only a question mark on its axis."""
    color = sheet.theme.answer if solved else sheet.theme.known
    bold: dict[str, Any] = {"weight": "bold"}
    if point.asked == "roots":
        if solved and point.roots:
            sheet.text(board, 442, 214, _here(point), color, ha="right", va="center", **bold)
        elif not solved:
            sheet.text(plot, 0.8 * point.high + 0.2 * point.low, 20, "?", fontsize=sheet.large, **bold)
        return
    x = None if point.pressure is None else point.low + point.pressure * (point.high - point.low)
    y = None if point.flow is None else 100.0 * point.flow
    style: dict[str, Any] = {"linestyle": "-", "linewidth": sheet.thin * 1.4}
    if x is not None:
        sheet.line(plot, [x, x], [0, 100 if y is None else y], color, **style)
        late = point.pressure is not None and point.pressure > 0.7
        beside: dict[str, Any] = {"shift": (-6 if late else 6, 4), "ha": "right" if late else "left"}
        sheet.text(plot, x, 0, _signal(inputs, point), color, **beside, **bold)
    else:
        sheet.text(plot, point.high, 0, "?", "", (-14, 4), fontsize=sheet.large, ha="right", **bold)
    if y is not None:
        sheet.line(plot, [point.low, point.high if x is None else x], [y, y], color, **style)
        sheet.text(board, 442, 214, _flow(inputs, point), color, ha="right", va="center", **bold)
    else:
        sheet.text(plot, point.low, 88, "?", "", (8, 0), fontsize=sheet.large, **bold)
    if x is not None and y is not None:
        sheet.line(plot, [x], [y], color, marker="o", markersize=9)
