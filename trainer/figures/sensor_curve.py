"""Resistance of a thermometer against temperature, with one point of it known, asked or both."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from trainer.calculations import rtd
from trainer.calculations.curves import CURVES, IEC_60751, Curve
from trainer.errors import NotFound
from trainer.figures.inputs import Inputs
from trainer.language import gettext
from trainer.units import convert

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

SPAN, STEP = 300.0, 50.0  # of the part of the curve that is shown [°C]: the point lies near its middle
MIDDLE = 100.0  # of the part shown where there is no point [°C]
PIECES, MARGIN = 60, 0.06
# Where a label on the axis stays clear of the curve even if the point is in its lower corner, in parts of the plot.
CLEAR_OF_CURVE, CLEAR_OF_CORNER = 0.3, 0.17
LATE = 0.7  # from here on a label does not fit to the right of its line
COARSE = 100  # where something is asked, its line is drawn to a whole hundredth of the axis


@dataclass(frozen=True)
class View:
    """A curve, the point on it as temperature [°C] and resistance [Ω], and which of the two is asked."""

    curve: Curve
    r0: float
    point: tuple[float, float] | None
    asked: str

    @property
    def window(self) -> tuple[float, float]:
        """Part of the curve that is shown [°C]."""
        middle = self.point[0] if self.point else MIDDLE
        low = STEP * round((middle - SPAN / 2) / STEP)
        low = max(min(low, self.curve.highest - SPAN), self.curve.lowest)
        return low, min(low + SPAN, self.curve.highest)

    def resistance(self, temperature: float) -> float:
        """Resistance at a temperature of the curve [Ω]."""
        return rtd.resistance(temperature, self.r0, self.curve)


def read(inputs: Inputs, solved: bool) -> View:
    """Read the inputs; a coordinate that is not among them is worked out, to be drawn."""
    curve, r0, asked = _curve(inputs), inputs.number("r0", "Ω"), ""
    temperature = inputs.number("temperature", "°C") if "temperature" in inputs else None
    resistance = inputs.number("resistance", "Ω") if "resistance" in inputs else None
    if temperature is not None and resistance is None:
        asked, resistance = "resistance", rtd.resistance(temperature, r0, curve)
    elif resistance is not None and temperature is None:
        asked, temperature = "temperature", rtd.temperature(resistance, r0, curve)
    point = None if temperature is None or resistance is None else (temperature, resistance)
    return View(curve, r0, point, "" if solved else asked)


def _curve(inputs: Inputs) -> Curve:
    if "curve" not in inputs:
        return IEC_60751
    wanted = str(inputs["curve"].value)
    for curve in CURVES:
        if wanted in (curve.name, curve.name.rpartition(" ")[2]):
            return curve
    raise NotFound(f"there is no curve '{wanted}'; there are {', '.join(curve.name for curve in CURVES)}")


def words(inputs: Inputs, solved: bool) -> str:
    """The curve, the part of it that is shown, and its point."""
    view = read(inputs, solved)
    low, high = (_end(inputs, view, temperature) for temperature in view.window)
    shown = gettext("Resistance against temperature of {sensor}, from {low} to {high}.")
    told = [shown.format(sensor=_sensor(inputs, view), low=low, high=high)]
    if view.point:
        temperature, resistance = _temperature(inputs, view), _resistance(inputs, view)
        if view.asked == "resistance":
            point = gettext("A line from {temperature} meets the curve; the resistance there is asked.")
        elif view.asked == "temperature":
            point = gettext("A line from {resistance} meets the curve; the temperature there is asked.")
        else:
            point = gettext("A point is marked: {temperature} and {resistance}.")
        told.append(point.format(temperature=temperature, resistance=resistance))
    return " ".join(told)


def _end(inputs: Inputs, view: View, temperature: float) -> str:
    """An end of the part of the curve that is shown, by both its coordinates."""
    unit, resistance = inputs.unit("temperature", "°C"), inputs.show(view.resistance(temperature), 0, "Ω")
    return f"{inputs.show(convert(temperature, '°C', unit), 0, unit)} ({resistance})"


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw the curve and its point."""
    view = read(inputs, solved)
    unit, (low, high) = inputs.unit("temperature", "°C"), view.window
    temperatures = [low + (high - low) * i / PIECES for i in range(PIECES + 1)]
    xs = [convert(each, "°C", unit) for each in temperatures]
    ys = [view.resistance(each) for each in temperatures]
    margin = MARGIN * (ys[-1] - ys[0])
    plot, board = sheet.plot(62, 52, 380, 150), sheet.board()
    plot.set(xlim=(xs[0], xs[-1]), ylim=(ys[0] - margin, ys[-1] + margin))
    sheet.line(plot, xs, ys, sheet.theme.ink, linewidth=sheet.thick)
    sheet.text(board, 12, 240, _sensor(inputs, view), va="center")
    sheet.text(board, 12, 216, gettext("Resistance, {unit}").format(unit="Ω"), sheet.theme.quiet, va="center")
    temperature = gettext("Temperature, {unit}").format(unit=unit)
    sheet.text(board, 442, 14, temperature, sheet.theme.quiet, ha="right", va="center")
    sheet.ticks(plot.xaxis, inputs.decimal, few=view.asked == "temperature")
    sheet.ticks(plot.yaxis, inputs.decimal, few=view.asked == "resistance")
    if view.point:
        _mark(sheet, plot, inputs, view, convert(view.point[0], "°C", unit), view.point[1])


def _mark(sheet: Sheet, plot: Axes, inputs: Inputs, view: View, x: float, y: float) -> None:
    """Lines that join the point to both axes; an asked one has an arrow, a question mark and no exact place."""
    (left, right), (bottom, top) = plot.get_xlim(), plot.get_ylim()
    if view.asked == "temperature":
        x = _coarse(x, left, right)
    elif view.asked == "resistance":
        y = _coarse(y, bottom, top)
    color = sheet.theme.known if view.asked else sheet.theme.answer
    sheet.line(plot, [x], [y], color, marker="o", markersize=9)
    for name, end in (("resistance", (left, y)), ("temperature", (x, bottom))):
        if name == view.asked:
            sheet.arrow(plot, (x, y), end, color, linestyle="--")
        else:
            sheet.line(plot, [x, end[0]], [y, end[1]], color)
    high = max(y, bottom + CLEAR_OF_CURVE * (top - bottom))
    _label(sheet, plot, left, high, "resistance", _resistance(inputs, view), view, shift=(8, 5))
    beside: dict[str, Any] = {"shift": (8, 7)}
    if (x - left) / (right - left) > LATE:
        beside = {"shift": (-8, 7), "ha": "right"}
    along = max(x, left + CLEAR_OF_CORNER * (right - left))
    _label(sheet, plot, along, bottom, "temperature", _temperature(inputs, view), view, **beside)


def _label(sheet: Sheet, plot: Axes, x: float, y: float, name: str, text: str, view: View, **style: Any) -> None:
    """A coordinate, or a question mark where it is asked."""
    if name == view.asked:
        sheet.text(plot, x, y, "?", fontsize=sheet.large, weight="bold", **style)
    else:
        color = sheet.theme.known if view.asked else sheet.theme.answer
        sheet.text(plot, x, y, text, color, weight="bold", **style)


def _coarse(value: float, low: float, high: float) -> float:
    return low + round((value - low) / (high - low) * COARSE) / COARSE * (high - low)


def _sensor(inputs: Inputs, view: View) -> str:
    materials = {"platinum": gettext("platinum"), "nickel": gettext("nickel"), "copper": gettext("copper")}
    material, alpha = view.curve.name.split()
    return gettext("{material} {alpha}, {r0} at {zero}").format(
        material=materials.get(material, material),
        alpha=alpha.replace(".", inputs.decimal),
        r0=inputs.quantity("r0", "Ω"),
        zero=inputs.show(0.0, 0, "°C"),
    )


def _temperature(inputs: Inputs, view: View) -> str:
    if "temperature" in inputs or not view.point:
        return inputs.quantity("temperature", "°C")
    return inputs.show(view.point[0], 1, "°C")


def _resistance(inputs: Inputs, view: View) -> str:
    if "resistance" in inputs or not view.point:
        return inputs.quantity("resistance", "Ω")
    return inputs.show(view.point[1], 2 if view.r0 < 500.0 else 1, "Ω")
